"""Pieces on strips of track width: end to end within the machine, or fed through a window of it."""

from collections.abc import Sequence
from dataclasses import replace

from platelayer.errors import Fault, JobError
from platelayer.placing.strips import CLAMP_RISE_MM, place_end_to_end, windows, with_clamps
from platelayer.values.pieces import Piece, Placement
from platelayer.values.tooling import Job


def is_of_strips(job: Job) -> bool:
    """The job is cut from strips; it never has boards besides."""
    return any(board.is_strip for board in job.boards)


def lay_strips(
    job: Job, pieces: Sequence[Piece], *, clearance_mm: float, wide: Sequence[tuple[float, float]], is_kept: bool
) -> tuple[Job, tuple[Placement, ...]]:
    """The job with its strips, or with the windows they are fed through, and where pieces lie on those.

    Strips are fed when one of them is longer than the machine travels; each window has one piece then, the first of
    its kind. What is ``wide`` beyond the room and comes lower than a clamp keeps off the clamps.

    Raises:
        CannotCut: strips too short for the pieces, or a piece too long for the machine.
        JobError: places to be kept, which strips have not.
    """
    if is_kept:
        problem = "pieces on strips lie end to end; there are no places to keep"
        raise JobError(Fault(where="--placement", problem=problem, fix="Leave it out."))
    travel = job.machine.travel_mm[0]
    beyond = max((reach for height, reach in wide if height < CLAMP_RISE_MM), default=0.0)
    if max(board.width_mm for board in job.boards) <= travel:
        placements = place_end_to_end(pieces, job.boards, clearance_mm=clearance_mm, beyond_mm=beyond)
        return replace(job, boards=with_clamps(job.boards, both_ends=True)), placements
    boards, placements = windows(pieces, job.boards, clearance_mm=clearance_mm, travel_mm=travel, beyond_mm=beyond)
    return replace(job, boards=with_clamps(boards, both_ends=False)), placements
