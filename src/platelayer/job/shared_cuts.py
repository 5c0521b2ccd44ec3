"""What a job with shared cuts may not ask for: what stands in a kerf, or needs more room than one bit has in it."""

from collections import Counter
from collections.abc import Sequence

from platelayer.errors import Fault
from platelayer.job.job_models import JobFile
from platelayer.job.orders import route_length_mm
from platelayer.pieces.catalogue import runs_straight
from platelayer.tolerances import SHORT_PIECE_MM
from platelayer.units import show_length
from platelayer.values.tooling import Holding, HoldingKind, PieceOrder


def shared_faults(model: JobFile, holding: Holding, orders: Sequence[PieceOrder]) -> list[Fault]:
    """All that does not go with shared cuts; nothing for a job without them.

    Args:
        model: the whole job as written.
        holding: of pieces and boards.
        orders: the cut list.
    """
    if not model.cutting.shared_cuts:
        return []
    if any(table.kind == "strip" for table in model.board):
        return [_fault("pieces on strips lie end to end and share no long edge", "Leave it out.")]
    faults = []
    if holding.kind is HoldingKind.TABS:
        problem = "tabs would stand in the very cut that is to part two pieces"
        faults.append(_fault(problem, 'Hold the pieces otherwise: kind = "skin", "tape" or "vacuum" in [holding].'))
    if model.edges.outer:
        size = show_length(model.edges.outer)
        problem = f"no bit rounds outer edges by {size} in a kerf that is one bit wide"
        faults.append(_fault(problem, "Leave outer out of [edges] and round them by hand, or cut pieces apart."))
    return faults or _of_no_use(holding, orders)


def _of_no_use(holding: Holding, orders: Sequence[PieceOrder]) -> list[Fault]:
    """A fault where no two straights are of one length; those too short to go without tabs do not count."""
    least = SHORT_PIECE_MM if holding.kind.is_from_below else 0.0
    lengths: Counter[float] = Counter()
    for order in orders:
        if runs_straight(order) and (length := route_length_mm(order)) >= least:
            lengths[round(length, 6)] += order.count
    if any(count > 1 for count in lengths.values()):
        return []
    kind = holding.kind.value
    why = f"; on {kind} those shorter than {show_length(least)} have tabs and cannot" if least else ""
    return [_fault(f"of no use: no two straights of one length can share a cut{why}", "Leave it out.")]


def _fault(problem: str, fix: str) -> Fault:
    return Fault(where="[cutting] shared_cuts", found="true", problem=problem, fix=fix)
