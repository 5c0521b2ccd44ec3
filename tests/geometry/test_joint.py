"""The joint: runs that chain and mirror and touch where worked out, and the relief that lets a sharp mouth close."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import strategies_fit
import strategies_geometry as some
from geometry.usual import JOINT, TRACK
from platelayer.geometry import joint as jt
from platelayer.geometry.contours import distance_mm, reversed_contour
from platelayer.geometry.regions import distances_mm, intersection, moved, polygon_through, to_area
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.pieces import EndKind, Role
from platelayer.values.shapes import Contour, Pose
from referees.contours import is_chained, mirrored, polyline

CHORD_MM = 1e-4

# worked by hand: lip corner against head circle, and neck, corner and wall; each within its last digit
PULL_OUT_MM, SIDE_MM = 0.2747, 0.289


def open_contour(run):
    return Contour(run.segments, is_closed=False)


def body(run, width_mm, depth_mm=40.0):
    """The run with the piece behind it."""
    half = width_mm / 2
    back = polyline(((0, half), (-depth_mm, half), (-depth_mm, -half), (0, -half))).segments
    return to_area(Contour((*run.segments, *back), is_closed=True), chord_mm=CHORD_MM)


def peg(joint=JOINT, relief=0.0):
    return body(jt.peg_run(width_mm=TRACK.width_mm, joint=joint, relief_radius_mm=relief), TRACK.width_mm)


def mate(joint=JOINT, ease=0.0, opening=0.0, side=0.0):
    """A socket turned to face the peg, drawn apart and aside."""
    socket = body(jt.socket_run(width_mm=TRACK.width_mm, joint=joint, ease_radius_mm=ease), TRACK.width_mm)
    return moved(socket, Pose(opening, side, math.pi))


def overlap(first, second):
    return intersection(first, second).area


def test_the_lip_of_the_usual_joint():
    # worked by hand: hole centre 13.494 less the half chord of the mouth in the hole, 4.957
    assert jt.lip_length_mm(JOINT) == pytest.approx(8.54, abs=5e-3)


@pytest.mark.parametrize(("radius", "gap"), [(1.5875, 0.2127), (3.175, 1.0749), (0.79375, 0.0), (0.5, 0.0)])
def test_an_unrelieved_root_holds_the_faces_apart(radius, gap):
    sizes = {"bit_radius_mm": radius, "mouth_width_mm": JOINT.mouth_width_mm, "neck_width_mm": JOINT.neck_width_mm}
    assert jt.root_fillet_gap_mm(**sizes) == pytest.approx(gap, abs=5e-5)
    assert jt.relief_depth_mm(**sizes) == jt.root_fillet_gap_mm(**sizes)


def test_an_eighth_inch_bit_leaves_six_hundredths_to_spare():
    opening = jt.root_fillet_gap_mm(
        bit_radius_mm=1.5875, mouth_width_mm=JOINT.mouth_width_mm, neck_width_mm=JOINT.neck_width_mm
    )
    assert PULL_OUT_MM - opening == pytest.approx(0.06, abs=5e-3)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: jt.root_fillet_gap_mm(bit_radius_mm=1, mouth_width_mm=5, neck_width_mm=6),
        lambda: jt.relief_reach_mm(replace(JOINT, neck_width_mm=9.0), bit_radius_mm=1),
    ],
)
def test_a_neck_wider_than_the_mouth_has_no_gap(ask):
    with pytest.raises(ValueError, match="the mouth is narrower than the neck"):
        ask()


def test_play_is_where_the_polygons_begin_to_touch():
    pull, side = PULL_OUT_MM, SIDE_MM
    assert overlap(peg(), mate(opening=pull - 2e-3)) < 1e-6
    assert overlap(peg(), mate(opening=pull + 2e-3)) > 1e-6
    assert overlap(peg(), mate(side=side - 2e-3)) < 1e-6
    assert overlap(peg(), mate(side=side + 2e-3)) > 1e-6


EASY = replace(JOINT, head_diameter_mm=10.8124, head_setback_mm=7.1016)
"""A head drawn smaller, so that pushed home its back stands out of the hole, between the lips' corners."""


@given(st.sampled_from((JOINT, EASY)) | strategies_fit.joints())
def test_seated_side_play_is_where_the_polygons_begin_to_touch(joint):
    """A head further back than its spare was once said not to go home, so that its relief left no side play."""
    side = jt.seated_side_mm(joint)
    assert side > 0  # every joint drawn goes home
    assert overlap(peg(joint), mate(joint, side=side - 5e-3)) < 1e-5
    assert overlap(peg(joint), mate(joint, side=side + 5e-3)) > 1e-6


def test_a_head_too_far_out_does_not_go_home():
    far = replace(JOINT, head_setback_mm=JOINT.head_setback_mm + JOINT.hole_diameter_mm - JOINT.head_diameter_mm + 0.01)
    assert jt.seated_side_mm(far) == 0.0
    assert overlap(peg(far), mate()) > 1e-6


def test_an_ease_changes_no_play_at_the_head():
    pull = PULL_OUT_MM
    assert overlap(peg(), mate(ease=3.275, opening=pull - 2e-3)) < 1e-6
    assert overlap(peg(), mate(ease=3.275, opening=pull + 2e-3)) > 1e-6


@given(st.sampled_from(EndKind), some.joints(), st.data())
def test_runs_chain_from_corner_to_corner_and_mirror(kind, joint, data):
    corners = data.draw(some.corner_radii(joint))
    run = jt.end_run(kind, width_mm=60.0, joint=joint, corners=corners)
    contour = open_contour(run)
    assert is_chained(contour)
    assert (contour.start, contour.end) == ((0.0, -30.0), (0.0, 30.0))
    assert len(run.roles) == len(run.segments)
    assert reversed_contour(mirrored(contour)) == contour
    assert all(label.end == 1 for label in run.labels(1))


@given(some.joints(), st.floats(0.5, 2.5))
def test_a_relief_just_lets_a_sharp_mouth_close_and_leaves_the_neck_whole(joint, radius):
    gap = (joint.mouth_width_mm - joint.neck_width_mm) / 2
    assume(radius > gap + 0.01)
    run = jt.peg_run(width_mm=60.0, joint=joint, relief_radius_mm=radius)
    reliefs = [s for s, role in zip(run.segments, run.roles, strict=True) if role is Role.RELIEF]
    assert len(reliefs) == 2
    depth = jt.relief_depth_mm(
        bit_radius_mm=radius, mouth_width_mm=joint.mouth_width_mm, neck_width_mm=joint.neck_width_mm
    )
    for arc in reliefs:
        assert arc.radius_mm == pytest.approx(radius)
        # tangent to the neck: the centre is just the radius beyond its side
        assert abs(arc.centre[1]) == pytest.approx(joint.neck_width_mm / 2 + radius)
        assert arc.centre[0] - radius == pytest.approx(-depth)
        corner = (0.0, math.copysign(joint.mouth_width_mm / 2, arc.centre[1]))
        assert distance_mm(Contour((arc,), is_closed=False), corner) < COINCIDENT_MM
        outer = max(abs(arc.start[1]), abs(arc.end[1]))
        assert outer == pytest.approx(jt.relief_reach_mm(joint, bit_radius_mm=radius))
    own = body(run, 60.0)
    socket = body(jt.socket_run(width_mm=60.0, joint=replace(joint, head_setback_mm=20.0), ease_radius_mm=0.0), 60.0)
    near_face = polygon_through([(-1, -30), (3, -30), (3, 30), (-1, 30)])
    assert overlap(intersection(own, near_face), moved(socket, Pose(0, 0, math.pi))) < 1e-2


def test_a_relief_is_left_out_where_the_radius_fits_the_gap():
    sharp = jt.peg_run(width_mm=40.0, joint=JOINT, relief_radius_mm=0.0)
    assert jt.peg_run(width_mm=40.0, joint=JOINT, relief_radius_mm=0.79375) == sharp
    assert jt.relief_reach_mm(JOINT, bit_radius_mm=0.79375) == JOINT.neck_width_mm / 2


def test_an_ease_is_tangent_to_face_and_lip():
    run = jt.socket_run(width_mm=40.0, joint=JOINT, ease_radius_mm=1.6875)
    arc = next(s for s, role in zip(run.segments, run.roles, strict=True) if role is Role.EASE)
    assert arc.centre == pytest.approx((-1.6875, -JOINT.mouth_width_mm / 2 - 1.6875))
    assert arc.sweep_rad == pytest.approx(math.pi / 2)
    assert arc.is_ccw


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: jt.neck_length_mm(replace(JOINT, neck_width_mm=12.0)),
            "neck is as wide",
        ),
        (
            lambda: jt.lip_length_mm(replace(JOINT, mouth_width_mm=13.0)),
            "mouth is as wide",
        ),
        (lambda: jt.peg_run(width_mm=12.0, joint=JOINT, relief_radius_mm=3.175), "relief does not go"),
        (lambda: jt.socket_run(width_mm=40.0, joint=JOINT, ease_radius_mm=9.0), "ease does not go"),
    ],
    ids=["neck", "mouth", "relief", "ease"],
)
def test_runs_that_cannot_be_are_refused(make, words):
    with pytest.raises(ValueError, match=words):
        make()


def test_reaches():
    assert jt.peg_reach_mm(JOINT) == pytest.approx(18.25625)
    assert jt.socket_reach_mm(JOINT) == pytest.approx(19.84375)
    assert jt.head_centre_mm(JOINT) == pytest.approx(12.7)
    assert jt.hole_centre_mm(JOINT) == pytest.approx(13.49375)
    assert distances_mm(peg(), [(jt.peg_reach_mm(JOINT) + 1, 0)])[0] == pytest.approx(1, abs=1e-3)
