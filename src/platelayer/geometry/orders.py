"""What a line of the cut list cannot be: lengths, radii and angles, as faults in words with value and limit.

Glossary:
    order: one line of the cut list. Not an order of cuts.
    reach: how far an end's joint goes into its piece from the end face: hole, or relief beside a peg.
    web: wood left between a groove above and one below. Not a floor: that is under a groove in a whole board.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import product

from platelayer.errors import Fault
from platelayer.geometry.contours import distance_mm, distance_to_segment_mm, transform_point, transform_segment
from platelayer.geometry.curve import centre_line, end_gap_mm
from platelayer.geometry.grooves import beside, track_grooves, walls
from platelayer.geometry.joint import hole_centre_mm, peg_reach_mm, socket_reach_mm
from platelayer.geometry.sizes import at_least, at_most, check_sizes, relief_mm
from platelayer.geometry.track import end_poses
from platelayer.tolerances import COINCIDENT_MM, LAND_MM
from platelayer.units import LengthUnit, show_length
from platelayer.values.pieces import BoardFace, CornerRadii, EndKind, JointSizes, TrackSizes
from platelayer.values.shapes import Contour, Line, Point, Pose, Segment
from platelayer.values.tooling import PieceOrder


def check_orders(
    orders: Sequence[PieceOrder],
    *,
    joint: JointSizes,
    track: TrackSizes,
    corners: CornerRadii | None = None,
    unit: LengthUnit = "in",
) -> tuple[Fault, ...]:
    """Every fault of a whole cut list, each once, or of joint and track where those are wrong already."""
    wrong = check_sizes(joint, track, corners=corners, unit=unit)
    if wrong:
        return wrong
    found = (check_order(order, joint=joint, track=track, corners=corners, unit=unit) for order in orders)
    return tuple(dict.fromkeys(fault for faults in found for fault in faults))


def check_order(
    order: PieceOrder,
    *,
    joint: JointSizes,
    track: TrackSizes,
    corners: CornerRadii | None = None,
    unit: LengthUnit = "in",
) -> tuple[Fault, ...]:
    """Every fault of one line of the cut list, for joint and track that ``check_sizes`` finds good."""
    radii = corners or CornerRadii()
    faults = tuple(_web_faults(order, track, unit))
    match order.kind:
        case "straight":
            return (*faults, *_straight_faults(order, joint, track, radii, unit))
        case "curve":
            return (*faults, *_curve_faults(order, joint, track, radii, unit))
        case _:
            return faults


def _web_faults(order: PieceOrder, track: TrackSizes, unit: LengthUnit) -> Iterator[Fault]:
    web = track.thickness_mm - 2 * track.groove_depth_mm
    if order.grooves_top and order.grooves_bottom and web < LAND_MM - COINCIDENT_MM:
        left = f"a web of {show_length(web, first=unit)}" if web > 0 else "no wood"
        yield Fault(
            where="[track] groove_depth",
            found=show_length(track.groove_depth_mm, first=unit),
            problem=f"leaves {left} between the grooves on both faces of {order.name} "
            f"(limit {show_length(LAND_MM, first=unit)})",
            mend=f"Use at most {at_most((track.thickness_mm - LAND_MM) / 2, unit)}, or grooves on one face.",
        )


def _reach_mm(end: EndKind, joint: JointSizes, corners: CornerRadii) -> float:
    match end:
        case EndKind.SOCKET:
            return socket_reach_mm(joint)
        case EndKind.PEG:
            return relief_mm(joint, corners)
        case EndKind.PLAIN:
            return 0.0


def _straight_faults(
    order: PieceOrder, joint: JointSizes, track: TrackSizes, corners: CornerRadii, unit: LengthUnit
) -> Iterator[Fault]:
    where, found = f"[[piece]] {order.name} length", show_length(order.length_mm, first=unit)
    least = sum(_reach_mm(end, joint, corners) for end in order.ends) + LAND_MM
    if not order.length_mm > 0:
        yield Fault(where=where, found=found, problem="must be more than nothing")
    elif order.length_mm < least - COINCIDENT_MM:
        yield Fault(
            where=where,
            found=found,
            problem=f"too short for its ends, {order.ends[0]} and {order.ends[1]} (limit "
            f"{show_length(least, first=unit)}, {show_length(LAND_MM, first=unit)} of wood between them included)",
            mend=f"Use at least {at_least(least, unit)}, or other ends.",
        )
    elif _is_grooved(order) and _flares_mm(track) > order.length_mm + COINCIDENT_MM:
        yield _flares_fault(where, found, track, unit)


def _is_grooved(order: PieceOrder) -> bool:
    return order.grooves_top or order.grooves_bottom


def _flares_mm(track: TrackSizes) -> float:
    """Length of groove that its two flares take."""
    return 2 * track.flare_length_mm if track.flare_extra_mm > 0 else 0.0


def _flares_fault(where: str, found: str, track: TrackSizes, unit: LengthUnit) -> Fault:
    return Fault(
        where=where,
        found=found,
        problem=f"the grooves are shorter than their two flares, {show_length(_flares_mm(track), first=unit)} together",
        mend="Use a longer piece, or a shorter flare_length in [track].",
    )


def _curve_faults(
    order: PieceOrder, joint: JointSizes, track: TrackSizes, corners: CornerRadii, unit: LengthUnit
) -> Iterator[Fault]:
    radius, angle = order.radius_mm, order.angle_rad
    where = f"[[piece]] {order.name} radius"
    if not radius >= track.width_mm:
        width = show_length(track.width_mm, first=unit)
        yield Fault(
            where=where,
            found=show_length(radius, first=unit),
            problem=f"tighter than the track is wide, {width} (the radius is that of the centre line)",
            mend=f"Use at least {at_least(track.width_mm, unit)}.",
        )
        return
    where, found = f"[[piece]] {order.name} angle", _degrees(angle)
    if not angle > 0:
        yield Fault(where=where, found=found, problem="must be more than nothing")
        return
    gap = end_gap_mm(radius_mm=radius, angle_rad=angle, width_mm=track.width_mm)
    reach = sum(peg_reach_mm(joint) for end in order.ends if end is EndKind.PEG) + LAND_MM
    if gap < reach:
        most = math.tau - reach / (radius - track.width_mm / 2)
        yield Fault(
            where=where,
            found=found,
            problem="turns so far that its ends run into each other",
            mend=f"Use at most {_degrees(math.floor(math.degrees(most)) * math.pi / 180)}.",
        )
        return
    line = centre_line(radius_mm=radius, angle_rad=angle, is_left=order.is_left)
    short = min(beside(line, track.groove_offset_mm).length_mm, beside(line, -track.groove_offset_mm).length_mm)
    left = wood_left_mm(line, ends=order.ends, joint=joint, track=track, corners=corners)
    if left < LAND_MM - COINCIDENT_MM:
        yield Fault(
            where=where,
            found=found,
            problem=f"too short for its ends, {order.ends[0]} and {order.ends[1]}, at radius "
            f"{show_length(radius, first=unit)}: {_left_words(left, unit)} between them "
            f"(limit {show_length(LAND_MM, first=unit)})",
            mend="Use a larger angle or radius, or other ends.",
        )
    elif _is_grooved(order) and _flares_mm(track) > short + COINCIDENT_MM:
        yield _flares_fault(where, found, track, unit)
    elif _is_grooved(order):
        yield from _hole_faults(order, line, joint, track, unit)


def _degrees(angle_rad: float) -> str:
    return f"{math.degrees(angle_rad):.6g} degrees"


def _left_words(left_mm: float, unit: LengthUnit) -> str:
    return f"{show_length(left_mm, first=unit)} of wood is left" if left_mm > 0 else "no wood is left"


def _holes(line: Segment, ends: tuple[EndKind, EndKind], joint: JointSizes) -> tuple[tuple[int, Point], ...]:
    """Index of each socket's end and the centre of its hole in the piece's frame."""
    inwards = (-hole_centre_mm(joint), 0.0)
    return tuple(
        (index, transform_point(inwards, pose))
        for index, (end, pose) in enumerate(zip(ends, end_poses(line), strict=True))
        if end is EndKind.SOCKET
    )


def wood_left_mm(
    line: Segment, *, ends: tuple[EndKind, EndKind], joint: JointSizes, track: TrackSizes, corners: CornerRadii
) -> float:
    """Least wood between what reaches in from one end and from the other; negative where they overlap.

    Measured between holes, and from each hole, or relief, to the other end's face with its relief; as long as the
    inner side where neither end reaches in.
    """
    poses = end_poses(line)
    half, radius = track.width_mm / 2, joint.hole_diameter_mm / 2
    inside = min(beside(line, half).length_mm, beside(line, -half).length_mm)
    found = [inside - sum(relief_mm(joint, corners) for end in ends if end is EndKind.PEG)]
    holes = _holes(line, ends, joint)
    for (index, centre), other in product(holes, (0, 1)):
        if other != index:
            face = _face(poses[other], half)
            relief = relief_mm(joint, corners) if ends[other] is EndKind.PEG else 0.0
            found.append(distance_to_segment_mm(face, centre) - radius - relief)
    if len(holes) == 2:
        found.append(math.dist(holes[0][1], holes[1][1]) - 2 * radius)
    return min(found)


def _face(pose: Pose, half_mm: float) -> Segment:
    return transform_segment(Line((0.0, -half_mm), (0.0, half_mm)), pose)


def _hole_faults(
    order: PieceOrder, line: Segment, joint: JointSizes, track: TrackSizes, unit: LengthUnit
) -> Iterator[Fault]:
    """Fault of a hole that goes straight in where the groove bends away over it."""
    grooves = track_grooves(line, track=track, faces=(BoardFace.TOP,))
    sides: list[Contour] = [wall for groove in grooves for wall in (walls(groove).left, walls(groove).right)]
    lands = [
        distance_mm(side, centre) - joint.hole_diameter_mm / 2
        for (_, centre), side in product(_holes(line, order.ends, joint), sides)
    ]
    least = min(lands, default=math.inf)
    if least < LAND_MM - COINCIDENT_MM:
        yield Fault(
            where=f"[[piece]] {order.name} radius",
            found=show_length(order.radius_mm, first=unit),
            problem=f"too tight for a socket: {_left_words(least, unit)} between hole and groove "
            f"(limit {show_length(LAND_MM, first=unit)})",
            mend="Use a larger radius, or pegs at both ends.",
        )
