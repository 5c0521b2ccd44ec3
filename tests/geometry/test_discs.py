"""Opening and closing by a disc, and the corners a bit leaves."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import strategies_geometry as some
from geometry.usual import EIGHTH, JOINT, LONG, SHARP, TRACK, made
from platelayer.errors import JobError
from platelayer.geometry import regions
from platelayer.geometry.contours import distance_mm, rectangle, reversed_contour
from platelayer.geometry.discs import (
    area_corners_left,
    as_cut,
    closed,
    corners_left,
    opened,
    solid,
)
from platelayer.geometry.regions import to_area
from platelayer.values.pieces import Role
from platelayer.values.shapes import Region
from referees.contours import contains

CHORD_MM = 1e-3
RADII = st.sampled_from(some.BIT_RADII_MM)


def astray(first, second):
    """Largest distance by which the first stands out of the second."""
    return regions.furthest_outside_mm(first, second, chord_mm=CHORD_MM)


@given(some.closed_contours(), RADII)
def test_opening_lies_within_the_shape_and_the_shape_within_its_closing(contour, radius):
    shape = regions.to_area(contour, chord_mm=CHORD_MM)
    assert astray(opened(shape, radius, chord_mm=CHORD_MM), shape) < 3 * CHORD_MM
    assert astray(shape, closed(shape, radius, chord_mm=CHORD_MM)) < 1e-9


@settings(max_examples=60)
@given(some.closed_contours(), RADII)
def test_opening_and_closing_twice_is_once(contour, radius):
    shape = regions.to_area(contour, chord_mm=CHORD_MM)
    for operation in (opened, closed):
        once = operation(shape, radius, chord_mm=CHORD_MM)
        twice = operation(once, radius, chord_mm=CHORD_MM)
        apart = regions.union(once, twice).area - regions.intersection(once, twice).area
        assert apart < 3 * CHORD_MM * contour.length_mm


@given(some.closed_contours(), RADII, RADII)
def test_a_larger_disc_opens_to_no_more_and_closes_to_no_less(contour, first, second):
    shape = regions.to_area(contour, chord_mm=CHORD_MM)
    small, large = sorted((first, second))
    for more, less in (
        (opened(shape, small, chord_mm=CHORD_MM), opened(shape, large, chord_mm=CHORD_MM)),
        (closed(shape, large, chord_mm=CHORD_MM), closed(shape, small, chord_mm=CHORD_MM)),
    ):
        assert regions.difference(less, more).area < 3 * CHORD_MM * contour.length_mm


def test_no_disc_changes_nothing():
    square = regions.box((0, 0), (1, 1))
    assert opened(square, 0, chord_mm=CHORD_MM) is square
    assert closed(square, 0, chord_mm=CHORD_MM) is square


def test_a_square_window_keeps_a_quarter_of_a_fillet_in_each_corner():
    """A right inside corner keeps r^2 (1 - pi / 4), as deep as r (sqrt 2 - 1) on its bisector, less at its edges."""
    plate = Region(rectangle((0, 0), (40, 40)), (reversed_contour(rectangle((10, 10), (30, 30))),))
    left = area_corners_left(regions.to_area(plate, chord_mm=1e-4), 3.0, chord_mm=1e-4)
    assert len(left) == 4
    for corner in left:
        assert corner.area_mm2 == pytest.approx(9 * (1 - math.pi / 4), rel=1e-3)
        # deepest on the bisector: the disc's point nearest the corner is r (1 - sqrt 1/2) from both walls
        assert corner.depth_mm == pytest.approx(3 * (1 - math.sqrt(0.5)), rel=1e-3)
    assert [corner.at for corner in left] == sorted(corner.at for corner in left)


def test_convex_contours_leave_nothing():
    assert area_corners_left(to_area(rectangle((0, 0), (9, 5)), chord_mm=CHORD_MM), 3.0, chord_mm=CHORD_MM) == ()


def test_an_unrelieved_long_straight_keeps_fillets_at_root_and_head():
    piece = made(LONG, corners=SHARP)
    left = corners_left(piece, 1.5875, chord_mm=5e-4)
    roots = [corner for corner in left if -2 < corner.at[0] < 0]
    assert len(left) == 4
    assert len(roots) == 2
    for corner in roots:
        assert corner.area_mm2 == pytest.approx(1.5875**2 * (1 - math.pi / 4), rel=2e-3)


def test_a_relieved_root_keeps_only_what_lies_in_front_of_the_face():
    """The relief's own radius is the bit's: no wood is left in it, only where neck meets head."""
    left = corners_left(made(LONG, corners=EIGHTH), 1.5875, chord_mm=5e-4)
    assert [round(abs(corner.at[1]), 1) for corner in left] == [3.3, 3.3]
    assert all(corner.at[0] < -7 for corner in left)


@settings(max_examples=50)
@given(some.makings(), RADII)
def test_as_cut_holds_the_design_and_exceeds_it_only_in_the_corners_listed(making, radius):
    order, track, joint, corners = making
    try:
        piece = made(order, track=track, joint=joint, corners=corners)
    except JobError:
        assume(False)
    design, cut = solid(piece, chord_mm=CHORD_MM), as_cut(piece, radius, chord_mm=CHORD_MM)
    assert regions.difference(design, cut).area < 1e-9
    left = corners_left(piece, radius, chord_mm=CHORD_MM)
    excess = regions.difference(cut, design).area
    assert excess == pytest.approx(sum(c.area_mm2 for c in left), abs=6 * CHORD_MM * piece.outline.length_mm / 10)
    for corner in left:
        assert not contains(piece.outline, corner.at)
        assert distance_mm(piece.outline, corner.at) <= corner.depth_mm + CHORD_MM


@pytest.mark.parametrize("radius", [1.5875, 3.175])
def test_wood_is_left_only_at_the_joints(radius):
    piece = made(LONG, corners=SHARP)
    sides = [s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role is Role.SIDE]
    assert len(sides) == 2
    for corner in corners_left(piece, radius, chord_mm=5e-4):
        assert abs(corner.at[1]) < TRACK.width_mm / 2 - 5
        assert corner.at[0] < 0 or corner.at[0] > piece.length_mm - JOINT.hole_setback_mm - JOINT.hole_diameter_mm
