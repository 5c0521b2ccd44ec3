"""What is owned, from a table of the floor file to stock: by the keys of a piece, or by a recipe.

Glossary:
    recipe: a piece's ends by name and kind, and the routes between them as lines and arcs.
"""

import math
from collections.abc import Mapping
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.contours import (
    heading_along,
    inverse_pose,
    point_along,
    segment_heading,
    transform_pose,
    wrapped,
)
from platelayer.job.layout_models import OwnedTable, PartTable, RouteTable
from platelayer.job.layout_words import HANDS
from platelayer.job.near_names import fix_for
from platelayer.job.orders import order_of
from platelayer.pieces.catalogue import kind_of, routes_of
from platelayer.pieces.recipes import CurvedPart, StraightPart, ends_on, path_of, pose_after
from platelayer.tolerances import FLOOR_OVERLAP_MM
from platelayer.units import show_angle, show_small
from platelayer.values.layout import NamedEnd, PlayMeasured, Stock
from platelayer.values.pieces import Route
from platelayer.values.shapes import Contour, Pose


def stock_of(table: OwnedTable, *, label: str, play: PlayMeasured, faults: list[Fault]) -> Stock:
    """The stock that a table describes; what is wrong with it is added to the faults, and it has no routes then."""
    where = f"[[owned]] {label}"
    said = len(faults)
    if not table.name:
        fix = "Give it a name of one word, by which stretches ask for it."
        faults.append(Fault(where=f"{where} name", problem="missing", fix=fix))
    elif table.name in HANDS or table.name.isdigit():
        problem, fix = "a word that means something else in a stretch", "Give it another."
        faults.append(Fault(where=f"{where} name", found=table.name, problem=problem, fix=fix))
    order = None
    ends: tuple[NamedEnd, ...] = ()
    routes: tuple[Route, ...] = ()
    if table.route or table.ends:
        ends, routes = _by_recipe(table, where, faults)
    else:
        order = order_of(table, name=table.name or label, where=where, faults=faults)
        if len(faults) == said:
            routes = routes_of(order)
            names = (name for name, _ in kind_of(order).ends)
            ends = ends_on(routes, dict(zip(names, order.ends, strict=True)))
    return Stock(
        name=table.name or label,
        ends=ends,
        routes=routes,
        count=table.count,
        may_turn_over=table.grooves == "both",
        passes_over=table.over,
        is_made=table.made,
        spread_mm=table.spread,
        play=play,
        order=order,
    )


def _by_recipe(table: OwnedTable, where: str, faults: list[Fault]) -> tuple[tuple[NamedEnd, ...], tuple[Route, ...]]:
    names = tuple(table.ends)
    poses: dict[str, Pose] = {}
    routes: list[Route] = []
    said = len(faults)
    for number, route in enumerate(table.route, start=1):
        here = f"{where} route {number}"
        unknown = [end for end in (route.enters, route.leaves) if end not in names]
        for end in unknown:
            fix = fix_for(end, names) or 'Write ends = { toe = "socket", branch = "peg" } above it.'
            faults.append(Fault(where=here, found=end or '""', problem="no end of this piece", fix=fix))
        path = _path(route, poses, first=routes[0].path if routes else None, where=here, faults=faults)
        if path is None or unknown:
            continue
        routes.append(Route(path, (names.index(route.enters), names.index(route.leaves))))
        _meet(route, path, poses, where=here, faults=faults)
    if len(faults) > said:
        return (), ()
    try:
        return ends_on(routes, table.ends), tuple(routes)
    except ValueError:
        idle = [name for name in names if name not in poses]
        fix = "Write a [[owned.route]] with enters, leaves and run for it."
        faults.append(Fault(where=f"{where} ends", found=", ".join(idle), problem="no route goes there", fix=fix))
        return (), ()


def _path(
    route: RouteTable, poses: Mapping[str, Pose], *, first: Contour | None, where: str, faults: list[Fault]
) -> Contour | None:
    """The centre line of a route, begun where its first end is known to be, or crossing the first route."""
    parts = [_part(part, f"{where} run {number}", faults) for number, part in enumerate(route.run, start=1)]
    sound = [part for part in parts if part is not None]
    if not route.run:
        fix = 'Write its parts in order, as in run = [{ length = "4 in" }, { radius = "8 in", angle = 45 }].'
        faults.append(Fault(where=f"{where} run", problem="missing", fix=fix))
    if not route.run or len(sound) < len(parts):
        return None
    if first is not None and route.crosses is not None:
        middle, own = _middle(first), _middle(path_of(sound, Pose(0.0, 0.0)))
        over = Pose(middle.x, middle.y, middle.heading_rad + route.crosses)
        return path_of(sound, transform_pose(inverse_pose(own), over))
    known = poses.get(route.enters)
    if route.at is not None:
        return path_of(sound, Pose(*route.at))
    if known is not None:
        return path_of(sound, Pose(known.x, known.y, known.heading_rad + math.pi))
    if first is None:
        return path_of(sound, Pose(0.0, 0.0))
    fix = "Write crosses = the angle at which it goes over the first route, or at = [x, y, degrees] in its frame."
    faults.append(Fault(where=where, found=route.enters, problem="nothing says where this end is", fix=fix))
    return None


def _middle(path: Contour) -> Pose:
    """The middle of a centre line, in the direction of travel."""
    half = path.length_mm / 2
    return Pose(*point_along(path, half), heading_along(path, half))


def _part(part: PartTable, where: str, faults: list[Fault]) -> StraightPart | CurvedPart | None:
    ways = (part.length is not None, part.radius is not None, part.along is not None or part.across is not None)
    angle, radius = part.angle, part.radius or 0.0
    if part.along is not None and part.across is not None:
        angle = 2 * math.atan2(part.across, part.along)
        radius = part.along / math.sin(angle)
    if sum(ways) != 1 or part.hand not in HANDS or not 0 < angle <= math.pi or (ways[2] and not radius > 0):
        fix = (
            'Write { length = "4 in" }, { radius = "8 in", angle = 45, hand = "left" }, or along and across for radius.'
        )
        faults.append(Fault(where=where, problem="neither a line nor an arc", fix=fix))
        return None
    if part.length is not None:
        return StraightPart(part.length)
    return CurvedPart(radius_mm=radius, angle_rad=angle, is_left=part.hand == "left")


def _meet(route: RouteTable, path: Contour, poses: dict[str, Pose], *, where: str, faults: list[Fault]) -> None:
    """Keeps where the ends of a route are; a fault where an end that is known already comes out elsewhere."""
    start = Pose(*path.start, wrapped(segment_heading(path.segments[0], 0.0) + math.pi))
    for end, pose in ((route.enters, start), (route.leaves, pose_after(path.segments[-1]))):
        known = poses.setdefault(end, pose)
        away = math.dist((known.x, known.y), (pose.x, pose.y))
        turned = abs(wrapped(known.heading_rad - pose.heading_rad))
        if away > FLOOR_OVERLAP_MM or turned > _ASKEW_RAD:
            problem = f"another route puts this end {show_small(away)} and {show_angle(turned)} from here"
            faults.append(Fault(where=where, found=end, problem=problem, fix="Measure the piece again."))


_ASKEW_RAD: Final = math.radians(1)
"""Routes that give an end headings further apart than this were measured wrongly."""
