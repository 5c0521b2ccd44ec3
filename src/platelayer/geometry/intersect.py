"""Where segments meet, and how far points lie from them: exact for lines and circular arcs.

Glossary:
    crossing: a point that two segments share, an end or a touch counted too. Not an overlap, which is a stretch.
    ratio: place on a segment, 0 at its start and 1 at its end, in proportion to length.
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from platelayer.geometry.contours import segment_bounds, segment_point
from platelayer.tolerances import COINCIDENT_MM, TOUCH_MM
from platelayer.values.shapes import Arc, Line, Point, Segment

Floats = npt.NDArray[np.float64]


def direction_at(segment: Segment, place_ratio: float) -> Point:
    """The unit vector of travel at a ratio of the segment's length."""
    if isinstance(segment, Line):
        length = segment.length_mm
        return ((segment.end[0] - segment.start[0]) / length, (segment.end[1] - segment.start[1]) / length)
    x, y = segment_point(segment, place_ratio)
    ux, uy = x - segment.centre[0], y - segment.centre[1]
    radius = math.hypot(ux, uy)
    return (-uy / radius, ux / radius) if segment.is_ccw else (uy / radius, -ux / radius)


def ratio_of(segment: Segment, point: Point) -> float:
    """The ratio at which a point lies that is known to be on the segment; 0 or 1 within COINCIDENT_MM of an end."""
    if math.dist(point, segment.start) <= COINCIDENT_MM:
        return 0.0
    if math.dist(point, segment.end) <= COINCIDENT_MM:
        return 1.0
    if isinstance(segment, Line):
        (x0, y0), (x1, y1) = segment.start, segment.end
        return ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / ((x1 - x0) ** 2 + (y1 - y0) ** 2)
    return _turn_to(segment, point) / segment.sweep_rad


def _turn_to(arc: Arc, point: Point) -> float:
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    here = math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0])
    return ((here - first) if arc.is_ccw else (first - here)) % math.tau


def crossings(first: Segment, second: Segment) -> tuple[Point, ...]:
    """The points that two segments share, each once; of an overlap its ends.

    A touch counts when the gap is at most TOUCH_MM; an end counts when it lies within COINCIDENT_MM of the other.
    """
    if isinstance(first, Line):
        found = _line_line(first, second) if isinstance(second, Line) else _line_arc(first, second)
    else:
        found = _line_arc(second, first) if isinstance(second, Line) else _arc_arc(first, second)
    kept: list[Point] = []
    for point in found:
        if not _is_on(first, point) or not _is_on(second, point):
            continue
        if all(math.dist(point, other) > COINCIDENT_MM for other in kept):
            kept.append(point)
    return tuple(kept)


def _is_on(segment: Segment, point: Point) -> bool:
    """Whether a point of the segment's carrier lies on the segment, ends widened by COINCIDENT_MM."""
    if math.dist(point, segment.start) <= COINCIDENT_MM or math.dist(point, segment.end) <= COINCIDENT_MM:
        return True
    if isinstance(segment, Line):
        (x0, y0), (x1, y1) = segment.start, segment.end
        along = (point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)
        return 0.0 <= along <= (x1 - x0) ** 2 + (y1 - y0) ** 2
    return _turn_to(segment, point) <= segment.sweep_rad


def _line_line(first: Line, second: Line) -> tuple[Point, ...]:
    (x0, y0), (x1, y1) = first.start, first.end
    (x2, y2), (x3, y3) = second.start, second.end
    ux, uy, vx, vy = x1 - x0, y1 - y0, x3 - x2, y3 - y2
    cross = ux * vy - uy * vx
    long = math.hypot(ux, uy) * math.hypot(vx, vy)
    if abs(cross) <= TOUCH_MM * long:
        return _overlap_ends(first, second, abs(ux * (y2 - y0) - uy * (x2 - x0)) / math.hypot(ux, uy))
    along = ((x2 - x0) * vy - (y2 - y0) * vx) / cross
    return ((x0 + along * ux, y0 + along * uy),)


def _overlap_ends(first: Segment, second: Segment, gap_mm: float) -> tuple[Point, ...]:
    if gap_mm > COINCIDENT_MM:
        return ()
    return (first.start, first.end, second.start, second.end)


def _line_arc(line: Line, arc: Arc) -> tuple[Point, ...]:
    length = line.length_mm
    ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    wx, wy = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along, aside, radius = wx * ux + wy * uy, wx * uy - wy * ux, arc.radius_mm
    if abs(aside) > radius + TOUCH_MM:
        return ()
    half = math.sqrt(max(0.0, (radius - aside) * (radius + aside)))
    x, y = line.start[0] + along * ux, line.start[1] + along * uy
    if half <= COINCIDENT_MM:
        return ((x, y),)
    return ((x - half * ux, y - half * uy), (x + half * ux, y + half * uy))


def _arc_arc(first: Arc, second: Arc) -> tuple[Point, ...]:
    r1, r2 = first.radius_mm, second.radius_mm
    (x1, y1), (x2, y2) = first.centre, second.centre
    apart = math.dist(first.centre, second.centre)
    if apart <= COINCIDENT_MM:
        return _overlap_ends(first, second, abs(r1 - r2))
    if apart > r1 + r2 + TOUCH_MM or apart < abs(r1 - r2) - TOUCH_MM:
        return ()
    ux, uy = (x2 - x1) / apart, (y2 - y1) / apart
    along = (apart + (r1 - r2) * (r1 + r2) / apart) / 2
    half = math.sqrt(max(0.0, (r1 - along) * (r1 + along)))
    x, y = x1 + along * ux, y1 + along * uy
    if half <= COINCIDENT_MM:
        return ((x, y),)
    return ((x - half * uy, y + half * ux), (x + half * uy, y - half * ux))


def bounds_of(segments: Sequence[Segment]) -> Floats:
    """Least boxes round the segments.

    Returns:
        ``(n, 4)`` float64: least x, least y, greatest x, greatest y, mm.
    """
    return np.array([segment_bounds(segment) for segment in segments], dtype=np.float64).reshape(-1, 4)


def distances_mm(points: Floats, segments: Sequence[Segment]) -> Floats:
    """Exact distances of points from segments.

    Args:
        points: ``(n, 2)`` float64, mm.
        segments: m of them.

    Returns:
        ``(n, m)`` float64, mm.
    """
    ends = np.array([(*segment.start, *segment.end) for segment in segments], dtype=np.float64).reshape(-1, 4)
    start, end = ends[:, :2], ends[:, 2:]
    px, py = points[:, 0, None], points[:, 1, None]
    ux, uy = end[:, 0] - start[:, 0], end[:, 1] - start[:, 1]
    square = np.maximum(ux * ux + uy * uy, np.finfo(np.float64).tiny)
    along = np.clip(((px - start[:, 0]) * ux + (py - start[:, 1]) * uy) / square, 0.0, 1.0)
    result = np.hypot(px - start[:, 0] - along * ux, py - start[:, 1] - along * uy)
    is_arc = [index for index, segment in enumerate(segments) if isinstance(segment, Arc)]
    if is_arc:
        result[:, is_arc] = _arc_distances(px, py, [s for s in segments if isinstance(s, Arc)])
    return result


def _arc_distances(px: Floats, py: Floats, arcs: Sequence[Arc]) -> Floats:
    cx, cy = np.array([arc.centre for arc in arcs]).T
    sx, sy = np.array([arc.start for arc in arcs]).T
    ex, ey = np.array([arc.end for arc in arcs]).T
    sense = np.array([1.0 if arc.is_ccw else -1.0 for arc in arcs])
    sweep = np.array([arc.sweep_rad for arc in arcs])
    radius = np.array([arc.radius_mm for arc in arcs])
    turn = (sense * (np.arctan2(py - cy, px - cx) - np.arctan2(sy - cy, sx - cx))) % math.tau
    to_ends = np.minimum(np.hypot(px - sx, py - sy), np.hypot(px - ex, py - ey))
    result: Floats = np.where(turn <= sweep, np.abs(np.hypot(px - cx, py - cy) - radius), to_ends)
    return result
