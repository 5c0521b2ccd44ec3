"""What owned pieces do to a pose, as bends and runs that a search can add up.

Glossary:
    run: a straight with a peg and a socket. Wherever it stands among pieces of one heading, the end comes out the same.
    bend: any other way through a piece of two ends: curves, and straights whose ends are alike. Their order matters. It
        is a complex number for how far on and aside, and a turn.
    half: bends from one side of a gap, in order, with the heading before and after each.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from platelayer.floor.composing import MATE, Way, through, ways_of
from platelayer.values.layout import Stock
from platelayer.values.pieces import EndKind

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Bend:
    """A way through a piece of the stock at that index."""

    stock: int
    way: Way
    on: complex
    turn_rad: float
    enters: EndKind
    leaves: EndKind


@dataclass(frozen=True, slots=True)
class Half:
    """Bends from the open end on, or from the goal back, in the order in which a train meets them.

    Attributes:
        headings: one more than bends: before the first, between any two, after the last.
        on: sum of the bends, straights left out.
        kind: what stands at the end that looks into the gap.
    """

    bends: tuple[Bend, ...]
    headings: tuple[float, ...]
    on: complex
    kind: EndKind


def bends_of(stock: Sequence[Stock]) -> tuple[Bend, ...]:
    """Every bend that owned pieces with two ends make, those that come to the same once."""
    found: dict[tuple[object, ...], Bend] = {}
    for index, one in enumerate(stock):
        if one.count and len(one.ends) == 2 and not one.passes_over and not is_run(one):
            for way in ways_of(one):
                step = through(one, way)
                kinds = one.ends[way.entry].kind, one.ends[way.leaves_by].kind
                bend = Bend(index, way, complex(step.x, step.y), step.heading_rad, *kinds)
                key = (index, *kinds, *(round(value, 9) for value in (step.x, step.y, step.heading_rad)))
                found.setdefault(key, bend)
    return tuple(found.values())


def is_run(stock: Stock) -> bool:
    """A straight with a peg at one end and a socket at the other."""
    kinds = {end.kind for end in stock.ends}
    return len(stock.routes) == 1 and stock.routes[0].is_straight and kinds == {EndKind.PEG, EndKind.SOCKET}


def length_mm(stock: Stock) -> float:
    """Of a run."""
    return stock.routes[0].length_mm


def halves_from(bends: Sequence[Bend], owned: Sequence[int], kind: EndKind, most: int) -> list[Half]:
    """All halves of at most so many bends from an open end of that kind, the fewest bends first."""
    halves = [Half((), (0.0,), 0j, kind)]
    ahead = halves
    for _ in range(most):
        ahead = [
            Half(
                (*half.bends, bend),
                (*half.headings, heading + bend.turn_rad),
                half.on + _turned(bend.on, heading),
                bend.leaves,
            )
            for half in ahead
            for heading in (half.headings[-1],)
            for bend in bends
            if bend.enters is MATE.get(half.kind) and _used(half, bend) < owned[bend.stock]
        ]
        halves = halves + ahead
    return halves


def halves_to(bends: Sequence[Bend], owned: Sequence[int], kind: EndKind, heading_rad: float, most: int) -> list[Half]:
    """The same back from a goal of that kind in that heading."""
    halves = [Half((), (heading_rad,), 0j, kind)]
    ahead = halves
    for _ in range(most):
        ahead = [
            Half((bend, *half.bends), (heading, *half.headings), half.on + _turned(bend.on, heading), bend.enters)
            for half in ahead
            for bend in bends
            if bend.leaves is MATE.get(half.kind) and _used(half, bend) < owned[bend.stock]
            for heading in (half.headings[0] - bend.turn_rad,)
        ]
        halves = halves + ahead
    return halves


def _turned(on: complex, heading_rad: float) -> complex:
    return on * complex(math.cos(heading_rad), math.sin(heading_rad))


def _used(half: Half, bend: Bend) -> int:
    return sum(one.stock == bend.stock for one in half.bends)


@dataclass(frozen=True, slots=True)
class RunChoices:
    """Every choice of owned runs, by length: (m,) lengths rising, (m, k) how many of each, (k,) indices of stock."""

    lengths: Floats
    counts: Counts
    stock: tuple[int, ...]

    @property
    def longest_mm(self) -> float:
        """Of one run; 0 where none is owned."""
        ones = self.lengths[self.counts.sum(axis=1) == 1]
        return float(ones.max(initial=0.0))


def runs_of(stock: Sequence[Stock], *, most_choices: int) -> RunChoices:
    """All choices of the runs that are owned; of so many pieces of each kind only as make no more choices than that."""
    owned = [(index, one.count) for index, one in enumerate(stock) if one.count and is_run(one) and not one.passes_over]
    most = max((count for _, count in owned), default=0)
    while most and math.prod(min(count, most) + 1 for _, count in owned) > most_choices:
        most -= 1
    counts = np.array([*product(*(range(min(count, most) + 1) for _, count in owned))], dtype=np.int64)
    counts = counts.reshape(len(counts), len(owned))
    lengths = counts @ np.array([length_mm(stock[index]) for index, _ in owned]) if owned else np.zeros(len(counts))
    order = np.lexsort((counts.sum(axis=1), lengths))
    return RunChoices(lengths[order], counts[order], tuple(index for index, _ in owned))
