"""Closed forms of what stops a peg in its socket: bounds on the opening, for any sideways shift and angle.

Glossary:
    pose of the peg: opening dx, shift dy and angle of its piece against the socket's, faces together at (0, 0, 0). The
    socket's end frame stays; the peg's piece, turned half round, has the middle of its face at (dx, dy).
    lower bound: the least opening that a pair of features allows; upper bound: the greatest. A pair may give neither.
    near side: +y of the socket. The other side is the near side of the mirrored pose (dx, -dy, -angle).

Theory: a head is a disc, so head against socket is its centre against the socket shrunk by a disc: circle about the
hole's centre, circles about the lips' inner corners. Neck and face are straight and meet corners. Root fillet (concave,
radius r) against an eased corner (convex, radius e) touches where centres stand r - e apart, and only where e < r: a
larger ease meets neck and face first. Crook fillet against the lip's inner corner is the same with e = 0. Each of
these is linear or quadratic in dx for given dy and angle. Exact in the plane, but where an eased corner's arc ends:
there the angle's square times the ease radius is left out, under 1e-4 mm for any angle a joint allows.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.shapes import JointShape

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds on the opening for each shift, in mm: below ``low`` or above ``high`` something overlaps.

    ``low`` > ``high`` where no opening is free; ``high`` is inf where nothing holds the peg.
    """

    low: Floats
    high: Floats


def limits(shape: JointShape, *, shift_mm: Floats, angle_rad: float) -> Limits:
    """Bounds on the opening at an array of shifts (n,) and one angle."""
    low, high = _hole(shape, shift_mm, angle_rad)
    np.maximum(low, _faces(shape, shift_mm, angle_rad), out=low)
    for side in (1.0, -1.0):
        for lower, upper in _near_side(shape, side * shift_mm, side * angle_rad):
            if lower is not None:
                np.maximum(low, lower, out=low)
            if upper is not None:
                np.minimum(high, upper, out=high)
    return Limits(low, high)


_Cross = tuple[tuple[Floats, Floats, Floats], tuple[Floats, Floats, Floats]]
_Bound = tuple[Floats | None, Floats | None]
_NO_BOUND: Final[_Bound] = (None, None)


def _root(values: Floats) -> Floats:
    """Square root, nan below zero."""
    return np.sqrt(np.where(values < 0, np.nan, values))


def _hole(shape: JointShape, shift: Floats, angle: float) -> tuple[Floats, Floats]:
    """Head in hole: its centre stays in a circle, but for the window through which it looks out of the mouth."""
    spare = shape.hole_radius_mm - shape.head_radius_mm
    if spare < 0:
        return np.full_like(shift, np.inf), np.full_like(shift, np.inf)
    across = shift - shape.head_centre_mm * math.sin(angle)
    along = shape.head_centre_mm * math.cos(angle) - shape.hole_centre_mm
    way = _root(spare**2 - across**2)
    low = np.where(np.isnan(way), np.inf, along - way)
    is_walled = np.abs(across) > spare * shape.half_mouth_mm / shape.hole_radius_mm
    high = np.where(is_walled & ~np.isnan(way), along + way, np.inf)
    return low, high


def _faces(shape: JointShape, shift: Floats, angle: float) -> Floats:
    """Face against face: the tilted one touches at an end of the height that both have in common."""
    half = shape.width_mm / 2
    top = np.minimum(half - shift, half * math.cos(angle))
    bottom = np.maximum(-half - shift, -half * math.cos(angle))
    return np.maximum(top * math.tan(angle), bottom * math.tan(angle))


def _near_side(shape: JointShape, shift: Floats, angle: float) -> tuple[_Bound, ...]:
    """What the lip at +y meets: head, neck at both ends of the lip, root and crook."""
    ease, mouth = shape.ease_radius_mm, shape.half_mouth_mm
    inner = _seen_from_peg(-shape.lip_mm, mouth, shift, angle)
    outer = _seen_from_peg(-ease, mouth + ease, shift, angle)
    return (
        (None, _head_at_lip(shape, shift, angle)),
        _beside_neck(inner, shape.half_neck_mm, angle),
        _beside_neck(outer, shape.half_neck_mm + ease, angle),
        _in_root(shape, outer, angle),
        _in_crook(shape, inner, angle),
    )


def _seen_from_peg(x: float, y: float, shift: Floats, angle: float) -> tuple[Floats, Floats]:
    """A point of the socket in the peg's frame, near side up, at zero opening: it moves by (cos, sin) with opening."""
    cos, sin = math.cos(angle), math.sin(angle)
    return -x * cos - (y - shift) * sin, -x * sin + (y - shift) * cos


def _head_at_lip(shape: JointShape, shift: Floats, angle: float) -> Floats:
    """Head against the lip's inner corner: centres of one and the other stay R apart."""
    across = shift - shape.head_centre_mm * math.sin(angle) - shape.half_mouth_mm
    way = _root(shape.head_radius_mm**2 - across**2)
    high = shape.head_centre_mm * math.cos(angle) - shape.lip_mm - way
    return np.where(np.isnan(high), np.inf, high)


def _beside_neck(point: tuple[Floats, Floats], least: float, angle: float) -> _Bound:
    """A point of the lip stays at least so far from the neck's middle line."""
    missing, sin = least - point[1], math.sin(angle)
    if sin > 0:
        return missing / sin, None
    if sin < 0:
        return None, missing / sin
    return np.where(missing > 0, np.inf, -np.inf), None


def _crossings(point: tuple[Floats, Floats], centre: tuple[float, float], radius: float, angle: float) -> _Cross:
    """Openings at which the point enters and leaves a circle, and where it stands then, seen from the centre."""
    cos, sin = math.cos(angle), math.sin(angle)
    along, across = point[0] - centre[0], point[1] - centre[1]
    middle = along * cos + across * sin
    half = _root(middle**2 - along**2 - across**2 + radius**2)
    enters, leaves = -middle - half, -middle + half
    return (
        (enters, along + cos * enters, across + sin * enters),
        (leaves, along + cos * leaves, across + sin * leaves),
    )


def _in_root(shape: JointShape, corner: tuple[Floats, Floats], angle: float) -> _Bound:
    """The mouth's outer corner in the root's arc: it may not cross the arc's quarter next to neck and face."""
    radius, ease = shape.root_radius_mm, shape.ease_radius_mm
    if radius <= ease:
        return _NO_BOUND
    centre = (radius - shape.overcut_mm, shape.half_neck_mm + radius)
    (enters, u0, w0), (leaves, u1, w1) = _crossings(corner, centre, radius - ease, angle)
    low = np.where((u0 <= 0) & (w0 <= 0), enters, -np.inf)
    high = np.where((u1 <= 0) & (w1 <= 0), leaves, np.inf)
    return low, high


def _in_crook(shape: JointShape, corner: tuple[Floats, Floats], angle: float) -> _Bound:
    """The lip's inner corner in the crook's fillet: it may not cross the arc between neck and head."""
    radius = shape.crook_radius_mm
    if radius == 0:
        return _NO_BOUND
    centre = shape.crook_centre
    furthest = radius * (shape.head_centre_mm - centre[0]) / (shape.head_radius_mm + radius)
    (enters, u0, w0), (leaves, u1, w1) = _crossings(corner, centre, radius, angle)
    low = np.where((u0 >= 0) & (u0 <= furthest) & (w0 <= 0), enters, -np.inf)
    high = np.where((u1 >= 0) & (u1 <= furthest) & (w1 <= 0), leaves, np.inf)
    return low, high
