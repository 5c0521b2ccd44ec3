"""Pockets: the whole floor that the bit can reach, no island, climb on every wall, ramps only."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from platelayer.errors import CannotCut
from platelayer.geometry.contours import bounds, circle, rectangle, reversed_contour, signed_area_mm2
from platelayer.geometry.discs import opened
from platelayer.geometry.regions import buffered, difference, parts, thickest_mm, to_area, union_all
from platelayer.offset.pockets import clear_pocket
from platelayer.tolerances import LEFTOVER_MM
from platelayer.values.shapes import Arc, Contour, Line, Region
from strategies_geometry import closed_contours
from strategies_offset import bit_of, data_of

CHORD = 3e-4
BIT = bit_of(3.0)
LONG = Region(rectangle((0.0, 0.0), (40.0, 9.0)))
ISLAND = Region(rectangle((0.0, 0.0), (50.0, 40.0)), (reversed_contour(circle((25.0, 20.0), 8.0)),))
ROUND = Region(circle((0.0, 0.0), 6.35))


def small(contour):
    """The contour shrunk until it is no wider than 40 mm."""
    left, low, right, high = bounds(contour)
    scale = min(1.0, 40 / max(right - left, high - low))

    def shrunk(point):
        return (point[0] * scale, point[1] * scale)

    return Contour(
        tuple(
            Line(shrunk(s.start), shrunk(s.end))
            if isinstance(s, Line)
            else Arc(shrunk(s.start), shrunk(s.end), shrunk(s.centre), s.is_ccw)
            for s in contour.segments
        ),
        is_closed=True,
    )


def many_sided(count, radius):
    corners = [(radius * math.cos(math.tau * k / count), radius * math.sin(math.tau * k / count)) for k in range(count)]
    return Contour(tuple(Line(a, b) for a, b in pairwise((*corners, corners[0]))), is_closed=True)


REGIONS = [
    pytest.param(LONG, id="long"),
    pytest.param(ISLAND, id="island"),
    pytest.param(ROUND, id="round"),
    pytest.param(Region(rectangle((0.0, 0.0), (30.0, 3.6))), id="hardly wider than the bit"),
    pytest.param(Region(many_sided(5, 3.0)), id="leads would go through the wall"),
]


def floor(passes, depth):
    return union_all(
        buffered(to_area(Contour((step.segment,), is_closed=False), chord_mm=CHORD), BIT.radius_mm, chord_mm=CHORD)
        for one in passes
        for step in one.steps
        if max(step.z_start, step.z_end) <= -depth + 1e-9 and step.segment.start != step.segment.end
    )


def assert_cleared(region, stepover):
    passes = clear_pocket(region, bit=BIT, data=data_of(BIT, stepover_ratio=stepover), depth_mm=4.0)
    area = to_area(region, chord_mm=CHORD)
    done = floor(passes, 4.0)
    outside = difference(done, area)
    assert thickest_mm(outside, chord_mm=1e-3) < 0.01
    left = difference(opened(area, BIT.radius_mm, chord_mm=CHORD), done)
    assert [part.bounds for part in parts(buffered(left, -LEFTOVER_MM / 4, chord_mm=1e-3))] == []
    for one in passes:
        for before, after in pairwise(one.steps):
            assert math.dist(before.segment.end, after.segment.start) < 1e-6
            assert before.z_end == pytest.approx(after.z_start)
    return passes


@pytest.mark.parametrize("stepover", [0.3, 0.45, 0.7, 0.95])
@pytest.mark.parametrize("region", REGIONS)
def test_whole_floor_is_covered_and_no_wall_is_touched(region, stepover):
    assert_cleared(region, stepover)


@settings(max_examples=25)
@given(contour=closed_contours().map(small))
def test_random_pockets_are_cleared(contour):
    try:
        assert_cleared(Region(contour), 0.5)
    except CannotCut:
        assert thickest_mm(to_area(contour, chord_mm=CHORD), chord_mm=1e-3) <= BIT.diameter_mm + 1e-3


@pytest.mark.parametrize("region", REGIONS)
def test_entries_are_ramps_and_nothing_is_deeper_than_a_stepdown_at_once(region):
    data = data_of(BIT)
    for one in clear_pocket(region, bit=BIT, data=data, depth_mm=4.0):
        for step in one.steps:
            fall = step.z_start - step.z_end
            assert fall <= 0 or step.segment.length_mm >= 4 * fall


def test_outer_wall_is_finished_counter_clockwise_and_the_island_clockwise():
    passes = clear_pocket(ISLAND, bit=BIT, data=data_of(BIT), depth_mm=4.0)
    finish = [one for one in passes if one.is_finish]
    assert len(finish) == 2
    areas = sorted(
        signed_area_mm2(Contour(tuple(step.segment for step in one.steps[1:-1]), is_closed=True)) for one in finish
    )
    assert areas[0] < 0 < areas[1]


def test_bit_that_does_not_go_in_is_refused():
    with pytest.raises(CannotCut) as error:
        clear_pocket(Region(rectangle((0.0, 0.0), (30.0, 2.9))), bit=BIT, data=data_of(BIT), depth_mm=4.0)
    assert str(error.value) == (
        "[bits] joints = flat-3: ~1/8 in (3.000 mm) wide, too wide for an opening of the piece. Use a smaller bit."
    )


@given(st.floats(1.0, 9.0))
@settings(max_examples=10)
def test_round_pockets_of_any_depth_end_at_it(depth):
    passes = clear_pocket(ROUND, bit=BIT, data=data_of(BIT), depth_mm=depth)
    assert min(step.z_end for one in passes for step in one.steps) == -depth
