"""A job's pieces onto its boards by nesting: the same promise as plain rows, closer together.

Glossary:
    Turned: a piece lies along its board's grain, either way round.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from itertools import groupby

from platelayer.geometry.contours import rectangle
from platelayer.pieces.rim import bridged
from platelayer.placing.grain import turns_along_grain
from platelayer.placing.nesting import Nest, NestBoard, NestItem, nest, offered_mm2, taken_mm2
from platelayer.placing.rows import Apart, place_rows, rimmed
from platelayer.values.pieces import Piece, Placement
from platelayer.values.tooling import Board


def nest_pieces(pieces: Sequence[Piece], boards: Sequence[Board], *, apart: Apart) -> tuple[Placement, ...]:
    """Every piece placed, boards filled in the order given, as few of them as the search finds.

    Distances are those that rows keep. Where there is too little wood, or nesting leaves a piece over, rows
    are tried before the job is refused.

    Args:
        pieces: in the order of the cut list; those of one ``shape`` and the same turns are interchangeable.
        boards: in the order they are filled.
        apart: distances that are kept.

    Raises:
        NoRoom: a piece larger than every board, or more pieces than the boards hold.
    """
    waiting: dict[str, list[int]] = defaultdict(list)
    for index, piece in enumerate(pieces):
        waiting[f"{piece.shape} {piece.turns.value}"].append(index)
    placements: list[Placement] = []
    rims = [rimmed(board, apart.rim_mm) for board in boards]
    taken = math.fsum(
        len(indices) * taken_mm2(pieces[indices[0]].outline, gap_mm=apart.gap_mm) for indices in waiting.values()
    )
    if taken > math.fsum(_offered_mm2(board, apart) for board in rims):
        return place_rows(pieces, boards, apart=apart)
    for key, group in groupby(rims, key=lambda board: (board.grain_rad, board.margin_mm)):
        grain, margin = key
        items = [
            NestItem(
                name=shape,
                outline=bridged(pieces[indices[0]])[0],
                turns_rad=turns_along_grain(pieces[indices[0]], grain_rad=grain),
                count=len(indices),
            )
            for shape, indices in waiting.items()
            if indices
        ]
        result = nest(
            items,
            [_bare(board) for board in group],
            gap_mm=apart.gap_mm,
            margin_mm=margin + apart.clearance_mm,
            no_go_gap_mm=apart.clearance_mm,
        )
        placements += _taken(result, waiting)
    if any(waiting.values()):
        return place_rows(pieces, boards, apart=apart)
    return tuple(sorted(placements, key=lambda placement: placement.index))


def _offered_mm2(board: Board, apart: Apart) -> float:
    room = apart.clearance_mm
    return offered_mm2(_bare(board), gap_mm=apart.gap_mm, margin_mm=board.margin_mm + room, no_go_gap_mm=room)


def _bare(board: Board) -> NestBoard:
    return NestBoard(
        id=board.id,
        outline=board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)),
        no_go=tuple(area.outline for area in board.no_go),
    )


def _taken(result: Nest, waiting: dict[str, list[int]]) -> list[Placement]:
    """Placements given to the waiting pieces of their shape, lowest index first."""
    return [Placement(waiting[one.name].pop(0), one.board_id, one.pose) for one in result.placements]
