"""What a board whose planed near edge lies at a fence may not ask for: that edge is no bit's, and stays where it is."""

from collections.abc import Sequence

from platelayer.errors import Fault
from platelayer.job.limits import MOST_FENCE_ERROR_MM
from platelayer.units import show_length
from platelayer.values.tooling import Board, PieceOrder


def fence_faults(boards: Sequence[Board], orders: Sequence[PieceOrder], *, outer_mm: float) -> list[Fault]:
    """All that is wrong with boards at a fence.

    Args:
        boards: all of the job's.
        orders: the cut list.
        outer_mm: what the machine is to take off outer edges.
    """
    faults: list[Fault] = []
    for board in boards:
        if board.fence_error_mm is None:
            continue
        where, found = f"[[board]] {board.id} fence_error", show_length(board.fence_error_mm)
        if board.fence_error_mm > MOST_FENCE_ERROR_MM:
            limit = show_length(MOST_FENCE_ERROR_MM)
            problem, fix = f"an edge so far out of line is nobody's edge; the limit is {limit}", "Plane it first."
            faults.append(Fault(where=where, found=found, problem=problem, fix=fix))
        for is_so, problem in (
            (board.is_strip, "the long edges of a strip are its pieces' own without it"),
            (board.outline is not None, "an offcut has no near edge all along that a fence could hold in line"),
            (any(order.grooves_bottom for order in orders), "turned over, that edge lies away from the fence"),
            (outer_mm > 0, "the bit that breaks outer edges would run along the fence"),
        ):
            if is_so:
                faults.append(Fault(where=where, found=found, problem=problem, fix="Leave it out: that edge is cut."))
    return faults
