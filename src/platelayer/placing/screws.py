"""Screws that hold a board down: near its corners, along its edges where it is long, in its middle where it is wide.

Glossary:
    head: the disc that no bit may come into. seat: where a screw may stand: a head's width and a little from the edge.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import circle, rectangle
from platelayer.geometry.regions import Area, buffered, distance_between_mm, nearest_point, parts, points_area, to_area
from platelayer.tolerances import FLATTEN_CHORD_MM, LEFTOVER_MM
from platelayer.units import show_length
from platelayer.values.shapes import Point
from platelayer.values.tooling import Board, Holding, NoGo, StockBy

FROM_EDGE_MM: Final = 4.0
"""Wood between a screw's head and the board's edge, or the board splits; common practice, no source."""

_FEWEST: Final = 2


def with_screws(boards: Sequence[Board], holding: Holding) -> tuple[Board, ...]:
    """The boards with a no-go disc as wide as the head for every screw; unchanged where no screws hold them.

    Raises:
        CannotCut: a board on which fewer than two screws find a place.
    """
    if holding.stock is not StockBy.SCREWS:
        return tuple(boards)
    places = {board.id: screw_places(board, head_mm=holding.screw_head_mm, span_mm=holding.span_mm) for board in boards}
    faults = [_too_few(board, holding) for board in boards if len(places[board.id]) < _FEWEST]
    if faults:
        raise CannotCut(*faults)
    return tuple(
        replace(
            board,
            no_go=(
                *board.no_go,
                *(
                    NoGo(circle(at, holding.screw_head_mm / 2), holding.screw_rise_mm, f"screw {number}")
                    for number, at in enumerate(places[board.id], start=1)
                ),
            ),
        )
        for board in boards
    )


def screw_places(board: Board, *, head_mm: float, span_mm: float) -> tuple[Point, ...]:
    """Middles of the screws, row by row from the zero corner; none in the person's own no-go areas.

    They stand in a square pattern no wider than the span, or as near to it as the board's edges let them.
    """
    whole = rectangle((0.0, 0.0), (board.width_mm, board.height_mm))
    wood = to_area(board.outline or whole, chord_mm=FLATTEN_CHORD_MM)
    seat = buffered(wood, -(head_mm / 2 + FROM_EDGE_MM), chord_mm=FLATTEN_CHORD_MM)
    if not parts(seat):
        return ()
    taken = [to_area(area.outline, chord_mm=FLATTEN_CHORD_MM) for area in board.no_go]
    found: list[Point] = []
    for target in _targets(board, span_mm):
        at = nearest_point(seat, target)
        if _is_free(at, taken, found, head_mm):
            found.append(at)
    return tuple(found)


def _targets(board: Board, span_mm: float) -> list[Point]:
    """Corners of the board's box, and places between them along x and y, row by row from the zero corner."""
    across, along = (max(1, math.ceil(side / span_mm)) for side in (board.width_mm, board.height_mm))
    return [
        (board.width_mm * column / across, board.height_mm * row / along)
        for row in range(along + 1)
        for column in range(across + 1)
    ]


def _is_free(at: Point, taken: Sequence[Area], found: Sequence[Point], head_mm: float) -> bool:
    point = points_area([at])[0]
    clear = all(distance_between_mm(point, area) >= head_mm / 2 - LEFTOVER_MM for area in taken)
    return clear and all(math.dist(at, other) >= 2 * head_mm for other in found)


def _too_few(board: Board, holding: Holding) -> Fault:
    head = show_length(holding.screw_head_mm)
    return Fault(
        where="[holding] stock",
        found="screws",
        problem=f"board {board.id} has no room for two screws with heads of {head} beside its no-go areas",
        fix='Use smaller screws, or hold it otherwise: stock = "clamps", "tape" or "vacuum".',
    )
