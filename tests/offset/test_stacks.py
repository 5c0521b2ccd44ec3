"""A stack cut out as one: the pieces stand free of gouges, the kerfs are all gone, and nothing is entered at a face."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from platelayer.geometry.discs import solid
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import (
    buffered,
    difference,
    distances_mm,
    points_area,
    to_area,
    union_all,
)
from platelayer.offset.cutting import cut_piece
from platelayer.offset.outlines import holding_floor_z
from platelayer.offset.paths import points_along
from platelayer.offset.room import clearance_needed_mm
from platelayer.offset.runs import rim_of
from platelayer.offset.stacks import cut_stack, sharing_faults
from platelayer.pieces.stacks import lain_in_stack, stack_of
from platelayer.tolerances import FINISH_ALLOWANCE_MM, GOUGE_MM, LEFTOVER_MM
from platelayer.units import worded
from platelayer.values.cuts import CutKind
from platelayer.values.findings import Code
from platelayer.values.shapes import Contour
from platelayer.values.tooling import HoldingKind
from referees.depth import deepest_inside_mm
from strategies_offset import BOARD, SKIN, STRAIGHT, bit_of, job_of, piece_of

CHORD = 3e-4
EIGHTH, QUARTER = bit_of(3.175), bit_of(6.35)
TAPE = replace(SKIN, kind=HoldingKind.TAPE, skin_mm=0.0)
TURNED = (False, True, False)

CASES = [
    pytest.param(job_of(joints=EIGHTH, holding=SKIN), id="skin"),
    pytest.param(job_of(joints=EIGHTH, holding=TAPE), id="tape"),
    pytest.param(job_of(joints=EIGHTH, outlines=QUARTER, holding=TAPE), id="tape, quarter inch outlines"),
]


def stacked(job):
    """The stack of three, its cut, its pieces where they lie, and the room round it."""
    piece, bit = piece_of(job, STRAIGHT), job.bit(job.outlines_bit)
    pitch, room = job.track.width_mm + bit.diameter_mm, clearance_needed_mm(job, BOARD)
    stack = stack_of([(piece, is_turned) for is_turned in TURNED], pitch_mm=pitch)
    cut, findings = cut_stack(stack, job=job, board=BOARD, clearance_mm=room)
    poses = [
        lain_in_stack(number, length_mm=piece.length_mm, pitch_mm=pitch, is_turned=is_turned)
        for number, is_turned in enumerate(TURNED)
    ]
    return stack, cut, findings, piece, poses, room


def swept(cut, radius_mm, below, pose=None):
    lines = [
        to_area(Contour((step.segment,), is_closed=False), chord_mm=CHORD)
        for one in cut.passes
        for step in one.steps
        if max(step.z_start, step.z_end) <= below and step.segment.start != step.segment.end
    ]
    return union_all([buffered(line, radius_mm, chord_mm=CHORD) for line in lines])


@pytest.mark.parametrize("job", CASES)
def test_with_the_joints_the_whole_waste_is_gone_and_no_piece_is_gouged(job):
    _, cut, _, piece, poses, room = stacked(job)
    made, _ = cut_piece(piece, job=job, board=BOARD, clearance_mm=room)
    below = -BOARD.thickness_mm + (SKIN.skin_mm + 0.01 if job.holding is SKIN else 0.0)
    outline = swept(cut, job.bit(job.outlines_bit).radius_mm, below)
    joints = union_all([
        swept(one, EIGHTH.radius_mm, below) for one in made.cuts if one.kind in (CutKind.SOCKET, CutKind.NOTCH)
    ])
    corners = union_all([
        buffered(points_area([at.at])[0], math.sqrt(at.area_mm2) + 1.0, chord_mm=0.01) for at in made.unreached
    ])
    for pose in poses:
        design = solid(place_piece(piece, pose), chord_mm=CHORD)
        own = place_area(union_all([joints, corners]), pose)
        assert deepest_inside_mm(outline, design, chord_mm=CHORD) < GOUGE_MM / 4
        left = difference(difference(buffered(design, 0.8, chord_mm=CHORD), design), union_all([outline, own]))
        assert buffered(left, -LEFTOVER_MM / 4, chord_mm=1e-3).is_empty


def place_area(area, pose):
    """An area carried along; shapely's own affine."""
    from shapely.affinity import affine_transform

    cos, sin = math.cos(pose.heading_rad), math.sin(pose.heading_rad)
    return affine_transform(area, [cos, -sin, sin, cos, pose.x, pose.y])


@pytest.mark.parametrize("job", CASES)
def test_a_shared_cut_comes_down_clear_of_every_piece_and_keeps_to_its_line(job):
    """Only on outer long edges is a finished wall led onto; a shared one is entered past both faces."""
    stack, cut, _, piece, poses, room = stacked(job)
    radius = job.bit(job.outlines_bit).radius_mm
    designs = union_all([solid(place_piece(piece, pose), chord_mm=CHORD) for pose in poses])
    shared = [one for one in cut.passes if all(step.segment.start[1] == step.segment.end[1] for step in one.steps)]
    across = {round(one.start[1], 9) for one in shared}
    assert across == {round(kerf.start[1], 9) for kerf in stack.kerfs}
    for one in shared:
        assert all(round(step.segment.start[1], 9) in across for step in one.steps)
        assert float(distances_mm(designs, np.array([one.start, one.end])).min()) > radius + FINISH_ALLOWANCE_MM
    around = to_area(rim_of(stack.around).contour, chord_mm=CHORD)
    points = [points_along(Contour((step.segment,), is_closed=False), 0.5)[1] for step in steps_in(cut)]
    assert distances_mm(around, np.vstack(points)).max() + radius <= room + CHORD


def steps_in(cut):
    return [step for one in cut.passes for step in one.steps if step.segment.start != step.segment.end]


@pytest.mark.parametrize("job", CASES)
def test_passes_chain_and_no_level_is_deeper_than_a_step_below_the_one_before(job):
    _, cut, _, _, _, _ = stacked(job)
    data = job.cut_data(job.outlines_bit)
    for one in cut.passes:
        for before, after in pairwise(one.steps):
            assert math.dist(before.segment.end, after.segment.start) < 1e-9
            assert before.z_end == pytest.approx(after.z_start, abs=1e-9)
        if not one.is_finish:
            levels = sorted({step.z_end for step in one.steps if step.z_start == step.z_end}, reverse=True)
            for above, level in pairwise((one.steps[0].z_start, *levels)):
                assert above - level <= data.stepdown_mm + 1e-9


def test_on_tape_nothing_goes_below_the_floor_until_every_wall_is_finished():
    job = CASES[1].values[0]
    _, cut, _, _, _, _ = stacked(job)
    floor = holding_floor_z(BOARD)
    depths = [min(step.z_end for step in one.steps) for one in cut.passes]
    first_through = next(at for at, depth in enumerate(depths) if depth < floor - 1e-9)
    finishing = [at for at, one in enumerate(cut.passes) if one.is_finish]
    assert finishing[-1] == len(cut.passes) - 1
    assert finishing[-2] < first_through == len(cut.passes) - 3


def test_kerfs_too_deep_for_their_width_are_warned_of_and_others_are_not():
    _, _, findings, _, _, _ = stacked(CASES[0].values[0])
    (deep,) = [finding for finding in findings if finding.code is Code.CUTTING_DEEP_SLOT]
    assert worded(deep.text, "in") == (
        "shared cuts are ~15/32 in (12.100 mm) deep, more than three diameters of flat-3.175, and cannot be widened: "
        "chips pack and the wood burns."
    )
    assert deep.advice == (
        "Name a bigger bit for the outlines in [bits], stop and clear the chips, or leave shared_cuts out of [cutting]."
    )
    assert stacked(CASES[2].values[0])[2] == ()


def test_a_bit_that_does_not_come_back_to_the_face_between_two_pegs_is_refused():
    job = CASES[2].values[0]
    assert sharing_faults(job) == ()
    narrow = replace(job, track=replace(job.track, width_mm=18.0))
    assert [str(fault) for fault in sharing_faults(narrow)] == [
        "[cutting] shared_cuts = true: flat-6.35 goes round a peg in ~23/32 in (18.062 mm), wider than the track, "
        "~45/64 in (18.000 mm), and would not come back to the face before the next piece. Use a smaller bit for the "
        "outlines, or leave it out."
    ]
