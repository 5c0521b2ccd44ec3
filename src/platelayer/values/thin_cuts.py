"""How thick the chips of a thin cut are, and how thick they may be: what planning and dry run share of it.

Glossary:
    thin cut: a cut so narrow that its chips are thinner than the chip load; a finish pass. width: of what it takes off
        a wall. engaged share: of the bit's diameter, how far wood stands into it; on a straight wall the width's.
    chip load, chip: as in ``values.bit_bend``, where the formula of the chip stands with its source.
    band: least and greatest chip that a bit-maker's chart gives, less the deeper the cut is.
"""

import itertools
from dataclasses import dataclass
from typing import Final

from platelayer.values.minutes import Operation

_DERATING: Final = ((1.0, 1.0), (2.0, 0.75), (3.0, 0.5))
"""Depth in diameters and the share of the chip load kept. Source: a router-bit maker's chart, asttooling.com
speeds-and-feeds-charts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipBand:
    """Chips of a bit one diameter deep, mm, that the chart gives for a wood; 0 and inf where it gives none."""

    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThinCut:
    """What one finish pass takes off a wall at once, its feed along straight walls and its thickest chip."""

    depth_mm: float
    width_mm: float
    feed_mm_min: float
    chip_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishFeed:
    """The feed that finish passes of one operation go at, for cuts so wide and so deep at most; their thickest chip."""

    operation: Operation
    depth_mm: float
    width_mm: float
    feed_mm_min: float
    chip_mm: float


def depth_share_ratio(depth_mm: float, *, bit_diameter_mm: float) -> float:
    """Share of the chart's chip that is kept at this depth: 1 to one diameter, 0.75 at two, 0.5 from three."""
    depth = depth_mm / bit_diameter_mm
    for (first, share), (last, next_share) in itertools.pairwise(_DERATING):
        if depth <= last:
            return min(1.0, share + (next_share - share) * (depth - first) / (last - first))
    return _DERATING[-1][1]


def engaged_ratio(width_mm: float, *, bit_radius_mm: float, bends_per_mm: float = 0.0) -> float:
    """The engaged share of a bit that takes so much off a wall: more in a hollow, less on a bulge.

    Args:
        width_mm: of what is taken, square to the wall.
        bit_radius_mm: of the bit.
        bends_per_mm: one over the radius of the path of the bit's centre; above zero in a hollow, below on a bulge.

    Source:
        derived here: on a path of radius p in a hollow the wall has the radius p + r, what stood before p + r - a.
        Its circle meets the bit's at the angle t from the wall, cos t = ((p + r - a)^2 - p^2 - r^2) / (2 p r); the
        share is (1 - cos t) / 2 = a (2 + k (2 r - a)) / (4 r) with k = 1 / p, and with k = -1 / p on a bulge. k = 0
        gives a / (2 r); k = -1 / r, round a sharp corner, a^2 / (4 r^2).
    """
    share = width_mm * (2 + bends_per_mm * (2 * bit_radius_mm - width_mm)) / (4 * bit_radius_mm)
    return min(1.0, max(0.0, share))
