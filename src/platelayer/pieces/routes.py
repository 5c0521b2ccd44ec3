"""The routes of a piece from what a manifest says of it: its ends and its grooves.

Glossary:
    route: a centre line from end to end; both grooves of a track are its parallels.

A groove begins on the face of one end and ends on that of another. How far aside it begins is how far it lies from the
centre line all along, so the parallel of its path at that distance is the route.
"""

import math
from collections.abc import Sequence

from platelayer.geometry.contours import inverse_pose, transform_point
from platelayer.geometry.grooves import all_beside
from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.values.pieces import End, Groove, Route
from platelayer.values.shapes import Point


def routes_through(ends: Sequence[End], grooves: Sequence[Groove]) -> tuple[Route, ...]:
    """The ways through a piece, each once, in the order of its grooves; none for grooves that do not go end to end."""
    found: dict[frozenset[int], Route] = {}
    for groove in grooves:
        route = _route_beside(ends, groove)
        if route is not None:
            found.setdefault(frozenset(route.ends), route)
    return tuple(found.values())


def _route_beside(ends: Sequence[End], groove: Groove) -> Route | None:
    first, last = end_at(ends, groove.path.start), end_at(ends, groove.path.end)
    if first is None or last is None or first == last:
        return None
    aside = transform_point(groove.path.start, inverse_pose(ends[first].pose))[1]
    try:
        path = all_beside(groove.path, aside)
    except ValueError:  # a groove bent tighter than it lies aside
        return None
    goal = ends[last].pose
    return Route(path, (first, last)) if math.dist(path.end, (goal.x, goal.y)) <= PROGRAM_STEP_MM else None


def end_at(ends: Sequence[End], point: Point) -> int | None:
    """The end on whose face a point lies, the nearest of those in whose plane it is; None for no end's."""
    local = [transform_point(point, inverse_pose(end.pose)) for end in ends]
    on = [index for index, (x, _) in enumerate(local) if abs(x) <= PROGRAM_STEP_MM]
    return min(on, key=lambda index: abs(local[index][1]), default=None)
