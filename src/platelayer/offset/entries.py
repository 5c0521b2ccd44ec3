"""How a bit gets into the wood and onto a finished wall: ramps, zigzags and leads.

Glossary:
    ramp: going down along the path. zigzag: a ramp to and fro on an open path. helix: a ramp round a closed one.
    wedge: wood that a ramp leaves above its level; it is cut by going on over it.
    lead: the way in waste between a roughed slot and the finish path, tangent to the latter.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from platelayer.geometry.contours import point_along, reversed_contour
from platelayer.geometry.intersect import crossings, ratio_of
from platelayer.offset.parallels import part_of
from platelayer.offset.paths import direction_along, drop, steps_along
from platelayer.offset.tabs import NO_LIFTS, Lifts, knots_over
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.cuts import Pass, Step
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment
from platelayer.values.tooling import Bit

RAMP_RUN: Final = 8.0
"""A ramp goes this far along for each mm down, about 7 degrees; common practice, no source."""

STEEPEST_RUN: Final = 4.0
"""The steepest ramp, about 14 degrees, for a bit that cannot plunge, where there is no room for a gentler one."""

_TURN_SPARE: Final = 0.4
"""A helix may be steeper by less than a turn's share like this before it takes one turn more."""

ZIGZAG_LEG_MM: Final = 12.0
"""Longest leg of a zigzag: beyond that a leg only makes the path longer."""


def zigzag(path: Contour, z_start: float, z_end: float) -> tuple[Step, ...]:
    """To and fro at the beginning of an open path from one level to the next; ends where it began, wedge cut.

    It keeps to the path's first segment where that is long enough for a ramp no steeper than the steepest.
    """
    run = (z_start - z_end) * RAMP_RUN
    if run <= COINCIDENT_MM:
        return ()
    longest = min(ZIGZAG_LEG_MM, path.length_mm)
    first = path.segments[0].length_mm
    if first < run / 2 and first >= (z_start - z_end) * STEEPEST_RUN / 2:
        run = 2 * first
    pairs = max(1, math.ceil(run / (2 * longest) - COINCIDENT_MM))
    leg = min(longest, run / (2 * pairs))
    steps: list[Step] = []
    back = reversed_contour(path)
    for index in range(2 * pairs):
        high = z_start + (z_end - z_start) * index / (2 * pairs)
        low = z_end if index == 2 * pairs - 1 else z_start + (z_end - z_start) * (index + 1) / (2 * pairs)
        if index % 2 == 0:
            steps += steps_along(path, ((0.0, high), (leg, low)))
        else:
            whole = path.length_mm
            steps += steps_along(back, ((whole - leg, high), (whole, low)))
    return tuple(steps)


def to_and_fro(
    way: Contour, z_start: float, down: Sequence[float], lifts: Lifts = NO_LIFTS, *, plunges: bool = False
) -> Pass:
    """An open way at each level, forwards and back by turns, ramping in where it begins; over tabs in its middle.

    A bit that ``plunges`` goes straight down instead.
    """
    steps: list[Step] = []
    for high, level in pairwise((z_start, *down)):
        steps += (drop(way.start, high, level),) if plunges else zigzag(way, high, level)
        over = knots_over(way, lifts, level, first_mm=0.0, last_mm=way.length_mm)
        steps += steps_along(way, ((0.0, level), *over, (way.length_mm, level)))
        way = reversed_contour(way)
    return Pass(tuple(steps))


def helix_turns(path: Contour, drop_mm: float, bit: Bit) -> int:
    """Turns round a closed path that a ramp so deep takes; at least one."""
    run = STEEPEST_RUN if bit.may_plunge else RAMP_RUN
    return max(1, math.ceil(drop_mm * run / path.length_mm - _TURN_SPARE))


def lead_in(slot: Contour, path: Contour, along_mm: float, *, radius_mm: float, waste_is_left: bool) -> Segment:
    """The way from a slot's middle line onto a path, tangent to the path at so far along it.

    An arc of the radius on the waste side where it meets the slot within a quarter of a turn, else a straight line from
    the slot's nearest point behind. A longer arc would leave the slot's wood and cut into what lies beyond it.
    """
    at = point_along(path, along_mm)
    ux, uy = direction_along(path, along_mm)
    side = 1.0 if waste_is_left else -1.0
    centre = (at[0] - side * uy * radius_mm, at[1] + side * ux * radius_mm)
    back = (centre[0] - ux * radius_mm, centre[1] - uy * radius_mm)
    quarter = Arc(back, at, centre, waste_is_left)
    met = [point for segment in slot.segments for point in crossings(quarter, segment)]
    behind = [ratio for ratio in (ratio_of(quarter, point) for point in met) if ratio < 1.0]
    if behind:
        return part_of(quarter, max(behind), 1.0)
    start = _nearest_end(slot, (at[0] - ux * radius_mm / 2, at[1] - uy * radius_mm / 2))
    return Line(start, at)


def _nearest_end(slot: Contour, point: Point) -> Point:
    from platelayer.offset.paths import nearest_along

    return point_along(slot, nearest_along(slot, point))


def lead_out(slot: Contour, path: Contour, along_mm: float, *, radius_mm: float) -> Segment:
    """The same from the path back to the slot's middle line, waste being to the left."""
    back = reversed_contour(path)
    way = lead_in(slot, back, path.length_mm - along_mm, radius_mm=radius_mm, waste_is_left=False)
    return reversed_contour(Contour((way,), is_closed=False)).segments[0]
