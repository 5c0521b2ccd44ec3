"""Contours as polygons and back to plain arrays: shapely is the calculator, entered here and nowhere else.

Glossary:
    area: a shapely geometry, usually a polygon or several. Not the record: a contour is the record.
    chord: largest distance allowed between a polygon's edge and the arc it stands for, stated by the caller.
    ring: closed (n, 2) float64 array in mm, last point equal to the first; outer rings run counter-clockwise.
    slit, sliver: a part thinner than a stated width, usually float noise and never wood.

How arcs become chords: the inner points of an arc are put a little outside its radius, so that the polygon strays
equally far to both sides, never more than the chord; the arc's own ends stay where they are, so that neighbours still
meet. Half as many points do for the same chord, and an area is wrong by a quarter of what an inscribed polygon
loses. An arc so shallow that its bulge is within the chord becomes one straight edge.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from platelayer.geometry.contours import turn_of
from platelayer.tolerances import ANGLE_RAD, COINCIDENT_MM
from platelayer.values.shapes import Arc, Contour, Point, Pose, Region, Segment

Area: TypeAlias = BaseGeometry
"""A shapely geometry in mm; its own methods (area, bounds, is_empty, contains) may be called anywhere."""

Areas: TypeAlias = npt.NDArray[np.object_]
"""(n,) array of areas."""

Floats: TypeAlias = npt.NDArray[np.float64]

_END_CHORD: Final = (2 + math.sqrt(2)) / 4
"""Share of a full chord's angle that the first and last take: there one end is on the arc itself, and with this share
the edge strays inward just as far as a full one. Derived here: -4 a t (1 - t) + t / 2 has the least value -1/2
over t for a = (6 + sqrt(32)) / 16, the square of this share."""

_WIDEST_HALF_CHORD_RAD: Final = math.pi / 6

EMPTY: Final[Area] = shapely.Polygon()
"""Nothing."""


def _half_chord_rad(radius_mm: float, chord_mm: float) -> float:
    """Half the angle of a chord that strays chord_mm to either side: R tan^2(angle / 2) = chord."""
    return min(_WIDEST_HALF_CHORD_RAD, 2 * math.atan(math.sqrt(chord_mm / radius_mm)))


def arc_points(arc: Arc, *, chord_mm: float) -> Floats:
    """(n, 2) points from the arc's start up to but without its end; a full circle's all lie off its start.

    The polygon through them and the arc's end is nowhere further than chord_mm from the arc, on either side.
    """
    radius, sweep = arc.radius_mm, arc.sweep_rad
    centre, start = np.asarray(arc.centre), np.asarray(arc.start)
    if radius * (1 - math.cos(min(sweep, math.pi) / 2)) <= chord_mm and arc.start != arc.end:
        return start[np.newaxis, :]
    half = _half_chord_rad(radius, chord_mm)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    side = 1 if arc.is_ccw else -1
    if arc.start == arc.end:
        count = math.ceil(sweep / (2 * half) - ANGLE_RAD)
        half = sweep / (2 * count)
        turns = first + side * 2 * half * np.arange(count)
        outside = 2 * radius / (1 + math.cos(half))
        return np.asarray(centre + outside * np.column_stack((np.cos(turns), np.sin(turns))))
    count = max(2, math.ceil(sweep / (2 * half) + 2 - 2 * _END_CHORD - ANGLE_RAD))
    half = sweep / (2 * (count - 2 + 2 * _END_CHORD))
    turns = first + side * 2 * half * (np.arange(count - 1) + _END_CHORD)
    outside = 2 * radius / (1 + math.cos(half))
    return np.vstack((start, centre + outside * np.column_stack((np.cos(turns), np.sin(turns)))))


def contour_points(contour: Contour, *, chord_mm: float) -> Floats:
    """(n, 2) points along the contour; the first stands again at the end when it is closed."""
    runs = [_points(segment, chord_mm) for segment in contour.segments]
    points = np.vstack(runs)
    last = points[0] if contour.is_closed else np.asarray(contour.end)
    return np.vstack((points, last))


def _points(segment: Segment, chord_mm: float) -> Floats:
    if isinstance(segment, Arc):
        return arc_points(segment, chord_mm=chord_mm)
    return np.asarray(segment.start, dtype=np.float64)[np.newaxis, :]


def to_area(shape: Contour | Region, *, chord_mm: float) -> Area:
    """The polygon of a closed contour or a region, the polyline of an open contour.

    Arcs are spread to both sides of themselves, see the head of this module; lines are exact.
    """
    if isinstance(shape, Region):
        holes = [contour_points(hole, chord_mm=chord_mm) for hole in shape.holes]
        return shapely.Polygon(contour_points(shape.outer, chord_mm=chord_mm), holes)
    points = contour_points(shape, chord_mm=chord_mm)
    return shapely.Polygon(points) if shape.is_closed else shapely.LineString(points)


def line_through(points: npt.ArrayLike) -> Area:
    """The polyline through (n, 2) points; a point when there is but one or they all coincide."""
    coords = np.asarray(points, dtype=np.float64)
    if len(coords) == 1 or bool(np.all(coords == coords[0])):
        return shapely.Point(coords[0])
    return shapely.LineString(coords)


def is_simple(contour: Contour) -> bool:
    """A closed contour of lines that neither crosses nor touches itself."""
    return bool(shapely.Polygon([segment.start for segment in contour.segments]).is_valid)


def polygon_through(points: npt.ArrayLike) -> Area:
    """The polygon through (n, 2) points, closed of itself."""
    return shapely.Polygon(np.asarray(points, dtype=np.float64))


def box(low: Point, high: Point) -> Area:
    """The upright rectangle between two corners."""
    return shapely.box(low[0], low[1], high[0], high[1])


def points_area(points: npt.ArrayLike) -> Areas:
    """(n,) array of point geometries from (n, 2) points."""
    return np.asarray(shapely.points(np.asarray(points, dtype=np.float64)))


def polygons_from(rings: npt.ArrayLike) -> Areas:
    """(n,) polygons at once from (n, k, 2) rings of equally many points each, closed of themselves."""
    return np.asarray(shapely.polygons(np.asarray(rings, dtype=np.float64)))


def lines_from(coords: npt.ArrayLike, numbers: npt.ArrayLike) -> Areas:
    """Polylines of (n, 2) points by the (n,) rising number of the line of each; steps of noise are left out."""
    lines = shapely.linestrings(np.asarray(coords, dtype=np.float64), indices=np.asarray(numbers))
    return np.asarray(shapely.remove_repeated_points(lines, COINCIDENT_MM))


def discs(centres: npt.ArrayLike, radius_mm: float, *, chord_mm: float) -> Areas:
    """(n,) discs about (n, 2) centres, edges straying at most chord_mm to either side of the circle."""
    middle = np.asarray(centres, dtype=np.float64).reshape(-1, 2)
    count = math.ceil(math.pi / _half_chord_rad(radius_mm, chord_mm) - ANGLE_RAD)
    turns = np.arange(count) * (math.tau / count)
    outside = 2 * radius_mm / (1 + math.cos(math.pi / count))
    rim = outside * np.column_stack((np.cos(turns), np.sin(turns)))
    return polygons_from(middle[:, np.newaxis, :] + rim[np.newaxis, :, :])


def quarter_chords(radius_mm: float, *, chord_mm: float) -> int:
    """How many chords a quarter circle needs so that none is further than chord_mm inside it, at least 2.

    Source:
        chord error h = r (1 - cos(a / 2)), Machinery's Handbook 31, p. 79.
    """
    if chord_mm >= radius_mm:
        return 2
    return max(2, math.ceil(math.pi / 4 / math.acos(1 - chord_mm / radius_mm)))


def buffered(area: Area, distance_mm: float, *, chord_mm: float) -> Area:
    """The area grown by a disc (or eroded, for a negative distance).

    New round edges are chords inside the true arc: growth falls short, and erosion takes too little, by at most
    chord_mm on top of what the area itself strays.
    """
    if distance_mm == 0:
        return area
    return shapely.buffer(area, distance_mm, quad_segs=quarter_chords(abs(distance_mm), chord_mm=chord_mm))


def all_buffered(areas: Areas, distance_mm: float, *, chord_mm: float) -> Areas:
    """(n,) the areas, each grown by itself as ``buffered`` does."""
    return np.asarray(shapely.buffer(areas, distance_mm, quad_segs=quarter_chords(distance_mm, chord_mm=chord_mm)))


def furthest_x(area: Area, *, y: float) -> float:
    """The greatest x at which the area has that y; -inf where it has none."""
    if area.is_empty:
        return -math.inf
    low_x, _, high_x, _ = area.bounds
    crossed = shapely.intersection(area, shapely.LineString(((low_x, y), (high_x, y))))
    return -math.inf if crossed.is_empty else float(crossed.bounds[2])


def as_array(areas: Iterable[Area]) -> Areas:
    """(n,) object array of the areas."""
    return np.fromiter(areas, dtype=np.object_)


def union_all(areas: Iterable[Area]) -> Area:
    """All areas as one."""
    return shapely.union_all(as_array(areas))


def union(first: Area, second: Area) -> Area:
    """What is in either."""
    return shapely.union(first, second)


def difference(first: Area, second: Area) -> Area:
    """What is in the first and not in the second."""
    return shapely.difference(first, second)


def intersection(first: Area, second: Area) -> Area:
    """What is in both."""
    return shapely.intersection(first, second)


def clipped(area: Area, bounds: Sequence[float], by_mm: float) -> Area:
    """What of an area lies in a box, low x and y first, grown by so much."""
    low_x, low_y, high_x, high_y = bounds
    return shapely.clip_by_rect(area, low_x - by_mm, low_y - by_mm, high_x + by_mm, high_y + by_mm)


def parts(area: Area) -> tuple[Area, ...]:
    """The polygons of an area, lines and points dropped, sorted by the low corner of their boxes (x, then y)."""
    found = shapely.get_parts(area)
    found = found[(shapely.get_type_id(found) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(found)]
    if len(found) > 1:
        found = found[np.lexsort((shapely.area(found), *shapely.bounds(found).T[::-1]))]
    return tuple(found.tolist())


def spans(area: Area, start: Point, end: Point) -> tuple[tuple[Point, Point], ...]:
    """The stretches of a straight line inside an area, in order from its start."""
    inside = shapely.get_parts(shapely.intersection(line_through([start, end]), area))
    ends = [
        shapely.get_coordinates(part)[[0, -1]]
        for part in inside
        if part.geom_type == "LineString" and not part.is_empty
    ]
    turned = [(a, b) if np.dot(b - a, np.subtract(end, start)) > 0 else (b, a) for a, b in ends]
    pairs = [((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))) for a, b in turned]
    return tuple(sorted(pairs, key=lambda pair: math.dist(start, pair[0])))


def rings(area: Area) -> tuple[tuple[Floats, ...], ...]:
    """For each polygon, in the order of ``parts``, its rings as closed (n, 2) arrays.

    The outer ring comes first and runs counter-clockwise, holes follow and run clockwise.
    """
    return tuple(
        tuple(np.asarray(shapely.get_coordinates(ring)) for ring in (part.exterior, *part.interiors))
        for part in map(_oriented, parts(area))
    )


def _oriented(polygon: Area) -> Area:
    return shapely.orient_polygons(polygon)


def inner_rings(area: Area) -> tuple[Area, ...]:
    """The rings round all holes of an area, in no stated order."""
    return tuple(ring for part in shapely.get_parts(area) if part.geom_type == "Polygon" for ring in part.interiors)


def without_holes(area: Area) -> Area:
    """The area with its holes filled."""
    return union_all(shapely.Polygon(part.exterior) for part in parts(area))


def moved(area: Area, pose: Pose) -> Area:
    """The area carried along by the pose; an array of areas moves as one."""
    cos, sin = turn_of(pose.heading_rad)
    return shapely.transform(area, lambda points: points @ np.array(((cos, sin), (-sin, cos))) + (pose.x, pose.y))


def prepared(area: Area) -> Area:
    """The same area, indexed in place, so that many questions of distance and containment go fast."""
    shapely.prepare(area)
    return area


def distances_mm(area: Area, points: npt.ArrayLike) -> Floats:
    """(n,) distances of (n, 2) points from the area; 0 inside."""
    return np.asarray(shapely.distance(prepared(area), points_area(points)))


def edge_distances_mm(area: Area, points: npt.ArrayLike) -> Floats:
    """(n,) distances of (n, 2) points from the area's boundary, inside or out."""
    return np.asarray(shapely.distance(prepared(shapely.boundary(area)), points_area(points)))


def holds_points(area: Area, points: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """(n,) which of the (n, 2) points lie inside the area."""
    coords = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.asarray(shapely.contains_xy(prepared(area), coords[:, 0], coords[:, 1]))


def distance_between_mm(first: Area, second: Area) -> float:
    """Least distance between two areas; 0 when they touch or overlap."""
    return float(shapely.distance(first, second))


def distances_between_mm(firsts: Iterable[Area], seconds: Iterable[Area]) -> Floats:
    """(n,) least distances between the areas of two equally long lists, pair by pair."""
    return np.asarray(shapely.distance(as_array(firsts), as_array(seconds)))


def within_mm(areas: Iterable[Area], area: Area, distance_mm: float) -> npt.NDArray[np.bool_]:
    """(n,) which of the areas come nearer than or just to that distance from the one area."""
    return np.asarray(shapely.dwithin(prepared(area), as_array(areas), distance_mm))


def near_pairs(asked: Iterable[Area], among: Iterable[Area], distance_mm: float) -> npt.NDArray[np.intp]:
    """(2, m) pairs of indices, asked and among, of areas no further apart than that; sorted by asked, then among."""
    found = shapely.STRtree(as_array(among)).query(as_array(asked), predicate="dwithin", distance=distance_mm)
    return np.asarray(found[:, np.lexsort((found[1], found[0]))])


def is_thinner_than_mm(area: Area, width_mm: float) -> bool:
    """No disc of that width fits into the area; true for slivers, lines and nothing."""
    # an area below half the square of the width has no room for a disc four fifths as wide
    return area.area < width_mm**2 / 2 or bool(shapely.buffer(area, -width_mm / 2, quad_segs=2).is_empty)


def thickest_mm(area: Area, *, chord_mm: float) -> float:
    """Width of the largest disc that fits into the area, found to chord_mm; 0 for lines and nothing."""
    found = [shapely.maximum_inscribed_circle(part, tolerance=chord_mm / 2) for part in parts(area)]
    return 2 * max((float(shapely.length(radius)) for radius in found), default=0.0)


def inner_point(area: Area) -> Point:
    """A point that lies in the area itself: its centroid where that is inside, else one on a cut through it."""
    point = shapely.centroid(area)
    if not shapely.intersects(area, point):
        point = shapely.point_on_surface(area)
    return float(point.x), float(point.y)


def nearest_point(area: Area, point: Point) -> Point:
    """The point of an area that lies nearest to a given one."""
    found = shapely.get_point(shapely.shortest_line(area, shapely.Point(point)), 0)
    return float(found.x), float(found.y)


def corners_within_mm(areas: Iterable[Area], design: Area, distance_mm: float) -> npt.NDArray[np.bool_]:
    """(n,) whether each area's own corners all stand out of the design by no more than that."""
    asked = as_array(areas)
    points, owner = shapely.get_coordinates(asked, return_index=True)
    found = np.ones(len(asked), np.bool_)
    np.logical_and.at(found, owner, within_mm(points_area(points), design, distance_mm))
    return found


def furthest_outside_mm(area: Area, design: Area, *, chord_mm: float) -> float:
    """How far the area stands out of the design at most, within two chords: wood left, as a distance; 0 for none."""
    if area.is_empty:
        return 0.0
    found = float(distances_mm(design, shapely.get_coordinates(area)).max())
    x0, y0, x1, y1 = area.bounds
    reach = found + math.hypot(x1 - x0, y1 - y0) + chord_mm
    around = clipped(design, (x0, y0, x1, y1), reach)

    def is_reached(distance_mm: float) -> bool:
        return not shapely.is_empty(difference(area, buffered(around, distance_mm, chord_mm=chord_mm / 2)))

    low, step = found, chord_mm
    if not is_reached(low + step):  # mostly it is at a corner
        return found
    while is_reached(low + step):
        low, step = low + step, 2 * step
    high = low + step
    while high - low > chord_mm / 2:
        middle = (low + high) / 2
        low, high = (middle, high) if is_reached(middle) else (low, middle)
    return low


def first_runs_mm(
    area: Area, points: npt.ArrayLike, directions: npt.ArrayLike, *, reach_mm: float, begins_mm: float
) -> Floats:
    """(n,) lengths of the first stretch of an area that lies straight out from each point.

    Args:
        area: asked.
        points: (n, 2) mm.
        directions: (n, 2) of length 1.
        reach_mm: no stretch is followed further than this from its point.
        begins_mm: a stretch that begins further out than this counts as none, 0.
    """
    starts, out = np.asarray(points, dtype=np.float64), np.asarray(directions, dtype=np.float64)
    rays = shapely.linestrings(np.stack((starts, starts + reach_mm * out), axis=1))
    pieces, owners = shapely.get_parts(shapely.intersection(rays, area), return_index=True)
    found = np.zeros(len(starts))
    is_line = shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING
    pieces, owners = pieces[is_line & ~shapely.is_empty(pieces)], owners[is_line & ~shapely.is_empty(pieces)]
    begins = shapely.distance(shapely.points(starts[owners]), pieces)
    for at in np.lexsort((-begins, owners)).tolist():  # the nearest of each ray comes last
        found[owners[at]] = shapely.length(pieces[at]) if begins[at] <= begins_mm else 0.0
    return found
