"""From a wish to sizes and back."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from fit.hand_made import USUAL, WIDTH_MM, peg_solid, socket_solid
from platelayer.fit.in_line import in_line
from platelayer.fit.seat import seat
from platelayer.fit.target_play import LEAST_HOLD_MM, PRESETS, Cutter, Part, TargetPlay, shape_for, solve_target
from platelayer.units import show_small, worded
from platelayer.values.pieces import CornerRadii
from strategies_fit import joints, targets

EIGHTH = Cutter(
    bit_radius_mm=1.5875, corners=CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875), width_mm=WIDTH_MM
)
PERFECT = Cutter(bit_radius_mm=0.0, corners=CornerRadii(), width_mm=WIDTH_MM)


@pytest.mark.parametrize("part", Part)
@pytest.mark.parametrize("word", PRESETS)
def test_presets_are_met_and_solids_made_by_hand_move_as_asked(word, part):
    target = PRESETS[word]
    answer = solve_target(target, sizes=USUAL, part=part, cutter=EIGHTH)
    assert answer.is_met
    assert answer.reasons == ()
    found = seat(
        peg_solid(answer.sizes, root_radius=1.5875, relieved=True, crook_radius=1.5875, chord=1e-4),
        socket_solid(answer.sizes, ease_radius=1.6875, chord=1e-4),
    )
    assert found.opening_mm == pytest.approx(0, abs=1e-3)
    assert found.pull_out_mm == pytest.approx(target.pull_out_mm, abs=0.005)
    assert found.side_mm == pytest.approx(target.side_mm, abs=0.005)


def test_only_the_solved_side_changes():
    peg = solve_target(PRESETS["easy"], sizes=USUAL, part=Part.PEG, cutter=EIGHTH).sizes
    assert (peg.mouth_width_mm, peg.hole_diameter_mm, peg.hole_setback_mm) == (
        USUAL.mouth_width_mm,
        USUAL.hole_diameter_mm,
        USUAL.hole_setback_mm,
    )
    socket = solve_target(PRESETS["easy"], sizes=USUAL, part=Part.SOCKET, cutter=EIGHTH).sizes
    assert (socket.neck_width_mm, socket.head_diameter_mm, socket.head_setback_mm) == (
        USUAL.neck_width_mm,
        USUAL.head_diameter_mm,
        USUAL.head_setback_mm,
    )


@given(joints(), targets())
@settings(max_examples=25)
def test_answer_is_met_or_says_why_and_never_loses_its_hold(sizes, target):
    for part in Part:
        answer = solve_target(target, sizes=sizes, part=part, cutter=PERFECT)
        assert answer.is_met is not bool(answer.reasons)
        assert answer.sizes.head_diameter_mm - answer.sizes.mouth_width_mm > LEAST_HOLD_MM - 1e-6 or not answer.is_met


def test_retention_lost_is_said_with_what_is_nearest():
    answer = solve_target(TargetPlay(2, 3), sizes=USUAL, part=Part.PEG, cutter=PERFECT)
    assert not answer.is_met
    assert answer.reasons[0].startswith("This cannot be had; the nearest is side play ")
    assert answer.reasons[1] == "The head may not be less than 1 mm wider than the mouth, or retention is lost."
    narrow_hole = replace(USUAL, hole_diameter_mm=8.9, hole_setback_mm=9.0)
    answer = solve_target(PRESETS["easy"], sizes=narrow_hole, part=Part.PEG, cutter=PERFECT)
    assert answer.reasons[0] == "This cannot be had, and no sizes near it go together and hold."


@pytest.mark.parametrize("target", [TargetPlay(1.2, 0.3), TargetPlay(1.6, 1.6), TargetPlay(0.1, 1.0)])
def test_nothing_beside_the_nearest_is_nearer(target):
    answer = solve_target(target, sizes=USUAL, part=Part.PEG, cutter=PERFECT)
    assert len(answer.reasons) > 1
    miss = math.hypot(answer.side_mm - target.side_mm, answer.pull_out_mm - target.pull_out_mm)
    rng = np.random.default_rng(5)
    for head, setback in rng.uniform((8.94, 5), (12.3, 11), (4000, 2)):
        sizes = replace(answer.sizes, head_diameter_mm=head, head_setback_mm=setback)
        plays = in_line(shape_for(sizes, PERFECT))
        if plays.play_mm >= 0:
            assert math.hypot(plays.side_mm - target.side_mm, plays.play_mm - target.pull_out_mm) > miss - 0.02


def test_bit_wider_than_the_mouth_is_said():
    wide = replace(EIGHTH, bit_radius_mm=4.0, corners=CornerRadii())
    answer = solve_target(PRESETS["easy"], sizes=USUAL, part=Part.PEG, cutter=wide)
    assert tuple(worded(one, "in") for one in answer.reasons) == (
        "The bit is wider than the mouth, 5/16 in (7.938 mm).",
    )
    answer = solve_target(PRESETS["snug"], sizes=replace(USUAL, head_diameter_mm=10), part=Part.SOCKET, cutter=wide)
    assert not answer.is_met or answer.sizes.mouth_width_mm >= 8.0


def test_neck_too_thin_is_said():
    answer = solve_target(TargetPlay(1.2, 0.6), sizes=replace(USUAL, mouth_width_mm=6.0), part=Part.PEG, cutter=PERFECT)
    assert not answer.is_met
    assert "A neck under 4.000 mm (~5/32 in) would be too thin." in [worded(one, "mm") for one in answer.reasons]


def test_unrelieved_root_that_holds_the_faces_apart_is_said():
    sharp = replace(EIGHTH, bit_radius_mm=3.175, corners=CornerRadii())
    answer = solve_target(TargetPlay(0.15, 0.6), sizes=USUAL, part=Part.PEG, cutter=sharp)
    assert not answer.is_met
    assert "The faces stand apart: ease the mouth, relieve the peg's root, or take a smaller bit." in answer.reasons


def test_hole_grows_only_where_both_are_ours_and_no_wider_than_the_land_allows():
    target, roomy = TargetPlay(0.38, 0.33), replace(EIGHTH, widest_hole_mm=14.5)
    answer = solve_target(target, sizes=USUAL, part=Part.BOTH, cutter=roomy)
    assert answer.is_met
    assert USUAL.hole_diameter_mm < answer.sizes.hole_diameter_mm <= 14.5
    assert not solve_target(target, sizes=USUAL, part=Part.PEG, cutter=roomy).is_met


def test_a_wish_for_no_play_is_refused():
    with pytest.raises(ValueError, match="must be positive"):
        solve_target(TargetPlay(0, 0.2), sizes=USUAL, part=Part.PEG, cutter=PERFECT)


def test_plays_that_were_measured_are_met_within_what_is_known_of_them():
    """A peg that was just cut was once refused for a hundredth of a millimetre, less than the caliper's own doubt."""
    measured = TargetPlay(0.430, 0.360)
    refused = solve_target(measured, sizes=USUAL, part=Part.PEG, cutter=EIGHTH)
    assert not refused.is_met
    short = max(abs(refused.side_mm - measured.side_mm), abs(refused.pull_out_mm - measured.pull_out_mm))
    for unsure in (0.9 * short, 1.1 * short):
        answer = solve_target(replace(measured, unsure_mm=unsure), sizes=USUAL, part=Part.PEG, cutter=EIGHTH)
        assert answer.is_met is (unsure > short)
        assert answer.sizes == refused.sizes
    assert short == pytest.approx(0.025, abs=0.02)
    told = worded(answer.notes[0], "in")
    assert told.startswith("Just side play 0.017 in (0.430 mm) and pull-out play 0.014 in (0.360 mm) cannot be had; ")
    assert told.endswith(f" is within the {worded(show_small(unsure), 'in')} to which they are known.")
