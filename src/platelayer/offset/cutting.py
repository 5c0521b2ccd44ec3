"""All cuts of one piece but its outline, and how that goes round it; or every reason why the piece cannot be cut.

Glossary:
    cut: passes of one bit for one purpose. The order of pieces and bits is the board's business.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import reversed_contour, signed_area_mm2
from platelayer.geometry.discs import as_cut, solid
from platelayer.geometry.regions import Area, difference, union
from platelayer.offset.corners import cut_corners
from platelayer.offset.edge_forms import edge_breaks
from platelayer.offset.edges import cut_edges, edge_findings
from platelayer.offset.groove_passes import cut_groove
from platelayer.offset.joints import cut_joint
from platelayer.offset.opening import open_socket, opened_at_pegs, sockets_opener, with_pegs
from platelayer.offset.outlines import Body, body_of, outline_task, whole_loop
from platelayer.offset.pockets import clear_pocket, swept_below, thick_parts
from platelayer.offset.reach import reach_faults, reach_findings, unreached_corners
from platelayer.offset.relief import corner_bit
from platelayer.offset.rings import Opened
from platelayer.offset.room import cut_depth_mm, gap_mm, outline_depth_mm, wall_depth_mm
from platelayer.offset.runs import JointRun, joint_runs
from platelayer.offset.strip_ends import cut_strip_ends
from platelayer.offset.tabs import holding_faults
from platelayer.offset.upcut import upcut_findings
from platelayer.tolerances import FINISH_ALLOWANCE_MM, FLATTEN_CHORD_MM, PEG_CLEAR_MM
from platelayer.values.cuts import Cut, CutKind, PieceCuts
from platelayer.values.findings import Finding
from platelayer.values.pieces import EndKind, PegRoot, Piece
from platelayer.values.shapes import Contour, Region
from platelayer.values.tooling import Board, HoldingKind, Job

_JOINTS: Final = frozenset({CutKind.SOCKET, CutKind.NOTCH})


def piece_faults(piece: Piece, *, job: Job, board: Board) -> tuple[Fault, ...]:
    """Why this piece cannot be cut, as far as that is seen without a path: bits too wide or too short, tabs or skin."""
    return (*reach_faults(piece, job=job, board=board), *holding_faults(piece, job.holding, board))


def cut_piece(
    piece: Piece, *, job: Job, board: Board, clearance_mm: float
) -> tuple[PieceCuts, Body | None, tuple[Finding, ...]]:
    """Every cut that makes the piece from this board, in the piece's own frame, and what was noticed.

    Its outline is cut together with its neighbours': here is its body. On a strip there is none, and both ends are cut.

    Args:
        piece: as designed, reliefs and eases included.
        job: bits, feeds, holding, choices at the corners.
        board: its thickness, scatter and zero.
        clearance_mm: clear width kept round the piece.

    Raises:
        CannotCut: no room, no place for tabs, or what ``piece_faults`` tells.
    """
    faults = piece_faults(piece, job=job, board=board)
    if faults:
        raise CannotCut(*faults)
    outlines = job.bit(job.outlines_bit)
    task = outline_task(piece, job=job, board=board, clearance_mm=clearance_mm)
    design = solid(piece, chord_mm=FLATTEN_CHORD_MM)
    loop = whole_loop(task, outlines.radius_mm)
    beside_mm = clearance_mm if board.is_strip else min(clearance_mm, gap_mm(job) - FINISH_ALLOWANCE_MM)
    widest = max(job.bit(job.joints_bit).radius_mm, job.bit(sockets_opener(job)).radius_mm)
    runs = joint_runs(piece, solid=design, loop=loop, bit_radius_mm=outlines.radius_mm, reach_mm=beside_mm - widest)
    body, ends = (None, cut_strip_ends(task)) if board.is_strip else (body_of(task), None)
    if body is not None and job.has_pegs_later:
        body = with_pegs(body, [run.contour for run in runs if run.kind is EndKind.PEG], job.bit(job.joints_bit))
    opened = opened_at_pegs(body) if body is not None and job.opens_joints else Opened()
    room_mm = min(clearance_mm, beside_mm + PEG_CLEAR_MM)
    cuts = (
        *_groove_cuts(piece, job),
        *_joint_cuts(piece, runs, opened, job=job, board=board, clearance_mm=room_mm),
        *_corner_cuts(piece, runs, design, job=job, board=board),
        *cut_edges(piece, job=job, clearance_mm=clearance_mm),
    )
    if body is not None:
        body = replace(body, joints=_at_joints(cuts, opened, job=job, board=board))
    if ends is not None:
        cuts = (*cuts, ends.cut)
    made = PieceCuts(
        cuts=cuts,
        tabs=ends.tabs if ends else (),
        skin_mm=job.holding.skin_mm if job.holding.kind is HoldingKind.SKIN and not ends else 0.0,
        unreached=unreached_corners(piece, corner_bit(job, wall_depth_mm(job, board))),
        edges=edge_breaks(piece, job),
    )
    noticed = (*reach_findings(piece, job=job, board=board), *upcut_findings(cuts, job=job))
    return made, body, (*noticed, *(ends.findings if ends else ()), *edge_findings(piece, job=job))


def _at_joints(cuts: Sequence[Cut], opened: Opened, *, job: Job, board: Board) -> Area:
    """What is taken at joints half through the board at least: waste beside it stands as beside a slot."""
    half_mm = board.thickness_mm / 2
    taken = swept_below((cut for cut in cuts if cut.kind in _JOINTS), job, half_mm)
    return union(taken, opened.area) if opened.depth_mm >= half_mm else taken


def _groove_cuts(piece: Piece, job: Job) -> list[Cut]:
    bit = job.bit(job.grooves_bit) if piece.grooves else None
    if bit is None:
        return []
    data = job.cut_data(bit.id)
    return [cut_groove(groove, piece_id=piece.id, bit=bit, data=data) for groove in piece.grooves]


def _joint_cuts(
    piece: Piece, runs: tuple[JointRun, ...], opened: Opened, *, job: Job, board: Board, clearance_mm: float
) -> list[Cut]:
    """Sockets in the order of the ends, notches too unless the outline's bit cuts pegs, then openings right through."""
    bit, depth = job.bit(job.joints_bit), cut_depth_mm(job, board)
    data = job.cut_data(bit.id)
    cuts: list[Cut] = []
    for run in runs:
        before = opened
        if run.kind is EndKind.SOCKET:
            first = open_socket(run, piece_id=piece.id, job=job, board=board, clearance_mm=clearance_mm)
            before = first[1] if first else Opened()
            cuts += [first[0]] if first else []
        if run.kind is EndKind.SOCKET or job.has_own_joints_bit:
            cuts.append(
                cut_joint(run, before, piece_id=piece.id, bit=bit, data=data, depth_mm=depth, clearance_mm=clearance_mm)
            )
    for opening in piece.inner:
        passes = clear_pocket(Region(_counter_clockwise(opening)), bit=bit, data=data, depth_mm=depth)
        cuts.append(Cut(piece_id=piece.id, kind=CutKind.SOCKET, bit_id=bit.id, passes=passes))
    return cuts


def _counter_clockwise(contour: Contour) -> Contour:
    return contour if signed_area_mm2(contour) > 0 else reversed_contour(contour)


def _corner_cuts(piece: Piece, runs: tuple[JointRun, ...], design: Area, *, job: Job, board: Board) -> list[Cut]:
    """The finishing bit at every peg, as deep as its cutting edge reaches and another bit has been before it."""
    if job.peg_root is not PegRoot.FINISH or not job.finish_bit:
        return []
    bit, joints = job.bit(job.finish_bit), job.bit(job.joints_bit)
    left = difference(as_cut(piece, joints.radius_mm, chord_mm=FLATTEN_CHORD_MM), design)
    before_mm = cut_depth_mm(job, board) if job.has_own_joints_bit else outline_depth_mm(job, board)
    depth = min(before_mm, bit.cutting_length_mm)
    found = [
        cut_corners(run, thick_parts(left), piece_id=piece.id, bit=bit, data=job.cut_data(bit.id), depth_mm=depth)
        for run in runs
        if run.kind is EndKind.PEG
    ]
    return [cut for cut in found if cut is not None]
