"""Pieces known by their centre lines and ends alone: a recipe of lines and arcs, as for a bought turnout.

Glossary:
    part: one line or arc of a recipe, begun where the part before it ended, in its heading.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from platelayer.geometry.contours import segment_heading, transform_segment, wrapped
from platelayer.pieces.curve import centre_line as arc_line
from platelayer.pieces.straight import centre_line as straight_line
from platelayer.values.layout import NamedEnd
from platelayer.values.pieces import EndKind, Route
from platelayer.values.shapes import Contour, Pose, Segment


@dataclass(frozen=True, slots=True)
class StraightPart:
    """A line of that length."""

    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvedPart:
    """An arc of that centre-line radius and angle, left or right."""

    radius_mm: float
    angle_rad: float
    is_left: bool


def path_of(parts: Sequence[StraightPart | CurvedPart], start: Pose) -> Contour:
    """The open centre line of at least one part, from the start on."""
    segments: list[Segment] = []
    at = start
    for part in parts:
        match part:
            case StraightPart():
                own: Segment = straight_line(part.length_mm)
            case CurvedPart():
                own = arc_line(radius_mm=part.radius_mm, angle_rad=part.angle_rad, is_left=part.is_left)
        segments.append(transform_segment(own, at))
        at = pose_after(segments[-1])
    return Contour(tuple(segments), is_closed=False)


def pose_after(segment: Segment) -> Pose:
    """Where a segment ends, in the direction of travel."""
    return Pose(*segment.end, segment_heading(segment, 1.0))


def ends_on(routes: Sequence[Route], kinds: Mapping[str, EndKind]) -> tuple[NamedEnd, ...]:
    """The ends of a piece, named in their order, each with the pose that the first route through it gives it.

    Raises:
        ValueError: an end that no route begins or ends at.
    """
    poses: dict[int, Pose] = {}
    for route in routes:
        first, last = route.path.segments[0], route.path.segments[-1]
        out = wrapped(segment_heading(first, 0.0) + math.pi)
        poses.setdefault(route.ends[0], Pose(*first.start, out))
        poses.setdefault(route.ends[1], pose_after(last))
    if set(poses) != set(range(len(kinds))):
        raise ValueError("an end that no route begins or ends at")
    return tuple(NamedEnd(name, kind, poses[index]) for index, (name, kind) in enumerate(kinds.items()))
