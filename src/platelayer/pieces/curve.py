"""The curve: any radius and angle, either hand, any two ends.

Glossary:
    radius: of the centre line. angle: between the two end faces. left, right: the way a train turns that starts at
    the start end.
"""

import math
from collections.abc import Iterator
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.contours import turn_of
from platelayer.geometry.grooves import beside
from platelayer.geometry.joint import peg_reach_mm
from platelayer.pieces.kind import Key, Kind, Making, Measure, Sizes, faces_of, number
from platelayer.pieces.limits import (
    ends_words,
    flares_fault,
    flares_mm,
    hole_faults,
    is_grooved,
    left_words,
    wood_left_mm,
)
from platelayer.pieces.sizes import at_least
from platelayer.pieces.track import one_route, track_piece
from platelayer.tolerances import COINCIDENT_MM, LAND_MM
from platelayer.units import show_length, show_short
from platelayer.values.pieces import EndKind, Piece, Route
from platelayer.values.shapes import Arc
from platelayer.values.tooling import PieceOrder

USUAL_ANGLE_RAD: Final = math.radians(45)
"""Angle of a curve that names none: common practice, no source."""


def centre_line(*, radius_mm: float, angle_rad: float, is_left: bool) -> Arc:
    """From the origin, leaving along x, turning left about (0, R) or right about (0, -R)."""
    cos, sin = turn_of(angle_rad)
    side = 1 if is_left else -1
    return Arc((0.0, 0.0), (radius_mm * sin, side * radius_mm * (1 - cos)), (0.0, side * radius_mm), is_left)


def end_gap_mm(*, radius_mm: float, angle_rad: float, width_mm: float) -> float:
    """Length along the inside of the curve that is still open between its two ends; negative past a full ring."""
    return (math.tau - angle_rad) * (radius_mm - width_mm / 2)


def _line(sizes: Sizes) -> Arc:
    radius, angle = number(sizes, "radius"), number(sizes, "angle")
    return centre_line(radius_mm=radius, angle_rad=angle, is_left=sizes["hand"] == "left")


def _title(sizes: Sizes) -> str:
    return f"curve {show_short(number(sizes, 'radius'))} {_degrees(number(sizes, 'angle'))} {sizes['hand']}"


def _routes(sizes: Sizes) -> tuple[Route, ...]:
    return (one_route(_line(sizes)),)


def _faults(order: PieceOrder, making: Making) -> Iterator[Fault]:
    radius, angle, track = number(order.sizes, "radius"), number(order.sizes, "angle"), making.track
    if not radius >= track.width_mm:
        width = show_length(track.width_mm)
        yield Fault(
            where=f"[[piece]] {order.name} radius",
            found=show_length(radius),
            problem=f"tighter than the track is wide, {width} (the radius is that of the centre line)",
            fix=f"Use at least {at_least(track.width_mm)}.",
        )
        return
    where, found = f"[[piece]] {order.name} angle", _degrees(angle)
    if not angle > 0:
        yield Fault(where=where, found=found, problem="must be more than nothing")
        return
    gap = end_gap_mm(radius_mm=radius, angle_rad=angle, width_mm=track.width_mm)
    reach = sum(peg_reach_mm(making.joint) for end in order.ends if end is EndKind.PEG) + LAND_MM
    if gap < reach:
        most = math.tau - reach / (radius - track.width_mm / 2)
        yield Fault(
            where=where,
            found=found,
            problem="turns so far that its ends run into each other",
            fix=f"Use at most {_degrees(math.floor(math.degrees(most)) * math.pi / 180)}.",
        )
        return
    yield from _short_faults(order, making)


def _short_faults(order: PieceOrder, making: Making) -> Iterator[Fault]:
    """Faults of a curve that is not long enough for what reaches in from its ends, or too tight for it."""
    track, line = making.track, _line(order.sizes)
    where, found = f"[[piece]] {order.name} angle", _degrees(number(order.sizes, "angle"))
    inner = min(beside(line, track.groove_offset_mm).length_mm, beside(line, -track.groove_offset_mm).length_mm)
    left = wood_left_mm(line, ends=order.ends, making=making)
    if left < LAND_MM - COINCIDENT_MM:
        yield Fault(
            where=where,
            found=found,
            problem=f"too short for its ends, {ends_words(order)}, at radius "
            f"{show_length(number(order.sizes, 'radius'))}: {left_words(left)} between them "
            f"(limit {show_length(LAND_MM)})",
            fix="Use a larger angle or radius, or other ends.",
        )
    elif is_grooved(order) and flares_mm(track) > inner + COINCIDENT_MM:
        yield flares_fault(where, found, making)
    elif is_grooved(order):
        yield from hole_faults(order, line, making)


def _degrees(angle_rad: float) -> str:
    return f"{math.degrees(angle_rad):.6g} degrees"


def _build(order: PieceOrder, making: Making) -> Piece:
    return track_piece(_line(order.sizes), kind=order.kind, ends=order.ends, faces=faces_of(order), making=making)


CURVE: Final = Kind(
    name="curve",
    summary="an arc of any centre-line radius and angle, left or right",
    keys=(
        Key(
            name="radius",
            measure=Measure.LENGTH,
            missing="Write that of the centre line.",
            meaning="radius of its centre line.",
            rule="no less than the track's width",
            example='"8 in"',
        ),
        Key(
            name="angle",
            measure=Measure.ANGLE,
            default=USUAL_ANGLE_RAD,
            span=(0.0, math.pi),
            span_words="a curve turns by more than 0 and at most 180 degrees",
            meaning="angle between its two end faces.",
            example="45",
        ),
        Key(
            name="hand",
            measure=Measure.CHOICE,
            default="left",
            choices=("left", "right"),
            meaning="the way a train turns that starts at its start.",
            example='"right"',
        ),
    ),
    ends=(("start", EndKind.SOCKET), ("end", EndKind.PEG)),
    title=_title,
    routes=_routes,
    faults=_faults,
    build=_build,
)
