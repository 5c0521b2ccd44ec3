"""How deep each pass goes, when a slot must be widened, and how far a bit bends.

Glossary:
    level: the z that a pass leaves, negative. Not a stepdown: that is the difference of two levels.
    deep slot: a slot of the bit's own width that is deeper than three of its diameters.
    bend: sideways bending of the bit's tip under the force of a finish cut.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.tolerances import BEND_MM, COINCIDENT_MM, DEPTH_MM
from platelayer.values.bit_bend import bend_mm_n, chip_thickness, push_n
from platelayer.values.tooling import Bit, CutData

DEEP_SLOT_DIAMETERS: Final = 3.0
"""A slot deeper than this many diameters packs and burns; common practice, no source."""

THIN_CUT_RATIO: Final = 0.15
"""A finish cut wider than this share of the bit's diameter is no thin cut and goes no deeper at once than the stepdown;
common practice, no source."""


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


def canyon_levels(down: Sequence[float], bit: Bit, *, depth_mm: float) -> tuple[float, ...]:
    """The uppermost levels down to which a deep slot is widened before it goes deeper; none where it is not deep.

    Below the widened part the slot of the bit's own width is nowhere deeper than three diameters.

    Args:
        down: the levels of roughing, which may end above the depth.
        bit: the bit.
        depth_mm: how deep the slot becomes at last.
    """
    spare = depth_mm - deep_from_mm(bit)
    if spare <= COINCIDENT_MM:
        return ()
    return tuple(z for number, z in enumerate(down) if number == 0 or -down[number - 1] < spare - COINCIDENT_MM)


def bend_mm(*, bit: Bit, data: CutData, side_mm: float, deep_mm: float) -> float:
    """Estimated bending of the tip when the bit's side takes a cut so wide and so deep; see ``values.bit_bend``.

    One tooth at a time, at its thickest chip: on the safe side.
    """
    per_tooth = data.feed_mm_min / (data.spindle_rpm * bit.flutes) if data.spindle_rpm else 0.0
    load, width, depth = np.array(per_tooth), np.array(side_mm), np.array(deep_mm)
    chip = chip_thickness(load, width, np.array(bit.diameter_mm))
    return float(push_n(chip, depth) * bend_mm_n(bit, depth))


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


def slot_depth_mm(*, bit: Bit, data: CutData) -> float:
    """How deep a pass may go that leaves a wall in a slot of the bit's own width: so deep that it bends BEND_MM.

    The bend grows with the depth, so the stepdown is cut down by as much as it is too great.
    """
    deep, bend = data.stepdown_mm, _slot_bend_mm(data.stepdown_mm, bit, data)
    return deep if bend <= BEND_MM else deep * BEND_MM / bend


def spare_side_mm(deep_mm: float, *, bit: Bit, data: CutData, side_mm: float) -> float:
    """How much of the wall above a slot a pass in it may finish too, for BEND_MM in all; a stepdown at most."""
    bend = bend_mm(bit=bit, data=data, side_mm=side_mm, deep_mm=data.stepdown_mm)
    spare = max(0.0, BEND_MM - _slot_bend_mm(deep_mm, bit, data))
    return data.stepdown_mm * min(1.0, spare / bend) if bend > 0 else data.stepdown_mm


def _slot_bend_mm(deep_mm: float, bit: Bit, data: CutData) -> float:
    """Bend in a slot of the bit's width: the mean of N teeth pushes it across its travel with N / 4 of one's push."""
    return bend_mm(bit=bit, data=data, side_mm=bit.radius_mm, deep_mm=deep_mm) * bit.flutes / 4
