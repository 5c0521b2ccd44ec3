"""Bits, feeds, jobs and pieces for the tests of the offset room, and what is drawn at random for them."""

import math
from collections.abc import Sequence
from dataclasses import replace

from hypothesis import strategies as st

from platelayer.geometry.contours import inverse_pose, transform_point, transform_segment
from platelayer.offset.cutting import cut_piece
from platelayer.offset.outlines import Body
from platelayer.offset.relief import corner_radii
from platelayer.offset.room import clearance_needed_mm, gap_mm, rim_mm
from platelayer.offset.slots import cut_slots
from platelayer.pieces.catalogue import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.placing.rows import Apart, place_rows
from platelayer.values.cuts import Cut, CutKind, Pass, PieceCuts
from platelayer.values.dialect import CommentStyle, Dialect
from platelayer.values.findings import Finding
from platelayer.values.pieces import EndKind, JointSizes, MouthCorner, PegRoot, Piece, TrackSizes
from platelayer.values.shapes import Arc, Contour, Line, Pose
from platelayer.values.tooling import (
    Bit,
    BitChange,
    BitKind,
    Board,
    CutData,
    FluteDirection,
    Holding,
    HoldingKind,
    Job,
    Machine,
    Material,
    PieceOrder,
    SpindleKind,
)
from remembered import remembered

INCH = 25.4
JOINT = JointSizes(
    neck_width_mm=INCH / 4,
    head_diameter_mm=INCH * 7 / 16,
    head_setback_mm=INCH * 9 / 32,
    mouth_width_mm=INCH * 5 / 16,
    hole_diameter_mm=INCH / 2,
    hole_setback_mm=INCH * 9 / 32,
)
"""Common practice, no source."""

TRACK = TrackSizes(
    width_mm=INCH * 25 / 16,
    thickness_mm=INCH / 2,
    groove_outer_mm=INCH * 11 / 64,
    groove_inner_mm=INCH * 13 / 32,
    groove_depth_mm=INCH * 9 / 64,
    flare_length_mm=6.0,
    flare_extra_mm=0.4,
)
"""Common practice, no source; the flare is invented."""

BOARD = Board(
    id="A",
    width_mm=900.0,
    height_mm=140.0,
    thickness_mm=12.7,
    scatter_mm=0.2,
    thickness_is_measured=True,
    zero="top",
    margin_mm=5.0,
)
TABS = Holding(kind=HoldingKind.TABS, tab_width_mm=6.0, tab_height_mm=2.0, tab_count=0, skin_mm=0.0)
SKIN = Holding(kind=HoldingKind.SKIN, tab_width_mm=6.0, tab_height_mm=2.0, tab_count=0, skin_mm=0.6)
STRAIGHT = PieceOrder(
    name="straight",
    kind="straight",
    count=1,
    sizes={"length": INCH * 95 / 16},
    ends=(EndKind.SOCKET, EndKind.PEG),
    grooves_top=True,
    grooves_bottom=False,
)
CURVE = PieceOrder(
    name="curve",
    kind="curve",
    count=1,
    sizes={"radius": 200.0, "angle": math.pi / 4, "hand": "left"},
    ends=(EndKind.SOCKET, EndKind.PEG),
    grooves_top=True,
    grooves_bottom=False,
)


def bit_of(diameter_mm: float, **more: object) -> Bit:
    """A flat bit long enough for the usual board."""
    fields: dict[str, object] = {
        "id": f"flat-{diameter_mm:g}",
        "kind": BitKind.FLAT,
        "nominal_mm": diameter_mm,
        "cutting_length_mm": 15.0,
        "shank_mm": max(diameter_mm, 3.175),
        "flute_direction": FluteDirection.STRAIGHT,
    }
    return Bit(**(fields | more))  # type: ignore[arg-type]


def data_of(bit: Bit, **more: object) -> CutData:
    """Feeds for a bit: half its diameter a step, four tenths of it sideways."""
    fields: dict[str, object] = {
        "bit_id": bit.id,
        "spindle_rpm": 18000.0,
        "dial_label": "",
        "feed_mm_min": 1000.0,
        "plunge_mm_min": 300.0,
        "stepdown_mm": bit.diameter_mm / 2,
        "stepover_ratio": 0.4,
    }
    return CutData(**(fields | more))  # type: ignore[arg-type]


MACHINE = Machine(
    id="invented",
    title="an invented machine",
    travel_mm=(1000.0, 600.0, 80.0),
    feed_max_mm_min=(5000.0, 5000.0, 1500.0),
    rapid_mm_min=(5000.0, 5000.0, 1500.0),
    accel_mm_s2=(300.0, 300.0, 100.0),
    corner_deviation_mm=0.02,
    corner_speed_mm_min=0.0,
    spindle=SpindleKind.SPEED_WORD,
    dial=(),
    spindle_min_rpm=8000.0,
    spindle_max_rpm=24000.0,
    spin_up_s=3.0,
    bit_change=BitChange.FILES,
    can_zero_in_pause=False,
    homes=True,
    dialect=Dialect(arcs=True, dwell_unit="s", comments=CommentStyle.BRACKETS),
    safe_z_mm=15.0,
    clear_z_mm=3.0,
    park=(0.0, 0.0),
    holder_diameter_mm=30.0,
)


def job_of(*, joints: Bit, outlines: Bit | None = None, grooves: Bit | None = None, **more: object) -> Job:
    """A job with these bits; the joints bit does everything for which none is named."""
    outlines, grooves = outlines or joints, grooves or joints
    finish = more.pop("finish", None)
    bits = {bit.id: bit for bit in (grooves, joints, finish, outlines) if isinstance(bit, Bit)}
    fields: dict[str, object] = {
        "name": "test",
        "title": "a test",
        "units": "in",
        "machine": MACHINE,
        "material": Material(id="maple", title="hard maple", hardness_n=6400.0),
        "boards": (BOARD,),
        "bits": tuple(bits.values()),
        "grooves_bit": grooves.id,
        "joints_bit": joints.id,
        "outlines_bit": outlines.id,
        "finish_bit": finish.id if isinstance(finish, Bit) else "",
        "feeds": tuple(data_of(bit) for bit in bits.values()),
        "joint": JOINT,
        "mate": JOINT,
        "track": TRACK,
        "peg_root": PegRoot.RELIEVE,
        "mouth": MouthCorner.EASE,
        "ease_radius_mm": 0.0,
        "holding": TABS,
        "spoilboard_allowance_mm": 0.3,
        "one_file": False,
        "orders": (STRAIGHT,),
    }
    return Job(**(fields | more))  # type: ignore[arg-type]


def piece_of(job: Job, order: PieceOrder = STRAIGHT) -> Piece:
    """The piece of an order as this job's corners make it."""
    corners, track, _ = corner_radii(job)
    return piece_from_order(order, Making(track=track, joint=job.joint, corners=corners))


WIDE_MM = 1600.0
"""Both sides of a board on which nothing is near any edge."""

AROUND = (CutKind.WASTE, CutKind.SLOT, CutKind.OUTLINE, CutKind.PARTING)
"""The kinds of cut that free pieces, in the order in which they are cut."""


def laid_bodies(job: Job, orders: Sequence[PieceOrder], *, width_mm: float, height_mm: float) -> list[Body]:
    """Pieces laid in rows on a board of that size, as near together as the job lets them."""
    board = replace(job.boards[0], width_mm=width_mm, height_mm=height_mm)
    room, gap = clearance_needed_mm(job, board), gap_mm(job)
    apart = Apart(gap_mm=gap, along_mm=gap, clearance_mm=room, rim_mm=rim_mm(job.holding, board.thickness_mm))
    pieces = [piece_of(job, order) for order in orders]
    laid = place_rows(pieces, (board,), apart=apart)
    made = {id(piece): cut_piece(piece, job=job, board=board, clearance_mm=room)[1] for piece in pieces}
    return [made[id(pieces[one.index])].at(one.pose) for one in laid]


@remembered
def cut_alone(piece: Piece, *, job: Job, clearance_mm: float | None = None) -> tuple[PieceCuts, tuple[Finding, ...]]:
    """All cuts of a piece, outline and tabs too, that lies alone on a wide board, carried back to its own frame."""
    board = replace(job.boards[0], width_mm=WIDE_MM, height_mm=WIDE_MM)
    room = clearance_needed_mm(job, board) if clearance_mm is None else clearance_mm
    made, body, findings = cut_piece(piece, job=job, board=board, clearance_mm=room)
    middle = Pose(WIDE_MM / 2, WIDE_MM / 2, 0.0)
    back = inverse_pose(middle)
    around = cut_slots([piece.id], [body.at(middle)])
    (tabs,) = around.tabs
    outlines = sorted(around.cuts, key=lambda cut: AROUND.index(cut.kind))
    made = replace(
        made,
        cuts=(*made.cuts, *(_carried(cut, back) for cut in outlines)),
        tabs=tuple(replace(tab, at=transform_point(tab.at, back)) for tab in tabs),
    )
    return made, (*findings, *around.findings)


def _carried(cut: Cut, pose: Pose) -> Cut:
    return replace(
        cut,
        passes=tuple(
            replace(
                one,
                steps=tuple(replace(step, segment=transform_segment(step.segment, pose)) for step in one.steps),
            )
            for one in cut.passes
        ),
    )


def passes_of(cuts: Sequence[Cut], *kinds: str) -> list[Pass]:
    """All passes of the cuts of these kinds, in their order."""
    return [one for cut in cuts if cut.kind in kinds for one in cut.passes]


def triangle_in_disc(radius: float) -> Contour:
    """The 3-4-5 triangle (2, 2), (-2, -1), (2, -1) grown by a disc of that radius, counter-clockwise."""
    corners = ((2.0, 2.0), (-2.0, -1.0), (2.0, -1.0))
    segments: list[Line | Arc] = []
    for index, (x, y) in enumerate(corners):
        after, before = corners[(index + 1) % 3], corners[index - 1]
        arrive = _right_of(before, (x, y), radius)
        leave = _right_of((x, y), after, radius)
        segments.append(Arc((x + arrive[0], y + arrive[1]), (x + leave[0], y + leave[1]), (x, y), is_ccw=True))
        start = (x + leave[0], y + leave[1])
        segments.append(Line(start, (after[0] + leave[0], after[1] + leave[1])))
    return Contour(tuple(segments), is_closed=True)


def _right_of(start: tuple[float, float], end: tuple[float, float], distance: float) -> tuple[float, float]:
    length = math.dist(start, end)
    return ((end[1] - start[1]) / length * distance, (start[0] - end[0]) / length * distance)


@st.composite
def joints(draw: st.DrawFn) -> JointSizes:
    """Joint sizes that can be: a neck in a mouth, a head that the mouth holds, a hole that takes the head."""
    neck = draw(st.floats(4.0, 8.0))
    mouth = neck + draw(st.floats(0.6, 2.5))
    head = mouth + draw(st.floats(1.5, 5.0))
    hole = head + draw(st.floats(0.8, 2.5))
    setback = draw(st.floats(5.5, 9.0))
    return JointSizes(
        neck_width_mm=neck,
        head_diameter_mm=head,
        head_setback_mm=setback,
        mouth_width_mm=mouth,
        hole_diameter_mm=hole,
        hole_setback_mm=setback + draw(st.floats(-0.3, 0.3)),
    )


@st.composite
def bits_for(draw: st.DrawFn, mouth_mm: float) -> Bit:
    """A joints bit that goes into a mouth, near-ties with it and the usual sizes among them."""
    usual = [d for d in (INCH / 16, 2.0, INCH / 8, 4.0, INCH / 4) if d < mouth_mm - 0.2]
    return bit_of(draw(st.sampled_from([*usual, round(mouth_mm - 0.15, 3)])))
