"""Edges broken by round-over and vee bits: every edge loses its own round or chamfer, and nothing more."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.usual import sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import reversed_contour, signed_area_mm2
from platelayer.geometry.discs import closed, solid
from platelayer.geometry.edges import chamfer_depth_mm, round_depth_mm, vee_beside_mm
from platelayer.geometry.grooves import walls
from platelayer.geometry.intersect import distances_mm
from platelayer.geometry.regions import buffered, difference, intersection, parts, to_area, union_all
from platelayer.offset.edge_forms import edge_breaks, edges_reach_mm, groove_form
from platelayer.offset.edges import cut_edges, edge_findings
from platelayer.offset.paths import lengthened, points_along
from platelayer.offset.room import clearance_needed_mm
from platelayer.tolerances import GOUGE_MM, LEFTOVER_MM
from platelayer.units import worded
from platelayer.values.cuts import CutKind, FeedKind
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace, EndKind
from platelayer.values.shapes import Contour, Line
from platelayer.values.tooling import BitKind, Edges
from referees.depth import deepest_inside_mm
from strategies_offset import CURVE, JOINT, STRAIGHT, bit_of, cut_alone, data_of, job_of, joints, piece_of

CHORD = 3e-4
INCH = 25.4
EIGHTH = bit_of(INCH / 8)
SIXTEENTH, SIXTY_FOURTH = INCH / 16, INCH / 64
ROUND = bit_of(INCH / 4, id="round", kind=BitKind.ROUND_OVER, corner_radius_mm=SIXTEENTH, cutting_length_mm=6.0)
VEE = bit_of(INCH / 2, id="vee", kind=BitKind.VEE, included_rad=math.pi / 2, cutting_length_mm=6.0)
SHARP_VEE = replace(VEE, id="sharp", included_rad=math.radians(60))
BOTH_PEGS = replace(STRAIGHT, ends=(EndKind.PEG, EndKind.PEG))
PLAIN_SOCKET = sized(STRAIGHT, ends=(EndKind.PLAIN, EndKind.SOCKET), length=64.0)
TURNED = replace(STRAIGHT, grooves_bottom=True)
RIGHT = sized(CURVE, hand="right", radius=150.0)


def edges_job(*, outer=SIXTEENTH, groove=SIXTY_FOURTH, bit=ROUND, groove_bit=None, step=1.6, **more):
    groove_bit = groove_bit or bit
    edges = Edges(
        outer_mm=outer,
        groove_mm=groove,
        outer_bit=bit.id if outer else "",
        groove_bit=groove_bit.id if groove else "",
    )
    job = job_of(joints=EIGHTH, edges=edges, **more)
    own = {one.id: one for one in (bit, groove_bit)}
    feeds = tuple(data_of(one, stepdown_mm=step) for one in own.values())
    return replace(job, bits=(*job.bits, *own.values()), feeds=(*job.feeds, *feeds))


def cut(job, order=STRAIGHT):
    piece = piece_of(job, order)
    made, findings = cut_alone(piece, job=job)
    return piece, made, findings


def of_kind(made, kind):
    return [some for some in made.cuts if some.kind is kind]


def radius_of(bit, above_tip):
    """What the bit cuts so far above its tip, worked out from its drawing and not from the program's own table."""
    if above_tip < 0:
        return None
    if bit.kind is BitKind.VEE:
        return above_tip * math.tan(bit.included_rad / 2)
    r, widest = bit.corner_radius_mm, bit.nominal_mm / 2
    if above_tip >= r:
        return widest
    angle = math.asin(above_tip / r)  # up the quarter circle from the rim of the tip
    return widest - r + r * (1 - math.cos(angle))


def gone_at(cuts, job, depth):
    """The area that level steps of these cuts take at a slice."""
    found = []
    for some in cuts:
        bit = job.bit(some.bit_id)
        for step in (step for one in some.passes for step in one.steps):
            radius = radius_of(bit, -step.z_end - depth)
            if step.z_start == step.z_end and radius:
                line = to_area(Contour((step.segment,), is_closed=False), chord_mm=CHORD)
                found.append(buffered(line, radius, chord_mm=CHORD))
    return union_all(found)


def carried_on(groove):
    """The groove's area between its walls, each carried on by 3 mm past both end faces."""
    both = walls(groove)
    right, left = lengthened(both.right, 3.0, 3.0), reversed_contour(lengthened(both.left, 3.0, 3.0))
    ring = (*right.segments, Line(right.end, left.start), *left.segments, Line(left.end, right.start))
    return to_area(Contour(ring, is_closed=True), chord_mm=CHORD)


def round_inset(radius, depth, down):
    """How far a round of that radius, so deep in all, stands back so far down: the circle about its own centre."""
    up = max(depth - down, 0.0)
    return radius * (1 - math.cos(math.asin(up / radius)))


# numbers worked by hand


@pytest.mark.parametrize(
    ("width", "radius", "depth"),
    [(1.0, 1.0, 1.0), (0.2, 1.0, 0.6), (0.4, 1.0, 0.8), (2.5, 2.5, 2.5)],
    ids=["whole", "3-4-5", "4-3-5", "whole, larger"],
)
def test_depth_of_a_round(width, radius, depth):
    # worked by hand: (1 - 0.2)^2 + 0.6^2 = 1 and (1 - 0.4)^2 + 0.8^2 = 1
    assert round_depth_mm(width_mm=width, radius_mm=radius) == pytest.approx(depth, abs=1e-12)


def test_no_round_is_wider_than_its_radius():
    with pytest.raises(ValueError, match="wider than its radius"):
        round_depth_mm(width_mm=1.1, radius_mm=1.0)


def test_depth_of_a_chamfer():
    # worked by hand: a right angle cuts as deep as wide, 60 degrees sqrt(3) times as deep
    assert chamfer_depth_mm(width_mm=0.5, included_rad=math.pi / 2) == pytest.approx(0.5)
    assert chamfer_depth_mm(width_mm=0.5, included_rad=math.pi / 3) == pytest.approx(0.5 * math.sqrt(3))


@pytest.mark.parametrize(
    ("groove", "deepest", "beside"),
    [(6.0, 3.0, 1.0), (2.0, 3.0, 0.5), (6.0, 1.2, 0.7), (6.0, 0.4, -0.1)],
    ids=["room enough", "narrow groove", "shallow groove", "no room"],
)
def test_how_far_beside_the_wall_a_vee_bit_runs(groove, deepest, beside):
    found = vee_beside_mm(width_mm=0.5, included_rad=math.pi / 2, groove_mm=groove, deepest_mm=deepest)
    assert found == pytest.approx(beside)


# the outer edges


OUTER = [
    pytest.param(STRAIGHT, id="straight"),
    pytest.param(CURVE, id="curve"),
    pytest.param(RIGHT, id="tight curve to the right"),
    pytest.param(BOTH_PEGS, id="two pegs"),
    pytest.param(PLAIN_SOCKET, id="plain end"),
]


@pytest.mark.parametrize("order", OUTER)
def test_every_outer_edge_loses_its_round_and_nothing_more(order):
    job = edges_job(groove=0.0)
    piece, made, findings = cut(job, order)
    assert findings == ()
    design = solid(piece, chord_mm=CHORD)
    reached = closed(design, ROUND.radius_mm - SIXTEENTH, chord_mm=CHORD)
    for down in (0.001, 0.1, 0.4, 0.9, 1.5):
        inset = round_inset(SIXTEENTH, SIXTEENTH, down)
        gone = gone_at(of_kind(made, CutKind.EDGE), job, down)
        assert deepest_inside_mm(gone, buffered(design, -inset, chord_mm=CHORD), chord_mm=CHORD) < GOUGE_MM / 4
        must_go = difference(design, buffered(reached, LEFTOVER_MM / 2 - inset, chord_mm=CHORD))
        left = difference(must_go, gone)
        assert [part.bounds for part in parts(buffered(left, -LEFTOVER_MM / 4, chord_mm=1e-3))] == []


@pytest.mark.parametrize("order", OUTER)
def test_the_tips_rim_runs_against_the_outline_clockwise(order):
    job = edges_job(groove=0.0)
    piece, made, _ = cut(job, order)
    (edge,) = of_kind(made, CutKind.EDGE)
    (one,) = edge.passes
    tip = INCH / 4 / 2 - SIXTEENTH
    for step in one.steps:
        _, points = points_along(Contour((step.segment,), is_closed=False), 0.5)
        near = distances_mm(points, piece.outline.segments).min(axis=1)
        assert near == pytest.approx(tip, abs=1e-6)
    at_depth = [step.segment for step in one.steps if step.z_start == step.z_end == -SIXTEENTH]
    assert signed_area_mm2(Contour(tuple(at_depth[:-1]), is_closed=True)) < 0
    assert min(step.z_end for step in one.steps) == -SIXTEENTH


@given(sizes=joints(), tip=st.floats(0.6, 5.5), radius=st.sampled_from((1.0, SIXTEENTH, 2.5)))
@settings(max_examples=25)
def test_no_joint_is_gouged_whatever_the_tip(sizes, tip, radius):
    assume(sizes.hole_diameter_mm <= 16.0)
    bit = replace(ROUND, nominal_mm=2 * (tip + radius), corner_radius_mm=radius)
    job = edges_job(outer=radius, groove=0.0, bit=bit, joint=sizes, mate=sizes)
    try:
        piece = piece_of(job)
    except CannotCut:
        assume(False)
    cuts = cut_edges(piece, job=job, clearance_mm=40.0)
    design = solid(piece, chord_mm=CHORD)
    for down in (0.001, radius / 3):
        inset = round_inset(radius, radius, down)
        gone = gone_at(cuts, job, down)
        assert deepest_inside_mm(gone, buffered(design, -inset, chord_mm=CHORD), chord_mm=CHORD) < GOUGE_MM / 2


def test_a_wide_tip_stays_out_of_the_mouth_and_says_so():
    wide = replace(ROUND, id="wide", nominal_mm=INCH / 2)
    job = edges_job(groove=0.0, bit=wide)
    _, made, findings = cut(job)
    (edge,) = of_kind(made, CutKind.EDGE)
    assert len(edge.passes) == 2  # round the piece, and round the hole by itself
    (finding,) = findings
    assert worded(f"{finding.text} {finding.advice}", "in") == (
        "straight 5 15/16 in: the tip of wide, 3/8 in (9.525 mm) wide, does not go into the socket's mouth, "
        "5/16 in (7.938 mm): its upper edges are left to hand. Name a round-over bit with a "
        "smaller tip for the edges in [bits], or break them with fine paper."
    )
    assert edge_findings(piece_of(job, BOTH_PEGS), job=job) == ()


# the grooves' edges


FORMS = [
    pytest.param(ROUND, SIXTY_FOURTH, STRAIGHT, id="round, less deep than its radius"),
    pytest.param(ROUND, SIXTEENTH, CURVE, id="round, all of it"),
    pytest.param(VEE, SIXTY_FOURTH, STRAIGHT, id="vee"),
    pytest.param(SHARP_VEE, 0.6, RIGHT, id="sharp vee"),
]


@pytest.mark.parametrize(("bit", "width", "order"), FORMS)
def test_both_edges_of_every_groove_are_broken_from_face_to_face(bit, width, order):
    job = edges_job(outer=0.0, groove=width, groove_bit=bit)
    piece, made, _ = cut(job, order)
    design = solid(piece, chord_mm=CHORD)
    grooves = union_all([carried_on(groove) for groove in piece.grooves])
    (said,) = made.edges
    for down in (0.001, 0.15, 0.3):
        if bit.kind is BitKind.VEE:
            inset = width - down * math.tan(bit.included_rad / 2)
        else:
            inset = round_inset(SIXTEENTH, said.depth_mm, down)
        gone = intersection(gone_at(of_kind(made, CutKind.BREAK), job, down), design)
        assert deepest_inside_mm(gone, difference(design, buffered(grooves, inset, chord_mm=CHORD)), chord_mm=CHORD) < (
            GOUGE_MM / 2
        )
        must_go = difference(intersection(buffered(grooves, inset - LEFTOVER_MM / 2, chord_mm=CHORD), design), grooves)
        left = difference(must_go, gone)
        assert [part.bounds for part in parts(buffered(left, -LEFTOVER_MM / 4, chord_mm=1e-3))] == []


@pytest.mark.parametrize(("bit", "width", "order"), FORMS)
def test_no_tip_comes_near_a_grooves_floor(bit, width, order):
    job = edges_job(outer=0.0, groove=width, groove_bit=bit)
    _, made, _ = cut(job, order)
    deepest = max(-step.z_end for some in of_kind(made, CutKind.BREAK) for one in some.passes for step in one.steps)
    assert deepest <= job.track.groove_depth_mm - 0.3 + 1e-9


def test_a_vee_bit_cuts_with_its_flank():
    form = groove_form(edges_job(outer=0.0, groove_bit=VEE))
    assert form.beside_mm == 1.0
    assert form.tip_mm == pytest.approx(1.0 + SIXTY_FOURTH)
    assert form.wall_mm == pytest.approx(SIXTY_FOURTH)


def test_grooves_below_are_broken_from_below_with_the_walls_changed_about():
    job = edges_job()
    _, made, _ = cut(job, TURNED)
    breaks = of_kind(made, CutKind.BREAK)
    assert [some.face for some in breaks] == [BoardFace.TOP] * 2 + [BoardFace.BOTTOM] * 2
    top, bottom = breaks[0], breaks[2]
    assert top.passes[0].start[1] < bottom.passes[0].start[1]
    assert [some.face for some in of_kind(made, CutKind.EDGE)] == [BoardFace.TOP]


# how it is cut


@pytest.mark.parametrize("step", [0.4, 0.9, 1.6])
def test_no_step_takes_more_than_the_stepdown_and_nothing_is_steep(step):
    job = edges_job(step=step)
    _, made, _ = cut(job)
    for some in (*of_kind(made, CutKind.EDGE), *of_kind(made, CutKind.BREAK)):
        for one in some.passes:
            assert one.steps[0].z_start == 0.0
            falls = [(s, s.z_start - s.z_end) for s in one.steps if s.z_end < s.z_start]
            assert all(s.segment.length_mm >= 3.9 * fall and s.feed is FeedKind.RAMP for s, fall in falls)
            levels = sorted({s.z_end for s in one.steps if s.z_start == s.z_end}, reverse=True)
            gaps = [high - low for high, low in zip([0.0, *levels], levels, strict=False)]
            assert max(gaps) <= step + 1e-9


def test_edges_come_after_joints_and_before_the_outline():
    _, made, _ = cut(edges_job())
    kinds = list(dict.fromkeys(some.kind for some in made.cuts))
    assert kinds == [
        CutKind.GROOVE,
        CutKind.SOCKET,
        CutKind.EDGE,
        CutKind.BREAK,
        CutKind.SLOT,
        CutKind.OUTLINE,
        CutKind.PARTING,
    ]


def test_what_is_said_of_the_edges():
    job = edges_job()
    _, made, _ = cut(job, TURNED)
    depth = round_depth_mm(width_mm=SIXTY_FOURTH, radius_mm=SIXTEENTH)
    groove = EdgeBreak(
        place=EdgePlace.GROOVE,
        face=BoardFace.TOP,
        width_mm=SIXTY_FOURTH,
        depth_mm=depth,
        radius_mm=SIXTEENTH,
        bit="round",
    )
    outer = replace(groove, place=EdgePlace.OUTER, width_mm=SIXTEENTH, depth_mm=SIXTEENTH)
    assert made.edges == (outer, groove, replace(groove, face=BoardFace.BOTTOM))


def test_edges_left_to_hand_have_no_cuts():
    job = job_of(joints=EIGHTH)
    piece = piece_of(job)
    assert cut_edges(piece, job=job, clearance_mm=0.0) == ()
    assert edge_breaks(piece, job) == ()
    assert edges_reach_mm(job) == 0.0


def test_the_room_round_a_piece_grows_with_the_bit():
    job = edges_job(bit=replace(ROUND, nominal_mm=20.0))
    # worked by hand: tip 10 - 1/16 in wide from the middle, so its axis runs that far out and the bit 10 mm further
    assert edges_reach_mm(job) == pytest.approx(20.0 - SIXTEENTH)
    assert clearance_needed_mm(job, job.boards[0]) > 20.0 - SIXTEENTH
    assert clearance_needed_mm(edges_job(), job.boards[0]) == clearance_needed_mm(job_of(joints=EIGHTH), job.boards[0])


def test_too_little_room():
    job = edges_job(bit=replace(ROUND, nominal_mm=20.0))
    with pytest.raises(CannotCut) as caught:
        cut_edges(piece_of(job), job=job, clearance_mm=6.35)
    assert str(caught.value) == (
        "[bits] edges = round: reaches ~23/32 in (18.413 mm) beyond the outline, and the room kept round a piece is "
        "1/4 in (6.350 mm). Use a bit with a smaller tip, or leave the edges to hand."
    )


def test_the_joint_is_the_usual_one():
    assert JOINT.mouth_width_mm > 2 * (ROUND.radius_mm - SIXTEENTH)  # so the tip goes in, and one pass goes all round
