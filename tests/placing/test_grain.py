"""Grain: pegs along it as far as the piece allows, and a word where not."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made, sized
from platelayer.geometry.placing import place_piece
from platelayer.placing.grain import (
    STEEPEST_RAD,
    allowed_turns,
    grain_findings,
    slope_rad,
    steepest_peg_rad,
    turns_along_grain,
)
from platelayer.values.cuts import PlacedPiece
from platelayer.values.findings import Code, Severity
from platelayer.values.pieces import EndKind, Turns
from platelayer.values.shapes import Pose
from platelayer.values.tooling import Board

BOARD = Board(
    id="A",
    width_mm=900.0,
    height_mm=140.0,
    thickness_mm=12.7,
    scatter_mm=0.2,
    thickness_is_measured=True,
    zero="top",
    margin_mm=3.0,
)
BOTH_PEGS = (EndKind.PEG, EndKind.PEG)


def laid(order, turn_rad, *, at=(0.0, 0.0)):
    pose = Pose(*at, turn_rad)
    piece = place_piece(made(order), pose)
    return PlacedPiece(piece=piece, pose=pose, board_id="A", tabs=(), skin_mm=0.0, unreached=(), order=0)


def best_laid(order, *, grain_rad=0.0):
    return laid(order, turns_along_grain(made(order), grain_rad=grain_rad)[0])


@given(st.floats(-7, 7), st.floats(-7, 7))
def test_a_slope_knows_no_direction(axis, grain):
    assert 0 <= slope_rad(axis, grain) <= math.pi / 2 + 1e-9
    assert math.isclose(slope_rad(axis + math.pi, grain), slope_rad(axis, grain), abs_tol=1e-9)
    assert math.isclose(slope_rad(grain, axis), slope_rad(axis, grain), abs_tol=1e-9)


def test_a_straight_lies_along_the_grain_either_way_round():
    assert turns_along_grain(made(LONG), grain_rad=0.0) == (0.0, math.pi)


@pytest.mark.parametrize("is_left", [True, False], ids=["left", "right"])
@pytest.mark.parametrize("grain_deg", [0, 30, 90])
def test_a_curve_lies_symmetrically_with_both_ends_at_half_its_angle(is_left, grain_deg):
    order = sized(BEND, hand="left" if is_left else "right")
    for turn in turns_along_grain(made(order), grain_rad=math.radians(grain_deg)):
        slopes = [slope_rad(end.pose.heading_rad, math.radians(grain_deg)) for end in laid(order, turn).piece.ends]
        assert slopes == pytest.approx([math.radians(22.5)] * 2)


def test_a_wide_curve_with_one_peg_spends_the_limit_on_the_peg():
    """90 degrees: symmetric would lay the peg at 45; the peg goes to its limit and the socket takes the rest."""
    placed = best_laid(sized(BEND, angle=math.pi / 2))
    assert math.isclose(steepest_peg_rad(placed.piece.ends, grain_rad=0.0), STEEPEST_RAD)
    assert grain_findings([placed], [BOARD]) == ()


@given(st.floats(0.35, 3.0), st.floats(0, 3.1), st.booleans())
def test_no_turn_is_better_than_the_one_chosen(angle, grain, has_two_pegs):
    order = sized(BEND, angle=angle, radius=200.0, ends=BOTH_PEGS if has_two_pegs else BEND.ends)
    piece = made(order)
    steepest = steepest_peg_rad(piece.ends, grain_rad=grain, turn_rad=turns_along_grain(piece, grain_rad=grain)[0])
    least = min(steepest_peg_rad(piece.ends, grain_rad=grain, turn_rad=math.radians(turn)) for turn in range(180))
    assert steepest <= max(STEEPEST_RAD, least) + 1e-9


@pytest.mark.parametrize(
    ("turns", "degrees"),
    [(Turns.GRAIN, [0, 180]), (Turns.QUARTERS, [0, 90, 180, 270]), (Turns.EIGHTHS, list(range(0, 360, 45)))],
)
def test_a_piece_lies_at_the_turns_it_is_allowed(turns, degrees):
    piece = replace(made(LONG), turns=turns)
    assert turns_along_grain(piece, grain_rad=0.0) == pytest.approx([math.radians(degree) for degree in degrees])


def test_wood_without_grain_allows_quarter_turns_and_takes_none_away():
    assert [allowed_turns(turns, has_grain=False) for turns in Turns] == [Turns.QUARTERS, Turns.QUARTERS, Turns.EIGHTHS]
    assert [allowed_turns(turns, has_grain=True) for turns in Turns] == list(Turns)


def test_a_peg_off_the_grain_is_told_with_its_reason():
    placed = best_laid(sized(BEND, angle=math.pi / 2, ends=BOTH_PEGS))
    (finding,) = grain_findings([placed], [BOARD])
    assert (finding.code, finding.severity) == (Code.HOLDING_GRAIN, Severity.WARNING)
    assert finding.text == (
        "a peg lies 45.0 degrees off the grain; past 25 degrees a neck keeps less than a quarter of its strength and "
        "snaps."
    )
    assert finding.advice == (
        "Use a curve of a smaller angle, plywood (material in [job]), or a board whose grain runs along the peg."
    )
    assert (finding.measured, finding.limit, finding.unit) == (45.0, pytest.approx(25.0), "deg")


def test_a_straight_across_the_board_is_told():
    assert len(grain_findings([laid(LONG, math.pi / 2)], [BOARD])) == 1
    assert grain_findings([laid(LONG, math.pi / 2)], [replace(BOARD, grain_rad=math.pi / 2)]) == ()


def test_strength_in_the_text_follows_from_the_formula():
    """Hankinson's formula with Q = P / 20 (both from memory): under a quarter of P past the limit."""
    a = STEEPEST_RAD
    kept = (1 / 20) / (math.sin(a) ** 2 + math.cos(a) ** 2 / 20)
    assert 0.2 < kept < 0.25
