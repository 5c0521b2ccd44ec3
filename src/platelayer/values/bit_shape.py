"""The shape of a bit: how wide it cuts at a height above its tip, and how high it cuts at a distance from its axis.

Glossary:
    rise: height of the cutting surface above the tip. tip radius: how wide the bit cuts at its very tip.

A round-over bit is hollow: a quarter circle of its corner radius about a point of its widest rim stays wood.
"""

import math
from typing import Protocol

import numpy as np

from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.values.motion import Floats
from platelayer.values.tooling import BitKind


class ShapedBit(Protocol):
    """What says how a bit is shaped: an included angle counts for vee bits, a corner radius for round-over bits."""

    @property
    def kind(self) -> BitKind:
        """Flat, ball, vee or round-over."""

    @property
    def diameter_mm(self) -> float:
        """Effective cutting diameter at the widest."""

    @property
    def included_rad(self) -> float:
        """Angle between the two flanks of a vee bit."""

    @property
    def corner_radius_mm(self) -> float:
        """Radius of the quarter circle that a round-over bit leaves."""


def radius_at(bit: ShapedBit, above_tip_mm: float) -> float:
    """Radius that the bit cuts so far above its tip: all of it for a flat bit, nothing below the tip.

    Source:
        derived here: ball, r^2 - (r - h)^2; vee, h tan(half the included angle); round-over, hollow by a quarter
        circle of its corner radius c about (r, 0), which the wood keeps: r - sqrt(c^2 - h^2), at the tip r - c.
    """
    radius, height = bit.diameter_mm / 2, above_tip_mm
    if height < 0:
        return 0.0
    match bit.kind:
        case BitKind.BALL:
            return radius if height >= radius else math.sqrt(radius**2 - (radius - height) ** 2)
        case BitKind.VEE:
            return min(radius, height * math.tan(bit.included_rad / 2))
        case BitKind.ROUND_OVER:
            corner = min(bit.corner_radius_mm, radius)
            return radius - math.sqrt(corner**2 - height**2) if height < corner else radius
        case _:
            return radius


def tip_radius_mm(bit: ShapedBit) -> float:
    """Radius at the tip: all of a flat bit, what its corner leaves of a round-over bit, nothing of the others."""
    return radius_at(bit, 0.0)


def rise_mm(bit: ShapedBit, distance_mm: Floats) -> Floats:
    """Height of the bit's cutting surface above its tip, so far from its axis; infinite beyond its radius.

    Source:
        derived here. Ball R - sqrt(R^2 - d^2); vee d / tan(a/2); round-over of corner radius c: the wood keeps a
        quarter circle about (R, 0), so sqrt(c^2 - (R - d)^2), and zero inside R - c.
    """
    radius = bit.diameter_mm / 2
    distance = np.asarray(distance_mm, dtype=np.float64)
    match bit.kind:
        case BitKind.BALL:
            rise = radius - np.sqrt(np.maximum(radius**2 - distance**2, 0.0))
        case BitKind.VEE:
            rise = distance / math.tan(bit.included_rad / 2)
        case BitKind.ROUND_OVER:
            inward = np.minimum(radius - distance, bit.corner_radius_mm)
            rise = np.sqrt(np.maximum(bit.corner_radius_mm**2 - inward**2, 0.0))
        case _:
            rise = np.zeros_like(distance)
    return np.where(distance <= radius + PROGRAM_STEP_MM, rise, np.inf)
