"""Rows: apart, inside offcuts, and sharing a kerf where a skin holds the waste."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made
from platelayer.board.nesting_pieces import nest_pieces
from platelayer.board.placing import place_rows
from platelayer.errors import CannotCut
from platelayer.geometry.contours import polygon
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import buffered, to_area
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.pieces import EndKind
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
        placements = place_rows(STRAIGHTS, [board], room_mm=ROOM, web_mm=4.0)
    except CannotCut:
        return
    inside = buffered(to_area(outline, chord_mm=FLATTEN_CHORD_MM), -(3.0 + ROOM - 0.01), chord_mm=FLATTEN_CHORD_MM)
    assert all(inside.covers(area_of(piece)) for piece in laid(STRAIGHTS, placements))


@pytest.mark.parametrize("place", [place_rows, nest_pieces], ids=["rows", "nest"])
def test_on_a_skin_pieces_are_a_room_apart_and_joints_two(place):
    placements = place(MIXED, [BOARD], room_mm=ROOM, web_mm=None)
    pieces = laid(MIXED, placements)
    areas = [area_of(piece) for piece in pieces]
    ends = [(n, end.pose) for n, piece in enumerate(pieces) for end in piece.ends if end.kind is not EndKind.PLAIN]
    faces = [
        (n, to_area(polygon([(pose.x, pose.y)] * 2 + [(pose.x + 1e-9, pose.y)]), chord_mm=1.0)) for n, pose in ends
    ]
    for n, area in enumerate(areas):
        assert all(area.distance(other) >= ROOM - 0.01 for other in areas[:n])
        assert all(area.distance(face) >= 1.5 * ROOM - 0.01 for owner, face in faces if owner != n)


def test_straights_side_by_side_share_a_kerf_on_a_skin():
    narrow = replace(BOARD, width_mm=220.0)
    placements = place_rows(STRAIGHTS, [narrow], room_mm=ROOM, web_mm=None)
    ys = sorted(one.pose.y for one in placements)
    assert [b - a for a, b in pairwise(ys)] == pytest.approx([39.6875 + ROOM] * 3)
