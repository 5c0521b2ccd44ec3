"""How deep each pass goes, when a slot must be widened, and how far a bit bends.

Glossary:
    level: the z that a pass leaves, negative. Not a stepdown: that is the difference of two levels.
    deep slot: a slot of the bit's own width that is deeper than three of its diameters.
    bend: sideways bending of the bit's tip under the force of a finish cut.
"""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.tolerances import BEND_MM, COINCIDENT_MM, DEPTH_MM
from platelayer.values.tooling import Bit, CutData

DEEP_SLOT_DIAMETERS: Final = 3.0
"""A slot deeper than this many diameters packs and burns; common practice, no source."""

THIN_CUT_RATIO: Final = 0.15
"""A finish cut wider than this share of the bit's diameter is no thin cut and goes no deeper at once than the stepdown;
common practice, no source."""

CARBIDE_N_MM2: Final = 580e3
"""Stiffness of carbide. Source: a calculator's table, about 580 GPa; excerpt seen."""

CORE_RATIO: Final = 0.8
"""Diameter of a plain rod as stiff as a fluted bit. Source: Kops and Vo 1990, equivalent diameter about 80 %."""

CUTTING_FORCE_N_MM2: Final = 75.0
"""Force per chip area in hard maple: twice the 37.6 N/mm2 that Palubicki (Materials 14, 2021) has for particleboard;
the doubling is a cautious guess, no source."""


def levels(depth_mm: float, stepdown_mm: float, *, from_mm: float = 0.0) -> tuple[float, ...]:
    """The z of each pass, in even steps no greater than the stepdown; the last exactly at the depth.

    Raises:
        ValueError: a stepdown that is not positive.
    """
    if stepdown_mm <= 0:
        raise ValueError("stepdown must be positive")
    reach = depth_mm - from_mm
    if reach <= COINCIDENT_MM:
        return ()
    count = max(1, math.ceil((reach - DEPTH_MM) / stepdown_mm))
    return tuple(-depth_mm if index == count else -(from_mm + reach * index / count) for index in range(1, count + 1))


def deep_from_mm(bit: Bit) -> float:
    """Depth from which a slot of this bit's width counts as deep."""
    return DEEP_SLOT_DIAMETERS * bit.diameter_mm


def canyon_levels(down: Sequence[float], bit: Bit) -> tuple[float, ...]:
    """The uppermost levels down to which a deep slot is widened before it goes deeper; none where it is not deep.

    Below the widened part the slot of the bit's own width is nowhere deeper than three diameters.
    """
    spare = -down[-1] - deep_from_mm(bit)
    if spare <= COINCIDENT_MM:
        return ()
    return tuple(z for number, z in enumerate(down) if number == 0 or -down[number - 1] < spare - COINCIDENT_MM)


def bend_mm(*, bit: Bit, data: CutData, side_mm: float, deep_mm: float) -> float:
    """Estimated bending of the tip when the bit's side takes a cut so wide and so deep.

    Source:
        a rod clamped at l, the cutting length, loaded evenly over the depth a of cut next to its tip:
        y = F (8 l^3 - 6 l^2 a + a^3) / (24 E I) (textbook case, from memory; for a = l it is F l^3 / (8 E I), for
        a = 0 F l^3 / (3 E I)); I = pi (0.8 D)^4 / 64; F = force per area x a x thickest chip,
        chip = 2 f sqrt((w/D)(1 - w/D)), f the feed per tooth, w the width of cut (chip thinning, common formula).
        One tooth at a time, at its thickest chip: on the safe side.
    """
    diameter, long = bit.diameter_mm, max(bit.cutting_length_mm, deep_mm)
    per_tooth = data.feed_mm_min / (data.spindle_rpm * bit.flutes) if data.spindle_rpm else 0.0
    share = min(side_mm / diameter, 0.5)
    chip = 2 * per_tooth * math.sqrt(share * (1 - share))
    stiffness = 24 * CARBIDE_N_MM2 * math.pi * (CORE_RATIO * diameter) ** 4 / 64
    force = CUTTING_FORCE_N_MM2 * deep_mm * chip
    return force * (8 * long**3 - 6 * long**2 * deep_mm + deep_mm**3) / stiffness


def finish_levels(depth_mm: float, *, bit: Bit, data: CutData, side_mm: float) -> tuple[float, ...]:
    """Levels of the finish pass: the full depth at once where the bit bends BEND_MM or less, else even steps.

    The force grows with the depth of cut, so as many steps are taken as the estimate is times the limit, but none
    finer than the roughing stepdown. A cut too wide to be thin goes down by the stepdown.
    """
    if side_mm > THIN_CUT_RATIO * bit.diameter_mm:
        return levels(depth_mm, data.stepdown_mm)
    bend = bend_mm(bit=bit, data=data, side_mm=side_mm, deep_mm=depth_mm)
    count = max(1, math.ceil(bend / BEND_MM - COINCIDENT_MM))
    return levels(depth_mm, max(depth_mm / count, min(data.stepdown_mm, depth_mm)))
