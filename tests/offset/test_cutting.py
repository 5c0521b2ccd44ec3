"""All cuts of a piece together: the swept wood is the waste, all of it, and nothing else."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.usual import sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import distance_to_segment_mm
from platelayer.geometry.discs import closed, solid
from platelayer.geometry.regions import (
    buffered,
    difference,
    distances_mm,
    intersection,
    parts,
    to_area,
    union_all,
)
from platelayer.offset.paths import points_along, stretch
from platelayer.offset.pockets import sweep
from platelayer.offset.room import clearance_needed_mm
from platelayer.offset.runs import rim_of
from platelayer.tolerances import FINISH_ALLOWANCE_MM, GOUGE_MM, LEFTOVER_MM
from platelayer.values.cuts import CutKind, FeedKind
from platelayer.values.pieces import EndKind, MouthCorner, PegRoot
from platelayer.values.shapes import Contour
from platelayer.values.tooling import BitKind
from referees.depth import deepest_inside_mm
from strategies_offset import (
    AROUND,
    BOARD,
    CURVE,
    JOINT,
    SKIN,
    STRAIGHT,
    TABS,
    bit_of,
    bits_for,
    cut_alone,
    job_of,
    joints,
    passes_of,
    piece_of,
)

CHORD = 3e-4
INCH = 25.4
EIGHTH, QUARTER, SIXTEENTH = bit_of(INCH / 8), bit_of(INCH / 4), bit_of(INCH / 16)
PLAIN_TRACK = {"peg_root": PegRoot.NONE, "mouth": MouthCorner.NONE}
BOTH_PEGS = replace(STRAIGHT, ends=(EndKind.PEG, EndKind.PEG))
PLAIN_PEG = sized(STRAIGHT, ends=(EndKind.PLAIN, EndKind.PEG), length=90.0)
SOCKETS = sized(STRAIGHT, ends=(EndKind.SOCKET, EndKind.SOCKET), length=64.0)
RIGHT_CURVE = sized(CURVE, hand="right", radius=150.0)

CASES = [
    pytest.param(job_of(joints=EIGHTH), STRAIGHT, id="one eighth for all"),
    pytest.param(job_of(joints=EIGHTH), CURVE, id="curve to the left"),
    pytest.param(job_of(joints=EIGHTH), RIGHT_CURVE, id="tight curve to the right"),
    pytest.param(job_of(joints=EIGHTH), BOTH_PEGS, id="two pegs"),
    pytest.param(job_of(joints=EIGHTH), SOCKETS, id="short, two sockets"),
    pytest.param(job_of(joints=EIGHTH, outlines=QUARTER), STRAIGHT, id="eighth and quarter"),
    pytest.param(job_of(joints=EIGHTH, outlines=QUARTER), PLAIN_PEG, id="eighth and quarter, one plain end"),
    pytest.param(job_of(joints=EIGHTH, outlines=QUARTER), CURVE, id="eighth and quarter, curve"),
    pytest.param(job_of(joints=SIXTEENTH, outlines=QUARTER), STRAIGHT, id="sixteenth and quarter"),
    pytest.param(job_of(joints=SIXTEENTH, outlines=EIGHTH), RIGHT_CURVE, id="sixteenth and eighth, curve"),
    pytest.param(job_of(joints=QUARTER, grooves=EIGHTH, **PLAIN_TRACK), STRAIGHT, id="quarter, corners left"),
    pytest.param(job_of(joints=EIGHTH, holding=SKIN), STRAIGHT, id="held by a skin"),
]


def cut(job, order):
    board = job.boards[0]
    piece = piece_of(job, order)
    room = clearance_needed_mm(job, board)
    made, findings = cut_alone(piece, job=job)
    return piece, made, findings, room


def swept(made, job, *, below: float, only=lambda cut: True):
    """What the bits sweep that go at least so deep; grooves apart."""
    areas = []
    for some in made.cuts:
        if some.kind is CutKind.GROOVE or not only(some):
            continue
        radius = job.bit(some.bit_id).radius_mm
        for one in some.passes:
            for step in one.steps:
                if max(step.z_start, step.z_end) <= below and step.segment.start != step.segment.end:
                    line = to_area(Contour((step.segment,), is_closed=False), chord_mm=CHORD)
                    areas.append(buffered(line, radius, chord_mm=CHORD))
    return union_all(areas)


def bottom_z(made, job):
    """Down to here the outline goes at least: right through, or to the skin."""
    return -job.boards[0].thickness_mm + (made.skin_mm + 0.01 if made.skin_mm else 0.0)


def assert_swept_is_waste(job, order):
    piece, made, _, _ = cut(job, order)
    design = solid(piece, chord_mm=CHORD)
    through = swept(made, job, below=bottom_z(made, job))
    assert deepest_inside_mm(through, design, chord_mm=CHORD) < GOUGE_MM / 4
    band = buffered(design, 0.8, chord_mm=CHORD)
    left = difference(difference(band, design), through)
    reach = [buffered(to_point(tab.at), tab.width_mm / 2 + 12, chord_mm=0.01) for tab in made.tabs]
    # what is listed: the bit touches the walls of a corner as far out as it is wide, and its tails are that long
    kept = buffered(closed(design, job.bit(job.joints_bit).radius_mm, chord_mm=CHORD), LEFTOVER_MM / 4, chord_mm=CHORD)
    listed = union_all(
        buffered(to_point(corner.at), 2 * math.sqrt(corner.area_mm2) + 1.0, chord_mm=0.01) for corner in made.unreached
    )
    reach.append(intersection(kept, listed))
    loose = difference(left, union_all(reach))
    assert [part.bounds for part in parts(buffered(loose, -LEFTOVER_MM / 4, chord_mm=1e-3))] == []
    return piece, made, through


def to_point(point):
    from platelayer.geometry.regions import points_area

    return points_area([point])[0]


@pytest.mark.parametrize(("job", "order"), CASES)
def test_what_is_swept_right_through_is_the_waste_and_no_slug_stays(job, order):
    piece, _, through = assert_swept_is_waste(job, order)
    # whatever is left inside the outermost sweep hangs on the piece
    design = solid(piece, chord_mm=CHORD)
    shells = [type(part)(part.exterior) for part in parts(through)]
    inside = difference(difference(union_all(shells), through), design)
    for part in parts(buffered(inside, -LEFTOVER_MM, chord_mm=1e-3)):
        assert float(distances_mm(design, np.asarray(part.exterior.coords)).min()) < 3 * LEFTOVER_MM


@pytest.mark.parametrize(("job", "order"), CASES)
def test_joints_bit_leaves_nothing_for_the_outlines_bit_to_miss(job, order):
    """Within 0.3 mm of every joint the joints bit has been everywhere that it can be."""
    piece, made, _, _ = cut(job, order)
    design = solid(piece, chord_mm=CHORD)
    joints = swept(made, job, below=bottom_z(made, job), only=lambda cut: cut.bit_id == job.joints_bit)
    joint = union_all([
        to_area(Contour((segment,), is_closed=False), chord_mm=CHORD)
        for segment, label in zip(piece.outline.segments, piece.labels, strict=True)
        if label.role.value in ("peg", "relief", "socket", "ease")
    ])
    band = difference(buffered(joint, 0.3, chord_mm=CHORD), design)
    corners = [buffered(to_point(c.at), math.sqrt(c.area_mm2) + 1.0, chord_mm=0.01) for c in made.unreached]
    left = difference(difference(band, joints), union_all(corners))
    assert buffered(left, -LEFTOVER_MM / 4, chord_mm=1e-3).is_empty


@pytest.mark.parametrize(("job", "order"), CASES)
def test_passes_chain_stay_in_the_room_and_go_no_deeper_than_they_may(job, order):
    piece, made, _, room = cut(job, order)
    rim = to_area(rim_of(piece).contour, chord_mm=CHORD)
    lowest = -job.boards[0].thickness_mm - job.spoilboard_allowance_mm
    for some in made.cuts:
        bit, data = job.bit(some.bit_id), job.cut_data(some.bit_id)
        for one in some.passes:
            for before, after in pairwise(one.steps):
                assert math.dist(before.segment.end, after.segment.start) < 1e-9
                assert before.z_end == pytest.approx(after.z_start, abs=1e-9)
            for step in one.steps:
                assert lowest - 1e-9 <= min(step.z_start, step.z_end)
                assert step.z_start <= 1e-9
                fall, along = step.z_start - step.z_end, step.segment.length_mm
                is_drop = fall > 0 and along == 0
                assert fall <= 0 or along >= 1.2 * fall or (is_drop and is_opened(made, job, some, step))
                if step.feed is FeedKind.RAMP and step.z_start == 0 and fall > data.stepdown_mm + 1e-9:
                    assert is_open_before(made, one, step, bit.radius_mm)
        lines = {step.segment for step in steps_in(some)}
        points = [points_along(Contour((line,), is_closed=False), 0.5)[1] for line in lines]
        assert distances_mm(rim, np.vstack(points)).max() + bit.radius_mm <= room + CHORD


def is_open_before(made, entry, step, radius_mm):
    """Passes before this one, all by the same bit, have taken the wood all along the step and as deep as it goes."""
    passes = [one for some in made.cuts if some.kind in AROUND for one in some.passes]
    way = Contour((step.segment,), is_closed=False)
    mine, earlier = sweep(way, radius_mm), {}
    for s in (s for one in passes[: passes.index(entry)] for s in one.steps if s.segment.length_mm):
        earlier[s.segment] = min(max(s.z_start, s.z_end), earlier.get(s.segment, 0.0))
    beside = [(z, sweep(Contour((segment,), is_closed=False), radius_mm)) for segment, z in earlier.items()]
    beside = [(z, area) for z, area in beside if area.intersects(mine)]
    parted = np.linspace(0.0, way.length_mm, 9)
    for begun, ended in pairwise(parted.tolist()):
        low = step.z_start + (step.z_end - step.z_start) * ended / way.length_mm
        taken = union_all(area for z, area in beside if z <= low + 1e-9)
        left = difference(sweep(stretch(way, begun, ended), radius_mm), taken)
        if not buffered(left, -LEFTOVER_MM / 2, chord_mm=CHORD).is_empty:
            return False
    return True


def is_opened(made, job, some, step):
    """Another bit has taken the wood where this one goes straight down, as deep as it goes."""
    at, own_mm = step.segment.start, job.bit(some.bit_id).radius_mm
    others = [(job.bit(cut.bit_id).radius_mm, cut) for cut in made.cuts if cut.bit_id != some.bit_id]
    beside = {
        (radius, one.segment)
        for radius, cut in others
        for one in steps_in(cut)
        if max(one.z_start, one.z_end) <= step.z_end + 1e-9
        and distance_to_segment_mm(one.segment, at) <= radius + own_mm
    }
    taken = union_all(sweep(Contour((segment,), is_closed=False), radius) for radius, segment in beside)
    disc = buffered(to_point(at), own_mm, chord_mm=CHORD)
    return buffered(difference(disc, taken), -LEFTOVER_MM / 2, chord_mm=CHORD).is_empty


def steps_in(some):
    return [step for one in some.passes for step in one.steps if step.segment.start != step.segment.end]


@settings(max_examples=12)
@given(data=st.data())
def test_random_joints_and_bits_leave_the_design_and_predicted_corners_only(data):
    sizes = data.draw(joints())
    small = data.draw(bits_for(sizes.mouth_width_mm))
    large = data.draw(st.sampled_from((small, bit_of(INCH / 8), bit_of(INCH / 4))))
    job = job_of(joints=small, outlines=large, grooves=bit_of(INCH / 8), joint=sizes, mate=sizes, **PLAIN_TRACK)
    assert_swept_is_waste(job, data.draw(st.sampled_from((STRAIGHT, CURVE, BOTH_PEGS))))


def test_grooves_come_first_and_the_outline_last():
    _, made, _, _ = cut(job_of(joints=EIGHTH), STRAIGHT)
    assert [some.kind for some in made.cuts] == ["groove", "groove", "socket", "slot", "outline", "parting"]


def test_an_outlines_bit_of_its_own_has_the_pegs_cut_by_the_joints_bit():
    _, made, _, _ = cut(job_of(joints=EIGHTH, outlines=QUARTER), STRAIGHT)
    assert [some.kind for some in made.cuts][2:] == ["socket", "socket", "notch", "slot", "outline", "parting"]
    opened, finished = (some for some in made.cuts if some.kind is CutKind.SOCKET)
    assert (opened.bit_id, finished.bit_id) == (QUARTER.id, EIGHTH.id)
    assert not any(one.is_finish for one in opened.passes)
    assert {some.bit_id for some in made.cuts if some.kind in AROUND} == {QUARTER.id}


def test_finishing_bit_comes_before_the_outline_and_leaves_its_own_corners_only():
    job = job_of(joints=EIGHTH, finish=SIXTEENTH, peg_root=PegRoot.FINISH)
    piece, made, _, _ = cut(job, STRAIGHT)
    assert [some.kind for some in made.cuts][-4:] == ["corner", "slot", "outline", "parting"]
    assert len(made.unreached) == 4
    assert max(corner.area_mm2 for corner in made.unreached) < 0.2
    assert_swept_is_waste(job, STRAIGHT)
    design = solid(piece, chord_mm=CHORD)
    corner_cut = swept(made, job, below=-BOARD.thickness_mm, only=lambda cut: cut.kind is CutKind.CORNER)
    assert intersection(corner_cut, design).area < 0.01


def test_finishing_bit_too_short_goes_as_deep_as_it_cuts_and_the_corners_stay_listed():
    short = replace(SIXTEENTH, cutting_length_mm=6.0)
    _, made, _, _ = cut(job_of(joints=EIGHTH, finish=short, peg_root=PegRoot.FINISH), STRAIGHT)
    corner = next(some for some in made.cuts if some.kind is CutKind.CORNER)
    assert min(step.z_end for one in corner.passes for step in one.steps) == -6.0
    assert len(made.unreached) == 4
    assert max(c.area_mm2 for c in made.unreached) > 0.4


def test_all_faults_of_the_bits_are_told_at_once():
    ball = bit_of(INCH / 8, id="ball", kind=BitKind.BALL)
    job = job_of(joints=bit_of(8.0), grooves=ball, outlines=bit_of(3.0, cutting_length_mm=12.7), **PLAIN_TRACK)
    with pytest.raises(CannotCut) as error:
        cut(job, STRAIGHT)
    assert str(error.value) == (
        "[bits] grooves = ball: a ball bit leaves no flat floor and no square wall in a groove. Use a flat bit.\n"
        "[bits] joints = flat-8: ~5/16 in (8.000 mm) wide, too wide for the socket's mouth, 5/16 in (7.938 mm). "
        "The largest bit that goes is ~5/16 in (7.838 mm).\n"
        "[bits] outlines = flat-3: cuts 1/2 in (12.700 mm) deep, and 1/2 in (12.700 mm) of wood with "
        "0.012 in (0.300 mm) of spoilboard need ~33/64 in (13.000 mm); its shank, 1/8 in (3.175 mm), is wider than "
        "the cut and would rub. Use a bit with a longer cutting edge, or thinner wood."
    )


def test_one_bit_for_joints_and_outlines_has_one_fault():
    short = bit_of(3.0, cutting_length_mm=12.7)
    with pytest.raises(CannotCut) as error:
        cut(job_of(joints=short, grooves=EIGHTH), STRAIGHT)
    assert [fault.where for fault in error.value.faults] == ["[bits] joints"]


def test_twenty_pieces_come_to_a_program_that_can_be_read_twice():
    _, made, _, _ = cut(job_of(joints=EIGHTH), STRAIGHT)
    lines = sum(len(one.steps) + 3 for some in made.cuts for one in some.passes)
    assert 20 * lines < 15_000


def test_same_piece_twice_gives_the_same_cuts():
    first, second = (cut(job_of(joints=EIGHTH), CURVE)[1] for _ in range(2))
    assert first == second


def test_tabs_are_kept_out_of_a_skin():
    _, made, _, _ = cut(job_of(joints=EIGHTH, holding=replace(SKIN, skin_mm=0.7)), STRAIGHT)
    assert made.tabs == ()
    assert made.skin_mm == 0.7
    assert CutKind.PARTING not in [some.kind for some in made.cuts]
    assert min(step.z_end for one in passes_of(made.cuts, *AROUND) for step in one.steps) == pytest.approx(-12.0)
    assert cut(job_of(joints=EIGHTH, holding=TABS), STRAIGHT)[1].skin_mm == 0.0


def test_a_notchs_lead_came_from_the_far_side_of_the_peg():
    """The lead of a bit of 4.9 mm missed the slot beside it, met the one round the head, and cut a scrap loose."""
    bit = bit_of(4.877)
    job = job_of(joints=bit, grooves=EIGHTH, outlines=QUARTER, **PLAIN_TRACK)
    piece, made, *_ = cut(job, BOTH_PEGS)
    notches = [one for one in made.cuts if one.kind is CutKind.NOTCH]
    assert len(notches) == 2
    for notch in notches:
        finish = notch.passes[-1]
        assert finish.is_finish
        for step in (finish.steps[0], finish.steps[-1]):
            assert step.segment.length_mm < bit.diameter_mm
            way = Contour((step.segment,), is_closed=False)
            _, points = points_along(way, 0.05)
            off = distances_mm(to_area(piece.outline, chord_mm=CHORD), points)
            assert off.max() <= bit.radius_mm + FINISH_ALLOWANCE_MM + 1e-3


@pytest.mark.parametrize(
    ("outlines", "finishing"),
    [(EIGHTH, CutKind.NOTCH), (None, CutKind.OUTLINE)],
    ids=["notch", "loops"],
)
def test_a_finish_went_full_depth_into_a_relief_that_roughing_does_not_reach(outlines, finishing):
    """A small bit's relief deeper than the allowance is no thin cut: roughing goes into it, level by level."""
    narrow = replace(JOINT, mouth_width_mm=7.14375)
    job = job_of(joints=bit_of(1.955), outlines=outlines, joint=narrow, mate=narrow, mouth=MouthCorner.NONE)
    _, made, *_ = cut(job, BOTH_PEGS)
    around = [some for some in made.cuts if some.kind in (CutKind.NOTCH, CutKind.SLOT, CutKind.OUTLINE)]
    finish = [one for some in around if some.kind is finishing for one in some.passes if one.is_finish]
    deepest = min(step.z_end for one in finish for step in one.steps)

    def swept(is_finish):
        return union_all(
            sweep(Contour((step.segment,), is_closed=False), job.bit(some.bit_id).radius_mm)
            for some in around
            for one in some.passes
            if (one in finish) == is_finish
            for step in one.steps
            if max(step.z_start, step.z_end) <= deepest and step.segment.length_mm
        )

    taken = difference(swept(True), swept(False))
    assert not taken.is_empty
    # in a square corner the allowance is met at both walls at once
    assert buffered(taken, -math.sqrt(2) * FINISH_ALLOWANCE_MM / 2, chord_mm=CHORD).is_empty


def test_what_a_job_in_millimetres_cannot_be_is_said_in_millimetres_first():
    with pytest.raises(CannotCut) as error:
        cut(job_of(joints=EIGHTH, units="mm", holding=replace(TABS, tab_height_mm=4.0)), STRAIGHT)
    assert str(error.value.in_unit("mm")) == (
        "[holding] tab_height = 4.000 mm (~5/32 in): more than 3.175 mm (1/8 in), a quarter of the thickness. "
        "Use 1.700 mm (~1/16 in) to 3.175 mm (1/8 in)."
    )


def test_a_socket_whose_hole_is_cleared_first_is_cut_from_within_without_lifting():
    _, made, _, _ = cut(job_of(joints=EIGHTH), SOCKETS)
    for socket in (cut for cut in made.cuts if cut.kind is CutKind.SOCKET):
        rough = [one for one in socket.passes if not one.is_finish]
        assert len(rough) == 2  # the hole, then axis and ring at every level
        assert rough[1].steps[0].z_start < 0
