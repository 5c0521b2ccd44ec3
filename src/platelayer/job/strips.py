"""What a job from strips may not ask for: strips take straights, one width, bridges, and are cut on one face."""

from collections.abc import Sequence

from platelayer.errors import Fault
from platelayer.job.track_models import TrackTable
from platelayer.pieces.catalogue import runs_straight
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.tooling import Board, Holding, HoldingKind, PieceOrder, StockBy


def strip_faults(
    boards: Sequence[Board],
    orders: Sequence[PieceOrder],
    holding: Holding,
    track: TrackTable,
    *,
    outer_mm: float = 0.0,
) -> list[Fault]:
    """All that is wrong with strips; nothing for a job without any.

    Args:
        boards: all of the job's.
        orders: the cut list.
        holding: of pieces and boards.
        track: its width is that of every strip.
        outer_mm: what the machine is to take off outer edges.
    """
    strips = [board for board in boards if board.is_strip]
    if not strips:
        return []
    faults: list[Fault] = []
    if len(strips) < len(boards):
        board = next(board for board in boards if not board.is_strip)
        problem, fix = "stands beside strips, which are cut otherwise", "Make two jobs of it."
        faults.append(Fault(where=f"[[board]] {board.id} kind", found="board", problem=problem, fix=fix))
    faults += [fault for board in strips for fault in _strip_faults(board, track)]
    for order in orders:
        where = f"[[piece]] {order.name}"
        if not runs_straight(order):
            problem = "only straights come from strips of track width"
            faults.append(Fault(where=f"{where} kind", found=order.kind, problem=problem, fix="Put it on a board."))
        if order.grooves_bottom:
            problem, fix = "a strip is cut on one face", 'Leave grooves = "both" out, or use boards.'
            faults.append(Fault(where=f"{where} grooves", found="both", problem=problem, fix=fix))
    if holding.kind is not HoldingKind.TABS:
        problem = "on a strip pieces hang together by bridges beside its long edges, which are tabs"
        fix = 'Write kind = "tabs", or leave it out.'
        faults.append(Fault(where="[holding] kind", found=holding.kind.value, problem=problem, fix=fix))
    if outer_mm:
        problem = "a strip comes with its long edges rounded over, and the bit would leave it there"
        fix = "Leave outer out of [edges], and round end faces and pegs by hand."
        found = show_length(outer_mm)
        faults.append(Fault(where="[edges] outer", found=found, problem=problem, fix=fix))
    if holding.stock is StockBy.SCREWS:
        problem, fix = "a strip has no waste for screws", 'Hold it by clamps at its ends: stock = "clamps".'
        faults.append(Fault(where="[holding] stock", found="screws", problem=problem, fix=fix))
    return faults


def _strip_faults(board: Board, track: TrackTable) -> list[Fault]:
    where = f"[[board]] {board.id}"
    faults = []
    if abs(board.height_mm - track.width) > COINCIDENT_MM:
        found, wanted = (show_length(length) for length in (board.height_mm, track.width))
        problem = f"a strip is as wide as the track, and [track] width is {wanted}"
        fix = "Write what the caliper says of the strip into [track] width."
        faults.append(Fault(where=f"{where} height", found=found, problem=problem, fix=fix))
    if board.outline is not None:
        problem = "a strip has no outline but its width"
        faults.append(Fault(where=f"{where} outline", problem=problem, fix="Give its length as width."))
    if board.no_go:
        problem, fix = "a strip has no room beside a no-go area", "Cut the strip there and make two of it."
        faults.append(Fault(where=f"{where} no_go", problem=problem, fix=fix))
    return faults
