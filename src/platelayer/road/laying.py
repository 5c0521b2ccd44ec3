"""Where each piece of a job lies: in rows, nested, or where an earlier make or the person put it.

Glossary:
    kept: places read from a placement file, which every ``make`` writes beside its manifest.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from platelayer.errors import CannotCut
from platelayer.geometry.contours import area_mm2, rectangle
from platelayer.geometry.fewest import fewest_boards
from platelayer.offset.room import gap_between_mm, rim_mm
from platelayer.placing.kept import Kept, check_kept, settled
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.rows import Apart, place_rows
from platelayer.placing.shared import NOBODY, Block, Sharing, blocks_of, laid_apart, tallest_stack
from platelayer.values.pieces import Piece, Placement, Turns
from platelayer.values.tooling import Board, HoldingKind, Job, Placing


def apart_of(job: Job, clearance_mm: float) -> Apart:
    """The distances that a job's pieces keep."""
    deepest = max(board.thickness_mm for board in job.boards)
    return Apart(
        gap_mm=gap_between_mm(job, clearance_mm), clearance_mm=clearance_mm, rim_mm=rim_mm(job.holding, deepest)
    )


def _side_by_side(job: Job, pieces: Sequence[Piece], apart: Apart) -> Sharing:
    """On a skin straights lie a room apart, where the kerfs of neighbours meet and leave nothing between them."""
    clearance_mm = apart.clearance_mm
    is_merged = (
        clearance_mm < apart.gap_mm
        and job.holding.kind is HoldingKind.SKIN
        and clearance_mm <= 2 * job.bit(job.outlines_bit).diameter_mm
    )
    members = frozenset(index for index, piece in enumerate(pieces) if is_merged and piece.is_straight)
    return Sharing(pitch_mm=job.track.width_mm + clearance_mm, kerf_mm=clearance_mm, members=members)


MOST_STACKED: Final = 8
"""Straights in a stack at most: taller ones take longer to nest, and each piece more saves less."""

MOST_SIZES: Final = 4
"""Heights of stacks tried, tallest first."""

MOST_TRIES: Final = 36
"""Fillings tried by nesting: one to two seconds for sixty pieces."""


def lay_pieces(
    pieces: Sequence[Piece],
    boards: Sequence[Board],
    *,
    job: Job,
    clearance_mm: float,
    kept: Kept | None = None,
    sharing: Sharing = NOBODY,
) -> tuple[Placement, ...]:
    """Every piece placed, to the last digit that a placement file holds, so that what is kept stays where it is.

    Args:
        pieces: in the order of the cut list.
        boards: in the order they are filled, keep-outs included.
        job: says whether in rows, nested, or whichever needs fewer boards, and what holds the waste.
        clearance_mm: clear width the bits need round a piece.
        kept: places to be kept; nothing is laid anew then.
        sharing: pieces that are laid in stacks, one bit apart.

    Raises:
        CannotCut: a piece larger than every board, or more pieces than the boards hold.
        JobError: kept places that do not fit this job.
    """
    apart = apart_of(job, clearance_mm)
    if kept is not None:
        return check_kept(kept, pieces, boards, apart=apart, sharing=sharing)

    sharing = sharing if sharing.members else _side_by_side(job, pieces, apart)

    def any_way(some: Sequence[Piece], placing: Placing, tries: int) -> tuple[Placement, ...]:
        return _laid(some, boards, placing=placing, apart=apart, tries=tries)

    def laid(some: Sequence[Piece], placing: Placing, tries: int) -> tuple[Placement, ...]:
        if job.lost.is_none:
            return any_way(some, placing, tries)
        return _one_way(some, boards, lambda ones: any_way(ones, placing, tries))

    if sharing.members:
        found = _in_stacks(pieces, boards, sharing, placing=job.placing, clearance_mm=clearance_mm, laid=laid)
    else:
        found = laid(pieces, job.placing, MOST_TRIES)
    return tuple(replace(placement, pose=settled(placement.pose)) for placement in found)


_Laying = Callable[[Sequence[Piece], Placing, int], tuple[Placement, ...]]


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


def _in_stacks(
    pieces: Sequence[Piece],
    boards: Sequence[Board],
    sharing: Sharing,
    *,
    placing: Placing,
    clearance_mm: float,
    laid: _Laying,
) -> tuple[Placement, ...]:
    """Stacks as tall as boards take them, lower ones where those need fewer boards; apart where that needs fewer still.

    Rows of stacks of every height tried come before nesting, as they do without stacks.
    """
    fewest = _fewest_boards(pieces, boards)
    best: tuple[Placement, ...] = ()
    for way in (Placing.ROWS, Placing.NEST) if placing is Placing.FEWEST else (placing,):
        for blocks in _blocks(pieces, boards, sharing, clearance_mm=clearance_mm) if _may_fit(pieces, boards) else ():
            try:
                found = laid_apart(
                    blocks, laid([block.piece for block in blocks], way, MOST_TRIES * 2 // MOST_SIZES), sharing
                )
            except CannotCut:
                continue
            if not best or _boards_used(found) < _boards_used(best):
                best = found
            if _boards_used(best) <= fewest:
                return best
    if not best:
        return laid(pieces, placing, MOST_TRIES)
    with suppress(CannotCut):
        apart = laid(pieces, placing, MOST_TRIES)
        return apart if _boards_used(apart) < _boards_used(best) else best
    return best


def _blocks(
    pieces: Sequence[Piece], boards: Sequence[Board], sharing: Sharing, *, clearance_mm: float
) -> Sequence[tuple[Block, ...]]:
    """Pieces in stacks of MOST_SIZES heights at most, tallest first, none of them the same."""
    tallest = max(tallest_stack(board, sharing, clearance_mm=clearance_mm) for board in boards)
    ways = {
        tuple(block.members for block in blocks): blocks
        for blocks in (blocks_of(pieces, sharing, most=most) for most in range(2, min(tallest, MOST_STACKED) + 1))
    }
    return list(ways.values())[: -MOST_SIZES - 1 : -1]


def _boards_used(placements: Sequence[Placement]) -> int:
    return len({placement.board_id for placement in placements})


def _laid(
    pieces: Sequence[Piece], boards: Sequence[Board], *, placing: Placing, apart: Apart, tries: int
) -> tuple[Placement, ...]:
    """Rows stand where nesting would need as many boards: they are quick to lay, to clamp and to saw apart."""
    if placing is Placing.NEST:
        return nest_pieces(pieces, boards, apart=apart, tries=tries)
    try:
        rows = place_rows(pieces, boards, apart=apart)
    except CannotCut as refusal:
        if placing is Placing.ROWS or not _may_fit(pieces, boards):
            raise
        try:
            return nest_pieces(pieces, boards, apart=apart, tries=tries)
        except CannotCut:
            raise refusal from None
    used = _boards_used(rows)
    if placing is Placing.ROWS or used <= _fewest_boards(pieces, boards):
        return rows
    nested = nest_pieces(pieces, boards, apart=apart, tries=tries)
    return nested if _boards_used(nested) < used else rows


def _may_fit(pieces: Sequence[Piece], boards: Sequence[Board]) -> bool:
    """The boards have as much wood as the pieces."""
    return _needed_mm2(pieces) <= sum(_wood_mm2(board) for board in boards)


def _fewest_boards(pieces: Sequence[Piece], boards: Sequence[Board]) -> int:
    return fewest_boards(_needed_mm2(pieces), map(_wood_mm2, boards))


def _needed_mm2(pieces: Sequence[Piece]) -> float:
    return sum(area_mm2(piece.outline) for piece in pieces)


def _wood_mm2(board: Board) -> float:
    return area_mm2(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)))
