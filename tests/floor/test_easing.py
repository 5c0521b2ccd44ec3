"""A floor whose joints make up a miss: every joint is at the pose it was given, and the end meets its goal."""

import itertools
import math

import numpy as np
import pytest

from floor.floors import laid, stretch
from outside.test_floor_share import region
from platelayer.floor.chains import chain_of
from platelayer.floor.easing import eased
from platelayer.floor.sharing import least_share
from platelayer.geometry.contours import inverse_pose, transform_pose
from platelayer.values.pieces import EndKind

LOOP = stretch("2 flat", "4 bend", "flat", "2 short", "4 bend", more='meets = "line.start"')
ROW = stretch("flat", "points toe through as yard", "4 flat", begins="[0, 0, 0]", more="meets = [920.9, 3, 0.4]")
SIDE = stretch("bend", "flat", name="side", begins='"yard.branch"')


def play_of(*_):
    return region(pull_mm=8.0, side_mm=4.0, kink_rad=0.05)


@pytest.mark.parametrize("stretches", [(LOOP,), (ROW, SIDE)], ids=["a loop", "a row with a branch"])
def test_every_joint_lies_as_it_was_told_and_the_miss_is_met(stretches):
    floor = laid(*stretches)
    miss = floor.misses[0]
    closed = least_share(chain_of(floor, miss, play_of=play_of))
    now = eased(floor, miss, closed.poses, play_of=play_of)
    on_the_way = [index for index, piece in enumerate(now.pieces) if piece.stretch == "line"]
    assert len(on_the_way) in (len(closed.poses), len(closed.poses) + 1)
    for row, (one, other) in enumerate(itertools.pairwise(on_the_way)):
        left, entered = now.pieces[one].exit, now.pieces[other].entry
        peg, socket = (left, entered) if left.kind is EndKind.PEG else (entered, left)
        seen = transform_pose(peg.pose, inverse_pose(socket.pose))
        turn = math.remainder(seen.heading_rad - math.pi, math.tau)
        assert (seen.x, seen.y, turn) == pytest.approx(closed.poses[row], abs=1e-9)
    last, first = now.pieces[on_the_way[-1]].exit.pose, now.pieces[0].entry.pose
    if len(closed.poses) == len(on_the_way):
        seen = transform_pose(last, inverse_pose(first))
        turn = math.remainder(seen.heading_rad - math.pi, math.tau)
        assert (seen.x, seen.y, turn) == pytest.approx(closed.poses[-1], abs=1e-6)
    else:
        assert (last.x, last.y) == pytest.approx((920.9, 3), abs=1e-6)
        assert math.degrees(last.heading_rad) == pytest.approx(0.4, abs=1e-6)


def test_what_hangs_on_an_eased_piece_goes_along():
    floor = laid(ROW, SIDE)
    closed = least_share(chain_of(floor, floor.misses[0], play_of=play_of))
    now = eased(floor, floor.misses[0], closed.poses, play_of=play_of)
    named = {piece.id: piece for piece in now.pieces}
    branch, side = named["yard"].ends[2].pose, named["side-1"].entry.pose
    assert np.hypot(branch.x - side.x, branch.y - side.y) < 1e-9
