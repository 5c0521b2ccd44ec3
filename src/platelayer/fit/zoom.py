"""Extremes and edges of a margin over one variable, by grids that close in; many points at once, so numpy stays busy.

Glossary:
    margin: a function of one variable, at least 0 where something is possible; given and answered as arrays (n,).
"""

from collections.abc import Callable
from typing import Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Margin = Callable[[Floats], Floats]

_COARSE: Final = 241
_FINE: Final = 25
_ROUNDS: Final = 4


def widest(margin: Margin, low_mm: float, high_mm: float) -> tuple[float, float]:
    """Place and value of the greatest margin between low and high; exact to their distance * 1e-6 for one hill."""
    points = np.linspace(low_mm, high_mm, _COARSE)
    values = margin(points)
    for _ in range(_ROUNDS):
        best = int(np.argmax(values))
        place, value = points[best], values[best]
        step = points[1] - points[0]
        points = np.linspace(max(place - step, low_mm), min(place + step, high_mm), _FINE)
        values = margin(points)
        if values.max() < value:
            return float(place), float(value)
    best = int(np.argmax(values))
    return float(points[best]), float(values[best])


def edge(margin: Margin, inside_mm: float, outside_mm: float) -> float:
    """Last place from inside towards outside up to which the margin stays at least 0; outside where it never falls.

    A first look in 240 steps; gaps narrower than those are not seen.
    """
    points = np.linspace(inside_mm, outside_mm, _COARSE)
    for _ in range(_ROUNDS + 1):
        fails = np.flatnonzero(~(margin(points) >= 0))
        if fails.size == 0:
            return float(points[-1])
        if fails[0] == 0:
            return float(points[0])
        points = np.linspace(points[fails[0] - 1], points[fails[0]], _FINE)
    return float(points[0])


def last_possible(margin: Callable[[float], float], *, first_rad: float, limit_rad: float, exact_rad: float) -> float:
    """Greatest argument from 0 on with a margin of at least 0, found by doubling from the first, then by halving."""
    below, above = 0.0, first_rad
    while margin(above) >= 0:
        below, above = above, 2 * above
        if above > limit_rad:
            return limit_rad
    while above - below > exact_rad:
        middle = (below + above) / 2
        below, above = (middle, above) if margin(middle) >= 0 else (below, middle)
    return below
