"""What holds a board down, from the manifest alone: clamps and screws where they stand, or tape or a vacuum all over.

Glossary:
    hold: a no-go area that rises above the wood: a clamp or a screw. A knot rises nothing and holds nothing.
    span: side of the square that has a hold at each corner and its middle as far from them as the worst place of the
        pieces is from its nearest hold; so holds in a square of that pitch have it as their span.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.contours import bounds
from platelayer.geometry.regions import distances_mm, to_area, union_all
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.tolerances import LEFTOVER_MM
from platelayer.values.shapes import Point
from platelayer.values.tooling import NoGo

_GRID: Final = 48
"""Places asked along either side of what the pieces take up; the span is found to a fiftieth of that side."""

PRESSED_ALL_OVER: Final = ("tape", "vacuum")
"""What holds a board at every place."""


@dataclass(frozen=True, slots=True)
class Span:
    """The widest span between holds, and the place that lies furthest from any."""

    span_mm: float
    point: Point


def holds_of(board: ManifestBoard) -> tuple[NoGo, ...]:
    """The clamps and screws that stand on a board."""
    return tuple(area for area in board.no_go if area.height_mm > 0)


def widest_span(manifest: Manifest, board: ManifestBoard) -> Span | None:
    """The widest span between a board's clamps or screws where its pieces lie; None without holds or pieces.

    Source:
        derived here: the middle of a square of side s is s / sqrt(2) from its corners.
    """
    boxes = [bounds(piece.outline) for piece in manifest.pieces if piece.board == board.id]
    holds = [to_area(area.outline, chord_mm=LEFTOVER_MM) for area in holds_of(board)]
    if not boxes or not holds:
        return None
    low, high = np.asarray(boxes)[:, :2].min(axis=0), np.asarray(boxes)[:, 2:].max(axis=0)
    axes = [np.linspace(low[axis], high[axis], _GRID) for axis in (0, 1)]
    points = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    away = distances_mm(union_all(holds), points)
    at = int(away.argmax())
    return Span(float(away[at]) * math.sqrt(2), (float(points[at, 0]), float(points[at, 1])))
