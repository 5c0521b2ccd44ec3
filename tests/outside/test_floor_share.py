"""The least share of play against a general optimiser, and against plays that add up by hand.

SOURCE: scipy's sequential least squares (SLSQP) on the same question, each joint asked of the closed forms of its
limits; sums of plays worked by hand.
"""

import math
from functools import cache

import numpy as np
import pytest
from scipy.optimize import minimize

from floor.floors import laid, stretch
from geometry.usual import SHARP
from platelayer.fit.free_play import free_play
from platelayer.fit.limits import limits
from platelayer.fit.shapes import as_designed
from platelayer.floor.chains import Chain, ChainJoint, chain_of, end_of, miss_of
from platelayer.floor.play import region_of, share_used
from platelayer.floor.sharing import cannot_close, least_share
from platelayer.units import inches
from platelayer.values.layout import PlayMeasured
from platelayer.values.pieces import JointSizes
from platelayer.values.shapes import Pose

# The usual joint: common practice, no source.
JOINT = JointSizes(
    neck_width_mm=inches(1 / 4),
    head_diameter_mm=inches(7 / 16),
    head_setback_mm=inches(9 / 32),
    mouth_width_mm=inches(5 / 16),
    hole_diameter_mm=inches(1 / 2),
    hole_setback_mm=inches(9 / 32),
)


@cache
def region(**measured):
    shape = as_designed(JOINT, width_mm=40.0, corners=SHARP)
    return region_of(shape, PlayMeasured(**measured))


def row(count, goal, *, step=150.0, by_peg=True):
    joints = tuple(ChainJoint(f"{n}", region(), by_peg) for n in range(count))
    return Chain((Pose(step, 0.0),) * (count + 1), (*joints, None), goal)


def by_optimiser(chain, near):
    """The least share that SLSQP finds: poses over the share lie between the closed forms, the chain ends at its goal.

    It begins at poses half as large again as those given, and not closing, so that it must find its own way.
    """
    shape, half = region().shape, 20.0
    count = len(chain.places)

    def inside(values):
        found = []
        for o, s, a in values[:-1].reshape(count, 3) * [1.0, 1.0, 0.05]:
            bound = limits(shape, shift_mm=np.array([s]), angle_rad=a)
            low = max(bound.low[0], half * math.tan(abs(a)))
            found += [o - low, np.nan_to_num(bound.high[0] - o, posinf=1.0, neginf=-1.0)]
        return np.clip(found, -10, 10)

    def closing(values):
        return miss_of(chain, values[-1] * values[:-1].reshape(count, 3) * [1.0, 1.0, 0.05]) * [1, 1, 100]

    apart = np.random.default_rng(1).normal(0, 0.02, 3 * count)
    start = np.append(
        (np.asarray(near.poses) / near.share_ratio / [1.0, 1.0, 0.05]).ravel() + apart, 1.5 * near.share_ratio
    )
    found = minimize(
        lambda values: values[-1],
        start,
        method="SLSQP",
        bounds=[(None, None)] * (3 * count) + [(1e-3, 5)],
        constraints=[{"type": "ineq", "fun": inside}, {"type": "eq", "fun": closing}],
        options={"maxiter": 200, "ftol": 1e-7},
    )
    assert found.success, found.message
    assert min(inside(found.x)) > -1e-6
    return found.fun


@pytest.mark.parametrize(
    ("count", "goal"),
    [
        (3, Pose(600.4, 0.0)),
        (3, Pose(600.6, 2.5, math.radians(0.6))),
        (4, Pose(750.5, 3.0)),
        (4, Pose(750.6, 6.0, math.radians(0.2))),
    ],
    ids=["apart", "bent", "a sidestep", "bent and aside"],
)
@pytest.mark.parametrize("by_peg", [True, False], ids=["pegs lead", "sockets lead"])
def test_no_general_optimiser_finds_a_smaller_share(count, goal, by_peg):
    chain = row(count, goal, by_peg=by_peg)
    found = least_share(chain)
    assert found.share_ratio == pytest.approx(by_optimiser(chain, found), rel=0.03)


def test_pull_out_plays_add_up():
    # worked by hand: five joints of one pull-out play each, drawn apart by half of all of it
    play = free_play(region().shape).play_mm
    found = least_share(row(5, Pose(900 + 2.5 * play, 0.0)))
    assert found.share_ratio == pytest.approx(0.5, abs=0.005)
    assert len(found.hardest) == 5


def test_what_was_measured_counts():
    # worked by hand: with twice the pull-out play measured, the same miss takes half the share
    play = free_play(region().shape).play_mm
    joints = tuple(ChainJoint("", region(pull_mm=2 * play, side_mm=0.3, kink_rad=0.01), True) for _ in range(5))
    chain = Chain((Pose(150.0, 0.0),) * 6, (*joints, None), Pose(900 + 2.5 * play, 0.0))
    assert least_share(chain).share_ratio == pytest.approx(0.25, abs=0.005)


@pytest.mark.parametrize("by_peg", [True, False])
def test_twenty_six_joints_bow_as_far_as_their_kinks_add_up(by_peg):
    # worked by hand: 26 joints each kinked by a on 27 pieces of 150.8 mm: headings 0, a, 2a ... add up to the end
    kink, step = 0.8 * free_play(region().shape).kink_rad[0], 150.8
    opening = 20.0 * math.tan(kink) + 1e-9
    chain = row(26, Pose(0.0, 0.0), step=step, by_peg=by_peg)
    turn = kink if not by_peg else -kink
    poses = np.tile([opening, 0.0, kink], (26, 1))
    z, heading = step + 0j, 0.0
    for _ in range(26):
        out = complex(opening, 0) if not by_peg else np.exp(-1j * kink) * opening
        z += np.exp(1j * heading) * out
        heading += turn
        z += np.exp(1j * heading) * step
    end = end_of(chain, poses)
    assert (end.x, end.y) == pytest.approx((z.real, z.imag), abs=1e-7)
    assert math.degrees(abs(end.heading_rad)) == pytest.approx(math.degrees(26 * kink))
    reached = Chain(chain.steps, chain.joints, end)
    assert least_share(reached).share_ratio <= max(share_used(region(), tuple(p)) for p in poses) + 0.02


def test_a_loop_takes_all_its_joints_and_any_share_is_an_honest_one():
    floor = laid(stretch("2 flat", "4 bend", "flat", "2 short", "4 bend", more='meets = "line.start"'))
    chain = chain_of(floor, floor.misses[0], play_of=lambda *_: region(pull_mm=8.0, side_mm=4.0, kink_rad=0.05))
    found = least_share(chain)
    assert len(found.shares) == len(floor.pieces)
    assert 0 < found.share_ratio < 1
    assert np.abs(miss_of(chain, np.array(found.poses))).max() < 1e-6


def test_beyond_all_play_is_said_and_less_is_not():
    play = free_play(region().shape).play_mm
    assert cannot_close(row(5, Pose(900 + 7 * play, 0.0)))
    assert not cannot_close(row(5, Pose(900 + 4.9 * play, 0.0)))
    kink = free_play(region().shape).kink_rad[0]
    assert cannot_close(row(5, Pose(900.0, 0.0, 5.01 * kink)))
    assert least_share(row(5, Pose(890.0, 0.0))) is None
