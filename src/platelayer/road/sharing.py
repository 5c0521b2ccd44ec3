"""Cuts that straights share: which pieces may, and the outlines of the stacks that lie on the boards."""

from collections.abc import Sequence
from dataclasses import replace

from platelayer.errors import CannotCut
from platelayer.offset.stacks import cut_stack, sharing_faults
from platelayer.offset.tabs import has_tabs
from platelayer.pieces.stacks import stack_of
from platelayer.placing.shared import NOBODY, Sharing, stacks_of
from platelayer.values.cuts import Cut, StackCut
from platelayer.values.findings import Finding
from platelayer.values.pieces import Piece, Placement
from platelayer.values.tooling import Job


def sharing_of(job: Job, pieces: Sequence[Piece]) -> Sharing:
    """All straights that no tab holds, where the job asks for shared cuts.

    Raises:
        CannotCut: a bit too wide for the pegs of two neighbours.
    """
    if not job.shared_cuts:
        return NOBODY
    faults = sharing_faults(job)
    if faults:
        raise CannotCut(*faults)
    kerf = job.bit(job.outlines_bit).diameter_mm
    able = (index for index, piece in enumerate(pieces) if piece.is_straight and not has_tabs(piece, job.holding))
    return Sharing(pitch_mm=job.track.width_mm + kerf, kerf_mm=kerf, members=frozenset(able))


def stack_cuts(
    job: Job, pieces: Sequence[Piece], placements: Sequence[Placement], *, sharing: Sharing, clearance_mm: float
) -> tuple[tuple[StackCut, ...], tuple[Finding, ...]]:
    """The outline of every stack that these placements make, each distinct one worked out once, and what was noticed.

    Raises:
        CannotCut: a bit too wide to go round a stack, or long edges too short for the leads.
    """
    known: dict[tuple[tuple[str, bool], ...], Cut] = {}
    found: list[StackCut] = []
    findings: dict[Finding, None] = {}
    for laid in stacks_of(pieces, placements, sharing):
        members = [(pieces[index], is_turned) for index, is_turned in laid.members]
        stack = stack_of(members, pitch_mm=sharing.pitch_mm)
        key = tuple((piece.shape, is_turned) for piece, is_turned in members)
        if key not in known:
            known[key], noticed = cut_stack(stack, job=job, board=job.boards[0], clearance_mm=clearance_mm)
            findings.update(dict.fromkeys(noticed))
        cut = replace(known[key], piece_id=stack.around.id)
        found.append(StackCut(members=laid.indices, board_id=laid.board_id, pose=laid.pose, cut=cut))
    return tuple(found), tuple(findings)
