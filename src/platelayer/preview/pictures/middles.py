"""Where print goes on a piece: a place in its wood, the heading there, and how much room is beside it.

Glossary:
    main route: the first of a piece's routes. Not the longest: a piece is drawn as its kind lists it.
"""

import math
from dataclasses import dataclass
from typing import Final

from platelayer.geometry.contours import bounds, heading_along, point_along
from platelayer.geometry.regions import holds_points, inner_point, to_area
from platelayer.manifest.schema import ManifestPiece
from platelayer.pieces.routes import routes_through
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Line, Point, Region


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """Where print goes: the place, the heading of the print, the length to print along, and sockets at its ends."""

    at: Point
    heading_rad: float
    length_mm: float
    sockets: tuple[bool, bool]


def middle(piece: ManifestPiece) -> Middle:
    """Half way along its main route; for a piece without one, in the middle of its wood, along its longest straight."""
    routes = routes_through(piece.ends, piece.grooves)
    if not routes:
        return _in_the_wood(piece)
    route, along = routes[0], routes[0].length_mm / 2
    first, last = (piece.ends[index].kind is EndKind.SOCKET for index in route.ends)
    return Middle(
        at=point_along(route.path, along),
        heading_rad=heading_along(route.path, along),
        length_mm=route.length_mm,
        sockets=(first, last),
    )


def _in_the_wood(piece: ManifestPiece) -> Middle:
    wood = to_area(Region(piece.outline, piece.inner), chord_mm=FLATTEN_CHORD_MM)
    low_x, low_y, high_x, high_y = bounds(piece.outline)
    at = ((low_x + high_x) / 2, (low_y + high_y) / 2)
    if not holds_points(wood, [at])[0]:
        at = inner_point(wood)
    lines = [segment for segment in piece.outline.segments if isinstance(segment, Line)]
    longest = max(lines, key=lambda line: round(line.length_mm, _ALIKE_DIGITS), default=None)
    heading = piece.pose.heading_rad if longest is None else _heading(longest)
    return Middle(at=at, heading_rad=heading, length_mm=piece.length_mm, sockets=(False, False))


_ALIKE_DIGITS: Final = 6
"""Sides whose lengths agree to so many digits after the point are of one length; the first of them counts."""


def _heading(line: Line) -> float:
    return math.atan2(line.end[1] - line.start[1], line.end[0] - line.start[0])
