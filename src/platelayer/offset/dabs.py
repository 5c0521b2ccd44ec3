"""Dabs: a rough loop's or ring's ways into corners of the finish one that are too narrow for its allowance.

Glossary:
    dab: from the rough path into such a corner and back, as at the relief of a peg's root.
"""

import math
from typing import Final

from platelayer.geometry.contours import point_along, reversed_contour, started_at
from platelayer.offset.paths import is_clear, nearest_along, stretch
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.shapes import Contour, Line, Point, Segment

_SQUARE_CORNER_RATIO: Final = 1.01 * math.sqrt(2)
"""In a square corner the two loops stand the allowance times root two apart, and a hundredth for float noise."""


def with_dabs(rough: Contour, finish: Contour, walls: Contour, *, bit_radius_mm: float, side_mm: float) -> Contour:
    """The rough loop or ring with a dab into corners of the finish one that it passes further off than a square one.

    So the finish one, which may go to full depth at once, meets no more wood there than elsewhere. A relief touches
    no mate, and its wall needs no finish of its own.
    """
    segments = finish.segments
    turns = segments if finish.is_closed else segments[1:]
    for corner in (segment.start for segment in turns):
        along = nearest_along(rough, corner)
        start = point_along(rough, along)
        off_mm = math.dist(start, corner)
        if off_mm <= _SQUARE_CORNER_RATIO * side_mm:
            continue
        dab = _dab(start, corner, finish, walls, bit_radius_mm)
        if not dab:
            continue
        there_and_back = (*dab, *reversed_contour(Contour(dab, is_closed=False)).segments)
        if rough.is_closed:
            rough = Contour((*there_and_back, *started_at(rough, along).segments), is_closed=True)
        else:
            ways = stretch(rough, 0.0, along), stretch(rough, along, rough.length_mm)
            rough = Contour((*ways[0].segments, *there_and_back, *ways[1].segments), is_closed=False)
    return rough


def _dab(start: Point, corner: Point, finish: Contour, walls: Contour, bit_radius_mm: float) -> tuple[Segment, ...]:
    """From the rough loop into a corner: straight, or by the finish loop where a wall bulges between; else nothing."""
    straight = Line(start, corner)
    if is_clear(straight, walls, bit_radius_mm):
        return (straight,)
    foot = nearest_along(finish, start)
    onto = Line(start, point_along(finish, foot))
    by = _along_to(finish, foot, corner)
    is_short = by is not None and by.length_mm <= 2 * straight.length_mm
    return (onto, *by.segments) if by and is_short and is_clear(onto, walls, bit_radius_mm) else ()


def _along_to(loop: Contour, along_mm: float, corner: Point) -> Contour | None:
    """The shorter way along a loop or ring from there to one of its corners; None where it is there already."""
    if loop.is_closed:
        loop, along_mm = started_at(loop, along_mm), 0.0
    to = nearest_along(loop, corner)
    ways = [stretch(loop, along_mm, to)] if to > along_mm + COINCIDENT_MM else []
    if loop.is_closed and to < loop.length_mm - COINCIDENT_MM:
        ways.append(reversed_contour(stretch(loop, to, loop.length_mm)))
    elif to < along_mm - COINCIDENT_MM:
        ways.append(reversed_contour(stretch(loop, to, along_mm)))
    return min(ways, key=lambda way: way.length_mm, default=None)
