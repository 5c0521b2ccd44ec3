"""The exact offset: every point at the distance, nothing nearer, nothing missing, lines and arcs only."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from platelayer.geometry.contours import area_mm2, reversed_contour, signed_area_mm2
from platelayer.geometry.intersect import distances_mm
from platelayer.geometry.regions import buffered, difference, to_area, union_all
from platelayer.offset.parallels import CORNER, left_parallels, parallels, region_parallels
from platelayer.offset.paths import points_along
from platelayer.pieces.catalogue import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.values.pieces import CornerRadii
from platelayer.values.shapes import Arc, Contour, Line, Region
from referees.contours import is_chained
from strategies_geometry import closed_contours
from strategies_offset import STRAIGHT, TRACK, bit_of, job_of, joints, piece_of, triangle_in_disc

MICRON = 1e-3
CHORD = 2e-4
INCH = 25.4


def assert_exact(source: Contour, found, distance: float) -> None:
    """Every point of every result lies at the distance from the source, and chains."""
    for parallel in found:
        assert is_chained(parallel.contour)
        _, points = points_along(parallel.contour, 0.25)
        gaps = distances_mm(points, source.segments).min(axis=1)
        assert np.abs(gaps - distance).max() < MICRON / 100


def assert_as_buffered(source: Contour, found, distance: float) -> None:
    """The area within the results is the polygon buffer's, but for its chords."""
    whole = buffered(to_area(source, chord_mm=CHORD), distance, chord_mm=CHORD)
    mine = sum(signed_area_mm2(parallel.contour) for parallel in found if parallel.contour.is_closed)
    assert mine == pytest.approx(whole.area, abs=3 * CHORD * whole.length)


@pytest.mark.parametrize("distance", [0.3, 1.0, 1.5875, 1.7875, 3.175, 3.375, 3.96, 4.5, 6.3])
def test_outline_of_a_straight_at_a_distance(distance):
    outline = piece_of(job_of(joints=bit_of(INCH / 8))).outline
    found = parallels(outline, distance)
    assert_exact(outline, found, distance)
    assert_as_buffered(outline, found, distance)
    assert sum(len(parallel.contour.segments) for parallel in found) <= 24


@settings(max_examples=60)
@given(sizes=joints(), relief=st.sampled_from((0.0, 1.0, 1.5875, 2.0)), distance=st.floats(0.2, 9.0))
def test_outlines_of_random_joints(sizes, relief, distance):
    corners = CornerRadii(relief_radius_mm=relief, ease_radius_mm=relief)
    outline = piece_from_order(STRAIGHT, Making(track=TRACK, joint=sizes, corners=corners)).outline
    found = parallels(outline, distance)
    assert_exact(outline, found, distance)
    assert_as_buffered(outline, found, distance)


@settings(max_examples=60)
@given(sizes=joints(), relief=st.sampled_from((1.0, 1.5875, 2.0)))
def test_distance_equal_to_the_reliefs_radius_shrinks_them_to_points(sizes, relief):
    assume(sizes.hole_diameter_mm <= 16.0)  # a wider hole leaves no land beside the grooves
    corners = CornerRadii(relief_radius_mm=relief, ease_radius_mm=relief)
    outline = piece_from_order(STRAIGHT, Making(track=TRACK, joint=sizes, corners=corners)).outline
    found = parallels(outline, relief)
    assert_exact(outline, found, relief)
    assert_as_buffered(outline, found, relief)


@settings(max_examples=80)
@given(contour=closed_contours(), distance=st.sampled_from((0.5, 1.0, 2.0, 4.0, 7.3, 30.0)))
def test_random_contours_outside(contour, distance):
    found = parallels(contour, distance)
    assert_exact(contour, found, distance)
    assert_as_buffered(contour, found, distance)
    assert sum(len(p.contour.segments) for p in found) <= 3 * len(contour.segments)


@settings(max_examples=80)
@given(contour=closed_contours(), distance=st.sampled_from((0.5, 1.0, 2.0, 4.0, 7.3, 30.0)))
def test_random_contours_inside(contour, distance):
    found = left_parallels(contour, distance)
    assert_exact(contour, found, distance)
    inside = buffered(to_area(contour, chord_mm=CHORD), -distance, chord_mm=CHORD)
    mine = sum(signed_area_mm2(parallel.contour) for parallel in found)
    assert mine == pytest.approx(inside.area, abs=max(3 * CHORD * inside.length, 1e-3))


@settings(max_examples=40)
@given(contour=closed_contours(), first=st.sampled_from((0.5, 1.0, 2.0)), second=st.sampled_from((0.5, 1.5, 3.0)))
def test_two_offsets_make_one(contour, first, second):
    """Growing by a and then by b is growing by a + b."""
    middle = max((p.contour for p in parallels(contour, first)), key=area_mm2)
    twice = max((p.contour for p in parallels(middle, second)), key=area_mm2)
    once = max((p.contour for p in parallels(contour, first + second)), key=area_mm2)
    assert area_mm2(twice) == pytest.approx(area_mm2(once), abs=1e-4)
    _, points = points_along(twice, 0.5)
    gaps = distances_mm(points, contour.segments).min(axis=1)
    assert np.abs(gaps - first - second).max() < MICRON / 10


def test_hole_with_a_narrow_mouth_gives_a_loop_of_its_own():
    outline = piece_of(job_of(joints=bit_of(INCH / 8))).outline
    found = parallels(outline, 4.5)
    assert len(found) == 2
    assert all(parallel.contour.is_closed for parallel in found)


def test_nothing_is_left_inside_a_contour_too_small():
    assert left_parallels(triangle_in_disc(1.0), 2.5) == ()


def test_own_distances_for_segments_keep_the_greater_ones_cap():
    square = Contour(
        (
            Line((0.0, 0.0), (10.0, 0.0)),
            Line((10.0, 0.0), (10.0, 10.0)),
            Line((10.0, 10.0), (0.0, 10.0)),
            Line((0.0, 10.0), (0.0, 0.0)),
        ),
        is_closed=True,
    )
    each = (1.0, 1.0, 1.5, 1.0)
    (found,) = parallels(square, each)
    _, points = points_along(found.contour, 0.05)
    spare = (distances_mm(points, square.segments) - np.array(each)).min(axis=1)
    assert np.abs(spare).max() < 1e-9
    sides = [to_area(Contour((side,), is_closed=False), chord_mm=CHORD) for side in square.segments]
    strips = [buffered(side, distance, chord_mm=CHORD) for side, distance in zip(sides, each, strict=True)]
    whole = union_all([to_area(square, chord_mm=CHORD), *strips])
    assert area_mm2(found.contour) == pytest.approx(whole.area, abs=CHORD * whole.length)


def test_open_contour_ends_square_to_its_ends_and_runs_its_way():
    corner = Contour((Line((0.0, 0.0), (10.0, 0.0)), Line((10.0, 0.0), (10.0, 8.0))), is_closed=False)
    (found,) = parallels(corner, 2.0)
    assert found.contour.segments == (
        Line((0.0, -2.0), (10.0, -2.0)),
        Arc((10.0, -2.0), (12.0, 0.0), (10.0, 0.0), is_ccw=True),
        Line((12.0, 0.0), (12.0, 8.0)),
    )
    assert found.sources == (0, CORNER, 1)
    (inside,) = left_parallels(corner, 2.0)
    assert inside.contour.segments == (Line((0.0, 2.0), (8.0, 2.0)), Line((8.0, 2.0), (8.0, 8.0)))
    assert inside.sources == (0, 1)


def test_region_with_an_island_is_offset_from_both_edges():
    outer = Contour((Arc((20.0, 0.0), (20.0, 0.0), (0.0, 0.0), is_ccw=True),), is_closed=True)
    island = Contour((Arc((5.0, 0.0), (5.0, 0.0), (0.0, 0.0), is_ccw=False),), is_closed=True)
    found = region_parallels(Region(outer, (island,)), 3.0)
    assert [(p.contour.segments[0].radius_mm, signed_area_mm2(p.contour) > 0, p.sources) for p in found] == [
        (17.0, True, (0,)),
        (8.0, False, (1,)),
    ]


def test_reversed_contour_has_the_left_on_its_right():
    contour = triangle_in_disc(3.0)
    (left,) = left_parallels(contour, 1.0)
    (right,) = parallels(reversed_contour(contour), 1.0)
    assert area_mm2(left.contour) == pytest.approx(area_mm2(right.contour))
    assert signed_area_mm2(left.contour) > 0 > signed_area_mm2(right.contour)
    assert difference(to_area(left.contour, chord_mm=CHORD), to_area(contour, chord_mm=CHORD)).is_empty
