"""Broken edges: how deep a bit goes to take so much off an edge, and where its axis runs.

Glossary:
    width (of a broken edge): how far in along the face. depth: how far down the wall.
    round: a quarter circle, or the part of one next to the wall. chamfer: a flat slope.
    beside: distance of a bit's axis from the wall whose edge it breaks.

A round-over bit stands with the rim of its tip against the wall. As deep as its radius it leaves the whole quarter
circle; less deep the part next to the wall, which meets the face at an angle. A vee bit runs beside the wall with its
flank on the edge, not its point, which hardly moves and cuts nothing well.
"""

import math
from typing import Final

VEE_BESIDE_MM: Final = 1.0
"""A vee bit's axis runs so far beside the wall where there is room. Common practice, no source."""

FLOOR_CLEAR_MM: Final = 0.3
"""A tip stays this far above a groove's floor while it breaks the groove's edges. Common practice, no source."""


def round_depth_mm(*, width_mm: float, radius_mm: float) -> float:
    """Depth of the tip at which a round of that radius comes so far in along the face.

    Raises:
        ValueError: a width greater than the radius.

    Source:
        derived here: with R the radius, w the width and t the depth the round's centre lies R in and t - R above the
        face's level, measured upwards from R deep: (R - w)^2 + t^2 = R^2.
    """
    if width_mm > radius_mm:
        raise ValueError("no round is wider than its radius")
    return math.sqrt(radius_mm**2 - (radius_mm - width_mm) ** 2)


def chamfer_depth_mm(*, width_mm: float, included_rad: float) -> float:
    """How far down the wall a vee bit of that included angle cuts a chamfer so wide along the face."""
    return width_mm / math.tan(included_rad / 2)


def vee_beside_mm(*, width_mm: float, included_rad: float, groove_mm: float, deepest_mm: float) -> float:
    """Distance of a vee bit's axis from the wall: VEE_BESIDE_MM, a quarter of the groove, or what the depth allows.

    Negative when the point would have to stand under the wood to stay above the greatest depth.
    """
    allowed = deepest_mm * math.tan(included_rad / 2) - width_mm
    return min(VEE_BESIDE_MM, groove_mm / 4, allowed)
