"""Points, segments, contours and poses: the exact record of every outline.

Glossary:
    segment: one line or one true circular arc. Not a move: it has no depth and no feed.
    contour: segments that chain end to start; closed when the last ends where the first begins.
    outline: the closed contour round a piece, counter-clockwise. Not a path: a path is where the bit's centre goes.
    pose: a place and a heading; for an end of a piece the heading points out of the piece.

Lengths are mm, angles radians counter-clockwise from x. Frames are x right, y away, z up.
"""

import math
from dataclasses import dataclass

Point = tuple[float, float]
"""x and y in mm."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Length in mm."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc from start to end about its centre; a full circle when start and end coincide exactly."""

    start: Point
    end: Point
    centre: Point
    is_ccw: bool

    @property
    def radius_mm(self) -> float:
        """Radius at the start."""
        return math.dist(self.start, self.centre)

    @property
    def sweep_rad(self) -> float:
        """Angle turned through, positive either way round, in (0, 2 pi]."""
        first = math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])
        last = math.atan2(self.end[1] - self.centre[1], self.end[0] - self.centre[0])
        turn = (last - first) if self.is_ccw else (first - last)
        if self.start == self.end:
            return math.tau
        return turn % math.tau or math.tau

    @property
    def length_mm(self) -> float:
        """Length along the arc in mm."""
        return self.radius_mm * self.sweep_rad


Segment = Line | Arc


@dataclass(frozen=True, slots=True)
class Contour:
    """Segments that chain within COINCIDENT_MM, at least one."""

    segments: tuple[Segment, ...]
    is_closed: bool

    @property
    def length_mm(self) -> float:
        """Length along the contour in mm."""
        return math.fsum(segment.length_mm for segment in self.segments)

    @property
    def start(self) -> Point:
        """Where the first segment begins."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Where the last segment ends."""
        return self.segments[-1].end


@dataclass(frozen=True, slots=True)
class Region:
    """An area: a counter-clockwise outer contour less clockwise holes."""

    outer: Contour
    holes: tuple[Contour, ...] = ()


@dataclass(frozen=True, slots=True)
class Pose:
    """A place and a heading."""

    x: float
    y: float
    heading_rad: float = 0.0
