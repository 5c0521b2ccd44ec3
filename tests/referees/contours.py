"""What tests ask of a contour and the program does not: does it chain, what does it hold, its mirror image."""

import math
from itertools import pairwise

from platelayer.geometry.turning import turned_contour
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.shapes import Arc, Contour, Line


def mirrored(contour):
    """The contour mirrored about the x axis, in the same order; a counter-clockwise one becomes clockwise."""
    return turned_contour(contour, 0.0)


def winding(contour, point):
    """How often the closed contour goes round a point that is not on it, counter-clockwise positive.

    Source:
        derived here: the chords' turns about the point add up to the winding of the chord polygon; each arc adds one
        round more when the point lies between it and its chord.
    """
    x, y = point
    turned, rounds = 0.0, 0
    for segment in contour.segments:
        (xa, ya), (xb, yb) = segment.start, segment.end
        ux, uy, vx, vy = xa - x, ya - y, xb - x, yb - y
        side = ux * vy - uy * vx + 0.0  # positive left of the chord; on it +0, which atan2 takes as a left turn too
        if isinstance(segment, Arc) and math.dist(point, segment.centre) < segment.radius_mm:
            is_beyond = segment.start == segment.end or (side < 0 if segment.is_ccw else side >= 0)
            rounds += (1 if segment.is_ccw else -1) if is_beyond else 0
        turned += math.atan2(side, ux * vx + uy * vy)
    return rounds + round(turned / math.tau)


def contains(contour, point):
    """The point lies within the closed contour; either answer for a point on it.

    Raises:
        ValueError: the contour is open.
    """
    if not contour.is_closed:
        raise ValueError("an open contour contains nothing")
    return winding(contour, point) != 0


def widest_gap_mm(contour):
    """The widest gap between one segment's end and the next one's start, the closing one included."""
    segments = contour.segments
    gaps = [math.dist(a.end, b.start) for a, b in pairwise(segments)]
    if contour.is_closed:
        gaps.append(math.dist(segments[-1].end, segments[0].start))
    return max(gaps, default=0.0)


def is_chained(contour):
    """Segments meet, and arcs start and end equally far from their centres, within COINCIDENT_MM."""
    radii = (
        abs(segment.radius_mm - math.dist(segment.end, segment.centre))
        for segment in contour.segments
        if isinstance(segment, Arc)
    )
    return widest_gap_mm(contour) <= COINCIDENT_MM and max(radii, default=0.0) <= COINCIDENT_MM


def polyline(points):
    """The open contour of lines through the points, in their order."""
    return Contour(tuple(Line(a, b) for a, b in pairwise(points)), is_closed=False)
