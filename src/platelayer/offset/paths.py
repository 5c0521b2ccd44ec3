"""Paths with depth: a contour and the z at places along it become steps.

Glossary:
    knot: a distance along a path and the z there; between knots z goes evenly. Not a corner of the path.
    stretch: a part of a path between two distances along it.
    turn (of a closed path): once round; distances go on counting on the next turn.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from platelayer.geometry.contours import ending_at, place_along, segment_point, split_segment, starting_at
from platelayer.geometry.intersect import direction_at, distances_mm, ratio_of
from platelayer.geometry.regions import Floats
from platelayer.offset.parallels import part_of
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.cuts import FeedKind, Step
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment

Knot = tuple[float, float]
"""Distance along the path and z there, mm."""


def steps_along(path: Contour, knots: Sequence[Knot]) -> tuple[Step, ...]:
    """The steps along a path from the first knot's distance to the last one's; going down is at the ramp's feed.

    A closed path may be gone round several times; an open one is clamped to its ends.

    Args:
        path: where the centre goes.
        knots: at least two, distances rising or equal.
    """
    path = _halved(path)
    length = path.length_mm
    bounds = [0.0]
    for segment in path.segments:
        bounds.append(bounds[-1] + segment.length_mm)
    steps: list[Step] = []
    for (first, z_first), (last, z_last) in pairwise(knots):
        if last - first <= COINCIDENT_MM:
            continue
        for start, end, segment in _stretches(path, bounds, length, first, last):
            slope = (z_last - z_first) / (last - first)
            z_start, z_end = z_first + slope * (start - first), z_first + slope * (end - first)
            feed = FeedKind.RAMP if z_end < z_start else FeedKind.CUT
            steps.append(Step(segment, z_start, z_last if end == last else z_end, feed))
    return _chained(steps)


def _halved(path: Contour) -> Contour:
    """The path with full circles in two halves: a full circle whose ends part by float noise would be no arc at all."""
    if not any(isinstance(segment, Arc) and segment.start == segment.end for segment in path.segments):
        return path
    segments: list[Segment] = []
    for segment in path.segments:
        is_full = isinstance(segment, Arc) and segment.start == segment.end
        segments += split_segment(segment, 0.5) if is_full else (segment,)
    return Contour(tuple(segments), path.is_closed)


def _stretches(
    path: Contour, bounds: Sequence[float], length: float, first: float, last: float
) -> list[tuple[float, float, Segment]]:
    """Parts of the path's segments between two distances, each with its own two distances."""
    found: list[tuple[float, float, Segment]] = []
    turn = math.floor(first / length) if path.is_closed else 0
    while turn * length < last - COINCIDENT_MM:
        for segment, low, high in zip(path.segments, bounds, bounds[1:], strict=False):
            start, end = max(first, turn * length + low), min(last, turn * length + high)
            if end - start <= COINCIDENT_MM:
                continue
            here, whole = start - turn * length - low, high - low
            there = end - turn * length - low
            found.append((start, end, part_of(segment, here / whole, there / whole)))
        turn += 1
        if not path.is_closed:
            break
    return found


def _chained(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with every start put exactly on the end before it, in the plane and in depth."""
    result: list[Step] = []
    for step in steps:
        if result:
            segment = starting_at(step.segment, result[-1].segment.end)
            result.append(Step(segment, result[-1].z_end, step.z_end, step.feed))
        else:
            result.append(step)
    return tuple(result)


def stretch(path: Contour, first_mm: float, last_mm: float) -> Contour:
    """The open part of a path between two distances; on a closed path it may pass the start."""
    steps = steps_along(path, ((first_mm, 0.0), (last_mm, 0.0)))
    return Contour(tuple(step.segment for step in steps), is_closed=False)


def nearest_along(path: Contour, point: Point) -> float:
    """Distance along the path of its point nearest to a given one; the first of several."""
    best, found, so_far = math.inf, 0.0, 0.0
    for segment in path.segments:
        gap, ratio = _nearest(segment, point)
        if gap < best - COINCIDENT_MM:
            best, found = gap, so_far + ratio * segment.length_mm
        so_far += segment.length_mm
    return found


def _nearest(segment: Segment, point: Point) -> tuple[float, float]:
    if isinstance(segment, Line):
        ratio = min(1.0, max(0.0, ratio_of(segment, point)))
        return math.dist(point, segment_point(segment, ratio)), ratio
    cx, cy = segment.centre
    apart = math.dist(point, segment.centre)
    gaps = [(math.dist(point, segment.start), 0.0), (math.dist(point, segment.end), 1.0)]
    if apart > COINCIDENT_MM:
        scale = segment.radius_mm / apart
        foot = (cx + (point[0] - cx) * scale, cy + (point[1] - cy) * scale)
        ratio = ratio_of(segment, foot)
        if ratio <= 1.0:
            gaps.append((math.dist(point, foot), ratio))
    return min(gaps)


def direction_along(path: Contour, along_mm: float) -> Point:
    """The unit vector of travel so far along the path."""
    index, ratio = place_along(path, along_mm)
    return direction_at(path.segments[index], ratio)


def points_along(path: Contour, spacing_mm: float) -> tuple[Floats, Floats]:
    """Points along a path no further apart than the spacing, ends of segments among them.

    Returns:
        ``(n,)`` distances along and ``(n, 2)`` points, mm.
    """
    import numpy as np

    places, points, so_far = [], [], 0.0
    for segment in path.segments:
        length = segment.length_mm
        count = max(1, math.ceil(length / spacing_mm))
        for index in range(count + 1):
            places.append(so_far + length * index / count)
            points.append(segment_point(segment, index / count))
        so_far += length
    return np.array(places), np.array(points)


def views_along(path: Contour, places: Floats) -> tuple[Floats, Floats]:
    """Points of a path so far along it, and the unit normals to the left of travel there.

    Args:
        path: open or closed.
        places: ``(n,)`` distances along it, mm, within its length.

    Returns:
        ``(n, 2)`` points, mm, and ``(n, 2)`` normals.
    """
    import numpy as np

    bounds = np.cumsum([0.0, *(segment.length_mm for segment in path.segments)])
    of = np.clip(np.searchsorted(bounds, places, side="right") - 1, 0, len(path.segments) - 1)
    points, normals = np.empty((len(places), 2)), np.empty((len(places), 2))
    for index in np.unique(of).tolist():
        segment, here = path.segments[index], of == index
        along = places[here] - bounds[index]
        start = np.array(segment.start)
        if isinstance(segment, Line):
            way = (np.array(segment.end) - start) / segment.length_mm
            points[here] = start + along[:, None] * way
            normals[here] = (-way[1], way[0])
        else:
            side = 1.0 if segment.is_ccw else -1.0
            centre = np.array(segment.centre)
            first = math.atan2(*(start - centre)[::-1])
            turns = first + side * along / segment.radius_mm
            out = np.column_stack((np.cos(turns), np.sin(turns)))
            points[here], normals[here] = centre + segment.radius_mm * out, -side * out
    return points, normals


def is_clear(link: Segment, walls: Contour, clear_mm: float) -> bool:
    """Every point of a link or lead stays so far from the walls, but for a hundredth of a bit's breadth."""
    _, points = points_along(Contour((link,), is_closed=False), max(link.length_mm / 8, COINCIDENT_MM))
    return bool(distances_mm(points, walls.segments).min() >= clear_mm - COINCIDENT_MM)


def lengthened(path: Contour, before_mm: float, after_mm: float) -> Contour:
    """The open path carried on at both ends along its own line or arc."""
    segments = list(path.segments)
    first = segments[0]
    segments[0] = starting_at(first, segment_point(first, -before_mm / first.length_mm))
    last = segments[-1]
    segments[-1] = ending_at(last, segment_point(last, 1 + after_mm / last.length_mm))
    return Contour(tuple(segments), is_closed=False)


def link(start: Point, end: Point, z: float) -> tuple[Step, ...]:
    """A straight step at one depth; none where the points coincide."""
    return () if math.dist(start, end) <= COINCIDENT_MM else (Step(Line(start, end), z, z),)


def drop(at: Point, z_start: float, z_end: float) -> Step:
    """Straight down or up in a place that is already clear."""
    return Step(Line(at, at), z_start, z_end, FeedKind.PLUNGE if z_end < z_start else FeedKind.CUT)
