"""What pieces of track cannot be whatever their kind: webs, flares, holes and joints that meet, as faults in words.

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
from platelayer.geometry.grooves import beside, track_grooves, walls
from platelayer.geometry.joint import hole_centre_mm, socket_reach_mm
from platelayer.pieces.kind import Making
from platelayer.pieces.sizes import at_most, relief_mm
from platelayer.pieces.track import end_poses
from platelayer.tolerances import COINCIDENT_MM, LAND_MM
from platelayer.units import show_length
from platelayer.values.pieces import BoardFace, EndKind, JointSizes, TrackSizes
from platelayer.values.shapes import Contour, Line, Point, Pose, Segment
from platelayer.values.tooling import PieceOrder


def web_faults(order: PieceOrder, making: Making) -> Iterator[Fault]:
    """Fault of grooves on both faces that leave too little between them."""
    track = making.track
    web = track.thickness_mm - 2 * track.groove_depth_mm
    if order.grooves_top and order.grooves_bottom and web < LAND_MM - COINCIDENT_MM:
        left = f"a web of {show_length(web)}" if web > 0 else "no wood"
        yield Fault(
            where="[track] groove_depth",
            found=show_length(track.groove_depth_mm),
            problem=f"leaves {left} between the grooves on both faces of {order.name} (limit {show_length(LAND_MM)})",
            fix=f"Use at most {at_most((track.thickness_mm - LAND_MM) / 2)}, or grooves on one face.",
        )


def reach_mm(end: EndKind, making: Making) -> float:
    """How far the joint of such an end goes into its piece."""
    match end:
        case EndKind.SOCKET:
            return socket_reach_mm(making.joint)
        case EndKind.PEG:
            return relief_mm(making.joint, making.corners)
        case EndKind.PLAIN:
            return 0.0


def ends_words(order: PieceOrder) -> str:
    """The kinds of its ends: ``socket and peg``."""
    return " and ".join(order.ends)


def is_grooved(order: PieceOrder) -> bool:
    """It has grooves on some face."""
    return order.grooves_top or order.grooves_bottom


def flares_mm(track: TrackSizes) -> float:
    """Length of groove that its two flares take."""
    return 2 * track.flare_length_mm if track.flare_extra_mm > 0 else 0.0


def flares_fault(where: str, found: str, making: Making) -> Fault:
    """Fault of grooves shorter than their flares, said of the size at that place."""
    taken = show_length(flares_mm(making.track))
    return Fault(
        where=where,
        found=found,
        problem=f"the grooves are shorter than their two flares, {taken} together",
        fix="Use a longer piece, or a shorter flare_length in [track].",
    )


def left_words(left_mm: float) -> str:
    """How much wood is left, or that none is."""
    return f"{show_length(left_mm)} of wood is left" if left_mm > 0 else "no wood is left"


def _holes(line: Segment, ends: Sequence[EndKind], joint: JointSizes) -> tuple[tuple[int, Point], ...]:
    """Index of each socket's end and the centre of its hole in the piece's frame."""
    inwards = (-hole_centre_mm(joint), 0.0)
    return tuple(
        (index, transform_point(inwards, pose))
        for index, (end, pose) in enumerate(zip(ends, end_poses(line), strict=True))
        if end is EndKind.SOCKET
    )


def wood_left_mm(line: Segment, *, ends: tuple[EndKind, ...], making: Making) -> float:
    """Least wood between what reaches in from one end and from the other; negative where they overlap.

    Measured between holes, and from each hole, or relief, to the other end's face with its relief; as long as the
    inner side where neither end reaches in.
    """
    joint, track, corners = making.joint, making.track, making.corners
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


def hole_faults(order: PieceOrder, line: Segment, making: Making) -> Iterator[Fault]:
    """Fault of a hole that goes straight in where the groove of a curve bends away over it."""
    joint, track = making.joint, making.track
    grooves = track_grooves(Contour((line,), is_closed=False), track=track, faces=(BoardFace.TOP,))
    sides: list[Contour] = [wall for groove in grooves for wall in (walls(groove).left, walls(groove).right)]
    lands = [
        distance_mm(side, centre) - joint.hole_diameter_mm / 2
        for (_, centre), side in product(_holes(line, order.ends, joint), sides)
    ]
    least = min(lands, default=math.inf)
    if least < LAND_MM - COINCIDENT_MM:
        yield Fault(
            where=f"[[piece]] {order.name} radius",
            found=show_length(float(order.sizes["radius"])),
            problem=f"too tight for a socket: {left_words(least)} between hole and groove "
            f"(limit {show_length(LAND_MM)})",
            fix="Use a larger radius, or pegs at both ends.",
        )
