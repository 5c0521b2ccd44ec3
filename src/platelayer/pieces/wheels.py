"""Wheels on curves: how wide a groove a wheel needs that stands askew in it, and how wide the wood lets it be.

Glossary:
    yaw: angle between a wheel and the groove under it. A waggon's wheels stand along the line between its axles.
    chord: length of a wheel at the top of the groove that it stands in. footprint: chord times thickness.
    lack: by how much the narrowest of a groove is narrower than its wheel needs.

What a wheel does where a curve meets its neighbour is the same as on the curve: with the leading axle well round it,
the trailing one still stands askew at the joint. A groove has its plain width there all the same, as its neighbour has.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.geometry.contours import distance_mm, transform_point
from platelayer.geometry.grooves import walls
from platelayer.geometry.joint import hole_centre_mm
from platelayer.pieces.sizes import at_least
from platelayer.tolerances import COINCIDENT_MM, LAND_MM, LEFTOVER_MM, WHEEL_LACK_MM
from platelayer.units import inches, show_length
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import End, EndKind, Groove, JointSizes, Piece, Route, TrackSizes, Wheel
from platelayer.values.shapes import Arc, Contour

PLAIN_MM: Final = inches(1 / 4)
"""A groove has its plain width, flare apart, this far from either end face at least. Common practice, no source."""
TAPER_RUN: Final = 10
"""A wall moves out by one in so many. Common practice, no source."""
_STEP_MM: Final = 1.0
"""Where a widening may begin beside a hole is found to this."""
_WIDEST_RADIUS_MM: Final = 10_000.0
"""On a wider curve than this no wheel stands askew that a straight takes."""


@dataclass(frozen=True, slots=True)
class Running:
    """What runs on a job's pieces, and the land that widening its grooves must leave on top of each piece."""

    wheel: Wheel
    land_mm: float = LAND_MM


def needed_width_mm(wheel: Wheel, *, depth_mm: float, radius_mm: float) -> float:
    """Least width between straight walls of a groove of that radius for a wheel that stands on its floor.

    Args:
        wheel: one of four on parallel axles.
        depth_mm: of the groove.
        radius_mm: of the groove's centre line; infinity for a straight.

    Source:
        derived here. Chord of a disc of diameter D in a groove h deep: c = 2 sqrt(h (D - h)), all of D where the axle
        is lower than the top. Both axles of a wheelbase B stand on a circle of radius r, so that the line between them
        makes asin(B / 2r) with it at either. A rectangle c by t, turned by so much, is t cos + c sin across. The
        curve's own rise under it is the same at both corners that touch and drops out. Worked in tests/outside.
    """
    low = min(depth_mm, wheel.diameter_mm / 2)
    chord = 2 * math.sqrt(low * (wheel.diameter_mm - low))
    sine = min(wheel.wheelbase_mm / (2 * radius_mm), 1.0)
    return wheel.thickness_mm * math.sqrt(1 - sine**2) + chord * sine


def needed_on_route_mm(route: Route, *, track: TrackSizes, wheel: Wheel) -> float:
    """What a wheel needs on the tightest arc of a route, in its inner groove; 0 for a route without arcs."""
    radii = [segment.radius_mm for segment in route.path.segments if isinstance(segment, Arc)]
    if not radii:
        return 0.0
    inner = min(radii) - track.groove_offset_mm
    return needed_width_mm(wheel, depth_mm=track.groove_depth_mm, radius_mm=max(inner, COINCIDENT_MM))


def widened(
    groove: Groove, route: Route, ends: Sequence[End], *, track: TrackSizes, joint: JointSizes, running: Running
) -> Groove:
    """The groove as wide along the arcs of its route as a wheel needs there and the wood allows.

    Both grooves of a track are widened by what the inner one needs, since the wheels of an axle, square to it, stand
    nearer to each other across the curve than the grooves do. Less than the dry run tells from the plain width is left.
    """
    wanted = (needed_on_route_mm(route, track=track, wheel=running.wheel) - groove.width_mm) / 2
    beside = track.groove_outer_mm - running.land_mm
    between = (track.width_mm / 2 - track.groove_inner_mm) - running.land_mm / 2
    extra = min(wanted, beside, between)
    if extra <= LEFTOVER_MM:
        return groove
    holes = [
        [transform_point((-hole_centre_mm(joint), 0.0), end.pose)] if end.kind is EndKind.SOCKET else []
        for end in (ends[route.ends[0]], ends[route.ends[1]])
    ]
    low, high = PLAIN_MM, PLAIN_MM
    low, high = max(low, groove.flare[0].length_mm), max(high, groove.flare[1].length_mm)
    least = joint.hole_diameter_mm / 2 + running.land_mm
    while (knots := _knots(groove.path, extra, low, high)) and any(holes):
        made = replace(groove, widening_mm=knots)
        near = [_is_near(made, groove, at, least) for at in holes]
        if not any(near):
            break
        low, high = low + _STEP_MM * near[0], high + _STEP_MM * near[1]
    return replace(groove, widening_mm=knots)


def _is_near(made: Groove, plain: Groove, holes: Sequence[tuple[float, float]], least_mm: float) -> bool:
    """Widening took it nearer to a hole than that, and than it was."""

    def nearest(groove: Groove, at: tuple[float, float]) -> float:
        both = walls(groove)
        return min(distance_mm(both.left, at), distance_mm(both.right, at))

    return any(nearest(made, at) < min(least_mm, nearest(plain, at)) - COINCIDENT_MM for at in holes)


def _knots(path: Contour, extra_mm: float, low_mm: float, high_mm: float) -> tuple[tuple[float, float], ...]:
    """Knots that widen a path along its arcs, the two ends left as they are; none where that leaves no room for it."""
    ends = [0.0]
    for segment in path.segments:
        ends.append(ends[-1] + segment.length_mm)
    arcs = [index for index, segment in enumerate(path.segments) if isinstance(segment, Arc)]
    run = TAPER_RUN * extra_mm
    first = max(ends[arcs[0]] - run, low_mm)
    last = min(ends[arcs[-1] + 1] + run, ends[-1] - high_mm)
    if last - first <= 2 * TAPER_RUN * LEFTOVER_MM:
        return ()
    if last - first <= 2 * run + COINCIDENT_MM:
        return (first, 0.0), ((first + last) / 2, (last - first) / (2 * TAPER_RUN)), (last, 0.0)
    return (first, 0.0), (first + run, extra_mm), (last - run, extra_mm), (last, 0.0)


def wheel_findings(pieces: Sequence[Piece], *, track: TrackSizes, wheel: Wheel) -> tuple[Finding, ...]:
    """A warning for each width that a wheel needs on curved pieces and lacks by more than WHEEL_LACK_MM somewhere."""
    found: dict[tuple[float, float], list[Piece]] = {}
    for piece in pieces:
        needs = [needed_on_route_mm(route, track=track, wheel=wheel) for route in piece.routes if piece.grooves]
        need = max(needs, default=0.0)
        if need - track.groove_width_mm > WHEEL_LACK_MM:
            made = min(groove.widest_mm for groove in piece.grooves)
            found.setdefault((round(need, 6), round(made, 6)), []).append(piece)
    return tuple(_finding(alike, need, made, track=track, wheel=wheel) for (need, made), alike in found.items())


def _finding(
    pieces: Sequence[Piece],
    need: float,
    made: float,
    *,
    track: TrackSizes,
    wheel: Wheel,
) -> Finding:
    plain, titles = track.groove_width_mm, ", ".join(dict.fromkeys(piece.title for piece in pieces))
    lack, left = show_length(need - plain), show_length(need - made)
    if made - plain <= LEFTOVER_MM:
        so = f"The grooves are {show_length(plain)} wide, with no wood for more: it lacks {lack}."
    else:
        so = f"They are made {show_length(made)} wide, but keep {show_length(plain)} at the ends to meet their "
        so += f"neighbours: it lacks {lack} there{f', and {left} all along' if need - made > WHEEL_LACK_MM else ''}."
    text = (
        f"{titles}: a wheel {show_length(wheel.thickness_mm)} thick and {show_length(wheel.diameter_mm)} in diameter, "
        f"on axles {show_length(wheel.wheelbase_mm)} apart, needs a groove {show_length(need)} wide on this curve. {so}"
    )
    least = _least_radius_mm(track, wheel)
    larger = "" if least is None else f"Use a radius of at least {at_least(least)}, or a shorter waggon. "
    return Finding(
        code=Code.SHAPE_WHEEL,
        severity=Severity.WARNING,
        text=text,
        advice=larger + ("These wheels are assumed: measure yours and write [wheel]." if wheel.is_assumed else ""),
        where=Where(piece=pieces[0].id),
        measured=need - plain,
        limit=WHEEL_LACK_MM,
    )


def _least_radius_mm(track: TrackSizes, wheel: Wheel) -> float | None:
    """Radius of the tightest centre line whose grooves need no widening worth a warning; None where none is."""

    def lacks(radius_mm: float) -> bool:
        inner = radius_mm - track.groove_offset_mm
        need = needed_width_mm(wheel, depth_mm=track.groove_depth_mm, radius_mm=inner)
        return need - track.groove_width_mm > WHEEL_LACK_MM

    low, high = track.width_mm, _WIDEST_RADIUS_MM
    if lacks(high):
        return None
    while high - low > LEFTOVER_MM / 2:
        middle = (low + high) / 2
        low, high = (middle, high) if lacks(middle) else (low, middle)
    return high
