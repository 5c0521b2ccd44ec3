"""The bits this program knows by name: sizes a hobby shop has in the drawer.

All sizes: common practice, no source. A job or a shop overrides any of them by id with ``[[bit]]``.

An id is kind, diameter in mm, and what sets the bit apart; it becomes part of file names, so it holds only letters,
digits, points and hyphens.
"""

import math
from typing import Final

from platelayer.units import inches
from platelayer.values.tooling import Bit, BitKind, FluteDirection

SIXTEENTH: Final = inches(1 / 16)
EIGHTH: Final = inches(1 / 8)
THREE_SIXTEENTHS: Final = inches(3 / 16)
QUARTER: Final = inches(1 / 4)
HALF: Final = inches(1 / 2)

BITS: Final = (
    Bit(
        id="flat-1.588",
        kind=BitKind.FLAT,
        nominal_mm=SIXTEENTH,
        cutting_length_mm=QUARTER,
        shank_mm=EIGHTH,
        overall_mm=38.1,
        may_plunge=True,
    ),
    Bit(
        id="flat-3.175",
        kind=BitKind.FLAT,
        nominal_mm=EIGHTH,
        cutting_length_mm=HALF,
        shank_mm=EIGHTH,
        overall_mm=38.1,
        may_plunge=True,
    ),
    Bit(
        id="flat-3.175-long",
        kind=BitKind.FLAT,
        nominal_mm=EIGHTH,
        cutting_length_mm=17.0,
        shank_mm=EIGHTH,
        overall_mm=45.0,
        may_plunge=True,
    ),
    Bit(
        id="flat-3.175-down",
        kind=BitKind.FLAT,
        nominal_mm=EIGHTH,
        flute_direction=FluteDirection.DOWN,
        cutting_length_mm=17.0,
        shank_mm=EIGHTH,
        overall_mm=45.0,
        may_plunge=True,
    ),
    Bit(
        id="flat-4.763",
        kind=BitKind.FLAT,
        nominal_mm=THREE_SIXTEENTHS,
        cutting_length_mm=17.0,
        shank_mm=QUARTER,
        overall_mm=50.8,
        may_plunge=True,
    ),
    Bit(
        id="flat-6.35-up",
        kind=BitKind.FLAT,
        nominal_mm=QUARTER,
        cutting_length_mm=22.0,
        shank_mm=QUARTER,
        overall_mm=63.5,
        may_plunge=True,
    ),
    Bit(
        id="flat-6.35-down",
        kind=BitKind.FLAT,
        nominal_mm=QUARTER,
        flute_direction=FluteDirection.DOWN,
        cutting_length_mm=22.0,
        shank_mm=QUARTER,
        overall_mm=63.5,
        may_plunge=True,
    ),
    Bit(
        id="flat-6.35-compression",
        kind=BitKind.FLAT,
        nominal_mm=QUARTER,
        flute_direction=FluteDirection.COMPRESSION,
        cutting_length_mm=22.0,
        upcut_length_mm=5.0,
        shank_mm=QUARTER,
        overall_mm=63.5,
        may_plunge=False,
    ),
    Bit(
        id="flat-6.35-straight",
        kind=BitKind.FLAT,
        nominal_mm=QUARTER,
        flute_direction=FluteDirection.STRAIGHT,
        cutting_length_mm=19.0,
        shank_mm=QUARTER,
        overall_mm=57.0,
        may_plunge=False,
    ),
    Bit(
        id="ball-3.175",
        kind=BitKind.BALL,
        nominal_mm=EIGHTH,
        cutting_length_mm=HALF,
        shank_mm=EIGHTH,
        overall_mm=38.1,
        may_plunge=True,
    ),
    Bit(
        id="ball-6.35",
        kind=BitKind.BALL,
        nominal_mm=QUARTER,
        cutting_length_mm=22.0,
        shank_mm=QUARTER,
        overall_mm=63.5,
        may_plunge=True,
    ),
    Bit(
        id="vee-60",
        kind=BitKind.VEE,
        nominal_mm=HALF,
        flute_direction=FluteDirection.STRAIGHT,
        cutting_length_mm=11.0,
        shank_mm=QUARTER,
        overall_mm=45.0,
        may_plunge=True,
        included_rad=math.radians(60),
    ),
    Bit(
        id="vee-90",
        kind=BitKind.VEE,
        nominal_mm=HALF,
        flute_direction=FluteDirection.STRAIGHT,
        cutting_length_mm=6.0,
        shank_mm=QUARTER,
        overall_mm=45.0,
        may_plunge=True,
        included_rad=math.radians(90),
    ),
    Bit(
        id="round-over-1.588",
        kind=BitKind.ROUND_OVER,
        nominal_mm=QUARTER,
        flute_direction=FluteDirection.STRAIGHT,
        cutting_length_mm=6.0,
        shank_mm=QUARTER,
        overall_mm=45.0,
        may_plunge=False,
        corner_radius_mm=SIXTEENTH,
    ),
)
"""Shipped bits, smallest first within a kind. The nominal size of a vee or round-over bit is its widest diameter."""

TITLES: Final = {
    "flat-1.588": "1/16 in flat, up-cut, for corners",
    "flat-3.175": "1/8 in flat, up-cut, the usual length",
    "flat-3.175-long": "1/8 in flat, up-cut, long enough for 1/2 in stock",
    "flat-3.175-down": "1/8 in flat, down-cut, long",
    "flat-4.763": "3/16 in flat, up-cut",
    "flat-6.35-up": "1/4 in flat, up-cut",
    "flat-6.35-down": "1/4 in flat, down-cut",
    "flat-6.35-compression": "1/4 in flat, compression",
    "flat-6.35-straight": "1/4 in flat, straight flutes",
    "ball-3.175": "1/8 in ball",
    "ball-6.35": "1/4 in ball",
    "vee-60": "60 degree vee",
    "vee-90": "90 degree vee",
    "round-over-1.588": "1/16 in round-over",
}


def shipped_bits() -> dict[str, Bit]:
    """Every shipped bit by id, in the order of the list."""
    return {bit.id: bit for bit in BITS}
