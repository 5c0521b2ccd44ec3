"""New pieces that close a gap by their own sizes: a curve with a straight, or two curves aside.

Glossary:
    turn: from here to the goal's heading; positive to the left. Formulas are for a left turn; a right one is mirrored.
    sidestep: between parallel lines: two curves of one radius, the first to one hand, the second to the other.

A curve of radius R and turn t comes R sin t ahead and R (1 - cos t) aside. Runs before it lie ahead, runs after it in
the goal's heading; what they leave over is a new straight, or nothing.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.floor.bends import Floats
from platelayer.floor.composing import MATE, Way
from platelayer.floor.gaps import Gap
from platelayer.floor.trials import AHEAD, InOrder, Owned, Trial, new_curve, new_straight
from platelayer.tolerances import COINCIDENT_MM, MEETS_RAD
from platelayer.values.layout import Stock
from platelayer.values.pieces import EndKind

_LEAST_TURN_RAD: Final = math.radians(5)
"""No new curve turns by less: so little is for the joints. Common practice, no source."""
_KEPT: Final = 6
"""Of each sort of filler so many with the least wood are kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSizes:
    """What new pieces may be: lengths of straights, the tightest curve, the shortest and the widest turn of one."""

    least_mm: float
    most_mm: float
    radius_mm: float
    turn_rad: float = math.pi


def filler_trials(gap: Gap, owned: Owned, limits: NewSizes, *, within_mm: float) -> Iterator[Trial]:
    """Every sort of filler that the gap allows; none for a wall, which a straight meets."""
    if gap.meets_wall:
        return
    if abs(gap.pose.heading_rad) > MEETS_RAD:
        yield from curve_trials(gap, owned, limits, within_mm=within_mm)
    elif abs(gap.pose.y) > COINCIDENT_MM:
        yield from sidestep_trials(gap, owned, limits)


def curve_trials(gap: Gap, owned: Owned, limits: NewSizes, *, within_mm: float) -> Iterator[Trial]:
    """A new curve with owned runs on either side of it, and with a new straight where those do not reach."""
    side = 1.0 if gap.pose.heading_rad > 0 else -1.0
    turn = abs(gap.pose.heading_rad)
    x, y = gap.pose.x, side * gap.pose.y
    sin, fall = math.sin(turn), 1 - math.cos(turn)
    if not _LEAST_TURN_RAD <= turn <= limits.turn_rad or sin <= MEETS_RAD:
        return
    runs, found = owned.runs, []
    radius_alone = y / fall  # all of the rest lies ahead of the curve
    enough = (runs.counts <= owned.counts).all(axis=1)
    for row in np.flatnonzero(enough & (runs.lengths <= max(x, 0.0))):
        before = float(runs.lengths[row])
        # ahead: before + R sin t + after cos t = x; aside: R (1 - cos t) + after sin t = y
        after = (y * sin - (x - before) * fall) / (sin * sin - math.cos(turn) * fall)
        found += _with_after(gap, owned, limits, int(row), after, within_mm)
        found += _with_before(gap, owned, limits, int(row), x - before - radius_alone * sin, radius_alone)
    yield from sorted(found, key=lambda one: (len(one.new), one.wood_mm))[: 2 * _KEPT]


def _with_after(
    gap: Gap, owned: Owned, limits: NewSizes, before: int, after_mm: float, within_mm: float
) -> list[Trial]:
    """Runs, curve, runs; and the same with a new straight at the end. The radius follows from what comes after it."""
    runs, trials = owned.runs, []
    spare = owned.counts - runs.counts[before]
    fits = (runs.counts <= spare).all(axis=1)
    for row in np.flatnonzero(fits & (np.abs(runs.lengths - after_mm) <= within_mm)):
        radius = _radius(gap, float(runs.lengths[before]), float(runs.lengths[row]))
        trials += _curve(gap, owned, limits, (before, int(row)), radius, None)
    for row in np.flatnonzero(fits & (runs.lengths <= after_mm - limits.least_mm))[-1:]:
        straight = after_mm - float(runs.lengths[row])
        radius = _radius(gap, float(runs.lengths[before]), after_mm)
        trials += _curve(gap, owned, limits, (before, int(row)), radius, (False, straight))
    return trials


def _with_before(
    gap: Gap, owned: Owned, limits: NewSizes, row: int, straight_mm: float, radius_mm: float
) -> list[Trial]:
    """Runs and a new straight, then the curve."""
    if straight_mm < limits.least_mm:
        return []
    return _curve(gap, owned, limits, (row, 0), radius_mm, (True, straight_mm))


def _radius(gap: Gap, before_mm: float, after_mm: float) -> float:
    """The radius that comes nearest to both equations, what lies before and after being given."""
    turn = abs(gap.pose.heading_rad)
    y = gap.pose.y if gap.pose.heading_rad > 0 else -gap.pose.y
    sin, fall = math.sin(turn), 1 - math.cos(turn)
    ahead = gap.pose.x - before_mm - after_mm * math.cos(turn)
    return (ahead * sin + (y - after_mm * sin) * fall) / (sin * sin + fall * fall)


def _curve(
    gap: Gap,
    owned: Owned,
    limits: NewSizes,
    rows: tuple[int, int],
    radius_mm: float,
    straight: tuple[bool, float] | None,
) -> list[Trial]:
    """The trial of a curve between two choices of runs, with a new straight before or after it, or none."""
    turn = abs(gap.pose.heading_rad)
    if (
        radius_mm < limits.radius_mm
        or radius_mm * turn < limits.least_mm
        or (straight and straight[1] > limits.most_mm)
    ):
        return []
    is_left = gap.pose.heading_rad > 0
    on, back, far = MATE[gap.here], gap.here, MATE[gap.there]
    pieces: list[tuple[Stock, Way]] = [*_runs(owned, rows[0], gap.here)]
    new = []
    if straight and straight[0]:
        new.append(len(pieces))
        pieces.append((new_straight(straight[1], (on, back)), AHEAD))
    new.append(len(pieces))
    pieces.append((new_curve(radius_mm, turn, is_left=is_left, kinds=(on, far)), AHEAD))
    pieces += _runs(owned, rows[1], MATE[gap.there])
    if straight and not straight[0]:
        new.append(len(pieces))
        pieces.append((new_straight(straight[1], (gap.there, MATE[gap.there])), AHEAD))
    wood = radius_mm * turn + (straight[1] if straight else 0.0)
    return [Trial(pieces=tuple(pieces), new=tuple(new), wood_mm=wood)]


def sidestep_trials(gap: Gap, owned: Owned, limits: NewSizes) -> Iterator[Trial]:
    """Two new curves from one line to a parallel one, with owned runs before them.

    Source: derived here: x = 2 R sin t and y = 2 R (1 - cos t), so that tan(t / 2) = y / x and R = x / (2 sin t).
    """
    aside = abs(gap.pose.y)
    runs = owned.runs
    rooms: Floats = gap.pose.x - runs.lengths
    fits = (runs.counts <= owned.counts).all(axis=1) & (rooms > 0)
    trials = []
    for row in np.flatnonzero(fits):
        turn = 2 * math.atan2(aside, float(rooms[row]))
        radius = float(rooms[row]) / (2 * math.sin(turn))
        is_turn = _LEAST_TURN_RAD <= turn <= limits.turn_rad
        if radius >= limits.radius_mm and is_turn and radius * turn >= limits.least_mm:
            trials.append(_sidestep(gap, owned, int(row), radius, turn))
    yield from sorted(trials, key=lambda one: (one.wood_mm, len(one.pieces)))[:_KEPT]


def _sidestep(gap: Gap, owned: Owned, row: int, radius_mm: float, turn_rad: float) -> Trial:
    is_left = gap.pose.y > 0
    on, back, far = MATE[gap.here], gap.here, MATE[gap.there]
    first = new_curve(radius_mm, turn_rad, is_left=is_left, kinds=(on, back))
    second = new_curve(radius_mm, turn_rad, is_left=not is_left, kinds=(on, far))
    before = _runs(owned, row, gap.here)
    pieces = (*before, (first, AHEAD), (second, AHEAD))
    return Trial(pieces=pieces, new=(len(before), len(before) + 1), wood_mm=2 * radius_mm * turn_rad)


def _runs(owned: Owned, row: int, kind: EndKind) -> InOrder:
    """Runs of one choice, each entered from an end of that kind."""
    laid: list[tuple[Stock, Way]] = []
    for index, count in zip(owned.runs.stock, owned.runs.counts[row], strict=True):
        laid += [owned.run_ways[index, kind]] * int(count)
    return tuple(laid)
