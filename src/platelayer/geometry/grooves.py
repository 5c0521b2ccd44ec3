"""Grooves: centre lines, and walls with their flare as lines and arcs.

Glossary:
    wall: the side of a groove, run in the direction of its path. left wall: on the left of travel.
    flare: at an end both walls move out, by nothing where the flare begins and by its extra at the end face.
    widening: between its flares both walls move out by what its knots say, evenly from each knot to the next.

A straight groove's flared wall is the straight line between those two places. A curved one's is the circular arc
through the wall moved out by nothing, by half the extra and by all of it, at the beginning, middle and end of the
flare's length: a true arc, a thousandth of a millimetre or less from the spiral that grows evenly. So it is between two
knots of a widening.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from platelayer.geometry.contours import reversed_contour, segment_point, split_segment
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.pieces import BoardFace, Flare, Groove, TrackSizes
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment


@dataclass(frozen=True, slots=True)
class Walls:
    """The two walls of a groove, open contours in the direction of its path."""

    left: Contour
    right: Contour


def track_grooves(centre_line: Contour, *, track: TrackSizes, faces: tuple[BoardFace, ...]) -> tuple[Groove, ...]:
    """The two grooves of a track on each of the faces, left one first, along lines and arcs that run on smoothly.

    Raises:
        ValueError: a curve too tight for the groove on its inside.
    """
    flare = Flare(track.flare_length_mm, track.flare_extra_mm)
    return tuple(
        Groove(face, track.groove_width_mm, track.groove_depth_mm, all_beside(centre_line, left_mm), (flare, flare))
        for face in faces
        for left_mm in (track.groove_offset_mm, -track.groove_offset_mm)
    )


def all_beside(path: Contour, left_mm: float) -> Contour:
    """The parallel of an open path without corners, as ``beside``.

    Raises:
        ValueError: an arc that would have no radius left.
    """
    return Contour(tuple(beside(segment, left_mm) for segment in path.segments), is_closed=False)


def beside(segment: Segment, left_mm: float) -> Segment:
    """The parallel segment so far to the left of travel; to the right when negative.

    Raises:
        ValueError: an arc that would have no radius left.
    """
    match segment:
        case Line():
            return Line(_moved_out(segment, 0.0, left_mm), _moved_out(segment, 1.0, left_mm))
        case Arc():
            if segment.radius_mm - (left_mm if segment.is_ccw else -left_mm) <= 0:
                raise ValueError("the curve is too tight for a parallel inside it")
            start, end = _moved_out(segment, 0.0, left_mm), _moved_out(segment, 1.0, left_mm)
            return Arc(start, end, segment.centre, segment.is_ccw)


def _moved_out(segment: Segment, ratio: float, left_mm: float) -> Point:
    (x, y) = segment_point(segment, ratio)
    match segment:
        case Line():
            length = segment.length_mm
            along = (segment.end[0] - segment.start[0]) / length, (segment.end[1] - segment.start[1]) / length
            return x - along[1] * left_mm, y + along[0] * left_mm
        case Arc():
            cx, cy = segment.centre
            radius = math.hypot(x - cx, y - cy)
            share = (radius - (left_mm if segment.is_ccw else -left_mm)) / radius
            return cx + (x - cx) * share, cy + (y - cy) * share


def walls(groove: Groove) -> Walls:
    """Both walls of the groove from end face to end face, flares included, without run-out.

    Raises:
        ValueError: a flare longer than the segment it lies on, or two that overlap; a curve too tight for the wall.
    """
    return Walls(_wall(groove, 1), _wall(groove, -1))


def groove_contour(groove: Groove) -> Contour:
    """The groove's edge, closed and counter-clockwise, square at both ends, flares included, without run-out.

    Raises:
        ValueError: as ``walls``.
    """
    both = walls(groove)
    back = reversed_contour(both.left)
    end, start = Line(both.right.end, back.start), Line(back.end, both.right.start)
    return Contour((*both.right.segments, end, *back.segments, start), is_closed=True)


def _wall(groove: Groove, side: int) -> Contour:
    """One wall; side is 1 for the left, -1 for the right of travel."""
    first, last = groove.flare
    segments = list(groove.path.segments)
    opening: list[Segment] = []
    closing: list[Segment] = []
    half = groove.width_mm / 2
    if _is_flared(first):
        flared, rest = _cut_off(segments[0], first.length_mm)
        opening = [_flared_wall(flared, side * (half + first.extra_mm), side * half)]
        segments[:1] = rest
    if _is_flared(last):
        if not segments:
            raise ValueError("the flares of a groove overlap")
        rest, flared = _cut_off_end(segments[-1], last.length_mm)
        closing = [_flared_wall(flared, side * half, side * (half + last.extra_mm))]
        segments[-1:] = rest
    begun = first.length_mm if _is_flared(first) else 0.0
    between = _widened_wall(segments, begun, groove.widening_mm, side, half)
    return Contour((*opening, *between, *closing), is_closed=False)


def _widened_wall(
    segments: Sequence[Segment], begun_mm: float, knots: Sequence[tuple[float, float]], side: int, half_mm: float
) -> Iterator[Segment]:
    """The wall beside these segments of a path, the first of which begins so far along it."""
    at = begun_mm
    for segment in segments:
        rest, end = segment, at + segment.length_mm
        for knot, _ in knots:
            if at + COINCIDENT_MM < knot < end - COINCIDENT_MM:
                piece, rest = split_segment(rest, (knot - at) / rest.length_mm)
                yield _moved_wall(piece, side, half_mm + _extra_mm(knots, at), half_mm + _extra_mm(knots, knot))
                at = knot
        yield _moved_wall(rest, side, half_mm + _extra_mm(knots, at), half_mm + _extra_mm(knots, end))
        at = end


def _moved_wall(path: Segment, side: int, at_start_mm: float, at_end_mm: float) -> Segment:
    if abs(at_start_mm - at_end_mm) <= COINCIDENT_MM:
        return beside(path, side * at_start_mm)
    return _flared_wall(path, side * at_start_mm, side * at_end_mm)


def _extra_mm(knots: Sequence[tuple[float, float]], at_mm: float) -> float:
    """How far each wall moves out so far along the path; nothing before the first knot and past the last."""
    for (before, low), (after, high) in pairwise(knots):
        if before <= at_mm <= after:
            return low + (high - low) * (at_mm - before) / (after - before)
    return 0.0


def _is_flared(flare: Flare) -> bool:
    return flare.length_mm > 0 and flare.extra_mm > 0


def _cut_off(segment: Segment, length_mm: float) -> tuple[Segment, list[Segment]]:
    """The first length of the segment and what is left of it, nothing when that is all."""
    whole = segment.length_mm
    if length_mm > whole + COINCIDENT_MM:
        raise ValueError("the flare is longer than the groove's segment it lies on")
    if length_mm >= whole - COINCIDENT_MM:
        return segment, []
    first, second = split_segment(segment, length_mm / whole)
    return first, [second]


def _cut_off_end(segment: Segment, length_mm: float) -> tuple[list[Segment], Segment]:
    whole = segment.length_mm
    if length_mm > whole + COINCIDENT_MM:
        raise ValueError("the flare is longer than what the other flare leaves of the groove's segment")
    if length_mm >= whole - COINCIDENT_MM:
        return [], segment
    first, second = split_segment(segment, 1 - length_mm / whole)
    return [first], second


def _flared_wall(path: Segment, left_at_start_mm: float, left_at_end_mm: float) -> Segment:
    """The wall beside a piece of path, so far to its left at either end: a line, or the arc through its middle."""
    start = _moved_out(path, 0.0, left_at_start_mm)
    end = _moved_out(path, 1.0, left_at_end_mm)
    if isinstance(path, Line):
        return Line(start, end)
    middle = _moved_out(path, 0.5, (left_at_start_mm + left_at_end_mm) / 2)
    return arc_through(start, middle, end)


def arc_through(start: Point, middle: Point, end: Point) -> Segment:
    """The circular arc through three points in their order; a line when they lie on one within COINCIDENT_MM.

    Source:
        circumcentre of a triangle, with the middle point as origin: |a|^2 and |b|^2 against the doubled cross product.
    """
    ax, ay = start[0] - middle[0], start[1] - middle[1]
    bx, by = end[0] - middle[0], end[1] - middle[1]
    cross = ax * by - ay * bx
    if abs(cross) <= COINCIDENT_MM * math.dist(start, end):
        return Line(start, end)
    aa, bb = ax * ax + ay * ay, bx * bx + by * by
    centre = middle[0] + (by * aa - ay * bb) / (2 * cross), middle[1] + (ax * bb - bx * aa) / (2 * cross)
    return Arc(start, end, centre, is_ccw=cross < 0)
