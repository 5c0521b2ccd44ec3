"""Rounding that keeps arcs true: every place on the program's last digit, every arc's two radii equal.

Glossary:
    grid: the places a program can write, whole numbers of its last digit. step: the distance between two of them.
    leg: one motion as written: an end, and for an arc the centre's offset from the start, all in digits.
    nudge: moving an arc's centre by a few steps so that its radii agree. Not a shift of its ends, which never move.

An arc is written from the rounded place where the bit really is, so errors do not add up along a path.

Source: NISTIR 6556, 3.5.3.2: start and end radius may differ by 0.002 mm, 0.0002 in in an inch program. With four
decimals in mm, five in inches no nudge is ever needed; with three decimals a few arcs in ten thousand need one.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from platelayer.tolerances import ARC_RADII_IN, ARC_RADII_MM, FLATTEN_CHORD_MM
from platelayer.units import inches
from platelayer.values.shapes import Arc, Line, Point, Segment

Place = tuple[int, int, int]
"""x, y and z in digits."""

_RADII_SHARE: Final = 0.9
"""Part of the standard's allowance that is used, so that the reader's own rounding cannot tip an arc over."""

_NUDGE_STEPS: Final = 3
_NUDGES: Final = tuple(
    sorted(
        itertools.product(range(-_NUDGE_STEPS, _NUDGE_STEPS + 1), repeat=2),
        key=lambda nudge: (nudge[0] ** 2 + nudge[1] ** 2, nudge),
    )
)
"""Shortest first, the first being none at all."""

_SPLIT_RAD: Final = 1.5 * math.pi
"""Arcs turning further are written as two: a full circle is, and a nearly full one cannot become a dot."""

_NOISE_STEPS: Final = 0.1
"""A height this close above a place is that place."""

_SHORT_STEPS: Final = 10
"""Arcs shorter than so many steps are written as a straight line, from which they differ by less than a step."""

_SWEEP_STEPS: Final = 4
"""How far, measured along the arc, rounding may change the angle an arc turns through."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The places a program can write."""

    decimals: int
    is_inch: bool

    @property
    def _unit_mm(self) -> float:
        return inches(1.0) if self.is_inch else 1.0

    @property
    def _scale(self) -> float:
        return 10.0**self.decimals

    @property
    def step_mm(self) -> float:
        """Distance between two places, in mm."""
        return self._unit_mm / self._scale

    @property
    def radii_digits(self) -> float:
        """How far an arc's radii may differ, in digits."""
        return (ARC_RADII_IN if self.is_inch else ARC_RADII_MM) * self._scale

    def digits(self, length_mm: float) -> int:
        """The nearest whole number of steps."""
        return round(length_mm / self._unit_mm * self._scale)

    def level_digits(self, z: float) -> int:
        """A height in steps, rounded up, so that no cut is deeper than planned; float noise does not lift it."""
        return math.ceil(z / self._unit_mm * self._scale - _NOISE_STEPS)

    def length_mm(self, digits: int) -> float:
        """The length of so many steps."""
        return digits / self._scale * self._unit_mm


@dataclass(frozen=True, slots=True)
class Leg:
    """One motion as written. ``offset`` is the centre less the start, None for a straight motion."""

    end: Place
    offset: tuple[int, int] | None = None
    is_ccw: bool = False


def legs_of(segment: Segment, *, z_start: float, z_end: float, start: Place, grid: Grid, has_arcs: bool) -> list[Leg]:
    """The motions that follow a segment from where the bit is, in digits; none for a segment shorter than a step.

    Args:
        segment: line or arc in the program's frame, mm.
        z_start: height at its start, mm.
        z_end: height at its end, mm; an arc that changes height is a helix.
        start: where the bit is, the rounded start of the segment.
        grid: the places the program can write.
        has_arcs: whether the controller takes arcs; if not they become chords within FLATTEN_CHORD_MM.
    """
    if isinstance(segment, Line):
        return _only_moving(start, [_straight(segment.end, z_end, grid)])
    legs: list[Leg] = []
    at = start
    for part, height in _parts(segment, z_start, z_end):
        leg = _arc_leg(part, height, at, grid) if has_arcs else None
        end = _straight(part.end, height, grid)
        if leg is None:
            is_short = part.length_mm < _SHORT_STEPS * grid.step_mm
            height_before = grid.length_mm(at[2])
            legs += [end] if is_short else _chords(part, height_before, height, grid)
        else:
            legs.append(leg)
        at = legs[-1].end
    return _only_moving(start, legs)


def flatten(arc: Arc, *, chord_mm: float) -> list[Point]:
    """Points on the arc after its start, the last its end, no chord further than ``chord_mm`` from it.

    Source: a chord over the angle a lies r (1 - cos(a / 2)) inside the arc (Machinery's Handbook 31, p. 79).
    """
    radius, sweep = arc.radius_mm, arc.sweep_rad
    widest = 2 * math.acos(max(1 - chord_mm / radius, -1.0)) if radius > chord_mm else math.pi
    count = max(1, math.ceil(sweep / widest))
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    turn = sweep if arc.is_ccw else -sweep
    angles = [first + turn * number / count for number in range(1, count)]
    return [_on_circle(arc.centre, radius, angle) for angle in angles] + [arc.end]


def _on_circle(centre: Point, radius_mm: float, angle_rad: float) -> Point:
    return centre[0] + radius_mm * math.cos(angle_rad), centre[1] + radius_mm * math.sin(angle_rad)


def _straight(end: Point, z: float, grid: Grid) -> Leg:
    return Leg((grid.digits(end[0]), grid.digits(end[1]), grid.level_digits(z)))


def _only_moving(start: Place, legs: list[Leg]) -> list[Leg]:
    """The legs without those that, rounded, end where they start."""
    ends = [start, *(leg.end for leg in legs)]
    return [leg for before, leg in zip(ends, legs, strict=False) if leg.end != before or leg.offset is not None]


def _parts(arc: Arc, z_start: float, z_end: float) -> Iterator[tuple[Arc, float]]:
    """The arc, or its two halves when it turns far, each with the height at its end."""
    sweep = arc.sweep_rad
    if sweep <= _SPLIT_RAD:
        yield arc, z_end
        return
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    half = sweep / 2 if arc.is_ccw else -sweep / 2
    middle = _on_circle(arc.centre, arc.radius_mm, first + half)
    yield Arc(arc.start, middle, arc.centre, arc.is_ccw), (z_start + z_end) / 2
    yield Arc(middle, arc.end, arc.centre, arc.is_ccw), z_end


def _arc_leg(arc: Arc, z: float, start: Place, grid: Grid) -> Leg | None:
    """The arc as written, its centre nudged where the radii ask for it; None when it cannot be written as an arc."""
    end = _straight(arc.end, z, grid).end
    if (end[0], end[1]) == (start[0], start[1]) or arc.length_mm < _SHORT_STEPS * grid.step_mm:
        return None
    chord = (end[0] - start[0], end[1] - start[1])
    nearest = (grid.digits(arc.centre[0]) - start[0], grid.digits(arc.centre[1]) - start[1])
    for nudge in _NUDGES:
        offset = (nearest[0] + nudge[0], nearest[1] + nudge[1])
        if _radii_agree(offset, chord, grid) and _sweep_agrees(offset, chord, arc, grid):
            return Leg(end, offset, arc.is_ccw)
    return None


def _radii_agree(offset: tuple[int, int], chord: tuple[int, int], grid: Grid) -> bool:
    first = math.hypot(*offset)
    last = math.hypot(chord[0] - offset[0], chord[1] - offset[1])
    return first > 0 and abs(first - last) <= _RADII_SHARE * grid.radii_digits


def _sweep_agrees(offset: tuple[int, int], chord: tuple[int, int], arc: Arc, grid: Grid) -> bool:
    centre = (float(offset[0]), float(offset[1]))
    written = Arc((0.0, 0.0), (float(chord[0]), float(chord[1])), centre, arc.is_ccw)
    return abs(written.sweep_rad - arc.sweep_rad) * arc.radius_mm <= _SWEEP_STEPS * grid.step_mm


def _chords(arc: Arc, z_start: float, z_end: float, grid: Grid) -> list[Leg]:
    points = flatten(arc, chord_mm=FLATTEN_CHORD_MM)
    rise = (z_end - z_start) / len(points)
    heights = [z_start + rise * number for number in range(1, len(points))] + [z_end]
    return [_straight(point, height, grid) for point, height in zip(points, heights, strict=True)]
