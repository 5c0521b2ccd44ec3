"""What closes a gap, best first: owned pieces alone, else the fewest new ones, then the least wood.

Glossary:
    scored: a trial with the share of play by which it closes. band: tenths of the share; less than a tenth is none.
    pass: a look through all trials that miss by no more than a distance; each looks wider than the one before.

Owned pieces alone rank by the band of their share, then by how few they are; others by how few are new, then by wood,
those that ask a tenth of the play or more after those that do not.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from platelayer.floor.bends import runs_of
from platelayer.floor.chains import Bed, PlayOf, chain_through
from platelayer.floor.fillers import NewSizes, filler_trials
from platelayer.floor.gaps import Gap
from platelayer.floor.play import hull_of, most_of
from platelayer.floor.sharing import Closed, least_share, share_bound
from platelayer.floor.trials import (
    Owned,
    Trial,
    left_after,
    moved_runs,
    owned_for,
    owned_trials,
    pairs_of,
    straight_trials,
    tries_all,
)
from platelayer.tolerances import ROUGH_GAIN_RATIO
from platelayer.values.layout import Stock
from platelayer.values.shapes import Pose

MOST_BENDS: Final = 6
"""Curves that one side of a loop takes at the most; a half of them is looked through from either end of the gap."""
_MOST_CHOICES: Final = 20_000
_PASSES_MM: Final = (0.5, 2.0, 8.0, 32.0, 128.0)
_TURN_OF_MM: Final = math.radians(0.5)
"""Turn that a pass allows for each millimetre it allows."""
_KEPT: Final = 6
_BENDS_BESIDE_NEW: Final = 3
"""Fewer bends than this are tried beside a new straight before owned pieces alone are, more only where those fail."""

IsOver = Callable[[], bool]
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """A trial that closes.

    Attributes:
        left: the goal as seen from its end with all joints at home.
        closed: how the joints make that up.
        is_hard: with more of their play than owned pieces alone may take; it comes after all others.
    """

    trial: Trial
    left: Pose
    closed: Closed
    is_hard: bool = False

    @property
    def rank(self) -> tuple[float, ...]:
        """Less is better."""
        band, count = int(self.closed.share_ratio * 10), len(self.trial.pieces)
        new, is_strained = len(self.trial.new), bool(self.trial.new) and band > 0
        return (self.is_hard, new, is_strained, round(self.trial.wood_mm), band, count, self.closed.share_ratio)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Trials that close; ``is_whole`` where nothing of the owned pieces was left untried.

    Of each sort of answer the two most telling come before all others, best first.
    """

    scored: tuple[Scored, ...]
    is_whole: bool


@dataclass(slots=True)
class _Search:
    """One search: what it goes by, and what it found so far."""

    gap: Gap
    bed: Bed
    play_of: PlayOf
    most_share_ratio: float
    least_mm: float
    is_over: IsOver
    progress: Progress
    seen: set[object] = field(default_factory=set)
    found: list[Scored] = field(default_factory=list)
    owned_count: int = 0
    first_rank: tuple[float, ...] | None = None
    first_owned: tuple[int, int] | None = None
    """Band and number of pieces of the best of owned pieces alone."""

    def take(self, trial: Trial) -> None:
        """Scores a trial that was not seen before, and keeps it where it closes within the share allowed."""
        if trial.key in self.seen and not trial.new:
            return
        self.seen.add(trial.key)
        if self.comes_after(trial, 0.0):
            return
        chain = chain_through(self.bed, trial.pieces, play_of=self.play_of)
        if trial.slides is not None:
            chain = replace(chain, slides=len(self.bed.down) + trial.slides)
        most = 1.0 if trial.new else self.most_share_ratio
        bound = share_bound(chain)
        if bound > most or self.comes_after(trial, bound):
            return
        closed = least_share(chain, most_ratio=most)
        if closed is None or closed.share_ratio > most:
            return
        if trial.slides is not None:
            trial = trial.with_straight(closed.slid_mm)
            if trial.wood_mm < self.least_mm:
                return
        is_hard = closed.share_ratio > self.most_share_ratio
        scored = Scored(trial=trial, left=left_after(self.gap, trial.pieces), closed=closed, is_hard=is_hard)
        if self.first_rank is None or scored.rank < self.first_rank:
            self.first_rank = scored.rank
            self.progress(f"{len(trial.pieces)} pieces, {len(trial.new)} new, {closed.share_ratio:.0%} of the play")
        self.found.append(scored)
        if not trial.new:
            self.owned_count += 1
            here = int(closed.share_ratio * 10), len(trial.pieces)
            self.first_owned = min(self.first_owned or here, here)

    def comes_after(self, trial: Trial, share_ratio: float) -> bool:
        """A trial of owned pieces alone that cannot come first, where there are enough others already."""
        if trial.new or self.owned_count < _KEPT or self.first_owned is None:
            return False
        return (int(share_ratio * 10), len(trial.pieces)) > self.first_owned

    def most_pieces(self) -> float:  # platelayer: a count
        """Owned pieces alone that are more than this cannot come first any more."""
        return self.first_owned[1] if self.first_owned and self.first_owned[0] == 0 else math.inf


def close(
    gap: Gap,
    bed: Bed,
    stock: Sequence[Stock],
    *,
    play_of: PlayOf,
    limits: NewSizes | None,
    most_share_ratio: float,
    is_over: IsOver = lambda: False,
    progress: Progress = lambda _: None,
) -> Found:
    """What closes a gap with pieces of that stock and new ones within those limits, or with none that are new.

    Args:
        gap: what is to be closed.
        bed: the same with all that lies round it.
        stock: with the count of each that is free.
        play_of: the play of every joint.
        limits: of new pieces; None asks for owned ones alone.
        most_share_ratio: of their play, that joints may use.
        is_over: asked now and then; the best found so far is the answer when it says so.
        progress: told of each answer better than all before.
    """
    least_mm = limits.least_mm if limits is not None else 0.0
    search = _Search(gap, bed, play_of, most_share_ratio, least_mm, is_over, progress)
    owned = owned_for(gap, stock, runs_of(stock, most_choices=_MOST_CHOICES), most_in_half=MOST_BENDS // 2)
    if limits is not None:
        for trial in filler_trials(gap, owned, limits, within_mm=_PASSES_MM[0]):
            search.take(trial)
        _with_straight(search, owned, limits, range(_BENDS_BESIDE_NEW))
    is_whole = _with_owned(search, owned)
    if limits is not None and not search.found:
        _with_straight(search, owned, limits, range(_BENDS_BESIDE_NEW, MOST_BENDS + 1))
    _settle(search)
    best: dict[tuple[object, ...], Scored] = {}
    for scored in sorted(search.found, key=lambda one: one.rank):
        alike = tuple(sorted(stock.name for stock, _ in scored.trial.pieces)), round(scored.trial.wood_mm)
        best.setdefault(alike, scored)
    return Found(scored=tuple(_few_of_each([*best.values()])), is_whole=is_whole)


def _few_of_each(scored: Sequence[Scored]) -> Iterator[Scored]:
    """Of each sort of answer the best and the one that asks the least of the joints; then the best of the others.

    Sorts are owned pieces alone, and each sort of new ones.
    """
    sorts: dict[tuple[str, ...], list[Scored]] = {}
    for one in scored:
        sorts.setdefault(tuple(one.trial.pieces[index][0].name for index in one.trial.new), []).append(one)
    first = []
    for alike in sorts.values():
        gentlest = min(alike, key=lambda one: (one.is_hard, one.rank[4], one.rank))
        first += [alike[0], *([] if gentlest is alike[0] else [gentlest])]
    yield from sorted(first, key=lambda one: one.rank)
    yield from [one for alike in sorts.values() for one in alike[:_KEPT] if not any(one is other for other in first)]


def _with_owned(search: _Search, owned: Owned) -> bool:
    """Trials of owned pieces alone, pass after pass; whether all of them were tried."""
    widest = _widest_mm(search, owned)
    is_whole = bool((owned.runs.counts.max(axis=0, initial=0) >= owned.counts).all())
    passes = (*(one for one in _PASSES_MM if one < widest), widest)
    rounds = [(wide, bends) for wide in range(len(passes)) for bends in range(MOST_BENDS + 1)]
    for wide, bends in sorted(rounds, key=lambda one: (sum(one), one)):
        within = passes[wide]
        turn = within * _TURN_OF_MM
        pairs = pairs_of(search.gap, owned, bends, within_mm=within, within_rad=turn, every_split=False)
        for fore, back, need in pairs:
            if search.is_over():
                return False
            if _least_pieces(bends, abs(need) - within, owned.runs.longest_mm) > search.most_pieces():
                continue
            is_whole = is_whole and tries_all(owned, fore, back)
            for trial in owned_trials(owned, fore, back, need, within_mm=within):
                search.take(trial)
                if search.is_over():
                    return False
    return is_whole


def _settle(search: _Search) -> None:
    """The best of owned pieces alone with its runs where they ask the least of the joints, one moved at a time."""
    alone = [one for one in search.found if not one.trial.new]
    best = min(alone, key=lambda one: one.rank, default=None)
    is_better = best is not None
    while best is not None and is_better:
        is_better = False
        for trial in moved_runs(best.trial):
            if search.is_over():
                return
            chain = chain_through(search.bed, trial.pieces, play_of=search.play_of)
            closed = least_share(chain, most_ratio=search.most_share_ratio)
            if closed is not None and closed.share_ratio < best.closed.share_ratio - ROUGH_GAIN_RATIO:
                best, is_better = replace(best, trial=trial, closed=closed), True
                search.found.append(best)
                break


def _least_pieces(bends: int, need_mm: float, longest_mm: float) -> float:  # platelayer: a count
    if need_mm <= 0:
        return bends
    return bends + math.ceil(need_mm / longest_mm) if longest_mm else math.inf


def _widest_mm(search: _Search, owned: Owned) -> float:
    """No trial closes that misses by more than this, whatever its joints do."""
    used = [one for one in owned.stock if one.count]
    count = sum(one.count for one in used) + 1 + len(search.bed.down) + len(search.bed.up)
    stocks = [one for one in (*used, search.bed.here, search.bed.there) if one is not None]
    hulls = [hull_of(search.play_of(one, other)) for one in stocks for other in stocks]
    reach = max((most_of(hull)[0] for hull in hulls), default=0.0)
    kink = max((most_of(hull)[1] for hull in hulls), default=0.0)
    steps = sum(math.hypot(step.x, step.y) for step in (*search.bed.down, *search.bed.up))
    whole = steps + sum(one.count * max(route.length_mm for route in one.routes) for one in used)
    wide = search.most_share_ratio * count * (reach + kink * whole)
    return max(wide, search.most_share_ratio * count * kink / _TURN_OF_MM)


def _with_straight(search: _Search, owned: Owned, limits: NewSizes, bends: range) -> None:
    """Trials with one new straight: at first those that close as they lie, then those that need their joints."""
    for within in _PASSES_MM:
        for count in bends:
            turn = within * _TURN_OF_MM
            pairs = pairs_of(search.gap, owned, count, within_mm=within, within_rad=turn, every_split=True)
            for fore, back, need in pairs:
                if search.is_over():
                    return
                lengths = {"least_mm": limits.least_mm, "most_mm": limits.most_mm}
                for trial in straight_trials(owned, fore, back, need, within_mm=within, **lengths):
                    best = sorted(one.trial.wood_mm for one in search.found if one.rank[:3] == (False, 1, False))
                    if len(best) < _KEPT or trial.wood_mm < best[_KEPT - 1]:
                        search.take(trial)
        if any(one.rank[:3] == (False, 1, False) for one in search.found):
            return
