"""For any sound joint and bit: what the files cut contains the design and exceeds it only in the corners predicted."""

import math
from dataclasses import replace
from unittest.mock import patch

import pytest
import shapely
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from platelayer.errors import CannotCut, JobError
from platelayer.files import sha256
from platelayer.gcode.reader import read_program
from platelayer.job import load_job, load_profiles
from platelayer.manifest.build import manifest_of
from platelayer.post import program_text
from platelayer.proof.dry_run import dry_run
from platelayer.road import planning
from platelayer.road.planning import plan_job
from platelayer.tolerances import GOUGE_MM, LEFTOVER_MM
from platelayer.values.findings import Severity
from platelayer.values.motion import Motion, MoveKind
from platelayer.values.pieces import JointSizes, MouthCorner, PegRoot
from platelayer.values.shapes import Arc, Contour, Line
from platelayer.values.tooling import Job
from remembered import anew

BASE = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
[[board]]
width = 170
height = 240
thickness = 12.7
[[piece]]
name = "straight"
length = 110
[[piece]]
name = "curve"
kind = "curve"
radius = 200
angle = 30
"""


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Sizes about the usual, bits over and under size, cured or not."""
    job = load_job(BASE, file="random.toml", profiles=load_profiles(()))
    neck = draw(st.floats(5.0, 7.5))
    gap = draw(st.floats(1.2, 2.4))
    head = neck + draw(st.floats(3.6, 6.0))
    joint = JointSizes(
        neck_width_mm=neck,
        head_diameter_mm=head,
        head_setback_mm=draw(st.floats(6.5, 8.0)),
        mouth_width_mm=neck + gap,
        hole_diameter_mm=head + draw(st.floats(1.0, 2.2)),
        hole_setback_mm=draw(st.floats(6.5, 8.0)),
    )
    assume(joint.mouth_width_mm < head - 0.5)
    bit = replace(job.bits[0], measured_mm=draw(st.floats(3.0, 3.25)))
    root, mouth = draw(st.sampled_from(PegRoot)), draw(st.sampled_from(MouthCorner))
    assume(root is not PegRoot.FINISH)
    return replace(job, joint=joint, mate=joint, bits=(bit,), peg_root=root, mouth=mouth)


@settings(max_examples=5, phases=(Phase.explicit, Phase.generate))
@given(jobs())
def test_what_is_cut_contains_the_design_and_exceeds_it_only_in_the_corners_predicted(job: Job) -> None:
    what_is_cut_is_as_predicted(job)


@pytest.mark.fuzz
@settings(max_examples=300)
@given(jobs())
def test_what_many_joints_come_to(job: Job) -> None:
    what_is_cut_is_as_predicted(job)


def what_is_cut_is_as_predicted(job: Job) -> None:
    """Joints that jam are cut too: that the plan refuses them is another matter."""
    try:
        with patch.object(planning, "joint_faults", return_value=()), anew():
            plan, _ = plan_job(job)
    except (CannotCut, JobError):
        assume(False)
    texts = {program.name: program_text(program, plan=plan) for program in plan.programs}
    manifest = manifest_of(plan, job, {name: sha256(text.encode()) for name, text in texts.items()}, mate=job.mate)
    report = dry_run(manifest, texts)
    wrong = [one for one in report.findings if one.severity is Severity.ERROR and not one.code.startswith("joint")]
    assert wrong == []
    (text,) = texts.values()
    gone = swept_away(
        read_program(text, name="x"), below_z=-(plan.boards[0].thickness_mm - 3.0), radius=bit_radius(job)
    )
    for placed in plan.pieces:
        solid = shapely.Polygon(outline_points(placed.piece.outline))
        assert gone.intersection(solid.buffer(-GOUGE_MM)).is_empty
        predicted = solid.buffer(bit_radius(job), quad_segs=128).buffer(-bit_radius(job), quad_segs=128)
        left = solid.buffer(bit_radius(job) * 0.9).difference(gone).difference(predicted.buffer(LEFTOVER_MM))
        assert left.area < 1e-6, placed.piece.id


def bit_radius(job: Job) -> float:
    return job.bits[0].diameter_mm / 2


def outline_points(outline: Contour) -> list[tuple[float, float]]:
    return [point for segment in outline.segments for point in points_of(segment)[:-1]]


def points_of(segment: Line | Arc) -> list[tuple[float, float]]:
    """The test's own flattening, 2000 chords to the turn: within a micrometre for these radii, 20 um for a curve's."""
    if isinstance(segment, Line):
        return [segment.start, segment.end]
    (cx, cy), radius = segment.centre, segment.radius_mm
    begin = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
    sweep = segment.sweep_rad if segment.is_ccw else -segment.sweep_rad
    count = max(8, math.ceil(abs(sweep) / math.tau * (2000 if radius < 50 else 20000)))
    angles = (begin + sweep * i / count for i in range(count + 1))
    return [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles]


def swept_away(motion: Motion, *, below_z: float, radius: float) -> shapely.Geometry:
    """What a flat bit takes where it stays below that height, by the test's own arithmetic and shapely's buffer."""
    paths = []
    for i in range(len(motion)):
        if motion.start[i, 2] > below_z or motion.end[i, 2] > below_z:
            continue
        start, end = (tuple(map(float, place[i, :2])) for place in (motion.start, motion.end))
        kind = MoveKind(int(motion.kind[i]))
        if kind in {MoveKind.ARC_CW, MoveKind.ARC_CCW}:
            centre = tuple(map(float, motion.centre[i]))
            paths.append(shapely.LineString(points_of(Arc(start, end, centre, kind is MoveKind.ARC_CCW))))
        else:
            paths.append(shapely.LineString([start, end]) if start != end else shapely.Point(start))
    return shapely.union_all([path.buffer(radius, quad_segs=32) for path in set(paths)])
