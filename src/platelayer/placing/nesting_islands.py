"""Waste that the kerfs round pieces cut off from the rest of the board."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from platelayer.geometry.regions import Area, all_buffered, difference, inner_point, parts, thickest_mm, union_all
from platelayer.tolerances import SLUG_WIDTH_MM
from platelayer.values.shapes import Point

_CHORD_MM: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Island:
    """Waste cut off: a point in it, its area, the width of the largest disc in it, and whether it meets the edge."""

    at: Point
    area_mm2: float
    thickest_mm: float
    meets_edge: bool


def islands_on(board: Area, pieces: Sequence[Area], *, kerf_mm: float) -> tuple[Island, ...]:
    """All waste but the largest part, once every piece has its kerf cut round it; sorted by x, then y.

    The largest part is what is clamped. Parts thinner than SLUG_WIDTH_MM everywhere are dust and not listed.
    """
    cut = union_all(all_buffered(pieces, kerf_mm, chord_mm=_CHORD_MM))
    waste = sorted(parts(difference(board, cut)), key=lambda part: part.area)
    edge = board.boundary
    found = []
    for part in waste[:-1]:
        thickest = thickest_mm(part, chord_mm=_CHORD_MM)
        if thickest >= SLUG_WIDTH_MM:
            found.append(
                Island(
                    at=inner_point(part),
                    area_mm2=float(part.area),
                    thickest_mm=thickest,
                    meets_edge=bool(part.intersects(edge)),
                )
            )
    return tuple(sorted(found, key=lambda island: island.at))
