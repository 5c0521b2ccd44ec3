"""What must be true of any joint's free play."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from platelayer.fit.free_play import free_play, play_slice
from platelayer.fit.in_line import in_line
from platelayer.fit.limits import limits
from platelayer.fit.shapes import as_cut, as_designed, with_bit_error, with_offsets
from platelayer.values.pieces import CornerRadii
from strategies_fit import joints

SHARP = CornerRadii()
WIDTH = 40.0


def designed(sizes):
    return as_designed(sizes, width_mm=WIDTH, corners=SHARP)


@given(joints(), st.floats(0.01, 0.4))
@settings(max_examples=80)
def test_a_wider_mouth_never_lessens_the_side_play(sizes, wider):
    """The hole stays where it is, so that the socket only loses wood."""
    before = designed(sizes)
    wide = sizes.mouth_width_mm + min(wider, sizes.head_diameter_mm - sizes.mouth_width_mm) / 2
    after = designed(replace(sizes, mouth_width_mm=wide))
    assert in_line(after).side_mm >= in_line(before).side_mm - 1e-9
    assert in_line(after).pull_out_mm >= in_line(before).pull_out_mm - 1e-9


@given(joints())
@settings(max_examples=60)
def test_no_side_play_where_the_mouth_is_the_neck(sizes):
    tight = replace(sizes, neck_width_mm=sizes.mouth_width_mm)
    assert in_line(designed(tight)).side_mm == pytest.approx(0, abs=1e-9)


@given(joints(), st.floats(0.2, 1.8))
@settings(max_examples=80)
def test_what_a_bit_leaves_never_adds_play(sizes, bit):
    try:
        cut = as_cut(sizes, width_mm=WIDTH, corners=SHARP, bit_radius_mm=bit)
    except ValueError:
        return
    before, after = in_line(designed(sizes)), in_line(cut)
    assert after.play_mm <= before.play_mm + 1e-9
    if after.play_mm >= 0 and after.opening_mm == before.opening_mm:
        assert after.side_mm <= before.side_mm + 1e-9


@given(joints(), st.floats(0.01, 0.3))
@settings(max_examples=60)
def test_a_looser_peg_is_looser(sizes, offset):
    loose = with_offsets(sizes, peg_mm=min(offset, (sizes.head_diameter_mm - sizes.mouth_width_mm) / 2 - 0.05))
    before, after = in_line(designed(sizes)), in_line(designed(loose))
    assert after.play_mm > before.play_mm
    assert after.side_mm >= before.side_mm


@given(joints(), st.floats(-0.1, 0.1))
@settings(max_examples=40)
def test_bit_error_and_offsets_are_different_things(sizes, error):
    """A bit's error moves the faces as well; undone by paths made for the true diameter, nothing of it is left."""
    shape = designed(sizes)
    there_and_back = with_bit_error(with_bit_error(shape, bit_error_mm=error), bit_error_mm=-error)
    assert in_line(there_and_back).play_mm == pytest.approx(in_line(shape).play_mm, abs=1e-9)
    moved = with_bit_error(shape, bit_error_mm=error).sizes
    offset = with_offsets(sizes, peg_mm=error / 2, socket_mm=error / 2)
    assert moved.head_diameter_mm == offset.head_diameter_mm
    assert moved.head_setback_mm == pytest.approx(offset.head_setback_mm + error / 2)


@given(joints(), st.floats(-0.01, 0.01))
@settings(max_examples=40)
def test_mirroring_mirrors_the_slice(sizes, angle):
    shape = designed(sizes)
    one, other = play_slice(shape, angle_rad=angle, count=21), play_slice(shape, angle_rad=-angle, count=21)
    assert one.shift_mm == pytest.approx(-other.shift_mm[::-1], abs=1e-6)
    here = limits(shape, shift_mm=one.shift_mm, angle_rad=angle)
    there = limits(shape, shift_mm=-one.shift_mm, angle_rad=-angle)
    assert here.low == pytest.approx(there.low, abs=1e-12)
    assert here.high == pytest.approx(there.high, abs=1e-12)


@given(joints())
@settings(max_examples=25)
def test_a_joint_that_couples_is_held_and_can_kink(sizes):
    found = free_play(designed(sizes))
    assert found.is_held
    assert found.couples
    assert found.hold_mm == pytest.approx(sizes.head_diameter_mm - sizes.mouth_width_mm)
    assert found.kink_rad[0] == found.kink_rad[1] > 0
