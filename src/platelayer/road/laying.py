"""Where each piece of a job lies: in rows, nested, or where an earlier make or the person put it.

Glossary:
    kept: places read from a placement file, which every ``make`` writes beside its manifest.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from platelayer.errors import CannotCut
from platelayer.geometry.contours import area_mm2, rectangle
from platelayer.geometry.fewest import fewest_boards
from platelayer.offset.room import gap_mm, rim_mm, web_gap_mm
from platelayer.placing.kept import Kept, check_kept, settled
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.rows import Apart, place_rows
from platelayer.tolerances import SHORT_PIECE_MM
from platelayer.values.pieces import Piece, Placement, Turns
from platelayer.values.tooling import Board, HoldingKind, Job, Placing


def apart_of(job: Job, clearance_mm: float) -> Apart:
    """The distances that a job's pieces keep."""
    deepest = max(board.thickness_mm for board in job.boards)
    gap = gap_mm(job)
    along = gap if job.gap_mm else max(gap, *(web_gap_mm(job, board) for board in job.boards))
    return Apart(
        gap_mm=gap,
        along_mm=along,
        clearance_mm=clearance_mm,
        rim_mm=rim_mm(job.holding, deepest),
        fenced_least_mm=0.0 if job.holding.kind is HoldingKind.SKIN else SHORT_PIECE_MM,
    )


def lay_pieces(
    pieces: Sequence[Piece],
    boards: Sequence[Board],
    *,
    job: Job,
    clearance_mm: float,
    kept: Kept | None = None,
) -> tuple[Placement, ...]:
    """Every piece placed, to the last digit that a placement file holds, so that what is kept stays where it is.

    Args:
        pieces: in the order of the cut list.
        boards: in the order they are filled, keep-outs included.
        job: says whether in rows, nested, or whichever needs fewer boards, and what holds the waste.
        clearance_mm: clear width the bits need round a piece.
        kept: places to be kept; nothing is laid anew then.

    Raises:
        CannotCut: a piece larger than every board, or more pieces than the boards hold.
        JobError: kept places that do not fit this job.
    """
    apart = apart_of(job, clearance_mm)
    if kept is not None:
        return check_kept(kept, pieces, boards, apart=apart)

    def laid(some: Sequence[Piece]) -> tuple[Placement, ...]:
        return _laid(some, boards, placing=job.placing, apart=apart)

    found = laid(pieces) if job.lost.is_none else _one_way(pieces, boards, laid)
    return tuple(replace(placement, pose=settled(placement.pose)) for placement in found)


def _one_way(
    pieces: Sequence[Piece], boards: Sequence[Board], laid: Callable[[Sequence[Piece]], tuple[Placement, ...]]
) -> tuple[Placement, ...]:
    """Pieces along the grain alone, where that needs no more boards: slack tells on joints between directions.

    Raises:
        CannotCut: as ``laid`` for pieces that lie any way they may.
    """
    if all(piece.turns is Turns.GRAIN for piece in pieces):
        return laid(pieces)
    try:
        one_way = laid([replace(piece, turns=Turns.GRAIN) for piece in pieces])
    except CannotCut:
        return laid(pieces)
    if _boards_used(one_way) <= _fewest_boards(pieces, boards):
        return one_way
    any_way = laid(pieces)
    return any_way if _boards_used(any_way) < _boards_used(one_way) else one_way


def _boards_used(placements: Sequence[Placement]) -> int:
    return len({placement.board_id for placement in placements})


def _laid(pieces: Sequence[Piece], boards: Sequence[Board], *, placing: Placing, apart: Apart) -> tuple[Placement, ...]:
    """Rows stand where nesting would need as many boards: they are quick to lay, to clamp and to saw apart."""
    if placing is Placing.NEST:
        return nest_pieces(pieces, boards, apart=apart)
    try:
        rows = _in_rows(pieces, boards, apart)
    except CannotCut as refusal:
        if placing is Placing.ROWS or not _may_fit(pieces, boards):
            raise
        try:
            return nest_pieces(pieces, boards, apart=apart)
        except CannotCut:
            raise refusal from None
    used = _boards_used(rows)
    if placing is Placing.ROWS or used <= _fewest_boards(pieces, boards):
        return rows
    nested = nest_pieces(pieces, boards, apart=apart)
    return nested if _boards_used(nested) < used else rows


def _in_rows(pieces: Sequence[Piece], boards: Sequence[Board], apart: Apart) -> tuple[Placement, ...]:
    """Rows with webs between their pieces, or nearer together where that needs fewer boards.

    Raises:
        CannotCut: as ``place_rows``.
    """
    near = replace(apart, along_mm=apart.gap_mm)
    if near == apart:
        return place_rows(pieces, boards, apart=near)
    try:
        webbed = place_rows(pieces, boards, apart=apart)
    except CannotCut:
        return place_rows(pieces, boards, apart=near)
    if _boards_used(webbed) <= _fewest_boards(pieces, boards):
        return webbed
    nearer = place_rows(pieces, boards, apart=near)
    return nearer if _boards_used(nearer) < _boards_used(webbed) else webbed


def _may_fit(pieces: Sequence[Piece], boards: Sequence[Board]) -> bool:
    """The boards have as much wood as the pieces."""
    return _needed_mm2(pieces) <= sum(_wood_mm2(board) for board in boards)


def _fewest_boards(pieces: Sequence[Piece], boards: Sequence[Board]) -> int:
    return fewest_boards(_needed_mm2(pieces), map(_wood_mm2, boards))


def _needed_mm2(pieces: Sequence[Piece]) -> float:
    return sum(area_mm2(piece.outline) for piece in pieces)


def _wood_mm2(board: Board) -> float:
    return area_mm2(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)))
