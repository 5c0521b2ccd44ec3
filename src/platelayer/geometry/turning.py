"""A board turned over about a line along x: what a machine sees of it, and back again, since twice turned is unturned.

Glossary:
    turn: the y of the line. A point keeps its x; arcs change hands.
"""

from dataclasses import replace
from typing import TypeVar

import numpy as np

from platelayer.values.cuts import Pass
from platelayer.values.motion import Floats
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment

Number = TypeVar("Number", float, Floats)


def turned_y(y: Number, turn_y_mm: float) -> Number:
    """The y of a place, or of many, on the board turned over."""
    return 2 * turn_y_mm - y


def turned_point(point: Point, turn_y_mm: float) -> Point:
    """The place on the board turned over."""
    return point[0], turned_y(point[1], turn_y_mm)


def turned_segment(segment: Segment, turn_y_mm: float) -> Segment:
    """The segment on the board turned over, from start to end as before."""
    match segment:
        case Line(start, end):
            return Line(turned_point(start, turn_y_mm), turned_point(end, turn_y_mm))
        case Arc(start, end, centre, is_ccw):
            start, end, centre = (turned_point(point, turn_y_mm) for point in (start, end, centre))
            return Arc(start, end, centre, not is_ccw)


def turned_pass(one: Pass, turn_y_mm: float) -> Pass:
    """The pass on the board turned over."""
    steps = tuple(replace(step, segment=turned_segment(step.segment, turn_y_mm)) for step in one.steps)
    return replace(one, steps=steps)


def turned_contour(contour: Contour, turn_y_mm: float) -> Contour:
    """The contour on the board turned over; a closed one then runs the other way round."""
    return Contour(tuple(turned_segment(segment, turn_y_mm) for segment in contour.segments), contour.is_closed)


def turned_places(places: Floats, turn_y_mm: float) -> Floats:
    """(n, 2) or (n, 3) places on the board turned over; their third column stays as it is."""
    out = np.array(places)
    out[:, 1] = turned_y(out[:, 1], turn_y_mm)
    return out
