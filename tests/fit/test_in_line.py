"""Scalar closed forms against the whole free play, on joints drawn at random."""

import math

import pytest

from fit.hand_made import USUAL, WIDTH_MM
from fit.test_free_play import random_joints
from platelayer.fit.free_play import free_play
from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import as_designed
from platelayer.values.pieces import CornerRadii


@pytest.mark.parametrize("seed", range(5))
def test_in_line_is_the_free_play_at_no_angle(seed):
    for shape in random_joints(200 + seed, 40):
        whole, quick = free_play(shape), in_line(shape)
        assert bool(quick.play_mm >= 0) is whole.couples
        if whole.couples:
            assert quick.opening_mm == pytest.approx(whole.opening_mm, abs=1e-5)
            assert quick.pull_out_mm == pytest.approx(whole.pull_out_mm, abs=1e-5)
            if quick.opening_mm == 0:
                assert quick.side_mm == pytest.approx(whole.side_mm[0], abs=0.002)


def test_plays_of_the_usual_joint_by_hand():
    quick = in_line(as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii()))
    assert quick.pull_out_mm == pytest.approx(0.2747, abs=5e-5)  # worked by hand in test_seat
    assert math.isclose(quick.side_mm, 0.289, abs_tol=5e-4)
