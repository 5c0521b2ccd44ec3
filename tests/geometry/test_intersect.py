"""Crossings and distances of segments: points that are on both, none missed, distances exact."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from platelayer.geometry.contours import segment_point
from platelayer.geometry.intersect import crossings, direction_at, distances_mm, ratio_of
from platelayer.values.shapes import Arc, Line

QUARTER = Arc((5.0, 0.0), (0.0, 5.0), (0.0, 0.0), is_ccw=True)
HALF = math.sqrt(0.5)


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        pytest.param(Line((0, 0), (4, 4)), Line((0, 4), (4, 0)), [(2, 2)], id="lines cross"),
        pytest.param(Line((0, 0), (1, 0)), Line((0, 1), (1, 1)), [], id="parallel lines"),
        pytest.param(Line((0, 0), (4, 0)), Line((4, 0), (4, 4)), [(4, 0)], id="lines share an end"),
        pytest.param(Line((0, 0), (4, 0)), Line((2, 0), (9, 0)), [(4, 0), (2, 0)], id="lines overlap: its ends"),
        pytest.param(Line((0, 0), (4, 0)), Line((5, -1), (5, 1)), [], id="line ends before the other"),
        pytest.param(Line((0, 0), (9, 9)), QUARTER, [(5 * HALF, 5 * HALF)], id="line through an arc"),
        pytest.param(Line((0, 0), (-9, 9)), QUARTER, [], id="line misses the arc's sweep"),
        pytest.param(Line((5, -3), (5, 3)), QUARTER, [(5, 0)], id="line touches the arc at its end"),
        pytest.param(Line((-9, 5), (9, 5)), Arc((0, 5), (0, 5), (0, 0), True), [(0, 5)], id="line touches a circle"),
        pytest.param(
            Arc((5, 0), (5, 0), (0, 0), True),
            Arc((3, 0), (3, 0), (6, 0), True),
            [(13 / 3, -1), (13 / 3, 1)],
            id="circles",
        ),
        pytest.param(
            Arc((5, 0), (5, 0), (0, 0), True), Arc((5, 0), (5, 0), (8, 0), True), [(5, 0)], id="circles touch outside"
        ),
        pytest.param(
            Arc((5, 0), (5, 0), (0, 0), True), Arc((5, 0), (5, 0), (3, 0), True), [(5, 0)], id="circles touch inside"
        ),
        pytest.param(QUARTER, Arc((0, 5), (-5, 0), (0, 0), True), [(0, 5)], id="arcs of one circle share an end"),
    ],
)
def test_crossings_are_all_there_and_no_more(first, second, wanted):
    found = crossings(first, second)
    assert len(found) == len(wanted)
    for point in wanted:
        if len(wanted) == 2 and abs(point[1]) == 1:  # circles: the height follows from Pythagoras
            point = (point[0], math.copysign(math.sqrt(25 - (13 / 3) ** 2), point[1]))
        assert min(math.dist(point, other) for other in found) < 1e-9


coordinate = st.integers(-40, 40).map(lambda value: value / 4)
lines = (
    st
    .tuples(coordinate, coordinate, coordinate, coordinate)
    .filter(lambda t: t[:2] != t[2:])
    .map(lambda t: Line((t[0], t[1]), (t[2], t[3])))
)


@st.composite
def arcs(draw):
    cx, cy = draw(coordinate), draw(coordinate)
    radius = draw(st.sampled_from((0.5, 1.0, 2.5, 6.0)))
    first, last = draw(st.floats(0, 6.28)), draw(st.floats(0, 6.28))
    points = [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in (first, last)]
    return Arc(points[0], points[1], (cx, cy), draw(st.booleans()))


segments = st.one_of(lines, arcs())


@given(first=segments, second=segments)
def test_every_crossing_lies_on_both_and_order_does_not_matter(first, second):
    found = crossings(first, second)
    other = crossings(second, first)
    assert len(found) == len(other)
    if found:
        assert distances_mm(np.array(found), [first, second]).max() < 2e-6


@given(first=segments, second=segments)
def test_no_crossing_is_missed_where_sampled_sides_change(first, second):
    """Where the signed side of the other's carrier changes between samples and the place is inside it, there is one."""
    ratios = np.linspace(0.0, 1.0, 60)
    points = np.array([segment_point(first, float(ratio)) for ratio in ratios])
    gaps = distances_mm(points, [second])[:, 0]
    near = int(gaps.argmin())
    spacing = first.length_mm / 59
    found = crossings(first, second)
    if found:
        assert gaps[near] <= spacing + 1e-6
    elif gaps[near] > 0:
        fine = np.linspace(ratios[max(near - 1, 0)], ratios[min(near + 1, 59)], 400)
        close = distances_mm(np.array([segment_point(first, float(r)) for r in fine]), [second])[:, 0]
        step = first.length_mm * float(fine[1] - fine[0])
        assert close.min() > 0
        ends = [math.dist(p, q) for p in (first.start, first.end) for q in (second.start, second.end)]
        assert close.min() >= 1e-9 or min(ends) < step


@given(segment=segments, place=st.floats(0.0, 1.0), aside=st.floats(-0.4, 0.4))
def test_distance_of_a_point_set_off_square_is_what_it_was_set_off(segment, place, aside):
    x, y = segment_point(segment, place)
    ux, uy = direction_at(segment, place)
    found = distances_mm(np.array([[x - uy * aside, y + ux * aside]]), [segment])[0, 0]
    assert found == pytest.approx(abs(aside), abs=1e-9)


@given(segment=segments, place=st.floats(0.01, 0.99))
def test_ratio_of_a_point_on_a_segment_is_the_ratio_it_was_made_from(segment, place):
    if segment.length_mm > 0.1:
        assert ratio_of(segment, segment_point(segment, place)) == pytest.approx(place, abs=1e-6)
