"""Opening, pull-out and side play with the pieces in line: scalar closed forms, a few microseconds a joint.

Glossary: as in free_play. The peg is centred for opening and pull-out, and pushed home for the side play.

Each form is one of ``limits`` at angle zero, solved for the opening at no shift or for the shift at one opening. A
joint is the same on both sides, so nothing is gained by a shift: the extreme openings are found on the middle line.
"""

import math
from dataclasses import dataclass

from platelayer.fit.shapes import JointShape


@dataclass(frozen=True, slots=True)
class InLine:
    """Openings and sideways play each way; pull-out inf where nothing holds, opening above it where none is free."""

    opening_mm: float
    pull_out_mm: float
    side_mm: float

    @property
    def play_mm(self) -> float:
        """Pull-out play, negative by as much as the joint does not go together."""
        return self.pull_out_mm - self.opening_mm


def in_line(shape: JointShape) -> InLine:
    """The plays of a joint, pieces in line."""
    opening = max(0.0, _on_bottom(shape), root_opening_mm(shape))
    pull_out = min(_on_lips(shape), _on_crook(shape))
    return InLine(opening, pull_out, max(0.0, _sideways(shape, opening)) if opening <= pull_out else 0.0)


def _on_bottom(shape: JointShape) -> float:
    spare = shape.hole_radius_mm - shape.head_radius_mm
    return shape.head_centre_mm - shape.hole_centre_mm - spare if spare >= 0 else math.inf


def root_opening_mm(shape: JointShape) -> float:
    """Opening that the root's arc forces on the mouth's corner, peg centred; inf for a mouth narrower than the neck.

    Centres of arc and ease stand r - e apart, as far across as the gap says.
    """
    radius, ease = shape.root_radius_mm, shape.ease_radius_mm
    across = shape.half_mouth_mm + ease - shape.half_neck_mm - radius
    if shape.half_mouth_mm < shape.half_neck_mm:
        return math.inf
    if radius <= ease or across >= 0:
        return 0.0
    return radius - shape.overcut_mm - ease - math.sqrt((radius - ease) ** 2 - across**2)


def _on_lips(shape: JointShape) -> float:
    if shape.head_radius_mm <= shape.half_mouth_mm:
        return math.inf
    return shape.head_centre_mm - shape.lip_mm - math.sqrt(shape.head_radius_mm**2 - shape.half_mouth_mm**2)


def _on_crook(shape: JointShape) -> float:
    radius, (x, y) = shape.crook_radius_mm, shape.crook_centre
    across = shape.half_mouth_mm - y
    if radius == 0 or not -radius <= across <= 0:
        return math.inf
    along = math.sqrt(radius**2 - across**2)
    return x + along - shape.lip_mm if along <= _crook_reach(shape) else math.inf


def _crook_reach(shape: JointShape) -> float:
    """How far along the peg the crook's arc reaches from its centre."""
    share = shape.crook_radius_mm / (shape.head_radius_mm + shape.crook_radius_mm)
    return share * (shape.head_centre_mm - shape.crook_centre[0])


def _sideways(shape: JointShape, opening: float) -> float:
    behind = shape.head_centre_mm - opening - shape.lip_mm
    ways = [shape.half_mouth_mm - shape.half_neck_mm]
    if abs(behind) < shape.head_radius_mm:
        ways.append(shape.half_mouth_mm - math.sqrt(shape.head_radius_mm**2 - behind**2))
    ways += [_to_wall(shape, opening), _to_root(shape, opening), _to_crook(shape, opening)]
    return min(ways)


def _to_wall(shape: JointShape, opening: float) -> float:
    """Head to the wall of its hole; inf where it meets the mouth instead."""
    spare = shape.hole_radius_mm - shape.head_radius_mm
    forward = shape.hole_centre_mm - shape.head_centre_mm + opening
    if abs(forward) > spare:
        return math.inf if forward > 0 else 0.0
    way = math.sqrt(spare**2 - forward**2)
    in_window = forward > 0 and way <= spare * shape.half_mouth_mm / shape.hole_radius_mm
    return math.inf if in_window else way


def _to_root(shape: JointShape, opening: float) -> float:
    radius, ease = shape.root_radius_mm, shape.ease_radius_mm
    along = opening + ease - radius + shape.overcut_mm
    if radius <= ease or along >= 0 or -along > radius - ease:
        return math.inf
    across = shape.half_mouth_mm + ease - shape.half_neck_mm - radius
    return across + math.sqrt((radius - ease) ** 2 - along**2)


def _to_crook(shape: JointShape, opening: float) -> float:
    radius, (x, y) = shape.crook_radius_mm, shape.crook_centre
    along = shape.lip_mm + opening - x
    if not 0 <= along <= min(radius, _crook_reach(shape)) or radius == 0:
        return math.inf
    return shape.half_mouth_mm - y + math.sqrt(radius**2 - along**2)
