"""From a job to its plan: pieces made, laid on boards, and cut.

Glossary:
    laid: pieces where they lie, before any path is made; it can be drawn even when the cuts are refused.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from platelayer.errors import CannotCut, Fault, JobError
from platelayer.fit.drawn import drawn_faults
from platelayer.offset.cutting import cut_piece, piece_faults
from platelayer.offset.dowels import bore_of
from platelayer.offset.fenced import fenced
from platelayer.offset.finish_ways import finish_feed_findings
from platelayer.offset.outlines import Body
from platelayer.offset.room import (
    WEB_MM,
    clearance_needed_mm,
    gap_faults,
    gap_mm,
    rim_mm,
    web_gap_mm,
    wide_parts,
    wide_parts_of,
)
from platelayer.offset.slots import cut_slots
from platelayer.offset.upcut import upcut_findings
from platelayer.pieces.catalogue import check_orders
from platelayer.pieces.kind import Making
from platelayer.placing.collet import with_collet_clearance, with_knot_rims
from platelayer.placing.dowels import dowels_of, with_keep_outs
from platelayer.placing.grain import grain_findings
from platelayer.placing.kept import Kept
from platelayer.placing.screws import with_screws
from platelayer.road.board_notes import board_notes
from platelayer.road.joint_faults import joint_faults
from platelayer.road.land_faults import land_faults
from platelayer.road.laying import apart_of, lay_pieces
from platelayer.road.piece_making import made_pieces
from platelayer.road.redrawing import redrawn
from platelayer.road.sittings import with_sittings
from platelayer.road.skin_faults import skin_faults
from platelayer.road.strip_laying import is_of_strips, lay_strips
from platelayer.sequence.plan import plan_boards
from platelayer.values.cuts import Bore, Dowel, Outlines, PieceCuts, Plan
from platelayer.values.findings import Finding
from platelayer.values.pieces import EndKind, Piece, Placement
from platelayer.values.tooling import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A job's pieces and where each lies.

    Attributes:
        job: with its screws, and with its strips or the windows that they are fed through.
        pieces: in the order of the cut list.
        placements: where each lies.
        bore: of the dowels that boards are turned on; None where they are turned otherwise.
        dowels: by board, where that hole is bored if the board is turned.
        findings: what was noticed so far.
        asked: the job as it was before any of that.
        given: pieces cut in place of those of the cut list, if any were.
        may_move: neither the person nor an earlier make says where pieces lie or how far apart.
    """

    job: Job
    pieces: Sequence[Piece]
    placements: tuple[Placement, ...]
    bore: Bore | None
    dowels: Mapping[str, tuple[Dowel, ...]]
    findings: tuple[Finding, ...]
    asked: Job
    given: Sequence[Piece]
    may_move: bool


def plan_job(job: Job, *, pieces: Sequence[Piece] = ()) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan of a job, and what was noticed on the way; arguments and faults are those of ``lay_job``."""
    return cut_laid(lay_job(job, pieces=pieces))


def lay_job(job: Job, *, kept: Kept | None = None, pieces: Sequence[Piece] = ()) -> Laid:
    """The pieces of a job where they lie; they stay where ``kept`` says.

    Pieces that are given are cut in place of those of the cut list, which must have ends and grooves like theirs.

    Raises:
        JobError: sizes that cannot be, or kept places that do not fit them.
        CannotCut: a sound job that these bits, boards or this machine cannot make.
    """
    asked = job
    faults = check_orders(job.orders, Making(joint=job.joint, track=job.track))
    if faults:
        raise JobError(*faults)
    cannot = (*gap_faults(job), *_drawn_faults(job))
    if cannot:
        raise CannotCut(*cannot)
    made, findings = made_pieces(job)
    given = pieces
    pieces = given or made
    clearance_mm = max(clearance_needed_mm(job, board) for board in job.boards)
    bore, wide = bore_of(job), wide_parts(job)
    boards = with_screws(job.boards, job.holding)
    job = replace(job, boards=boards)
    if kept is None:
        rim = rim_mm(job.holding, max(board.thickness_mm for board in boards))
        boards = with_knot_rims(boards, web_mm=rim)
    if bore is not None:
        deep_mm = job.boards[0].thickness_mm + bore.depth_mm
        beyond_hole = wide_parts_of(job.bit(bore.cut.bit_id), job.machine, depth_mm=deep_mm)
        boards = with_keep_outs(boards, job.turning, web_mm=WEB_MM, parts=beyond_hole)
    if kept is None:
        boards = with_collet_clearance(boards, wide)
    if is_of_strips(job):
        job, placements = lay_strips(job, pieces, clearance_mm=clearance_mm, wide=wide, is_kept=kept is not None)
    else:
        placements = lay_pieces(pieces, boards, job=job, clearance_mm=clearance_mm, kept=kept)
        if kept is None:
            findings += board_notes(job, pieces, boards, placements, apart=apart_of(job, clearance_mm))
    if not given:
        pieces = redrawn(job, pieces, placements)
    return Laid(
        job=job,
        pieces=pieces,
        placements=placements,
        bore=bore,
        dowels={} if bore is None else {board.id: dowels_of(board, job.turning, bore) for board in job.boards},
        findings=findings,
        asked=asked,
        given=given,
        may_move=kept is None and not asked.gap_mm and not is_of_strips(job),
    )


def _further_apart(laid: Laid) -> Laid | None:
    """The same job laid with webs between all its pieces, where that needs no more boards; else None."""
    job = laid.asked
    web_mm = max(web_gap_mm(job, board) for board in job.boards)
    if not laid.may_move or web_mm <= gap_mm(job):
        return None
    try:
        apart = lay_job(replace(job, gap_mm=web_mm), pieces=laid.given)
    except CannotCut:
        return None
    boards, before = ({one.board_id for one in some} for some in (apart.placements, laid.placements))
    return replace(apart, findings=laid.findings) if len(boards) <= len(before) else None


def _drawn_faults(job: Job) -> tuple[Fault, ...]:
    """A joint that would not close as drawn; sizes tuned to a mate or a machine are judged as they are cut."""
    has_joints = any(kind is not EndKind.PLAIN for order in job.orders for kind in order.ends)
    if not has_joints or job.mate != job.joint:
        return ()
    return drawn_faults(job.joint, width_mm=job.track.width_mm)


def cut_laid(laid: Laid) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan of pieces that are laid, and all that was noticed.

    Where tabs find no room between them, they are laid further apart.

    Raises:
        CannotCut: pieces that these bits cannot cut, or that would not go together.
    """
    faults = cut_faults(laid)
    if faults:
        raise CannotCut(*faults)
    try:
        return _cut(laid)
    except CannotCut as refusal:
        are_tabs = all(fault.where.startswith("[holding]") for fault in refusal.faults)
        apart = _further_apart(laid) if are_tabs else None
        if apart is None:
            raise
        try:
            return _cut(apart)
        except CannotCut:
            raise refusal from None


def cut_faults(laid: Laid) -> tuple[Fault, ...]:
    """What is known of the cuts at once: pieces that these bits cannot make, else what the dry run would refuse of all.

    Joints that do not go together, and too little wood beside grooves below.
    """
    job = laid.job
    shapes = {piece.shape: piece for piece in laid.pieces}.values()
    faults = tuple(dict.fromkeys(chain(*(piece_faults(piece, job=job, board=job.boards[0]) for piece in shapes))))
    return faults or (*joint_faults(job, laid.pieces), *land_faults(job, laid.pieces))


def _cut(laid: Laid) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan of pieces as they are laid.

    Raises:
        CannotCut: pieces that these bits cannot cut.
    """
    job, pieces, placements = laid.job, laid.pieces, laid.placements
    cuts, bodies, noticed = _cut_shapes(job, pieces)
    faults = skin_faults(job, pieces, cuts)
    if faults:
        raise CannotCut(*faults)
    outlines, seen = _outlines(job, pieces, placements, bodies)
    plan = plan_boards(job, pieces, cuts, placements, bore=laid.bore, dowels=laid.dowels, outlines=outlines)
    if job.sitting_s:
        plan = with_sittings(plan, job.sitting_s)
    steep = grain_findings(plan.pieces, plan.boards) if job.material.has_grain else ()
    feeds = finish_feed_findings(section for program in plan.programs for section in program.sections)
    return plan, (*laid.findings, *noticed, *seen, *steep, *feeds)


def _outlines(
    job: Job, pieces: Sequence[Piece], placements: Sequence[Placement], bodies: Mapping[str, Body]
) -> tuple[dict[str, Outlines], tuple[Finding, ...]]:
    """The outlines of each board whose pieces have any; what was noticed.

    Raises:
        CannotCut: tabs that find no room, or pieces that hang on nothing.
    """
    found: dict[str, Outlines] = {}
    findings: dict[Finding, None] = {}
    for board_id in dict.fromkeys(placement.board_id for placement in placements):
        here = [one for one in placements if one.board_id == board_id and pieces[one.index].shape in bodies]
        if here:
            placed = [fenced(bodies[pieces[one.index].shape].at(one.pose)) for one in here]
            made = cut_slots([pieces[one.index].id for one in here], placed)
            tabs = {one.index: own for one, own in zip(here, made.tabs, strict=True)}
            found[board_id] = Outlines(cuts=made.cuts, tabs=tabs)
            findings.update(dict.fromkeys((*made.findings, *upcut_findings(made.cuts, job=job))))
    return found, tuple(findings)


def uncut_plan(laid: Laid) -> Plan:
    """The pieces as they lie, without a cut: what can be drawn of a job whose cuts are refused."""
    nothing = PieceCuts(cuts=(), tabs=(), skin_mm=0.0, unreached=())
    return plan_boards(laid.job, laid.pieces, {piece.shape: nothing for piece in laid.pieces}, laid.placements)


def _cut_shapes(job: Job, pieces: Sequence[Piece]) -> tuple[dict[str, PieceCuts], dict[str, Body], tuple[Finding, ...]]:
    """Cuts and body of each distinct shape, worked out once; all boards of a job are of one thickness and zero."""
    cuts: dict[str, PieceCuts] = {}
    bodies: dict[str, Body] = {}
    findings: dict[Finding, None] = {}
    board = job.boards[0]
    for piece in pieces:
        if piece.shape not in cuts:
            room = clearance_needed_mm(job, board)
            cuts[piece.shape], body, noticed = cut_piece(piece, job=job, board=board, clearance_mm=room)
            if body is not None:
                bodies[piece.shape] = body
            findings.update(dict.fromkeys(noticed))
    return cuts, bodies, tuple(findings)
