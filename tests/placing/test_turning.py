"""Turning a board over: the pins stay where they are, and nothing is laid on them."""

from dataclasses import replace

import pytest

from geometry.usual import LONG, TRACK, made
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import to_area
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.turning import dowel_places, face_shift_mm, web_between_grooves_mm, with_dowels
from platelayer.values.tooling import Board

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


def test_pins_on_the_turn_line_meet_their_own_holes_after_turning():
    for x, y in dowel_places(BOARD, dowel_diameter_mm=6.0):
        turned = (x, 2 * (BOARD.height_mm / 2) - y)
        assert turned == (x, y)
        assert 6.0 <= x <= BOARD.width_mm - 6.0


def test_no_piece_is_laid_on_a_pin():
    board = with_dowels(BOARD, dowel_diameter_mm=6.0)
    pieces = [replace(made(LONG), id=f"long-{i}") for i in range(9)]
    placements = nest_pieces(pieces, [board], room_mm=3.5, web_mm=4.0)
    for placement in placements:
        area = to_area(place_piece(pieces[placement.index], placement.pose).outline, chord_mm=0.001)
        for hole in board.no_go:
            assert area.distance(to_area(hole.outline, chord_mm=0.001)) >= 3.5 - 0.005


def test_play_and_web_by_hand():
    assert face_shift_mm(dowel_diameter_mm=6.0, hole_diameter_mm=6.1) == pytest.approx(0.1)
    assert face_shift_mm(dowel_diameter_mm=6.0, hole_diameter_mm=5.9) == 0.0
    # worked by hand: 12.7 - 0.2 - 2 x 3.571875 = 5.35625
    assert web_between_grooves_mm(TRACK, scatter_mm=0.2) == pytest.approx(5.35625)
    assert web_between_grooves_mm(replace(TRACK, thickness_mm=7.0), scatter_mm=0.2) < 0
