"""How hard wood pushes on a bit and how far the bit bends: the one model that planning and dry run share.

Glossary:
    push: force on one tooth where its chip is thickest, square to the axis. In a full slot
        the mean of N teeth is N / 4 of it, across the travel: half of it with two.
    reach: how far the bit stands out of its holder. core: a plain bar as stiff as the fluted part.

What is known and what is not:
    - Chip thickness is geometry: h = f where the bit is buried to its axis or more, else h = 2 f sqrt(q (1 - q)), q the
      width of cut over the diameter. Source: a published calculator page, formula on three sites; there q = 0.1 is 0.6.
    - Push is wood's resistance times the chip's section. Measured for particleboard: 32.0 to 37.6 N/mm2 (P. Palubicki,
      Materials 14 (2021) 2208, abstract). Nothing was found for routing hard maple: twice that is a guess, no source,
      and the band from once that to 100 N/mm2 is from memory.
    - The core is 0.8 of the diameter (L. Kops and D. T. Vo, CIRP 1990, abstract); carbide has 580 kN/mm2
      (calculatorhub.com, excerpt). Runout and a soft machine come on top.
"""

import math
from typing import Final, Protocol

import numpy as np

from platelayer.values.motion import Floats

RESISTANCE_N_MM2: Final = 75.0
RESISTANCE_BAND: Final = (37.6 / RESISTANCE_N_MM2, 100.0 / RESISTANCE_N_MM2)
"""Least and greatest push that is likely, as shares of the one worked out."""
CORE_RATIO: Final = 0.8
CARBIDE_N_MM2: Final = 580e3


class Held(Protocol):
    """A bit in its holder, planned or from a manifest."""

    @property
    def diameter_mm(self) -> float:
        """Effective cutting diameter."""
        ...

    @property
    def cutting_length_mm(self) -> float:
        """Length of the flutes."""
        ...

    @property
    def shank_mm(self) -> float:
        """Diameter of the shank."""
        ...

    @property
    def reach_mm(self) -> float:
        """Length below the holder; 0 where it is not known."""
        ...


def chip_thickness(chip_load: Floats, width: Floats, diameter: Floats) -> Floats:
    """Thickest place of the chip in mm, from chip load, width of cut and diameter in mm."""
    part = np.clip(width / diameter, 0.0, 0.5)
    return chip_load * 2 * np.sqrt(part * (1 - part))


def push_n(chip: Floats, depth: Floats) -> Floats:
    """Push in N of a chip so thick, cut so deep, both in mm."""
    return RESISTANCE_N_MM2 * chip * depth


def overhang_mm(bit: Held) -> float:
    """How far the bit stands out: its reach, else its flutes and a shank's diameter."""
    return max(bit.reach_mm or bit.cutting_length_mm + bit.shank_mm, bit.cutting_length_mm)


def bend_mm_n(bit: Held, depth: Floats) -> Floats:
    """Bend of the tip in mm for each N spread evenly over so much depth of cut, in mm, next to the tip.

    Source:
        derived here: the fluted core, then the shank, clamped at the holder; a unit load at the tip has the moment x,
        the push x - a / 2 beyond the cut and x^2 / (2 a) in it, so the bend is the integral of their product over E I.
        Worked: no shank and a = 0 give l^3 / (3 E I); a = l gives l^3 / (8 E I).
    """
    flutes, whole = max(bit.cutting_length_mm, 0.0), overhang_mm(bit)
    deep = np.clip(depth, 0.0, whole)
    core = CARBIDE_N_MM2 * math.pi * (CORE_RATIO * bit.diameter_mm) ** 4 / 64
    shank = CARBIDE_N_MM2 * math.pi * max(bit.shank_mm, CORE_RATIO * bit.diameter_mm) ** 4 / 64

    def beyond(x: Floats) -> Floats:
        return x**3 / 3 - deep * x**2 / 4

    knee = np.maximum(deep, flutes)
    in_cut = deep**3 / 8
    return (in_cut + beyond(knee) - beyond(deep)) / core + (beyond(np.full_like(deep, whole)) - beyond(knee)) / shank
