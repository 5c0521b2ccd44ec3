"""Contours of lines and true arcs: measure, move, turn round, split and ask, exact but for float noise.

Glossary:
    contour: segments that chain; closed or open. Not a polygon: polygons live in regions and are a means.
    length ratio: place along one segment, 0 at its start and 1 at its end, by length.
    turn: the sine and cosine of a heading, exact at quarter turns so that a piece laid square has square numbers.
"""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.tolerances import ANGLE_RAD, COINCIDENT_MM
from platelayer.values.shapes import Arc, Contour, Line, Point, Pose, Segment

Bounds = tuple[float, float, float, float]
"""x low, y low, x high, y high in mm."""

_QUARTERS: Final = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


def turn_of(heading_rad: float) -> tuple[float, float]:
    """Cosine and sine of a heading, exactly 0 and 1 where the heading is a quarter turn but for float noise."""
    quarters = heading_rad / (math.pi / 2)
    nearest = round(quarters)
    if abs(quarters - nearest) < ANGLE_RAD / 1000:
        return _QUARTERS[nearest % 4]
    return math.cos(heading_rad), math.sin(heading_rad)


def transform_point(point: Point, pose: Pose) -> Point:
    """The point given in the pose's own frame, in the frame in which the pose is given."""
    cos, sin = turn_of(pose.heading_rad)
    x, y = point
    return pose.x + x * cos - y * sin, pose.y + x * sin + y * cos


def transform_pose(inner: Pose, pose: Pose) -> Pose:
    """The inner pose carried along by the outer one; headings add and are brought into (-pi, pi]."""
    x, y = transform_point((inner.x, inner.y), pose)
    return Pose(x, y, wrapped(inner.heading_rad + pose.heading_rad))


def inverse_pose(pose: Pose) -> Pose:
    """The pose that undoes this one: transforming by one and then the other changes nothing."""
    cos, sin = turn_of(-pose.heading_rad)
    return Pose(-pose.x * cos + pose.y * sin, -pose.x * sin - pose.y * cos, wrapped(-pose.heading_rad))


def wrapped(angle_rad: float) -> float:
    """The same direction as an angle in (-pi, pi]."""
    turned = math.remainder(angle_rad, math.tau)
    return math.pi if turned <= -math.pi else turned


def transform_segment(segment: Segment, pose: Pose) -> Segment:
    """The segment carried along by the pose."""
    start, end = transform_point(segment.start, pose), transform_point(segment.end, pose)
    match segment:
        case Line():
            return Line(start, end)
        case Arc():
            return Arc(start, end, transform_point(segment.centre, pose), segment.is_ccw)


def transform_contour(contour: Contour, pose: Pose) -> Contour:
    """The contour carried along by the pose."""
    return Contour(tuple(transform_segment(segment, pose) for segment in contour.segments), contour.is_closed)


def reversed_segment(segment: Segment) -> Segment:
    """The same segment run from its end to its start."""
    match segment:
        case Line():
            return Line(segment.end, segment.start)
        case Arc():
            return Arc(segment.end, segment.start, segment.centre, not segment.is_ccw)


def reversed_contour(contour: Contour) -> Contour:
    """The same contour run the other way, from its end to its start."""
    return Contour(tuple(reversed_segment(segment) for segment in reversed(contour.segments)), contour.is_closed)


def signed_area_mm2(contour: Contour) -> float:
    """Area within a closed contour, positive when it runs counter-clockwise.

    Raises:
        ValueError: the contour is open.
    Source:
        derived here: triangles from the first point to each chord, plus for each arc the circular segment between
        chord and arc, r^2 (a - sin a) / 2 (Machinery's Handbook 31, p. 79, from A = (r l - c (r - h)) / 2).
    """
    if not contour.is_closed:
        raise ValueError("an open contour has no area")
    x0, y0 = contour.start
    parts = []
    for segment in contour.segments:
        (xa, ya), (xb, yb) = segment.start, segment.end
        parts.append(((xa - x0) * (yb - y0) - (xb - x0) * (ya - y0)) / 2)
        if isinstance(segment, Arc):
            bulge = segment.radius_mm**2 * (segment.sweep_rad - math.sin(segment.sweep_rad)) / 2
            parts.append(bulge if segment.is_ccw else -bulge)
    return math.fsum(parts)


def area_mm2(contour: Contour) -> float:
    """Area within a closed contour, whichever way it runs.

    Raises:
        ValueError: the contour is open.
    """
    return abs(signed_area_mm2(contour))


def segment_point(segment: Segment, length_ratio: float) -> Point:
    """The point at that share of the segment's length; the ends themselves exactly at 0 and 1."""
    if length_ratio == 0:
        return segment.start
    if length_ratio == 1:
        return segment.end
    match segment:
        case Line():
            (x0, y0), (x1, y1) = segment.start, segment.end
            return x0 + (x1 - x0) * length_ratio, y0 + (y1 - y0) * length_ratio
        case Arc():
            turn = segment.sweep_rad * length_ratio * (1 if segment.is_ccw else -1)
            cos, sin = math.cos(turn), math.sin(turn)
            (cx, cy), (x, y) = segment.centre, segment.start
            return cx + (x - cx) * cos - (y - cy) * sin, cy + (x - cx) * sin + (y - cy) * cos


def segment_heading(segment: Segment, length_ratio: float) -> float:
    """The direction of travel at that share of the segment's length, rad in (-pi, pi]."""
    match segment:
        case Line():
            (x0, y0), (x1, y1) = segment.start, segment.end
            return math.atan2(y1 - y0, x1 - x0)
        case Arc():
            side = 1 if segment.is_ccw else -1
            out = math.atan2(segment.start[1] - segment.centre[1], segment.start[0] - segment.centre[0])
            return wrapped(out + side * (segment.sweep_rad * length_ratio + math.pi / 2))


def split_segment(segment: Segment, length_ratio: float) -> tuple[Segment, Segment]:
    """The two segments before and after that share of the length; together exactly the segment."""
    point = segment_point(segment, length_ratio)
    return between(segment, segment.start, point), between(segment, point, segment.end)


def between(segment: Segment, start: Point, end: Point) -> Segment:
    """The segment's own line or arc from one point of it to another; they may lie beyond its ends."""
    match segment:
        case Line():
            return Line(start, end)
        case Arc():
            return Arc(start, end, segment.centre, segment.is_ccw)


def starting_at(segment: Segment, start: Point) -> Segment:
    """The segment with its start moved by float noise to where the one before it ends, or along its own line or arc."""
    return between(segment, start, segment.end)


def ending_at(segment: Segment, end: Point) -> Segment:
    """The segment with its end moved along its own line or arc."""
    return between(segment, segment.start, end)


def place_along(contour: Contour, distance_mm: float) -> tuple[int, float]:
    """Index of the segment and ratio in it, so far along the contour; clamped to its ends."""
    left, last = distance_mm, len(contour.segments) - 1
    for index, segment in enumerate(contour.segments[:-1]):
        if left < segment.length_mm:
            return index, max(0.0, left / segment.length_mm)
        left -= segment.length_mm
    length = contour.segments[-1].length_mm
    return last, min(1.0, max(0.0, left / length)) if length else 0.0


def point_along(contour: Contour, distance_mm: float) -> Point:
    """The point so far along the contour from its start."""
    index, ratio = place_along(contour, distance_mm)
    return segment_point(contour.segments[index], ratio)


def heading_along(contour: Contour, distance_mm: float) -> float:
    """The direction of travel so far along the contour, rad in (-pi, pi]."""
    index, ratio = place_along(contour, distance_mm)
    return segment_heading(contour.segments[index], ratio)


def split_contour(contour: Contour, distance_mm: float) -> tuple[Contour, Contour]:
    """The open contours before and after that distance along.

    Raises:
        ValueError: the cut is at an end, within COINCIDENT_MM, so that one of them would be empty.
    """
    index, ratio = place_along(contour, distance_mm)
    segment = contour.segments[index]
    before, after = list(contour.segments[:index]), list(contour.segments[index + 1 :])
    at_mm = ratio * segment.length_mm
    if at_mm <= COINCIDENT_MM:
        after.insert(0, segment)
    elif segment.length_mm - at_mm <= COINCIDENT_MM:
        before.append(segment)
    else:
        first, second = split_segment(segment, ratio)
        before.append(first)
        after.insert(0, second)
    if not before or not after:
        raise ValueError("a contour cannot be split at its own end")
    return Contour(tuple(before), is_closed=False), Contour(tuple(after), is_closed=False)


def started_at(contour: Contour, distance_mm: float) -> Contour:
    """The same closed contour begun so far along.

    Raises:
        ValueError: the contour is open.
    """
    if not contour.is_closed:
        raise ValueError("an open contour begins where it begins")
    distance = distance_mm % contour.length_mm
    if min(distance, contour.length_mm - distance) <= COINCIDENT_MM:
        return contour
    before, after = split_contour(contour, distance)
    return Contour(after.segments + before.segments, is_closed=True)


def _arc_extremes(arc: Arc) -> list[Point]:
    radius, (cx, cy) = arc.radius_mm, arc.centre
    return [
        (cx + radius * cos, cy + radius * sin)
        for quarter, (cos, sin) in enumerate(_QUARTERS)
        if is_in_sweep(arc, quarter * math.pi / 2)
    ]


def is_in_sweep(arc: Arc, direction_rad: float) -> bool:
    """The arc passes through that direction from its centre, ends included."""
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    turned = (direction_rad - first if arc.is_ccw else first - direction_rad) % math.tau
    return turned <= arc.sweep_rad + ANGLE_RAD or turned >= math.tau - ANGLE_RAD


def segment_bounds(segment: Segment) -> Bounds:
    """The smallest upright box round the segment, an arc's outermost points included."""
    points = [segment.start, segment.end]
    if isinstance(segment, Arc):
        points += _arc_extremes(segment)
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def bounds(contour: Contour) -> Bounds:
    """The smallest upright box round the contour, arcs' outermost points included."""
    boxes = [segment_bounds(segment) for segment in contour.segments]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def distance_to_segment_mm(segment: Segment, point: Point) -> float:
    """Distance from the point to the nearest point of the segment."""
    (x0, y0), (x1, y1), (x, y) = segment.start, segment.end, point
    match segment:
        case Line():
            dx, dy = x1 - x0, y1 - y0
            span = dx * dx + dy * dy
            ratio = min(1.0, max(0.0, ((x - x0) * dx + (y - y0) * dy) / span)) if span else 0.0
            return math.hypot(x - x0 - ratio * dx, y - y0 - ratio * dy)
        case Arc():
            cx, cy = segment.centre
            if is_in_sweep(segment, math.atan2(y - cy, x - cx)):
                return abs(math.hypot(x - cx, y - cy) - segment.radius_mm)
            return min(math.dist(point, segment.start), math.dist(point, segment.end))


def distance_mm(contour: Contour, point: Point) -> float:
    """Distance from the point to the nearest point of the contour itself, inside or out."""
    return min(distance_to_segment_mm(segment, point) for segment in contour.segments)


def polygon(points: Sequence[Point]) -> Contour:
    """The closed contour of lines through the points, in their order."""
    following = [*points[1:], points[0]]
    return Contour(tuple(Line(a, b) for a, b in zip(points, following, strict=True)), is_closed=True)


def rectangle(low: Point, high: Point) -> Contour:
    """The counter-clockwise upright rectangle between two corners, begun at the low one."""
    (x0, y0), (x1, y1) = low, high
    return polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def circle(centre: Point, radius_mm: float) -> Contour:
    """The full circle as one counter-clockwise arc, begun at its rightmost point."""
    start = (centre[0] + radius_mm, centre[1])
    return Contour((Arc(start, start, centre, is_ccw=True),), is_closed=True)
