"""Wood moves: moisture content from room air, the change of peg and socket, and the play at both seasons.

Glossary:
    moisture content: weight of water over weight of dry wood, %. Equilibrium: what wood comes to in air of one climate.
    radial, tangential: across the grain, towards the heart and along the rings; a flat-sawn board moves tangentially
    across its face. Along the grain wood hardly moves, and nothing is reckoned for it here.
    season: a climate of a room. Peg and socket of one piece lie along the grain: only widths move, lengths do not.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.fit.contours import peg_contour, ring_of, socket_contour
from platelayer.fit.seat import seat_of_rings
from platelayer.fit.shapes import JointShape
from platelayer.fit.slabs import Rings
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.findings import Seat


@dataclass(frozen=True, slots=True)
class Climate:
    """Air of a room: temperature in degrees Celsius, relative humidity as a share."""

    temperature_deg: float
    humidity_ratio: float


WINTER: Final = Climate(21, 0.30)
"""A heated room in a dry winter."""

SUMMER: Final = Climate(21, 0.65)
"""The same room in a damp summer."""


@dataclass(frozen=True, slots=True)
class Movement:
    """Change of width per width and per 1 % of moisture, between 6 and 14 %."""

    radial_ratio: float
    tangential_ratio: float


# source: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, table 13-5; thousandths of a percent written out
_TABLE_13_5: Final = {
    "hard-maple": (165, 353),
    "soft-maple": (137, 289),
    "birch": (256, 338),
    "paper-birch": (219, 304),
    "beech": (190, 431),
    "cherry": (126, 248),
    "red-oak": (158, 369),
    "white-oak": (180, 365),
    "ash": (169, 274),
    "walnut": (190, 274),
    "basswood": (230, 330),
    "alder": (151, 256),
}
MOVEMENTS: Final = {
    name: Movement(radial / 1e5, tangential / 1e5) for name, (radial, tangential) in _TABLE_13_5.items()
}
"""Movement of the woods the table lists, by the ids of the job room. Sheet goods move far less in their plane."""


MOVEMENT_HOLDS_RATIO: Final = (0.06, 0.14)
"""Moisture between which the table's coefficients hold. Source: FPL-GTR-190, chapter 13."""


def equilibrium_moisture(climate: Climate) -> float:
    """Moisture content in % that wood comes to in that climate.

    Source: Hailwood-Horrobin with two hydrates, constants in degrees Celsius after Simpson, FPL-RN-0268 (1998):
    M = 1800/W (Kh/(1-Kh) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)), h the humidity.
    """
    t, h = climate.temperature_deg, climate.humidity_ratio
    weight = 349 + (129 * t + 135 * t**2 / 100) / 100
    k = 0.805 + (736 * t - 273 * t**2 / 100) / 1e6
    k1 = 6.27 - (938 * t + 303 * t**2 / 10) / 1e5
    k2 = 1.91 + (407 * t - 293 * t**2 / 100) / 1e4
    once, twice = k1 * k * h, k1 * k2 * (k * h) ** 2
    return 1800 / weight * (k * h / (1 - k * h) + (once + 2 * twice) / (1 + once + twice))


def change_mm(width_mm: float, *, coefficient_ratio: float, from_ratio: float, to_ratio: float) -> float:
    """Change of a width when the moisture content goes from one share to the other, C being per percent.

    Source: FPL-GTR-190, chapter 13: dD = D C (M_F - M_I), good between 6 and 14 %.
    """
    return width_mm * coefficient_ratio * 100 * (to_ratio - from_ratio)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPlay:
    """Seat of one joint in one climate, with the moisture its wood came to there."""

    climate: Climate
    moisture_ratio: float
    seat: Seat


def growth_ratio(movement: Movement, *, is_flat_sawn: bool, cut_moisture_ratio: float, climate: Climate) -> float:
    """Share by which widths across the grain grow in that climate, since they were cut at the moisture given."""
    coefficient = movement.tangential_ratio if is_flat_sawn else movement.radial_ratio
    return change_mm(
        1.0,
        coefficient_ratio=coefficient,
        from_ratio=cut_moisture_ratio,
        to_ratio=equilibrium_moisture(climate) / 100,
    )


def seat_moved(shape: JointShape, *, peg_growth_ratio: float, socket_growth_ratio: float) -> Seat:
    """Seat of a joint whose peg and socket have grown across the track by those shares; lengths along it stay.

    A head that grows across only is no circle any more, so the polygons are asked, flattened to FLATTEN_CHORD_MM. Where
    both grow alike the whole picture is stretched across: pull-out play stays, side play grows with the wood.
    """
    peg = ring_of(peg_contour(shape, body_mm=_BODY_MM), chord_mm=FLATTEN_CHORD_MM)
    socket = ring_of(socket_contour(shape, body_mm=_BODY_MM), chord_mm=FLATTEN_CHORD_MM)
    return seat_of_rings(_grown(peg, peg_growth_ratio), _grown(socket, socket_growth_ratio))


def seasons(
    shape: JointShape,
    *,
    peg: Movement,
    socket: Movement,
    is_flat_sawn: bool,
    cut_moisture_ratio: float,
    climates: tuple[Climate, ...] = (WINTER, SUMMER),
) -> tuple[SeasonPlay, ...]:
    """The seat in each climate, peg and socket of their own woods, both cut at the same moisture."""
    found = []
    for climate in climates:
        grown = [
            growth_ratio(one, is_flat_sawn=is_flat_sawn, cut_moisture_ratio=cut_moisture_ratio, climate=climate)
            for one in (peg, socket)
        ]
        there = seat_moved(shape, peg_growth_ratio=grown[0], socket_growth_ratio=grown[1])
        found.append(SeasonPlay(climate=climate, moisture_ratio=equilibrium_moisture(climate) / 100, seat=there))
    return tuple(found)


_BODY_MM: Final = 30.0


def _grown(rings: Rings, ratio: float) -> Rings:
    return tuple(ring * np.array([1.0, 1.0 + ratio]) for ring in rings)
