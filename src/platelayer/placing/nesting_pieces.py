"""A job's pieces onto its boards by nesting: the same promise as plain rows, closer together.

Glossary:
    room, web: as in ``placing``. Turned: a piece lies along its board's grain, either way round.
"""

from collections import defaultdict
from collections.abc import Sequence
from itertools import groupby
from typing import Final

from platelayer.geometry.contours import (
    inverse_pose,
    polygon,
    rectangle,
    segment_bounds,
    transform_contour,
    transform_point,
)
from platelayer.geometry.regions import rings, to_area, union_all
from platelayer.placing.grain import turns_along_grain
from platelayer.placing.nesting import Nest, NestBoard, NestItem, nest
from platelayer.placing.nesting_forms import COVER_CHORD_MM
from platelayer.placing.rows import gap_between_mm, place_rows
from platelayer.values.pieces import EndKind, Piece, Placement, Role
from platelayer.values.shapes import Contour, Point
from platelayer.values.tooling import Board

TRIES: Final = 120
"""Fillings tried where one board is not enough: about a second and a half for sixty pieces."""


def nest_pieces(
    pieces: Sequence[Piece],
    boards: Sequence[Board],
    *,
    room_mm: float,
    web_mm: float | None,
    no_go_gap_mm: float | None = None,
    tries: int = TRIES,
) -> tuple[Placement, ...]:
    """Every piece placed, boards filled in the order given, as few of them as the search finds.

    Kerfs have at least the web between them, so that all waste stays one frame, and no-go areas are kept clear. Where
    nesting leaves a piece over, rows are tried before the job is refused.

    Args:
        pieces: in the order of the cut list; those of one ``shape`` and the same turns are interchangeable.
        boards: in the order they are filled.
        room_mm: clear width the bit needs round a piece.
        web_mm: wood between two kerfs; None where a skin holds all waste: all but the joints
            share kerfs then.
        no_go_gap_mm: from a piece to a no-go area; the room when None.
        tries: fillings tried when one board is not enough.

    Raises:
        CannotCut: a piece larger than every board, or more pieces than the boards hold.
    """
    waiting: dict[str, list[int]] = defaultdict(list)
    for index, piece in enumerate(pieces):
        waiting[f"{piece.shape} {piece.turns.value}"].append(index)
    placements: list[Placement] = []
    for key, group in groupby(boards, key=lambda board: (board.grain_rad, board.margin_mm)):
        grain, margin = key
        items = [
            NestItem(
                name=shape,
                outline=pieces[indices[0]].outline if web_mm is not None else padded(pieces[indices[0]], room_mm),
                turns_rad=turns_along_grain(pieces[indices[0]], grain_rad=grain),
                count=len(indices),
            )
            for shape, indices in waiting.items()
            if indices
        ]
        result = nest(
            items,
            [_bare(board) for board in group],
            gap_mm=room_mm if web_mm is None else gap_between_mm(room_mm, web_mm),
            margin_mm=margin + room_mm,
            no_go_gap_mm=room_mm if no_go_gap_mm is None else no_go_gap_mm,
            tries=tries,
        )
        placements += _taken(result, waiting)
    if any(waiting.values()):
        return place_rows(pieces, boards, room_mm=room_mm, web_mm=web_mm)
    return tuple(sorted(placements, key=lambda placement: placement.index))


def padded(piece: Piece, room_mm: float) -> Contour:
    """The piece's outline as a polygon with a pad half a room thick before every joint.

    Joints are cut right through even where a skin is left. Pieces a room apart with these pads have their joints two
    rooms apart, so that the cuts of two joints never meet and free a scrap between them.
    """
    areas = [to_area(piece.outline, chord_mm=COVER_CHORD_MM)]
    for index, end in enumerate(piece.ends):
        if end.kind is EndKind.PLAIN:
            continue
        home = inverse_pose(end.pose)
        local = [transform_point(point, home) for point in _peg_points(piece, index)] or [(0.0, 0.0)]
        reach = max(x for x, _ in local) + room_mm / 2
        aside = max(abs(y) for _, y in local) + room_mm
        pad = rectangle((-COVER_CHORD_MM, -aside), (reach, aside))
        areas.append(to_area(transform_contour(pad, end.pose), chord_mm=COVER_CHORD_MM))
    (ring, *_), *_ = rings(union_all(areas))
    return polygon([(float(x), float(y)) for x, y in ring[:-1]])


def _peg_points(piece: Piece, index: int) -> list[Point]:
    """Corners of the joint of an end, peg or socket, that lie on its outline."""
    pairs = zip(piece.outline.segments, piece.labels, strict=True)
    found = [segment for segment, label in pairs if label.end == index and label.role in _JOINT_ROLES]
    boxes = [segment_bounds(segment) for segment in found]
    return [
        corner
        for low_x, low_y, high_x, high_y in boxes
        for corner in ((low_x, low_y), (high_x, high_y), (low_x, high_y), (high_x, low_y))
    ]


_JOINT_ROLES: Final = (Role.PEG, Role.RELIEF, Role.SOCKET, Role.EASE)


def _bare(board: Board) -> NestBoard:
    return NestBoard(
        id=board.id,
        outline=board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)),
        no_go=tuple(area.outline for area in board.no_go),
    )


def _taken(result: Nest, waiting: dict[str, list[int]]) -> list[Placement]:
    """Placements given to the waiting pieces of their shape, lowest index first."""
    return [Placement(waiting[one.name].pop(0), one.board_id, one.pose) for one in result.placements]
