"""Free play in closed form against solids moved about by hand."""

import math

import numpy as np
import pytest

from fit.hand_made import USUAL, WIDTH_MM, peg_solid, socket_solid
from fit.referee import best_clearance, overlaps
from platelayer.fit.free_play import free_play, play_slice, side_play_mm
from platelayer.fit.shapes import as_cut, as_designed
from platelayer.values.pieces import CornerRadii, JointSizes

PROMISED_MM = 0.005
CHORD_MM = 3e-5
PROMISED_RAD = math.radians(0.02)


def random_joint(rng):
    """A joint, a bit and cures as a person could ask for them; None where closed forms do not reach."""
    half_neck = rng.uniform(2, 4)
    half_mouth = half_neck + rng.uniform(0.15, 1.5)
    head = half_mouth + rng.uniform(0.6, 2.5)
    hole = head + rng.uniform(0.15, 1.2)
    setback = rng.uniform(5, 9)
    pull_out = rng.uniform(0.05, 0.8)
    lip = setback + head - math.sqrt(head**2 - half_mouth**2) - pull_out
    centre = lip + math.sqrt(hole**2 - half_mouth**2)
    sizes = JointSizes(
        neck_width_mm=2 * half_neck,
        head_diameter_mm=2 * head,
        head_setback_mm=setback,
        mouth_width_mm=2 * half_mouth,
        hole_diameter_mm=2 * hole,
        hole_setback_mm=centre - hole,
    )
    bit = rng.choice([0.0, rng.uniform(0.5, half_mouth)])
    relief = rng.choice([0.0, max(bit, 0.5)])
    ease = rng.choice([0.0, bit + 0.1, rng.uniform(0.3, 3)])
    corners = CornerRadii(relief_radius_mm=float(relief), ease_radius_mm=float(ease))
    width = rng.uniform(28, 50)
    try:
        if bit:
            shape = as_cut(sizes, width_mm=width, corners=corners, bit_radius_mm=float(bit))
        else:
            shape = as_designed(sizes, width_mm=width, corners=corners)
    except ValueError:
        return None
    return shape if shape.lip_mm > ease + 0.5 else None


def solids(shape):
    peg = peg_solid(
        shape.sizes,
        root_radius=shape.root_radius_mm,
        relieved=shape.overcut_mm > 0,
        crook_radius=shape.crook_radius_mm,
        width=shape.width_mm,
        chord=CHORD_MM,
    )
    return peg, socket_solid(shape.sizes, ease_radius=shape.ease_radius_mm, width=shape.width_mm, chord=CHORD_MM)


def random_joints(seed, count):
    rng, found = np.random.default_rng(seed), []
    while len(found) < count:
        shape = random_joint(rng)
        if shape is not None:
            found.append(shape)
    return found


@pytest.mark.parametrize("seed", range(5))
def test_referee_agrees(seed):
    """Twenty joints a seed, two hundred in all: 5 micrometres and 0.02 degrees."""
    for shape in random_joints(seed, 20):
        found, (peg, socket) = free_play(shape), solids(shape)
        if not found.couples:
            for opening in np.linspace(0, 1, 21):
                assert overlaps(peg, socket, opening), (shape, opening)
            continue
        _agree_along(shape, found, peg, socket)
        _agree_across(shape, found, peg, socket)
        _agree_on_kink(shape, found, peg, socket)


def _agree_along(shape, found, peg, socket):
    step = PROMISED_MM
    assert overlaps(peg, socket, found.opening_mm - step), shape
    assert overlaps(peg, socket, found.pull_out_mm + step), shape
    assert not overlaps(peg, socket, found.pull_out_mm - min(step, found.play_mm / 2)), shape
    assert not overlaps(peg, socket, found.opening_mm + min(step, found.play_mm / 2)), shape
    assert not overlaps(peg, socket, (found.opening_mm + found.pull_out_mm) / 2), shape


def _agree_across(shape, found, peg, socket):
    # not at the very least opening: overlaps there are too thin to see, as between a head and the bottom of its hole
    for at in (found.opening_mm + found.play_mm / 10, found.opening_mm + found.play_mm / 2):
        _agree_at(peg, socket, at, side_play_mm(shape, opening_mm=at), shape)
    assert found.side_mm[1] == pytest.approx(side_play_mm(shape, opening_mm=found.opening_mm), abs=1e-9)


def _agree_at(peg, socket, opening, side, shape):
    assert overlaps(peg, socket, opening, side + PROMISED_MM), shape
    for share in (0.3, 0.6, 1.0):
        for way in (1, -1):
            assert not overlaps(peg, socket, opening, way * share * max(side - PROMISED_MM, 0)), shape


def _agree_on_kink(shape, found, peg, socket):
    kink = found.kink_rad[1]
    less, more = kink - PROMISED_RAD, kink + PROMISED_RAD
    if less > 0:
        one = play_slice(shape, angle_rad=less, count=41)
        assert any(
            not overlaps(peg, socket, (low + high) / 2, shift, less)
            for shift, low, high in zip(one.shift_mm, one.low_mm, one.high_mm, strict=True)
        ), shape
    near = play_slice(shape, angle_rad=kink * 0.99, count=3)
    start = ((near.low_mm[1] + near.high_mm[1]) / 2, near.shift_mm[1])
    assert best_clearance(peg, socket, more, start) < 0, shape


def test_referee_can_disagree():
    """It sees ten micrometres and 0.04 degrees, so that its agreement says something."""
    shape = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())
    found, (peg, socket) = free_play(shape), solids(shape)
    assert not overlaps(peg, socket, found.pull_out_mm - 0.01 + PROMISED_MM)
    near = play_slice(shape, angle_rad=found.kink_rad[1] * 0.99, count=3)
    start = ((near.low_mm[1] + near.high_mm[1]) / 2, near.shift_mm[1])
    assert best_clearance(peg, socket, found.kink_rad[1] - 2 * PROMISED_RAD, start) > 0.002
