"""Polygons of contours: never further from the arc than stated, and the wrappers do what they say."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import strategies_geometry as some
from platelayer.geometry import regions
from platelayer.geometry.contours import circle, rectangle, reversed_contour, signed_area_mm2
from platelayer.values.shapes import Contour, Pose, Region
from referees.contours import polyline
from referees.depth import deepest_inside_mm

CHORDS = st.sampled_from((0.05, 0.01, 5e-4))


@given(some.arcs(), CHORDS)
def test_no_edge_is_further_from_its_arc_than_the_chord(arc, chord):
    points = regions.contour_points(Contour((arc,), is_closed=False), chord_mm=chord)
    assert tuple(points[0]) == arc.start
    assert tuple(points[-1]) == arc.end
    along = np.linspace(0, 1, 33)[:, None, None]
    dense = (points[:-1] * (1 - along) + points[1:] * along).reshape(-1, 2)
    astray = np.hypot(*(dense - arc.centre).T) - arc.radius_mm
    assert np.abs(astray).max() <= chord * (1 + 1e-6) + 1e-9


@given(st.floats(1, 200), CHORDS)
def test_a_full_circle_strays_equally_to_both_sides(radius, chord):
    points = regions.contour_points(circle((5.0, -3.0), radius), chord_mm=chord)
    middles = (points[:-1] + points[1:]) / 2
    outside = np.hypot(*(points - (5.0, -3.0)).T).max() - radius
    inside = radius - np.hypot(*(middles - (5.0, -3.0)).T).min()
    assert outside == pytest.approx(inside, rel=1e-6)
    assert outside <= chord * (1 + 1e-9)


@given(some.closed_contours())
def test_polygon_area_is_the_contour_s_within_perimeter_times_chord(contour):
    area = regions.to_area(contour, chord_mm=5e-4)
    assert area.is_valid
    assert area.area == pytest.approx(signed_area_mm2(contour), abs=5e-4 * contour.length_mm)


@given(some.closed_contours(), some.poses)
def test_moving_the_polygon_is_moving_the_contour(contour, pose):
    from platelayer.geometry.contours import transform_contour

    moved = regions.moved(regions.to_area(contour, chord_mm=0.01), pose)
    again = regions.to_area(transform_contour(contour, pose), chord_mm=0.01)
    assert regions.union(moved, again).area - regions.intersection(moved, again).area < 0.02 * contour.length_mm


def test_a_region_has_its_holes_and_an_open_contour_is_a_line():
    plate = Region(rectangle((0, 0), (10, 10)), (reversed_contour(rectangle((2, 2), (4, 4))),))
    area = regions.to_area(plate, chord_mm=0.01)
    assert area.area == 96
    assert regions.without_holes(area).area == 100
    ((outer, hole),) = regions.rings(area)
    assert outer.shape == (5, 2)
    assert regions.polygon_through(hole).area == 4
    assert regions.to_area(polyline(((0, 0), (3, 4))), chord_mm=0.01).length == 5


def test_rings_run_counter_clockwise_outside_and_clockwise_in_holes():
    area = regions.difference(regions.box((0, 0), (9, 9)), regions.box((1, 1), (2, 2)))
    ((outer, hole),) = regions.rings(area)

    def turn(ring):
        x, y = ring.T
        return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2

    assert turn(outer) == 81
    assert turn(hole) == -1


def test_buffer_falls_short_by_no_more_than_the_chord():
    for chord in (0.05, 0.01, 5e-4):
        grown = regions.buffered(regions.box((0, 0), (10, 10)), 3.175, chord_mm=chord)
        corner = np.asarray(grown.exterior.coords)
        middles = (corner[:-1] + corner[1:]) / 2
        from_square = regions.distances_mm(regions.box((0, 0), (10, 10)), middles)
        assert 3.175 - chord <= from_square.min() <= 3.175
        assert from_square.max() <= 3.175 + 1e-9


def test_growing_keeps_small_detail():
    """A slow wiggle well under a hundredth of the distance is still followed."""
    x = np.linspace(0, 40, 161)
    wiggle = np.column_stack((x, 0.01 * np.sin(x)))
    area = regions.polygon_through(np.vstack((wiggle, [(40, -10), (0, -10)])))
    grown = regions.buffered(area, 3.175, chord_mm=5e-4)
    top = np.asarray([p for p in grown.exterior.coords if 5 < p[0] < 35 and p[1] > 0])
    assert np.abs(regions.distances_mm(area, top) - 3.175).max() < 1e-3


def test_discs_are_round_within_the_chord():
    (disc,) = regions.discs([(3.0, 4.0)], 1.5, chord_mm=1e-3)
    rim = np.hypot(*(np.asarray(disc.exterior.coords) - (3.0, 4.0)).T)
    assert np.abs(rim - 1.5).max() <= 1e-3
    assert disc.area == pytest.approx(math.pi * 1.5**2, rel=1e-3)


def test_parts_come_sorted_and_without_lines():
    mixed = regions.union_all([
        regions.box((5, 0), (6, 1)),
        regions.box((0, 0), (1, 1)),
        regions.line_through([(8, 8), (9, 9)]),
    ])
    assert [part.bounds[0] for part in regions.parts(mixed)] == [0, 5]
    assert regions.parts(regions.EMPTY) == ()


def test_questions_of_distance():
    square = regions.box((0, 0), (4, 4))
    asked = [(2, 2), (6, 2), (4, 4)]
    assert regions.distances_mm(square, asked) == pytest.approx([0, 2, 0])
    assert regions.edge_distances_mm(square, asked) == pytest.approx([2, 2, 0])
    assert regions.holds_points(square, asked).tolist() == [True, False, False]
    other = regions.box((5, 0), (6, 1))
    assert regions.distance_between_mm(square, other) == 1
    assert regions.within_mm([other, square], regions.box((7, 0), (8, 1)), 1.5).tolist() == [True, False]
    assert regions.distances_between_mm([square, other], [other, other]).tolist() == [1, 0]
    assert regions.near_pairs([square, other], [other, square], 1.0).tolist() == [[0, 0, 1, 1], [0, 1, 0, 1]]


def test_thickness_and_depth():
    bar = regions.box((0, 0), (20, 3))
    assert regions.thickest_mm(bar, chord_mm=1e-3) == pytest.approx(3, abs=1e-3)
    assert regions.is_thinner_than_mm(bar, 3.1)
    assert not regions.is_thinner_than_mm(bar, 2.9)
    assert regions.thickest_mm(regions.EMPTY, chord_mm=1e-3) == 0
    assert deepest_inside_mm(regions.box((-1, -1), (1, 0.25)), bar, chord_mm=1e-3) == pytest.approx(0.25)
    assert deepest_inside_mm(regions.box((9, -1), (11, 4)), bar, chord_mm=1e-3) == pytest.approx(1.5, abs=2e-3)
    assert deepest_inside_mm(regions.box((30, 0), (31, 1)), bar, chord_mm=1e-3) == 0
    assert regions.furthest_outside_mm(regions.box((19, 0), (20.5, 1)), bar, chord_mm=1e-3) == pytest.approx(0.5)
    legs = regions.union(regions.box((0, 0), (1, 9)), regions.box((7, 0), (8, 9)))
    lintel = regions.box((0, 8), (8, 9))
    assert regions.corners_within_mm((lintel,), legs, 0.0).all()
    assert regions.furthest_outside_mm(lintel, legs, chord_mm=1e-3) == pytest.approx(3, abs=2e-3)


def test_inner_point_lies_inside_even_of_a_horseshoe():
    shoe = regions.difference(regions.box((0, 0), (10, 10)), regions.box((1, 1), (9, 10)))
    assert regions.holds_points(shoe, [regions.inner_point(shoe)]).all()


def test_lines_and_polygons_at_once():
    lines = regions.lines_from([(0, 0), (3, 4), (1, 1), (1, 2), (1, 4)], [0, 0, 1, 1, 1])
    assert [line.length for line in lines] == [5, 3]
    assert [area.area for area in regions.polygons_from([[(0, 0), (2, 0), (2, 2)], [(0, 0), (1, 0), (1, 1)]])] == [
        2,
        0.5,
    ]
    assert regions.line_through([(1, 1), (1, 1)]).geom_type == "Point"


def test_a_line_with_a_step_of_float_noise_is_grown_without_a_notch():
    """The finish across a strip with a change of feed in it: a tenth of its wall seemed to stand 0.2 mm proud."""
    near_x, far_x, top, foot = 276.92502399999995, 277.12492199999997, 39.6875, 30.162499999999998
    noise = 3.174999999999997, 3.175
    down = [(near_x, y) for y in (top, *noise, 0.0)]
    (line,) = regions.lines_from([(far_x, foot), (far_x, top), *down, (far_x, 0.0), (far_x, foot)], [0] * 8)
    grown = regions.buffered(line, 3.175, chord_mm=2.5e-4)
    beside = regions.box((near_x - 3.17, 1.0), (near_x, 38.0))
    assert regions.difference(beside, grown).area < 1e-6


def test_moved_by_a_quarter_turn_is_exact():
    assert regions.moved(regions.box((0, 0), (2, 1)), Pose(10, 0, math.pi / 2)).bounds == (9, 0, 10, 2)
