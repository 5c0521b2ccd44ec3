"""How wide and how high each kind of bit cuts."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import preview_scene as scene
from platelayer.values.bit_shape import radius_at, rise_mm, tip_radius_mm
from platelayer.values.tooling import BitKind

ROUND = scene.bit(9.0, BitKind.ROUND_OVER, corner_radius_mm=3.0)
VEE = scene.bit(8.0, BitKind.VEE, included_rad=math.radians(60))
BALL = scene.bit(6.0, BitKind.BALL)


@given(share=st.floats(0.01, 0.999), bit=st.sampled_from((ROUND, VEE, BALL)))
def test_two_ways_to_a_bits_shape_agree(share, bit):
    """Radius at a height and height at a radius were written apart from each other."""
    widest = bit.diameter_mm / 2
    tip = tip_radius_mm(bit)
    radius = tip + share * (widest - tip)
    rise = float(rise_mm(bit, np.array([radius]))[0])
    assert radius_at(bit, rise) == pytest.approx(radius, abs=1e-9)


def test_a_round_over_bit_is_hollow():
    # worked by hand: 9 mm wide with a corner of 3 mm has a tip of 3 mm; 1.8 mm up (3-4-5) it is 3 - 2.4 mm wider
    assert radius_at(ROUND, -0.1) == 0.0
    assert radius_at(ROUND, 0.0) == pytest.approx(1.5)
    assert radius_at(ROUND, 1.8) == pytest.approx(1.5 + 0.6)
    assert radius_at(ROUND, 3.0) == radius_at(ROUND, 5.0) == 4.5


def test_a_vee_bit_cuts_less_wide_the_shallower_it_goes():
    # worked by hand: a right-angled vee is as wide each side as it is high, up to its radius
    vee = scene.bit(12.7, BitKind.VEE, included_rad=math.pi / 2)
    assert radius_at(vee, 3.0) == pytest.approx(3.0)
    assert radius_at(vee, 9.0) == pytest.approx(6.35)
    assert radius_at(BALL, 3.0) == pytest.approx(3.0)
    assert radius_at(BALL, 0.6) == pytest.approx(1.8)  # 3-4-5 triangle: sqrt(3^2 - 2.4^2)


def test_the_rise_of_each_bit_by_hand():
    # worked by hand: 3-4-5 triangles, and a right-angled vee that rises as it widens
    assert rise_mm(scene.bit(10.0, BitKind.BALL), np.array([3.0, 4.0])).tolist() == pytest.approx([1.0, 2.0])
    vee = scene.bit(6.0, BitKind.VEE, included_rad=math.pi / 2)
    assert rise_mm(vee, np.array([2.5])).tolist() == pytest.approx([2.5])
    over = scene.bit(20.0, BitKind.ROUND_OVER, corner_radius_mm=5.0)
    assert rise_mm(over, np.array([4.0, 6.0, 7.0, 10.0])).tolist() == pytest.approx([0.0, 3.0, 4.0, 5.0])
    assert rise_mm(over, np.array([10.5])).tolist() == [math.inf]
