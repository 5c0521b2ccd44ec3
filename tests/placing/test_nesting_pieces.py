"""A job's pieces on its boards: along the grain, apart, clear of clamps, refused in the words of the rows."""

import math
from dataclasses import replace

import pytest

from geometry.usual import BEND, LONG, made
from placing.distances import framed
from platelayer.errors import CannotCut
from platelayer.geometry.contours import circle
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import to_area
from platelayer.placing.grain import STEEPEST_RAD, steepest_peg_rad
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.rows import place_rows
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.tooling import Board, NoGo

ROOM, WEB = 3.5, 4.0
BOARD = Board(
    id="A",
    width_mm=700.0,
    height_mm=220.0,
    thickness_mm=12.7,
    scatter_mm=0.2,
    thickness_is_measured=True,
    zero="top",
    margin_mm=3.0,
)
PIECES = [replace(made(LONG), id=f"long-{i}") for i in range(6)] + [
    replace(made(BEND), id=f"bend-{i}") for i in range(3)
]


def areas(pieces, placements, board_id="A"):
    return [
        to_area(place_piece(pieces[p.index], p.pose).outline, chord_mm=FLATTEN_CHORD_MM)
        for p in placements
        if p.board_id == board_id
    ]


def test_each_piece_lies_once_apart_and_inside():
    placements = nest_pieces(PIECES, [BOARD], apart=framed(ROOM, WEB))
    assert [placement.index for placement in placements] == list(range(len(PIECES)))
    laid = areas(PIECES, placements)
    for index, area in enumerate(laid):
        low_x, low_y, high_x, high_y = area.bounds
        assert min(low_x, low_y, 700.0 - high_x, 220.0 - high_y) >= 3.0 + ROOM - 0.002
        assert all(area.distance(other) >= 2 * ROOM + WEB - 0.002 for other in laid[:index])


@pytest.mark.parametrize("grain_rad", [0.0, math.pi / 2], ids=["along x", "along y"])
def test_pegs_lie_along_the_grain_of_the_board(grain_rad):
    board = replace(BOARD, height_mm=700.0, grain_rad=grain_rad)
    for placement in nest_pieces(PIECES, [board], apart=framed(ROOM, WEB)):
        ends = place_piece(PIECES[placement.index], placement.pose).ends
        assert steepest_peg_rad(ends, grain_rad=grain_rad) <= STEEPEST_RAD


def test_boards_of_different_grain_are_filled_one_after_the_other():
    across = replace(BOARD, id="B", height_mm=700.0, grain_rad=math.pi / 2)
    small = replace(BOARD, width_mm=400.0, height_mm=120.0)
    placements = nest_pieces(PIECES, [small, across], apart=framed(ROOM, WEB))
    assert {placement.board_id for placement in placements} == {"A", "B"}
    assert len(placements) == len(PIECES)


def test_a_clamp_is_kept_clear():
    clamp = NoGo(circle((350.0, 110.0), 25.0), 30.0, "clamp")
    placements = nest_pieces(PIECES[:4], [replace(BOARD, no_go=(clamp,))], apart=framed(ROOM, WEB))
    wood = to_area(clamp.outline, chord_mm=FLATTEN_CHORD_MM)
    assert all(area.distance(wood) >= ROOM - 0.002 for area in areas(PIECES, placements))


def test_what_rows_hold_nesting_holds_on_no_more_boards():
    boards = [replace(BOARD, id=name, width_mm=500.0, height_mm=140.0) for name in "ABCD"]
    rows = {placement.board_id for placement in place_rows(PIECES, boards, apart=framed(ROOM, WEB))}
    nested = {placement.board_id for placement in nest_pieces(PIECES, boards, apart=framed(ROOM, WEB))}
    assert len(nested) <= len(rows)


def test_what_does_not_fit_is_refused_as_rows_refuse_it():
    small = replace(BOARD, width_mm=240.0, height_mm=80.0)
    with pytest.raises(CannotCut) as rows:
        place_rows(PIECES, [small], apart=framed(ROOM, WEB))
    with pytest.raises(CannotCut) as nested:
        nest_pieces(PIECES, [small], apart=framed(ROOM, WEB))
    assert str(nested.value) == str(rows.value)
