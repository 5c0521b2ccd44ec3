"""Free play of any two polygons, a referee of the closed forms: what was really cut, a mate of odd shape, moved wood.

Exact for the polygons at each shift and angle asked (see slabs). Slower than the closed forms of free_play: about a
millisecond for one shift at one angle, half a second for the kinks.

Glossary: as in free_play and seat. Ways are in the order -y, +y, and right, left.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.fit.free_play import FreePlay
from platelayer.fit.seat import along_track, rings_of, sideways
from platelayer.fit.slabs import Rings, blocked_shifts
from platelayer.fit.zoom import last_possible
from platelayer.geometry.regions import Area
from platelayer.tolerances import COINCIDENT_MM

KINK_STEP_RAD: Final = 2e-4
"""A kink is found to this: 0.011 degrees, half of what the tests ask, as each step there costs time."""
_FIRST_ANGLE_RAD: Final = 1 / 256
_MOST_ANGLE_RAD: Final = 1 / 4
_GRID: Final = 13
_FINE: Final = 5
_ROUNDS: Final = 6
_WIDEST_SHIFT_MM: Final = 1.5
_FAR_MM: Final = 100.0


@dataclass(frozen=True, slots=True)
class Solids:
    """Peg and socket as rings, each in its own end frame."""

    peg: Rings
    socket: Rings

    @property
    def reach_mm(self) -> float:
        """How far the peg stands out of its face."""
        return max(float(ring[:, 0].max()) for ring in self.peg)


def openings_mm(solids: Solids, *, shift_mm: float, angle_rad: float) -> tuple[float, float]:
    """Least and greatest free opening at one shift and angle; the first is the greater where none is free."""
    turned = placed(solids.peg, shift_mm=shift_mm, angle_rad=angle_rad)
    return along_track(blocked_shifts(turned, solids.socket), reach_mm=solids.reach_mm)


def placed(peg: Rings, *, shift_mm: float, angle_rad: float) -> Rings:
    """The peg's rings in the socket's end frame, at no opening."""
    cos, sin = -math.cos(angle_rad), -math.sin(angle_rad)
    turn = np.array([[cos, sin], [-sin, cos]])
    return tuple(ring @ turn + np.array([0.0, shift_mm]) for ring in peg)


def area_play(peg: Area, socket: Area) -> FreePlay:
    """Free play of two areas, each in its own end frame; lengths exact to a few chords, the kinks to KINK_STEP_RAD."""
    return solids_play(Solids(rings_of(peg), rings_of(socket)))


def solids_play(solids: Solids, *, with_kinks: bool = True) -> FreePlay:
    """Free play of two solids; kinks are left at zero where not asked for."""
    middle, margin = _best_shift(solids, 0.0, 0.0)
    low, high = openings_mm(solids, shift_mm=middle, angle_rad=0.0)
    is_held = high < math.inf
    hold = _narrowest_head(solids)
    if margin < 0:
        return _nowhere(is_held=is_held, pull_out=high, hold=hold)
    opening, pull_out = _along(solids, middle, low, high)
    ways = sideways(placed(solids.peg, shift_mm=middle, angle_rad=0.0), solids.socket, opening_mm=opening)
    side = (max(ways[1] - middle, 0.0), max(ways[0] + middle, 0.0))
    kinks = (_kink(solids, middle, -1), _kink(solids, middle, 1)) if with_kinks and is_held else (0.0, 0.0)
    return FreePlay(
        couples=is_held,
        is_held=is_held,
        opening_mm=opening,
        pull_out_mm=pull_out,
        side_mm=side,
        kink_rad=kinks,
        hold_mm=hold,
    )


def _nowhere(*, is_held: bool, pull_out: float, hold: float) -> FreePlay:
    nothing = (0.0, 0.0)
    return FreePlay(
        couples=False,
        is_held=is_held,
        opening_mm=math.inf,
        pull_out_mm=pull_out,
        side_mm=nothing,
        kink_rad=nothing,
        hold_mm=hold,
    )


def _margin(solids: Solids, shift: float, angle: float) -> float:
    """Width of the free openings; a shift at which the head misses the lips altogether is out of the joint: -inf."""
    low, high = openings_mm(solids, shift_mm=shift, angle_rad=angle)
    if math.isinf(high):
        return _FAR_MM - low if low < solids.reach_mm / 2 else -math.inf
    return high - low


def _best_shift(solids: Solids, angle: float, near: float) -> tuple[float, float]:
    """Shift with the widest free opening, and how wide; searched by grids that close in on the best."""
    step = 2 * _WIDEST_SHIFT_MM / (_GRID - 1)
    shifts = near + np.linspace(-_WIDEST_SHIFT_MM, _WIDEST_SHIFT_MM, _GRID)
    best, widest = near, _margin(solids, near, angle)
    for _ in range(_ROUNDS):
        for shift in shifts:
            margin = _margin(solids, float(shift), angle)
            if margin > widest:
                best, widest = float(shift), margin
        shifts = best + np.linspace(-step, step, _FINE)
        step = step / 2
    return best, widest


def _along(solids: Solids, middle: float, low: float, high: float) -> tuple[float, float]:
    """Least and greatest opening over the free shifts near the middle."""
    step = _WIDEST_SHIFT_MM / 4
    at_low, at_high = middle, middle
    while step > 1e3 * COINCIDENT_MM:
        for way in (-step, step):
            lower, _ = openings_mm(solids, shift_mm=at_low + way, angle_rad=0.0)
            if lower < low and _margin(solids, at_low + way, 0.0) >= 0:
                low, at_low = lower, at_low + way
            _, higher = openings_mm(solids, shift_mm=at_high + way, angle_rad=0.0)
            if higher > high and _margin(solids, at_high + way, 0.0) >= 0:
                high, at_high = higher, at_high + way
        step /= 2
    return low, high


def _kink(solids: Solids, middle: float, way: int) -> float:
    reach = solids.reach_mm * 0.7

    def margin(angle_rad: float) -> float:
        return _best_shift(solids, way * angle_rad, middle + reach * math.sin(way * angle_rad))[1]

    return last_possible(margin, first_rad=_FIRST_ANGLE_RAD, limit_rad=_MOST_ANGLE_RAD, exact_rad=KINK_STEP_RAD)


def _narrowest_head(solids: Solids) -> float:
    """Width of the head, beyond half the peg's reach, less the least width between the lips, ahead of that."""
    half = solids.reach_mm / 2
    peg, socket = np.vstack(solids.peg), np.vstack(solids.socket)
    head = float(np.ptp(peg[peg[:, 0] > half, 1]))
    lips = socket[socket[:, 0] > -half, 1]
    return head - float(lips[lips > 0].min(initial=np.inf) - lips[lips < 0].max(initial=-np.inf))
