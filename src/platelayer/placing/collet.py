"""Room for shank and holder beside what stands up on a board: they are wider than the bit and come down to it.

Glossary:
    wide part: shank or holder: how far above the wood its lower end is when the bit is deepest, and how much further
    than the room it reaches from a piece.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.geometry.contours import polygon
from platelayer.geometry.no_fit import cover
from platelayer.geometry.regions import buffered, rings
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.tooling import Board, NoGo

_CHORD_MM: Final = 0.05


def with_collet_clearance(boards: Sequence[Board], parts: Sequence[tuple[float, float]]) -> tuple[Board, ...]:
    """The boards as pieces are laid on them: no-go areas grown for every wide part that comes lower than their height.

    Args:
        boards: as the person described them.
        parts: wide parts of all bits, each a height above the wood and mm beyond the room.
    """
    return tuple(replace(board, no_go=tuple(_grown(area, parts) for area in board.no_go)) for board in boards)


def with_knot_rims(boards: Sequence[Board], *, web_mm: float) -> tuple[Board, ...]:
    """The boards as pieces are laid on them: a web of wood is kept round every knot, which may fall out."""
    return tuple(
        replace(board, no_go=tuple(area if area.height_mm else _wider(area, web_mm) for area in board.no_go))
        for board in boards
    )


def _grown(area: NoGo, parts: Sequence[tuple[float, float]]) -> NoGo:
    more = max((beyond for height, beyond in parts if height < area.height_mm - COINCIDENT_MM), default=0.0)
    return _wider(area, more) if more > 0 else area


def _wider(area: NoGo, more_mm: float) -> NoGo:
    around = buffered(cover(area.outline, chord_mm=_CHORD_MM), more_mm + _CHORD_MM, chord_mm=_CHORD_MM)
    (ring, *_), *_ = rings(around)
    return replace(area, outline=polygon([(float(x), float(y)) for x, y in ring[:-1]]))
