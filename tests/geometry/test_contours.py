"""What must be true of contours, whatever they are of."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

import strategies_geometry as some
from platelayer.geometry.contours import (
    area_mm2,
    bounds,
    circle,
    distance_mm,
    distance_to_segment_mm,
    heading_along,
    inverse_pose,
    point_along,
    polygon,
    rectangle,
    reversed_contour,
    segment_bounds,
    segment_heading,
    segment_point,
    signed_area_mm2,
    split_contour,
    split_segment,
    started_at,
    transform_contour,
    transform_point,
    transform_pose,
)
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.shapes import Arc, Contour, Line, Pose
from referees.contours import contains, is_chained, mirrored, polyline, widest_gap_mm, winding


def near(value):
    return pytest.approx(value, rel=1e-9, abs=COINCIDENT_MM)


@given(some.closed_contours())
def test_reversing_twice_changes_nothing(contour):
    assert reversed_contour(reversed_contour(contour)) == contour


@given(some.closed_contours(), some.poses)
def test_a_pose_keeps_length_area_and_closedness(contour, pose):
    moved = transform_contour(contour, pose)
    assert moved.length_mm == near(contour.length_mm)
    assert signed_area_mm2(moved) == near(signed_area_mm2(contour))
    assert moved.is_closed
    assert is_chained(moved)


@given(some.closed_contours())
def test_area_is_positive_counter_clockwise_and_flips_with_direction_and_mirror(contour):
    area = signed_area_mm2(contour)
    assert area > 0
    assert signed_area_mm2(reversed_contour(contour)) == near(-area)
    assert signed_area_mm2(mirrored(contour)) == near(-area)
    assert area_mm2(mirrored(contour)) == near(area)


@given(some.closed_contours(), some.poses)
def test_a_pose_and_its_inverse_cancel(contour, pose):
    back = transform_contour(transform_contour(contour, pose), inverse_pose(pose))
    for was, now in zip(contour.segments, back.segments, strict=True):
        assert math.dist(was.start, now.start) < COINCIDENT_MM


@given(some.poses, some.poses, some.points)
def test_poses_compose(inner, outer, point):
    stepwise = transform_point(transform_point(point, inner), outer)
    assert math.dist(stepwise, transform_point(point, transform_pose(inner, outer))) < COINCIDENT_MM


@given(some.arcs(), st.floats(0, 1))
def test_points_of_an_arc_lie_on_it_and_split_it_by_length(arc, share):
    point = segment_point(arc, share)
    assert math.dist(point, arc.centre) == near(arc.radius_mm)
    assert distance_to_segment_mm(arc, point) < COINCIDENT_MM
    if 1e-3 < share < 1 - 1e-3:
        first, second = split_segment(arc, share)
        assert first.length_mm == near(share * arc.length_mm)
        assert first.length_mm + second.length_mm == near(arc.length_mm)


@given(some.arcs(), st.floats(0.01, 0.99))
def test_an_arc_heads_where_its_points_go(arc, share):
    step = 1e-5
    (xa, ya), (xb, yb) = segment_point(arc, share - step), segment_point(arc, share + step)
    turn = math.remainder(segment_heading(arc, share) - math.atan2(yb - ya, xb - xa), math.tau)
    assert abs(turn) < 1e-4


@given(some.arcs(), st.floats(0, 1))
def test_bounds_hold_every_point_and_touch_the_arc_on_each_side(arc, share):
    x0, y0, x1, y1 = segment_bounds(arc)
    x, y = segment_point(arc, share)
    assert x0 - COINCIDENT_MM <= x <= x1 + COINCIDENT_MM
    assert y0 - COINCIDENT_MM <= y <= y1 + COINCIDENT_MM
    dense = [segment_point(arc, k / 2000) for k in range(2001)]
    slack = arc.radius_mm * (arc.sweep_rad / 2000) ** 2
    assert min(x for x, _ in dense) - x0 < slack + COINCIDENT_MM
    assert y1 - max(y for _, y in dense) < slack + COINCIDENT_MM


@given(some.closed_contours(), st.floats(0, 1))
def test_points_either_side_of_the_edge_are_in_and_out(contour, share):
    at = share * contour.length_mm
    (x, y), heading = point_along(contour, at), heading_along(contour, at)
    assert distance_mm(contour, (x, y)) < COINCIDENT_MM
    nearest_corner = min(math.dist((x, y), segment.start) for segment in contour.segments)
    step = nearest_corner / 100
    if step < 1e-4:
        return
    left = (x - math.sin(heading) * step, y + math.cos(heading) * step)
    right = (x + math.sin(heading) * step, y - math.cos(heading) * step)
    assert contains(contour, left)
    assert not contains(contour, right)
    assert winding(reversed_contour(contour), left) == -1


@given(some.closed_contours(), st.floats(0.01, 0.99))
def test_splitting_and_starting_elsewhere_keep_the_contour(contour, share):
    before, after = split_contour(contour, share * contour.length_mm)
    assert before.end == after.start
    assert before.length_mm + after.length_mm == near(contour.length_mm)
    again = started_at(contour, share * contour.length_mm)
    assert is_chained(again)
    assert signed_area_mm2(again) == near(signed_area_mm2(contour))


def test_full_circle():
    ring = circle((1.0, 2.0), 3.0)
    assert ring.length_mm == near(6 * math.pi)
    assert signed_area_mm2(ring) == near(9 * math.pi)
    assert bounds(ring) == near((-2, -1, 4, 5))
    assert contains(ring, (1.0, 2.0))
    assert contains(ring, (3.9, 2.0))
    assert not contains(ring, (4.1, 2.0))
    assert signed_area_mm2(reversed_contour(ring)) == near(-9 * math.pi)


def test_quarter_turns_leave_square_numbers():
    turned = transform_contour(rectangle((0.0, 0.0), (3.0, 2.0)), Pose(10.0, 0.0, math.pi / 2))
    assert turned == polygon(((10.0, 0.0), (10.0, 3.0), (8.0, 3.0), (8.0, 0.0)))


def test_gaps_and_unequal_radii_are_seen():
    assert widest_gap_mm(polyline(((0, 0), (1, 0), (1, 1)))) == 0
    open_one = Contour((Line((0, 0), (1, 0)), Line((1, 0.5), (0, 0))), is_closed=True)
    assert widest_gap_mm(open_one) == 0.5
    assert not is_chained(open_one)
    assert not is_chained(Contour((Arc((1, 0), (0, 1.1), (0, 0), True),), is_closed=False))


@pytest.mark.parametrize("ask", [signed_area_mm2, area_mm2, lambda c: contains(c, (0, 0)), lambda c: started_at(c, 1)])
def test_an_open_contour_has_no_inside(ask):
    with pytest.raises(ValueError, match="open contour"):
        ask(polyline(((0, 0), (1, 0))))


def test_a_contour_is_not_split_at_its_own_end():
    with pytest.raises(ValueError, match="cannot be split at its own end"):
        split_contour(polyline(((0, 0), (1, 0))), 1.0)


def test_a_point_on_an_arc_s_chord_is_judged_by_the_arc():
    """Was: half a turn either way by float noise, so that a point on the chord of a hollow side counted as inside."""
    for is_ccw, is_inside in ((True, True), (False, False)):
        bulge = Arc((2.0, 0.0), (-2.0, 0.0), (0.0, 0.0), is_ccw)
        bowl = Contour(
            (bulge, *polyline(((-2.0, 0.0), (-2.0, -5.0), (2.0, -5.0), (2.0, 0.0))).segments), is_closed=True
        )
        for x in (-1.5, -1.0, 0.0, 1.0 / 3, 1.5):
            assert contains(bowl, (x, 0.0)) == is_inside
