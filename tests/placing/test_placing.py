"""Rows: apart, inside offcuts, along the grain."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made
from placing.distances import framed
from platelayer.errors import CannotCut
from platelayer.geometry.contours import polygon
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import buffered, to_area
from platelayer.placing.grain import STEEPEST_RAD, steepest_peg_rad
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.rows import place_rows
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.tooling import Board

ROOM = 5.0
BOARD = Board(
    id="A", width_mm=700.0, height_mm=300.0, thickness_mm=12.7, scatter_mm=0.2, thickness_is_measured=True,
    zero="top", margin_mm=3.0,
)  # fmt: skip
STRAIGHTS = [replace(made(LONG), id=f"long-{n}") for n in range(4)]
MIXED = [*STRAIGHTS, *(replace(made(BEND), id=f"bend-{n}") for n in range(2))]


def laid(pieces, placements):
    return [place_piece(pieces[one.index], one.pose) for one in placements]


def area_of(piece):
    return to_area(piece.outline, chord_mm=FLATTEN_CHORD_MM)


@given(st.lists(st.tuples(st.floats(0, 250), st.floats(0, 110)), min_size=4, max_size=4))
def test_rows_stay_inside_an_offcut_with_its_corners_cut_off(cuts):
    (a, b), (c, d), (e, f), (g, h) = cuts
    corners = [(a, 0), (700 - c, 0), (700, d), (700, 300 - f), (700 - e, 300), (g, 300), (0, 300 - h), (0, b)]
    outline = polygon([(float(x), float(y)) for x, y in corners])
    board = replace(BOARD, outline=outline)
    try:
        placements = place_rows(STRAIGHTS, [board], apart=framed(ROOM, 4.0))
    except CannotCut:
        return
    inside = buffered(to_area(outline, chord_mm=FLATTEN_CHORD_MM), -(3.0 + ROOM - 0.01), chord_mm=FLATTEN_CHORD_MM)
    assert all(inside.covers(area_of(piece)) for piece in laid(STRAIGHTS, placements))


@pytest.mark.parametrize("place", [place_rows, nest_pieces], ids=["rows", "nest"])
def test_between_kerfs_and_beside_the_edge_a_web_stands(place):
    """On a skin pieces once lay at any distance, and strips thinner than a bit stood between their kerfs."""
    web = 3.5
    pieces = laid(MIXED, place(MIXED, [replace(BOARD, margin_mm=0.0)], apart=framed(ROOM, web)))
    areas = [area_of(piece) for piece in pieces]
    for n, area in enumerate(areas):
        low_x, low_y, high_x, high_y = area.bounds
        assert min(low_x, low_y, 700 - high_x, 300 - high_y) >= web + ROOM - 0.01
        assert all(area.distance(other) >= 2 * ROOM + web - 0.01 for other in areas[:n])


@pytest.mark.parametrize("grain_deg", [0, 30, 90, 150])
def test_rows_lie_along_each_boards_grain(grain_deg):
    """Rows once lay along x whatever the grain, so that on a board with its grain across every neck was short grain."""
    boards = [replace(BOARD, grain_rad=math.radians(grain_deg)), replace(BOARD, id="B", grain_rad=math.pi / 2)]
    placements = place_rows(MIXED * 2, boards, apart=framed(ROOM, 4.0))
    grain = {board.id: board.grain_rad for board in boards}
    assert {one.board_id for one in placements} >= {"A"}
    for piece, one in zip(laid(MIXED * 2, placements), placements, strict=True):
        assert steepest_peg_rad(piece.ends, grain_rad=grain[one.board_id]) <= STEEPEST_RAD + 1e-9
    areas = {board_id: [] for board_id in grain}
    for piece, one in zip(laid(MIXED * 2, placements), placements, strict=True):
        area = area_of(piece)
        low_x, low_y, high_x, high_y = area.bounds
        assert min(low_x, low_y, 700 - high_x, 300 - high_y) >= 3.0 + ROOM - 0.01
        assert all(area.distance(other) >= 2 * ROOM + 4.0 - 0.01 for other in areas[one.board_id])
        areas[one.board_id].append(area)
