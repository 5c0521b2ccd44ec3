"""Arcs of a program: the centre from I and J or from R, and the rule that both radii agree.

Glossary:
    centre form: an arc given by I and J, offsets of the centre from the start. radius form: an arc given by R.
    radii: distances of the centre from the arc's start and from its end.
"""

import math

from platelayer.tolerances import ARC_RADII_IN, ARC_RADII_MM
from platelayer.units import inches
from platelayer.values.shapes import Point

ARC_RADII_INCH_PROGRAM_MM = inches(ARC_RADII_IN)
"""Limit of an inch program, in mm. Source: NISTIR 6556, 3.5.3.2."""


def radii_limit_mm(*, is_inch: bool) -> float:
    """How far an arc's two radii may differ, by the unit in force.

    Source: NISTIR 6556, 3.5.3.2: 0.002 mm in a millimetre program, 0.0002 in in an inch program.
    """
    return ARC_RADII_INCH_PROGRAM_MM if is_inch else ARC_RADII_MM


def radii_mm(start: Point, end: Point, centre: Point) -> tuple[float, float]:
    """Distances of the centre from start and end."""
    return math.dist(start, centre), math.dist(end, centre)


def centre_from_radius(start: Point, end: Point, *, radius_mm: float, is_ccw: bool, slack_mm: float) -> Point | None:
    """The centre of an arc given by its radius; None when no such arc joins the two points.

    A positive radius turns through at most 180 degrees, a negative one through more. A half chord longer than the
    radius by no more than the slack counts as a half circle.

    Source: NISTIR 6556, 3.5.3.1; derived here: the centre lies on the chord's perpendicular bisector at
    h = sqrt(r^2 - (c/2)^2), to the left of travel for a short counter-clockwise arc.
    """
    chord_x, chord_y = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(chord_x, chord_y)
    half, radius = chord / 2, abs(radius_mm)
    if chord == 0 or radius == 0 or half > radius + slack_mm:
        return None
    height = math.sqrt(max(radius**2 - half**2, 0.0))
    side = height if is_ccw == (radius_mm > 0) else -height
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return middle[0] - side * chord_y / chord, middle[1] + side * chord_x / chord
