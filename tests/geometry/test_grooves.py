"""Grooves: walls beside the path, flares as wide as asked, ends square to the path."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import strategies_geometry as some
from geometry.usual import LONG, TRACK, made
from platelayer.geometry.contours import distance_mm, point_along, signed_area_mm2
from platelayer.geometry.grooves import (
    arc_through,
    beside,
    groove_contour,
    track_grooves,
    walls,
)
from platelayer.pieces.curve import centre_line
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.pieces import BoardFace, Flare
from platelayer.values.shapes import Arc, Contour, Line
from referees.contours import is_chained

TOP = (BoardFace.TOP,)


def curved(*, radius=182.0, degrees=45.0, track=TRACK, is_left=True):
    line = centre_line(radius_mm=radius, angle_rad=math.radians(degrees), is_left=is_left)
    return track_grooves(Contour((line,), is_closed=False), track=track, faces=TOP)


def test_a_straight_s_grooves_lie_where_the_sizes_say():
    left, right = made(LONG).grooves
    assert left.path == Contour(
        (Line((0.0, TRACK.groove_offset_mm), (LONG.sizes["length"], TRACK.groove_offset_mm)),), False
    )
    wall = walls(left).left.segments[1]
    assert TRACK.width_mm / 2 - wall.start[1] == pytest.approx(TRACK.groove_outer_mm)
    wall = walls(left).right.segments[1]
    assert TRACK.width_mm / 2 - wall.start[1] == pytest.approx(TRACK.groove_inner_mm)
    assert right.path.start[1] == -TRACK.groove_offset_mm


def test_a_straight_s_flare_is_a_line_and_its_area_a_trapezium():
    groove = made(LONG).grooves[0]
    contour = groove_contour(groove)
    assert all(isinstance(segment, Line) for segment in contour.segments)
    plain = groove.width_mm * LONG.sizes["length"]
    assert signed_area_mm2(contour) == pytest.approx(plain + 2 * TRACK.flare_length_mm * TRACK.flare_extra_mm)


@pytest.mark.parametrize("is_left", [True, False])
def test_a_curve_s_flared_walls_are_arcs_through_none_half_and_all_of_the_extra(is_left):
    for groove in curved(is_left=is_left):
        path, half, extra = groove.path.segments[0], groove.width_mm / 2, TRACK.flare_extra_mm
        for wall in (walls(groove).left, walls(groove).right):
            flare, between, closing = wall.segments
            assert all(isinstance(segment, Arc) for segment in wall.segments)
            assert distance_mm(groove.path, flare.start) == pytest.approx(half + extra)
            assert distance_mm(groove.path, closing.end) == pytest.approx(half + extra)
            assert distance_mm(groove.path, between.start) == pytest.approx(half)
            turned = TRACK.flare_length_mm / 2 / path.radius_mm
            first = math.atan2(path.start[1] - path.centre[1], path.start[0] - path.centre[0])
            direction = first + (turned if path.is_ccw else -turned)
            middles = [
                (path.centre[0] + r * math.cos(direction), path.centre[1] + r * math.sin(direction))
                for r in (path.radius_mm + half + extra / 2, path.radius_mm - half - extra / 2)
            ]
            assert min(distance_mm(Contour((flare,), False), middle) for middle in middles) < COINCIDENT_MM


@given(st.floats(80, 400), st.floats(20, 200), st.sampled_from((0.0, 0.3, 1.0)), st.sampled_from((4.0, 9.0)))
def test_any_groove_is_closed_counter_clockwise_and_as_wide_as_its_flare(radius, degrees, extra, length):
    track = replace(TRACK, flare_extra_mm=extra, flare_length_mm=length)
    for groove in curved(radius=radius, degrees=degrees, track=track):
        contour = groove_contour(groove)
        assert is_chained(contour)
        area = signed_area_mm2(contour)
        flares = 2 * length * extra
        assert area == pytest.approx(groove.width_mm * groove.path.length_mm + flares, rel=2e-3)
        both = walls(groove)
        for left, right in ((both.left.start, both.right.start), (both.left.end, both.right.end)):
            assert math.dist(left, right) == pytest.approx(groove.width_mm + 2 * extra)


@given(some.arcs(), st.floats(-0.4, 5.0))
def test_a_parallel_is_as_far_as_asked(arc, left):
    moved = left if not arc.is_ccw else min(left, arc.radius_mm / 2)
    moved = moved if arc.is_ccw else max(moved, -arc.radius_mm / 2)
    parallel = beside(arc, moved)
    middle = point_along(Contour((parallel,), False), parallel.length_mm / 2)
    assert distance_mm(Contour((arc,), False), middle) == pytest.approx(abs(moved), abs=1e-6)
    assert parallel.sweep_rad == pytest.approx(arc.sweep_rad)


def test_the_flared_arc_stays_near_an_evenly_growing_wall():
    """An evenly growing wall, sampled; what an arc through three of its points strays from it."""
    for radius in (100.0, 182.0, 400.0):
        groove = curved(radius=radius)[0]
        path, flare = groove.path.segments[0], Contour((walls(groove).right.segments[0],), False)
        worst = 0.0
        for k in range(101):
            turn = k / 100 * TRACK.flare_length_mm / path.radius_mm
            out = path.radius_mm + groove.width_mm / 2 + TRACK.flare_extra_mm * (1 - k / 100)
            direction = -math.pi / 2 + turn
            point = (out * math.cos(direction) + path.centre[0], out * math.sin(direction) + path.centre[1])
            worst = max(worst, distance_mm(flare, point))
        assert worst < 1e-3


def test_a_flare_may_take_the_whole_groove():
    track = replace(TRACK, flare_length_mm=30.0)
    line = Line((0.0, 0.0), (60.0, 0.0))
    wall = walls(track_grooves(Contour((line,), is_closed=False), track=track, faces=TOP)[0]).left
    assert len(wall.segments) == 2


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (70.0, "longer than the groove"),
        (40.0, "the other flare"),
        (60.0, "overlap"),
    ],
)
def test_flares_that_do_not_fit_are_refused(length, words):
    track = replace(TRACK, flare_length_mm=length)
    groove = track_grooves(Contour((Line((0.0, 0.0), (60.0, 0.0)),), is_closed=False), track=track, faces=TOP)[0]
    with pytest.raises(ValueError, match=words):
        walls(groove)


def test_a_path_of_several_segments_flares_only_at_its_ends():
    first = Line((0.0, 0.0), (20.0, 0.0))
    bend = Arc((20.0, 0.0), (120.0, 100.0), (20.0, 100.0), True)
    groove = replace(
        made(LONG).grooves[0], path=Contour((first, bend), False), flare=(Flare(9.0, 0.5), Flare(0.0, 0.5))
    )
    wall = walls(groove).left
    assert [type(segment) for segment in wall.segments] == [Line, Line, Arc]
    assert is_chained(groove_contour(groove))


KNOTS = ((12.0, 0.0), (20.0, 0.8), (50.0, 0.8), (58.0, 0.0))


@pytest.mark.parametrize("is_left", [True, False])
def test_a_widened_groove_is_as_wide_at_its_knots_as_they_say_and_evenly_between(is_left):
    for plain in curved(radius=90.0, degrees=80.0, is_left=is_left):
        groove = replace(plain, widening_mm=KNOTS)
        assert is_chained(groove_contour(groove))
        assert groove.widest_mm == pytest.approx(plain.width_mm + 1.6)
        both = walls(groove)
        for along, extra in (*KNOTS, (16.0, 0.4), (35.0, 0.8), (54.0, 0.4), (10.0, 0.0)):
            at = point_along(groove.path, along)
            for wall in (both.left, both.right):
                assert distance_mm(wall, at) == pytest.approx(
                    plain.width_mm / 2 + extra, abs=0.03
                )  # a wall leans by a tenth


def test_a_widening_goes_on_over_a_path_s_corners_between_line_and_arc():
    path = Contour((Line((0.0, 0.0), (40.0, 0.0)), Arc((40.0, 0.0), (140.0, 100.0), (40.0, 100.0), True)), False)
    groove = replace(made(LONG).grooves[0], path=path, widening_mm=((30.0, 0.0), (60.0, 1.0), (100.0, 0.0)))
    assert is_chained(groove_contour(groove))
    for wall in (walls(groove).left, walls(groove).right):
        assert distance_mm(wall, (40.0, 0.0)) == pytest.approx(groove.width_mm / 2 + 1 / 3, abs=2e-3)


def test_a_parallel_past_the_centre_is_refused():
    with pytest.raises(ValueError, match="too tight"):
        beside(Arc((1, 0), (0, 1), (0, 0), True), 1.0)


def test_an_arc_through_points_on_a_line_is_that_line():
    assert arc_through((0, 0), (1, 1), (2, 2)) == Line((0, 0), (2, 2))
