"""The order of cuts: shortest rapids while nothing is cut before what must come first.

Glossary:
    visit: one cut as the order sees it: where the bit comes down (entry) and where it lifts (exit). Not a pass.
    stage: visits of a lower stage all come before those of a higher one; ``after`` names single visits besides.
    rapid: travel in the air from one visit's exit to the next one's entry, in the plane.

The search: nearest neighbour among the visits that may come next, then moving and turning runs of visits while that
shortens the rapids (segment insertion and reversal, each tried only towards near neighbours), then a fixed number of
small upsets each followed by the same repair, kept when no longer than before. A move is tried only where no visit
passes one that must come before or after it. All of it is the same on every run.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final, TypeAlias

import numpy as np

from platelayer.draws import Draws
from platelayer.errors import Fault, JobError
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.shapes import Point

_NEIGHBOURS: Final = 8
_LONGEST_RUN: Final = 3
_BEFORE_ANOTHER: Final = tuple(run for more in range(_LONGEST_RUN) for run in ((-more, 0, False), (0, more, True)))
_AFTER_ANOTHER: Final = tuple(run for more in range(_LONGEST_RUN) for run in ((0, more, False), (-more, 0, True)))
"""Runs tried with a visit: first and last from where it stands, turned or not, so that its own end meets the other."""

_Run: TypeAlias = tuple[int, int, bool, float, float]
"""A run that may move: first and last position, turned or not, mm that taking it out saves, and that turning saves."""

_UPSET_WINDOW: Final = 50
LOOKS: Final = 36
"""Looks around a visit that upsets may spend, for each visit: keeps five hundred under a second on a small computer."""

_LEAST_LOOKS: Final = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One cut to be ordered: entry and exit of the bit, stage, and indices of visits that must come before."""

    entry: Point
    exit: Point
    stage: int = 0
    after: tuple[int, ...] = ()


def order_cuts(
    visits: Sequence[Visit], *, start: Point = (0.0, 0.0), end: Point | None = None, looks: int = LOOKS
) -> tuple[int, ...]:
    """Indices of all visits in an order that keeps stages and ``after`` and has short rapids.

    Args:
        visits: in any order; of two equal choices the one earlier in this sequence is taken.
        start: where the bit comes from.
        end: where it goes afterwards; None when that does not matter.
        looks: how long upsets are tried, for each visit; 0 leaves the plain local search.

    Raises:
        JobError: visits wait for each other in a ring, or for a visit that does not exist.
    """
    if not visits:
        return ()
    waits = _waits(visits)
    first = _nearest_next(visits, waits, start=start)
    tour = _Tour(_distances(visits, start=start, end=end), first, visits, waits)
    tour.improve(range(len(visits)))
    draws = Draws(len(visits))
    spare = looks * len(visits) + _LEAST_LOOKS if looks and len(visits) > 2 else 0
    enough = tour.looks + spare
    while tour.looks < enough:
        tour.upset(draws)
    return tuple(tour.order())


def _waits(visits: Sequence[Visit]) -> list[tuple[int, ...]]:
    for index, visit in enumerate(visits):
        for before in visit.after:
            if not 0 <= before < len(visits) or visits[before].stage > visit.stage:
                raise JobError(
                    Fault(
                        where=f"cut {index}",
                        problem=f"waits for cut {before}, which does not come before it",
                        fix="This is our fault; send us the job file.",
                    )
                )
    return [
        tuple(sorted(before for before in set(visit.after) if visits[before].stage == visit.stage)) for visit in visits
    ]


def _distances(visits: Sequence[Visit], *, start: Point, end: Point | None) -> list[list[float]]:
    """From each exit to each entry, mm; the start is row n, the end column n + 1."""
    lasts = np.array([visit.exit for visit in visits] + [start, start], dtype=np.float64)
    firsts = np.array([visit.entry for visit in visits] + [start, end or start], dtype=np.float64)
    between = np.hypot(lasts[:, None, 0] - firsts[None, :, 0], lasts[:, None, 1] - firsts[None, :, 1])
    if end is None:
        between[:, -1] = 0.0
    rows: list[list[float]] = between.tolist()
    return rows


def _nearest_next(visits: Sequence[Visit], waits: list[tuple[int, ...]], *, start: Point) -> list[int]:
    """Always the nearest visit that may come next."""
    entries = np.array([visit.entry for visit in visits], dtype=np.float64)
    missing = np.array([len(wait) for wait in waits])
    followers: list[list[int]] = [[] for _ in visits]
    for index, wait in enumerate(waits):
        for before in wait:
            followers[before].append(index)
    stages = np.array([visit.stage for visit in visits])
    left = np.ones(len(visits), dtype=bool)
    here, order = start, []
    while left.any():
        ready = left & (missing == 0) & (stages == stages[left].min())
        if not ready.any():
            raise JobError(
                Fault(
                    where="order of cuts",
                    problem="cuts wait for each other in a ring",
                    fix="This is our fault; send us the job file.",
                )
            )
        away = np.hypot(entries[:, 0] - here[0], entries[:, 1] - here[1])
        index = int(np.argmin(np.where(ready, away, np.inf)))
        left[index] = False
        for follower in followers[index]:
            missing[follower] -= 1
        here = visits[index].exit
        order.append(index)
    return order


class _Tour:
    """The order under repair, start and end as fixed posts at either end of ``seq``."""

    def __init__(
        self, between: list[list[float]], order: list[int], visits: Sequence[Visit], waits: list[tuple[int, ...]]
    ) -> None:
        self.d = between
        self.n = len(order)
        self.seq = [self.n, *order, self.n + 1]
        self.waits = [(index, wait) for index, wait in enumerate(waits) if wait]
        self.stage_low, self.stage_high = _stage_bounds([visits[index].stage for index in order])
        matrix = np.array(between)[: self.n, : self.n]
        np.fill_diagonal(matrix, np.inf)
        kept = min(_NEIGHBOURS, self.n - 1)
        self.near_next: list[list[int]] = np.argsort(matrix, axis=1, kind="stable")[:, :kept].tolist()
        self.near_before: list[list[int]] = np.argsort(matrix.T, axis=1, kind="stable")[:, :kept].tolist()
        self.looks = 0
        self.pos = [0] * (self.n + 2)
        self.onward = [0.0] * (self.n + 2)
        self.back = [0.0] * (self.n + 2)
        self.low = self.high = self.reach = self.stage_high
        self.note(1, self.n)

    def order(self) -> list[int]:
        """The visits without the posts."""
        return self.seq[1:-1]

    def length(self) -> float:
        """Rapids of the whole tour, mm."""
        return self.onward[-1]

    def note(self, first: int, last: int) -> None:
        """Brings positions, running lengths both ways and bounds up to date after a change at first..last."""
        seq, d, pos, onward, back = self.seq, self.d, self.pos, self.onward, self.back
        rest = last + 2
        was_onward, was_back = onward[last + 1], back[last + 1]
        a, run, turned = seq[first - 1], onward[first - 1], back[first - 1]
        pos[a] = first - 1
        for i in range(first, rest):
            b = seq[i]
            run += d[a][b]
            turned += d[b][a]
            onward[i], back[i], pos[b] = run, turned, i
            a = b
        by_onward, by_back = run - was_onward, turned - was_back
        onward[rest:] = [value + by_onward for value in onward[rest:]]
        back[rest:] = [value + by_back for value in back[rest:]]
        self._note_bounds()

    def _note_bounds(self) -> None:
        """How far each visit may move: between the last it waits for and the first that waits for it."""
        if not self.waits:
            self.low, self.high, self.reach = self.stage_low, self.stage_high, self.stage_high
            return
        low, high, pos = self.stage_low[:], self.stage_high[:], self.pos
        for index, wait in self.waits:
            at = pos[index]
            for before in wait:
                other = pos[before]
                if other > low[at]:
                    low[at] = other
                if at < high[other]:
                    high[other] = at
        self.low, self.high = low, high
        self.reach = list(accumulate(reversed(high), min))[::-1]

    def improve(self, begin: Sequence[int]) -> None:
        """Repairs around the visits given until nothing near them gets shorter."""
        waiting = deque(begin)
        queued = set(begin)
        while waiting:
            index = waiting.popleft()
            self.looks += 1
            queued.discard(index)
            touched = self._better_around(index)
            for other in touched:
                if other < self.n and other not in queued:
                    queued.add(other)
                    waiting.append(other)

    def _better_around(self, a: int) -> tuple[int, ...]:
        """Makes the first change that shortens the tour at visit a; the visits whose rapids changed, or none."""
        at, n, d, seq = self.pos[a], self.n, self.d, self.seq
        runs, most = self._runs(at, _BEFORE_ANOTHER)
        for c in self.near_next[a]:
            other = self.pos[c]
            for i, k in ((at + 1, other), (at, other - 1)) if at < other else ((other, at - 1), (other + 1, at)):
                if 1 <= i < k <= n and (done := self._turn(i, k)):
                    return done
            if most + d[seq[other - 1]][c] > d[a][c] and (done := self._move(runs, other - 1)):
                return done
        runs, most = self._runs(at, _AFTER_ANOTHER)
        for b in self.near_before[a]:
            other = self.pos[b]
            for i, k in ((other + 1, at), (other, at - 1)):
                if 1 <= i < k and (done := self._turn(i, k)):
                    return done
            if most + d[b][seq[other + 1]] > d[b][a] and (done := self._move(runs, other)):
                return done
        return ()

    def _runs(self, at: int, asked: tuple[tuple[int, int, bool], ...]) -> tuple[list[_Run], float]:
        """Of the runs about a position those within the tour, and the most that taking one out and turning it saves."""
        seq, d, onward, back = self.seq, self.d, self.onward, self.back
        found: list[_Run] = []
        for first, last, turned in asked:
            i, k = at + first, at + last
            if i >= 1 and k <= self.n:
                a, b = seq[i - 1], seq[k + 1]
                saved = d[a][seq[i]] + d[seq[k]][b] - d[a][b]
                by_turning = (onward[k] - onward[i]) - (back[k] - back[i]) if turned else 0.0
                found.append((i, k, turned, saved, by_turning))
        return found, max(saved + by_turning for _, _, _, saved, by_turning in found)

    def _turn(self, i: int, k: int) -> tuple[int, ...]:
        """Turns the run i..k end for end if that is allowed and shorter."""
        seq, d = self.seq, self.d
        a, b, c, e = seq[i - 1], seq[i], seq[k], seq[k + 1]
        gain = d[a][b] + d[c][e] - d[a][c] - d[b][e]
        gain += (self.onward[k] - self.onward[i]) - (self.back[k] - self.back[i])
        if gain <= COINCIDENT_MM or k >= self.reach[i]:
            return ()
        seq[i : k + 1] = seq[i : k + 1][::-1]
        self.note(i, k)
        return (a, b, c, e)

    def _move(self, runs: Sequence[_Run], p: int) -> tuple[int, ...]:
        """Moves the first of the runs that may go just after position p and is shorter there."""
        seq, d = self.seq, self.d
        c, e = seq[p], seq[p + 1]
        opened = d[c][e]
        for i, k, turned, saved, by_turning in runs:
            if i - 1 <= p <= k:
                continue
            head, tail = (seq[k], seq[i]) if turned else (seq[i], seq[k])
            gain = saved + opened - d[c][head] - d[tail][e] + by_turning
            if gain <= COINCIDENT_MM or (turned and k >= self.reach[i]):
                continue
            if (p > k and min(self.high[i : k + 1]) <= p) or (p < i and max(self.low[i : k + 1]) > p):
                continue
            a, b = seq[i - 1], seq[k + 1]
            self._put(i, k, p, turned=turned)
            return (a, b, c, e, head, tail)
        return ()

    def _put(self, i: int, k: int, p: int, *, turned: bool) -> None:
        """The run i..k just after position p, end for end if asked."""
        seq = self.seq
        run = seq[i : k + 1]
        if turned:
            run.reverse()
        if p > k:
            seq[i : p + 1] = seq[k + 1 : p + 1] + run
        else:
            seq[p + 1 : k + 1] = run + seq[p + 1 : i]
        self.note(min(i, p + 1), max(k, p))

    def upset(self, draws: Draws) -> None:
        """Exchanges two runs that follow one another, repairs, and keeps the result if it is no longer."""
        window = min(1 + draws.below(_UPSET_WINDOW), self.n // 2)
        i = 1 + draws.below(self.n - 1)
        j = i + 1 + draws.below(min(window, self.n - i))
        k = j + 1 + draws.below(min(window, self.n + 1 - j))
        self.looks += 1
        if min(self.high[i:j]) < k:
            return
        kept, before = self.seq[:], self.length()
        seq = self.seq
        touched = (seq[i - 1], seq[i], seq[j - 1], seq[j], seq[k - 1], seq[k])
        seq[i:k] = seq[j:k] + seq[i:j]
        self.note(i, k - 1)
        self.improve([index for index in dict.fromkeys(touched) if index < self.n])
        if self.length() > before:
            self.seq = kept
            self.note(1, self.n)


def _stage_bounds(stages: list[int]) -> tuple[list[int], list[int]]:
    """For each position of the tour the last position of the stage before and the first of the stage after."""
    n = len(stages)
    low, high = [0] * (n + 2), [n + 1] * (n + 2)
    for i in range(1, n + 1):
        low[i] = low[i - 1] if i > 1 and stages[i - 1] == stages[i - 2] else i - 1
    for i in range(n, 0, -1):
        high[i] = high[i + 1] if i < n and stages[i - 1] == stages[i] else i + 1
    return low, high
