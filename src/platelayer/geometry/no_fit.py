"""Where one shape may lie beside another: Minkowski sums of outlines, for laying pieces onto boards.

Glossary:
    cover: a polygon round a contour that holds all of it; straight edges stay exact, outward arcs become tangents and
    inward arcs chords, so nothing of the shape is ever outside.
    no-fit area: places of a moving shape's origin at which it comes nearer to a fixed shape than the gap. Not the
    shape grown: it depends on both shapes.
    room: places of a moving shape's origin at which all of it lies inside a container.

Turning is done before: a shape here only shifts. The sum of two outlines is the union of the sums of all
pairs of their convex parts, with what it encloses; a moving shape locked up inside a cavity counts as not fitting.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from platelayer.geometry.regions import EMPTY, Area, buffered, parts, union_all, without_holes
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.shapes import Arc, Contour

Floats = npt.NDArray[np.float64]
Parts = Sequence[Floats]
"""Convex rings that together make a shape."""

_WIDEST_TANGENT_RAD: Final = math.pi / 4
_THIN_MM: Final = COINCIDENT_MM / 8


def cover(outline: Contour, *, chord_mm: float) -> Area:
    """A polygon that holds the whole of a closed counter-clockwise contour and strays at most chord_mm outside it."""
    runs = [
        _cover_points(segment, chord_mm=chord_mm)
        if isinstance(segment, Arc)
        else np.asarray(segment.start)[np.newaxis, :]
        for segment in outline.segments
    ]
    return shapely.Polygon(np.vstack(runs))


def _cover_points(arc: Arc, *, chord_mm: float) -> Floats:
    """The arc's start and inner points: tangents' crossings for an outward (ccw) arc, points on it for an inward."""
    centre, radius = np.asarray(arc.centre), arc.radius_mm
    if arc.is_ccw:
        widest = 2 * math.acos(radius / (radius + chord_mm))
    else:
        widest = 2 * math.acos(max(0.0, 1 - chord_mm / radius))
    count = max(1, math.ceil(arc.sweep_rad / min(widest, 2 * _WIDEST_TANGENT_RAD)))
    step = arc.sweep_rad / count * (1 if arc.is_ccw else -1)
    first = math.atan2(arc.start[1] - centre[1], arc.start[0] - centre[0])
    if arc.is_ccw:
        turns, out = first + step * (np.arange(count) + 0.5), radius / math.cos(step / 2)
    else:
        turns, out = first + step * np.arange(1, count), radius
    inner = centre + out * np.column_stack((np.cos(turns), np.sin(turns)))
    return np.vstack((np.asarray(arc.start), inner))


def filled(area: Area, radius_mm: float, *, chord_mm: float) -> Area:
    """The area with all cavities filled that a disc of that radius cannot enter from outside."""
    grown = buffered(area, radius_mm, chord_mm=chord_mm)
    closed = union_all((buffered(grown, -radius_mm, chord_mm=chord_mm), area))
    return without_holes(shapely.simplify(closed, COINCIDENT_MM))


def outer_ring(area: Area) -> Floats:
    """(n, 2) outer ring of a single polygon, counter-clockwise, last point equal to the first."""
    (single,) = parts(area)
    return np.asarray(shapely.get_coordinates(shapely.orient_polygons(single).exterior))


def no_fit(fixed: Parts, moving: Parts, *, gap_mm: float, chord_mm: float) -> Area:
    """Places of the moving shape's origin, the fixed one standing still, at which they come nearer than the gap.

    Outside the result the distance is at least gap_mm and, on its edge, at most gap_mm + 2 chord_mm.

    Args:
        fixed: its convex parts.
        moving: its convex parts.
        gap_mm: least distance wanted.
        chord_mm: how much further than the gap straight edges are kept.
    """
    near = _sums(fixed, [-part for part in moving])
    return buffered(without_holes(near), gap_mm + chord_mm, chord_mm=chord_mm)


def _sums(first: Sequence[Floats], second: Sequence[Floats]) -> Area:
    """The union of the Minkowski sums of each of the first convex sets of points with each of the second."""
    sums = [(a[:, np.newaxis, :] + b[np.newaxis, :, :]).reshape(-1, 2) for a in first for b in second]
    owners = np.repeat(np.arange(len(sums)), [len(points) for points in sums])
    return union_all(shapely.convex_hull(shapely.multipoints(np.vstack(sums), indices=owners)))


def convex_parts(area: Area) -> tuple[Floats, ...]:
    """Convex polygons that together make a single polygon without holes, as (n, 2) open counter-clockwise rings.

    Triangles, joined across a shared edge as long as the result is convex.
    """
    corners_of = outer_ring(area)[:-1]
    number = {tuple(corner): index for index, corner in enumerate(corners_of.tolist())}
    rings: dict[int, list[int]] = {}
    side: dict[tuple[int, int], int] = {}
    for owner, triangle in enumerate(shapely.get_parts(shapely.constrained_delaunay_triangles(area))):
        ring = [number[tuple(corner)] for corner in outer_ring(triangle)[:-1].tolist()]
        rings[owner] = ring
        side.update(dict.fromkeys(_sides(ring), owner))
    for a, b in sorted(side):
        if a < b and (b, a) in side and side[a, b] != side[b, a]:
            kept, taken = side[a, b], side[b, a]
            ring = _joined(rings[kept], rings[taken], a, b)
            if _is_convex(corners_of[ring]):
                rings[kept] = ring
                del rings[taken]
                side.update(dict.fromkeys(_sides(ring), kept))
    return tuple(corners_of[ring] for ring in rings.values())


def _sides(ring: list[int]) -> list[tuple[int, int]]:
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def _joined(first: list[int], second: list[int], a: int, b: int) -> list[int]:
    """Two rings as one across the side that runs from a to b in the first and from b to a in the second."""
    at, back = first.index(b), second.index(a)
    return first[at:] + first[:at] + (second[back:] + second[:back])[1:-1]


def _is_convex(ring: Floats) -> bool:
    along = np.roll(ring, -1, axis=0) - ring
    then = np.roll(along, -1, axis=0)
    return bool(np.all(along[:, 0] * then[:, 1] - along[:, 1] * then[:, 0] >= 0))


def room_for(container: Area, moving: Parts) -> Area:
    """Places of a shape's origin at which it lies in the container, touching its edge at most.

    The shape is given by its convex parts. A room without width (a piece that fits exactly) is kept COINCIDENT_MM wide.
    """
    loose = shapely.buffer(container, COINCIDENT_MM, join_style="mitre")
    if loose.is_empty:
        return loose
    away = [-part for part in moving]
    rims = [shapely.get_coordinates(ring) for part in parts(loose) for ring in (part.exterior, *part.interiors)]
    edges = [rim[i : i + 2] for rim in rims for i in range(len(rim) - 1)]
    return less(shifted(loose, *away[0][0]), _sums(edges, away))


def less(room: Area, taken: Area) -> Area:
    """The room without what is taken, parts thinner than an eighth of COINCIDENT_MM dropped.

    Such parts are float noise and outlive every further subtraction, so that pieces would pile up on them.
    """
    left = shapely.difference(room, taken)
    pieces = shapely.get_parts(left)
    is_room = shapely.area(pieces) > _THIN_MM / 2 * shapely.length(pieces)
    if is_room.all():
        return left
    return shapely.multipolygons(pieces[is_room]) if is_room.any() else EMPTY


def shifted(area: Area, x: float, y: float) -> Area:
    """The area moved by x and y."""
    by = np.array((x, y))
    return shapely.transform(area, lambda points: points + by)


def corners(area: Area) -> Floats:
    """(n, 2) corners of the polygons of an area, in no stated order; no rows when it has none."""
    return np.asarray(shapely.get_coordinates(area))
