"""The table by which a layout is set out on the floor: every joint by its distances from two corners.

Glossary:
    corner: one of two points from which tapes are held; the near corners of the room, or marks where it has no size.
"""

import math
from typing import Final

from platelayer.floor_road.ground import Ground
from platelayer.units import show_length
from platelayer.values.shapes import Point

_MARK_MM: Final = 2000.0
"""Where a room has no size, the second mark is put so far to the right of the first."""

HEAD: Final = ("joint", "from the left corner", "from the right corner", "heading")


def corners_of(ground: Ground) -> tuple[Point, Point]:
    """The near corners of the room; where it has no size, the place of zero and a mark beside it."""
    size = ground.floor.size_mm
    return (0.0, 0.0), ((_MARK_MM if size is None else size[0]), 0.0)


def rows_of(ground: Ground) -> list[tuple[str, ...]]:
    """A row for the place where each stretch begins and for each end that a piece is left by, lengths as marks."""
    corners = corners_of(ground)
    rows = []
    seen: set[str] = set()
    for piece in ground.laid.pieces:
        if piece.stretch not in seen:
            seen.add(piece.stretch)
            rows.append(_row(f"{piece.stretch} begins", piece.entry.pose.x, piece.entry.pose.y, math.nan, corners))
        end = piece.exit
        rows.append(_row(f"{piece.id}.{end.name}", end.pose.x, end.pose.y, end.pose.heading_rad, corners))
    return rows


def _row(name: str, x: float, y: float, heading_rad: float, corners: tuple[Point, Point]) -> tuple[str, ...]:
    heading = "" if math.isnan(heading_rad) else f"{math.degrees(heading_rad) + 0.0:.1f} degrees"
    return (name, *(show_length(math.dist((x, y), corner)) for corner in corners), heading)


def corner_words(ground: Ground) -> str:
    """Where the tapes are held."""
    if ground.floor.size_mm is None:
        return f"The left corner is a mark on the floor, the right one a mark {show_length(_MARK_MM)} to its right."
    return "Corners are those at the near end of the room."
