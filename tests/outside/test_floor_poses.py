"""Where pieces of a floor lie, against numpy's rotations and against closed figures worked by hand.

SOURCE: D. Barber, "Observations on Track for Toy Trains: Where trig meets track" (tamivox.org, 2006-2017), pages on
45, 60 and 36 degree sets, values for centre-line radius 200 mm; numpy for products of rotation matrices.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floor.floors import SET, laid, stretch
from platelayer.tolerances import COINCIDENT_MM

LOOP = 'meets = "line.start"'


def miss(*pieces, more=LOOP, start=SET):
    (one,) = laid(stretch(*pieces, more=more), start=start).misses
    return one.gap


def curves(degrees):
    return SET + f'\n[[owned]]\nname = "arc"\nkind = "curve"\nradius = 200\nangle = {degrees}\ncount = 20\n'


def matrix(x, y, heading):
    cos, sin = math.cos(heading), math.sin(heading)
    return np.array([[cos, -sin, x], [sin, cos, y], [0, 0, 1]])


STEPS = {
    "flat": matrix(150, 0, 0),
    "short": matrix(60, 0, 0),
    "either left": matrix(200 * math.sin(math.pi / 4), 200 * (1 - math.cos(math.pi / 4)), math.pi / 4),
    "either right": matrix(200 * math.sin(math.pi / 4), -200 * (1 - math.cos(math.pi / 4)), -math.pi / 4),
    "points toe through": matrix(170, 0, 0),
    "points toe branch": matrix(200 * math.sin(math.pi / 4), 200 * (1 - math.cos(math.pi / 4)), math.pi / 4),
    "ramp": matrix(300, 0, 0),
}


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.lists(st.sampled_from(sorted(STEPS)), min_size=1, max_size=30), st.floats(-180, 180))
def test_every_end_is_where_numpy_puts_it(pieces, degrees):
    floor = laid(stretch(*pieces, begins=f"[1000, -300, {degrees!r}]"))
    at = matrix(1000, -300, math.radians(degrees))
    for piece, name in zip(floor.pieces, pieces, strict=True):
        at = at @ STEPS[name]
        pose = piece.exit.pose
        assert (pose.x, pose.y) == pytest.approx((at[0, 2], at[1, 2]), abs=1e-8)
        off = math.remainder(pose.heading_rad - math.atan2(at[1, 0], at[0, 0]), math.tau)
        assert abs(off) < 1e-9


# source: Barber, as above: 8 of 45, 10 of 36 and 6 of 60 degrees close
@pytest.mark.parametrize(("count", "degrees"), [(8, 45), (10, 36), (6, 60)])
def test_circles_close(count, degrees):
    gap = miss(f"{count} arc", start=curves(degrees))
    assert math.hypot(gap.x, gap.y) < COINCIDENT_MM
    assert abs(gap.heading_rad) < 1e-9


@pytest.mark.parametrize("sides", [("2 flat", "2 flat"), ("flat", "flat"), ("short", "short"), ("3 short", "3 short")])
def test_ovals_with_equal_sides_close(sides):
    # worked by hand: half circles turn the second side to run back along the first
    gap = miss("4 bend", sides[0], "4 bend", sides[1])
    assert math.hypot(gap.x, gap.y) < COINCIDENT_MM


def test_straights_in_all_four_pairs_close():
    gap = miss(*("2 bend", "flat", "2 bend", "short") * 2)
    assert math.hypot(gap.x, gap.y) < COINCIDENT_MM


def test_seven_of_eight_miss_by_one_curve():
    # worked by hand: the miss is the eighth curve itself, R sin 45 ahead, R (1 - cos 45) to the left, turned by 45
    gap = miss("7 bend")
    assert (gap.x, gap.y) == pytest.approx((141.4213562, 58.5786438), abs=1e-6)
    assert math.degrees(gap.heading_rad) == pytest.approx(45)


def test_a_side_too_long_misses_by_the_difference():
    # worked by hand: two sides of 150 and 60 mm: 90 mm
    gap = miss("4 bend", "flat", "4 bend", "short")
    assert (gap.x, gap.y) == pytest.approx((90, 0), abs=1e-6)


# source: Barber: straights that match one curve of 60, and one, two and three of 36 degrees, at radius 200 mm
@pytest.mark.parametrize(
    ("count", "degrees", "length"), [(1, 60, 230.94), (1, 36, 129.97), (2, 36, 290.62), (3, 36, 550.55)]
)
def test_matching_straights_meet_where_the_curves_headings_cross(count, degrees, length):
    floor = laid(stretch(f"{count} arc", begins="[0, 0, 0]"), start=curves(degrees))
    end = floor.pieces[-1].exit.pose
    back = length / 2
    middle = end.x - back * math.cos(end.heading_rad), end.y - back * math.sin(end.heading_rad)
    assert middle == pytest.approx((back, 0), abs=0.01)


def test_a_figure_of_eight_closes_through_its_crossing():
    # worked by hand: two three-quarter circles of R 200 on the arms of a crossing, each arm 200 mm from its middle
    more = SET + '\n[[owned]]\nname = "arm"\nlength = 125\n'
    pieces = ["cross a b as middle", "arm", "6 either right", "arm"]
    floor = laid(
        stretch(*pieces, more='meets = "middle.c"'),
        stretch("arm", "6 either left", "arm", name="other", begins='"middle.d"', more='meets = "middle.a"'),
        start=more,
    )
    for one in floor.misses:
        assert math.hypot(one.gap.x, one.gap.y) < COINCIDENT_MM
        assert abs(one.gap.heading_rad) < 1e-9
