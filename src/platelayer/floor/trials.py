"""Pieces that may close a gap: owned ones alone, or with one exact straight, in the order in which they are met.

Glossary:
    trial: pieces in order, each with the way through it; which of them are new.
    junction: where the half from the open end meets the half back from the goal. A new straight stands there.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from platelayer.floor.bends import Counts, Half, RunChoices, bends_of, halves_from, halves_to, is_run
from platelayer.floor.composing import MATE, Way, through, ways_of
from platelayer.floor.fills import Fill, distinct, fills, is_whole, unit
from platelayer.floor.gaps import Gap
from platelayer.geometry.contours import inverse_pose, transform_pose, wrapped
from platelayer.pieces.catalogue import routes_of
from platelayer.pieces.recipes import ends_on
from platelayer.tolerances import ANGLE_RAD, COINCIDENT_MM
from platelayer.values.layout import Stock
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Pose
from platelayer.values.tooling import PieceOrder

InOrder = tuple[tuple[Stock, Way], ...]
AHEAD = Way(0, 1, False)
"""Through a new piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """Pieces that lie in a gap, first to last.

    Attributes:
        pieces: each with its way; new ones are stock of which none is owned.
        new: indices of the new ones.
        wood_mm: length of the new ones along their centre lines.
        spare_mm: what a filler beside the most owned pieces would have been, for a trial that takes fewer; else 0.
    """

    pieces: InOrder
    new: tuple[int, ...] = ()
    wood_mm: float = 0.0
    spare_mm: float = 0.0

    @property
    def slides(self) -> int | None:
        """Index of the one new straight whose length is still free; None where pieces close by their own sizes."""
        if len(self.new) != 1 or not self.pieces[self.new[0]][0].routes[0].is_straight:
            return None
        return self.new[0]

    def with_straight(self, by_mm: float) -> "Trial":
        """The same with its new straight so much longer."""
        index = self.new[0]
        stock, way = self.pieces[index]
        new = new_straight(self.wood_mm + by_mm, (stock.ends[0].kind, stock.ends[1].kind))
        pieces = (*self.pieces[:index], (new, way), *self.pieces[index + 1 :])
        return replace(self, pieces=pieces, wood_mm=self.wood_mm + by_mm)

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for trials that lay the same pieces in the same order."""
        return tuple((stock.name, way) for stock, way in self.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """What is left of the stock for closing, and the halves and runs that it makes for one gap."""

    stock: tuple[Stock, ...]
    runs: RunChoices
    counts: Counts
    fore: tuple[Half, ...]
    back: tuple[Half, ...]
    run_ways: Mapping[tuple[int, EndKind], tuple[Stock, Way]]
    """How a run is laid on from an end of that kind."""


def owned_for(gap: Gap, stock: Sequence[Stock], runs: RunChoices, *, most_in_half: int) -> Owned:
    """Halves of at most so many bends on either side of a gap."""
    bends, counts = bends_of(stock), [one.count for one in stock]
    return Owned(
        stock=tuple(stock),
        runs=runs,
        counts=np.array([counts[index] for index in runs.stock], dtype=np.int64),
        fore=tuple(halves_from(bends, counts, gap.here, most_in_half)),
        back=tuple(halves_to(bends, counts, gap.there, gap.pose.heading_rad, most_in_half)),
        run_ways={(index, kind): _run_way(stock[index], kind) for index in runs.stock for kind in MATE},
    )


def pairs_of(
    gap: Gap, owned: Owned, bends: int, *, within_mm: float, within_rad: float, every_split: bool
) -> Iterator[tuple[Half, Half, complex]]:
    """Halves that together have so many bends and meet in one heading, with what is left for runs to make up.

    Each order of bends once, parted in the middle; with ``every_split`` parted at each place, for a new straight there
    that may make up the rest. Headings agree to within that turn; where no owned runs reach, there is no pair.
    """
    goal = complex(gap.pose.x, gap.pose.y)
    reach = math.inf if every_split else within_mm + float(owned.runs.lengths[-1])
    for split in range(bends + 1) if every_split else [(bends + 1) // 2]:
        fore = [half for half in owned.fore if len(half.bends) == split]
        back = [half for half in owned.back if len(half.bends) == bends - split]
        headings = np.array([half.headings[0] for half in back])
        ons = np.array([half.on for half in back])
        for half in fore:
            off = np.abs(np.remainder(headings - half.headings[-1] + np.pi, 2 * np.pi) - np.pi)
            needs = goal - half.on - ons
            for index in np.flatnonzero((off <= within_rad) & (np.abs(needs) <= reach)):
                if _enough(owned, half, back[index]):
                    yield half, back[index], complex(needs[index])


def _enough(owned: Owned, fore: Half, back: Half) -> bool:
    used = Counter(bend.stock for half in (fore, back) for bend in half.bends)
    return all(count <= owned.stock[index].count for index, count in used.items())


def owned_trials(owned: Owned, fore: Half, back: Half, need: complex, *, within_mm: float) -> Iterator[Trial]:
    """Trials of owned pieces alone with those bends, which end within that distance of the goal, or about there."""
    if back.kind is not MATE.get(fore.kind):
        return
    for fill in fills(need, (*fore.headings, *back.headings), owned.runs, owned.counts, within_mm):
        yield Trial(pieces=_in_order(owned, fore, back, fill, new=None))


def tries_all(owned: Owned, fore: Half, back: Half) -> bool:
    """No choice of runs along those bends is left untried."""
    return is_whole((*fore.headings, *back.headings), owned.runs)


def straight_trials(
    owned: Owned, fore: Half, back: Half, need: complex, *, within_mm: float, least_mm: float, most_mm: float
) -> Iterator[Trial]:
    """The same with one new straight at the junction, as short as may be made, and the most owned runs beside it."""
    if fore.kind not in MATE or back.kind not in MATE:
        return
    here = fore.headings[-1]
    others = distinct((here, *fore.headings, *back.headings))[1:]
    across = [one for one in others if abs((unit(one) * unit(-here)).imag) > within_mm / max(abs(need), within_mm)]
    runs = owned.runs
    choices: list[Fill] = [()]
    for other in across[:1]:
        wanted = (need * unit(-here)).imag / (unit(other) * unit(-here)).imag
        slack = within_mm / abs((unit(other) * unit(-here)).imag)
        rows = np.flatnonzero((np.abs(runs.lengths - wanted) <= slack) & (runs.counts <= owned.counts).all(axis=1))
        choices = [((other, int(row)),) if row else () for row in rows]
    for fill in choices:
        left = need - sum((runs.lengths[row] * unit(heading) for heading, row in fill), start=0j)
        along, aside = (left * unit(-here)).real, (left * unit(-here)).imag
        if abs(aside) > within_mm:
            continue
        spare = owned.counts - sum((runs.counts[row] for _, row in fill), start=np.zeros_like(owned.counts))
        fits = np.flatnonzero((runs.lengths <= along - least_mm) & (runs.counts <= spare).all(axis=1))
        whole = runs.lengths[(runs.lengths < along) & (runs.counts <= spare).all(axis=1)].max(initial=0.0)
        for row in fits[::-1][:3]:
            length = along - float(runs.lengths[row])
            if length > most_mm:
                break
            new = new_straight(length, (MATE[fore.kind], MATE[back.kind]))
            pieces = _in_order(owned, fore, back, ((here, int(row)), *fill) if row else fill, new=new)
            filler = along - float(whole)
            at = next(index for index, (stock, _) in enumerate(pieces) if stock is new)
            spare_mm = filler if filler < least_mm - COINCIDENT_MM and whole > runs.lengths[row] else 0.0
            yield Trial(pieces=pieces, new=(at,), wood_mm=length, spare_mm=spare_mm)


def new_straight(long_mm: float, kinds: tuple[EndKind, EndKind]) -> Stock:
    """A straight to be made, with those ends."""
    return new_piece("straight", {"length": long_mm}, kinds)


def new_curve(radius_mm: float, angle_rad: float, *, is_left: bool, kinds: tuple[EndKind, EndKind]) -> Stock:
    """A curve to be made, with those ends."""
    sizes: dict[str, float | str] = {"radius": radius_mm, "angle": angle_rad, "hand": "left" if is_left else "right"}
    return new_piece("curve", sizes, kinds)


def new_piece(kind: str, sizes: dict[str, float | str], kinds: tuple[EndKind, EndKind]) -> Stock:
    """A piece to be made, by its kind in the catalogue and that kind's sizes."""
    order = PieceOrder(name=kind, kind=kind, count=1, sizes=sizes, ends=kinds, grooves_top=True, grooves_bottom=False)
    routes = routes_of(order)
    ends = ends_on(routes, dict(zip(("start", "end"), kinds, strict=True)))
    return Stock(name=f"new {kind}", ends=ends, routes=routes, is_made=True, order=order)


def _in_order(owned: Owned, fore: Half, back: Half, fill: Fill, *, new: Stock | None) -> InOrder:
    """Bends in their order, runs at the first place of their heading, the new straight at the junction."""
    left = list(fill)
    pieces: list[tuple[Stock, Way]] = []
    kind = MATE[fore.bends[0].enters] if fore.bends else fore.kind

    def _runs_along(heading_rad: float) -> None:
        for one in [one for one in tuple(left) if abs(wrapped(one[0] - heading_rad)) <= ANGLE_RAD]:
            left.remove(one)
            for index, count in zip(owned.runs.stock, owned.runs.counts[one[1]], strict=True):
                pieces.extend([owned.run_ways[index, kind]] * int(count))

    _runs_along(fore.headings[0])
    for bend, heading in zip(fore.bends, fore.headings[1:], strict=True):
        pieces.append((owned.stock[bend.stock], bend.way))
        kind = bend.leaves
        _runs_along(heading)
    if new is not None:
        pieces.append((new, AHEAD))
        kind = new.ends[1].kind
    _runs_along(back.headings[0])
    for bend, heading in zip(back.bends, back.headings[1:], strict=True):
        pieces.append((owned.stock[bend.stock], bend.way))
        kind = bend.leaves
        _runs_along(heading)
    return tuple(pieces)


def _run_way(stock: Stock, kind: EndKind) -> tuple[Stock, Way]:
    return stock, next(way for way in ways_of(stock) if stock.ends[way.entry].kind is MATE[kind])


def moved_runs(trial: Trial) -> Iterator[Trial]:
    """The same pieces with one run laid elsewhere in its own heading: the end comes out the same, the joints do not."""
    seen = {trial.key}
    for index, (stock, way) in enumerate(trial.pieces):
        if stock.count and is_run(stock):
            rest = (*trial.pieces[:index], *trial.pieces[index + 1 :])
            headings = _headings(trial.pieces)
            for place, heading in enumerate(_headings(rest)):
                if abs(wrapped(heading - headings[index])) <= ANGLE_RAD and _goes_there(rest, place, stock, way):
                    one = Trial(pieces=(*rest[:place], (stock, way), *rest[place:]))
                    if one.key not in seen:
                        seen.add(one.key)
                        yield one


def _goes_there(rest: InOrder, place: int, stock: Stock, way: Way) -> bool:
    """A run entered by that way couples with what stands before that place, or after it at the very start."""
    if not rest:
        return True
    beside, through_it = rest[max(place - 1, 0)]
    kind = beside.ends[through_it.leaves_by if place else through_it.entry].kind
    return stock.ends[way.entry].kind is (MATE[kind] if place else kind)


def _headings(pieces: InOrder) -> list[float]:
    """Before each piece, and after the last."""
    found = [0.0]
    for stock, way in pieces:
        found.append(found[-1] + through(stock, way).heading_rad)
    return found


def left_after(gap: Gap, pieces: InOrder) -> Pose:
    """The goal as seen from the end of those pieces, all joints at home."""
    at = Pose(0.0, 0.0)
    for stock, way in pieces:
        at = transform_pose(through(stock, way), at)
    return transform_pose(gap.pose, inverse_pose(at))
