"""Pieces: outlines simple, closed, counter-clockwise and labelled; ends where a neighbour meets them."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given

import strategies_geometry as some
from geometry.usual import BEND, EIGHTH, JOINT, LONG, SHARP, TRACK, made, sized, some_order
from platelayer.errors import JobError
from platelayer.geometry.contours import area_mm2, distance_mm, signed_area_mm2, transform_point
from platelayer.geometry.discs import solid
from platelayer.geometry.grooves import groove_contour
from platelayer.geometry.placing import facing, place_piece, pose_to_join
from platelayer.pieces import CATALOGUE, check_orders, piece_from_order
from platelayer.pieces.kind import Making
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import worded
from platelayer.values.pieces import BoardFace, CornerRadii, EdgeLabel, EndKind, Role
from platelayer.values.shapes import Arc, Line, Pose
from referees.contours import contains, is_chained, mirrored

PEG, SOCKET, PLAIN = EndKind.PEG, EndKind.SOCKET, EndKind.PLAIN


def drawn(making):
    order, track, joint, corners = making
    assume(check_orders((order,), Making(joint=joint, track=track, corners=corners)) == ())
    return piece_from_order(order, Making(track=track, joint=joint, corners=corners))


@given(some.makings())
def test_every_outline_is_simple_closed_counter_clockwise_and_chained(making):
    piece = drawn(making)
    assert piece.outline.is_closed
    assert is_chained(piece.outline)
    assert signed_area_mm2(piece.outline) > 0
    area = solid(piece, chord_mm=1e-3)
    assert area.is_valid
    assert area.area == pytest.approx(signed_area_mm2(piece.outline), abs=1e-3 * piece.outline.length_mm)


@given(some.makings())
def test_labels_stand_beside_their_segments(making):
    piece = drawn(making)
    assert len(piece.labels) == len(piece.outline.segments)
    assert [label for label in piece.labels if label.role is Role.SIDE] == [EdgeLabel(Role.SIDE)] * 2
    for segment, label in zip(piece.outline.segments, piece.labels, strict=True):
        if label.role is Role.FACE:
            end = piece.ends[label.end]
            for point in (segment.start, segment.end):
                away = (point[0] - end.pose.x, point[1] - end.pose.y)
                out = away[0] * math.cos(end.pose.heading_rad) + away[1] * math.sin(end.pose.heading_rad)
                assert abs(out) < COINCIDENT_MM
        if label.role in (Role.RELIEF, Role.EASE):
            assert isinstance(segment, Arc)
        if label.role in (Role.PEG, Role.RELIEF):
            assert piece.ends[label.end].kind is PEG
        if label.role in (Role.SOCKET, Role.EASE):
            assert piece.ends[label.end].kind is SOCKET


@given(some.makings())
def test_ends_point_out_of_the_piece_and_solid_and_air_are_where_they_should_be(making):
    piece = drawn(making)
    _, track, joint, _ = making
    for end in piece.ends:
        beyond, before = transform_point((1.0, 0.0), end.pose), transform_point((-1.0, 0.0), end.pose)
        assert contains(piece.outline, beyond) == (end.kind is PEG)
        assert contains(piece.outline, before) == (end.kind is not SOCKET)
        for side in (1, -1):
            corner = transform_point((0.0, side * track.width_mm / 2), end.pose)
            assert distance_mm(piece.outline, corner) < COINCIDENT_MM
        if end.kind is SOCKET:
            hole = transform_point((-joint.hole_setback_mm - joint.hole_diameter_mm / 2, 0.0), end.pose)
            assert distance_mm(piece.outline, hole) <= joint.hole_diameter_mm / 2 + COINCIDENT_MM


@given(some.makings())
def test_grooves_lie_in_the_piece_and_run_from_face_to_face(making):
    piece = drawn(making)
    order = making[0]
    assert len(piece.grooves) == 2 * (order.grooves_top + order.grooves_bottom)
    for groove in piece.grooves:
        contour = groove_contour(groove)
        assert is_chained(contour)
        assert signed_area_mm2(contour) > 0
        for point, end in ((groove.path.start, piece.ends[0]), (groove.path.end, piece.ends[1])):
            away = math.dist(point, (end.pose.x, end.pose.y))
            assert away == pytest.approx(making[1].groove_offset_mm)


@given(some.makings(), some.poses)
def test_placing_moves_everything_alike(making, pose):
    piece = drawn(making)
    placed = place_piece(piece, pose)
    assert is_chained(placed.outline)
    assert placed.outline.start == transform_point(piece.outline.start, pose)
    assert (placed.shape, placed.labels, placed.id) == (piece.shape, piece.labels, piece.id)
    for was, now in zip(piece.ends, placed.ends, strict=True):
        assert (now.pose.x, now.pose.y) == pytest.approx(transform_point((was.pose.x, was.pose.y), pose))
        turned = now.pose.heading_rad - was.pose.heading_rad - pose.heading_rad
        assert abs(math.remainder(turned, math.tau)) < 1e-9
    for was, now in zip(piece.grooves, placed.grooves, strict=True):
        assert area_mm2(groove_contour(now)) == pytest.approx(area_mm2(groove_contour(was)), rel=1e-6)


def test_the_usual_straight_by_hand():
    piece = made(LONG, corners=SHARP)
    assert [end.pose for end in piece.ends] == [Pose(0.0, 0.0, math.pi), Pose(150.8125, 0.0, 0.0)]
    half = TRACK.width_mm / 2
    sides = [s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role is Role.SIDE]
    assert sides == [Line((0.0, -half), (150.8125, -half)), Line((150.8125, half), (0.0, half))]
    assert len(piece.outline.segments) == 12

    # worked by hand: bar, plus neck up to the chord and head's larger segment, less lips and hole likewise
    def beyond(radius, half_width, centre):
        chord = math.sqrt(radius**2 - half_width**2)
        cut_off = radius**2 * math.asin(half_width / radius) - half_width * chord
        return 2 * half_width * (centre - chord) + math.pi * radius**2 - cut_off

    peg, socket = beyond(5.55625, 3.175, 12.7), beyond(6.35, 3.96875, 13.49375)
    assert signed_area_mm2(piece.outline) == pytest.approx(150.8125 * 39.6875 + peg - socket)


def test_a_left_and_a_right_curve_mirror_each_other():
    left, right = made(BEND), made(sized(BEND, hand="right"))
    assert signed_area_mm2(mirrored(right.outline)) == pytest.approx(-signed_area_mm2(left.outline))
    for one in left.outline.segments:
        assert distance_mm(mirrored(right.outline), one.start) < COINCIDENT_MM
    assert left.ends[1].pose.heading_rad == pytest.approx(math.radians(45))
    assert right.ends[1].pose.heading_rad == pytest.approx(-math.radians(45))
    assert left.length_mm == pytest.approx(182 * math.pi / 4)


@given(some.makings())
def test_shape_names_what_is_cut_and_nothing_else(making):
    order, track, joint, corners = making
    piece = drawn(making)
    again = piece_from_order(replace(order, name="q"), Making(track=track, joint=joint, corners=corners))
    assert again.shape == piece.shape
    assert again.id == "q-01"
    thicker = replace(track, thickness_mm=track.thickness_mm + 1)
    assert piece_from_order(order, Making(track=thicker, joint=joint, corners=corners)).shape != piece.shape


def test_shapes_differ_with_anything_that_is_cut():
    changed = [
        made(LONG),
        made(LONG, corners=SHARP),
        made(sized(LONG, length=150.0)),
        made(replace(LONG, ends=(SOCKET, PEG))),
        made(replace(LONG, grooves_bottom=True)),
        made(LONG, track=replace(TRACK, flare_extra_mm=0.4)),
        made(LONG, joint=replace(JOINT, head_diameter_mm=11.0)),
        made(BEND),
        made(sized(BEND, hand="right")),
    ]
    assert len({piece.shape for piece in changed}) == len(changed)


def test_neighbours_meet_face_to_face():
    first, second = made(LONG), made(BEND)
    placed = place_piece(second, pose_to_join(second.ends[0].pose, first.ends[1].pose))
    assert placed.ends[0].pose == facing(first.ends[1].pose)
    middle = transform_point((0.0, 10.0), first.ends[1].pose)
    assert distance_mm(first.outline, middle) < COINCIDENT_MM
    assert distance_mm(placed.outline, middle) < COINCIDENT_MM


def test_grooves_on_the_faces_asked_for():
    assert [groove.face for groove in made(replace(LONG, grooves_bottom=True)).grooves] == [
        BoardFace.TOP,
        BoardFace.TOP,
        BoardFace.BOTTOM,
        BoardFace.BOTTOM,
    ]
    assert made(replace(LONG, grooves_top=False)).grooves == ()


@pytest.mark.parametrize(
    ("order", "unit", "title"),
    [
        (LONG, "in", "straight 5 15/16 in"),
        (LONG, "mm", "straight 150.813 mm"),
        (sized(LONG, length=123.5), "mm", "straight 123.5 mm"),
        # worked by hand: 123.5 / 25.4 = 4.86220
        (sized(LONG, length=123.5), "in", "straight 4.8622 in"),
        (BEND, "mm", "curve 182 mm 45 degrees left"),
        (sized(BEND, radius=203.2, hand="right"), "in", "curve 8 in 45 degrees right"),
        (sized(BEND, radius=203.2, hand="right"), "mm", "curve 203.2 mm 45 degrees right"),
    ],
)
def test_titles_are_in_the_jobs_own_unit(order, unit, title):
    piece = piece_from_order(order, Making(track=TRACK, joint=JOINT, corners=CornerRadii()))
    assert worded(piece.title, unit) == title


def test_a_bad_order_is_refused_with_every_fault():
    with pytest.raises(JobError) as caught:
        made(sized(LONG, length=3.0, grooves_bottom=True), track=replace(TRACK, groove_depth_mm=6.0))
    assert [fault.where for fault in caught.value.faults] == ["[track] groove_depth", "[[piece]] long length"]


def test_an_unknown_kind_is_refused_with_those_known():
    with pytest.raises(JobError) as caught:
        made(replace(LONG, kind="loop"))
    known = ", ".join(kind.name for kind in CATALOGUE)
    assert str(caught.value) == f"[[piece]] long kind = loop: no such kind of piece. Use one of: {known}."


def test_every_entry_of_the_catalogue_can_be_made():
    for kind in CATALOGUE:
        assert made(some_order(kind)).kind == kind.name
        assert kind.summary
        assert set(kind.own_keys) >= {key.name for key in kind.keys}


def test_no_cure_is_a_sharp_corner():
    assert CornerRadii() == SHARP
    roles = {label.role for label in made(LONG, corners=SHARP).labels}
    assert roles == {Role.SIDE, Role.FACE, Role.PEG, Role.SOCKET}
    assert {label.role for label in made(LONG, corners=EIGHTH).labels} == set(Role)
