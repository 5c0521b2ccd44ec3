"""Runs between bends: which owned straights, along which headings, come nearest to where the end must be.

Glossary:
    need: what is left for runs to make up, as a complex number. row: one choice of runs, by its index in the table.
    main headings: the two that lie most across each other; what lies along the others is tried out.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.floor.bends import Counts, Floats, RunChoices
from platelayer.tolerances import ANGLE_RAD

Fill = tuple[tuple[float, int], ...]
"""Rows of runs by heading; a heading without runs does not stand in it."""

_MOST_TRIED: Final = 400
"""Choices for all but the main headings that are tried for one order of bends."""
_LEAST_ACROSS: Final = 0.05
"""Headings less across each other than this count as one, or as opposite."""


def distinct(headings: Sequence[float]) -> list[float]:
    """The headings, those that are one but for whole turns once."""
    found: list[float] = []
    for heading in headings:
        if all(abs(math.remainder(heading - one, math.tau)) > ANGLE_RAD for one in found):
            found.append(heading)
    return found


def unit(heading_rad: float) -> complex:
    """A millimetre that way."""
    return complex(math.cos(heading_rad), math.sin(heading_rad))


def fills(
    need: complex, headings: Sequence[float], runs: RunChoices, owned: Counts, within_mm: float
) -> Iterator[Fill]:
    """Every choice of runs along those headings that makes up the need to within that distance.

    All of them where there are few runs or headings; else none along further headings but the likeliest.
    """
    ways = distinct(headings)
    main, others = _main(ways)
    tried = _tried(len(others), runs)
    left = np.full(len(tried), need)
    for column, heading in enumerate(others):
        left -= runs.lengths[tried[:, column]] * unit(heading)
    spare = owned - runs.counts[tried].sum(axis=1)
    for index in np.flatnonzero((spare >= 0).all(axis=1) & _may_do(left, main, runs, within_mm)):
        extra = [(heading, int(row)) for heading, row in zip(others, tried[index], strict=True) if row]
        for rows in _main_rows(complex(left[index]), main, runs, spare[index], within_mm):
            yield (*((heading, row) for heading, row in zip(main, rows, strict=True) if row), *extra)


def is_whole(headings: Sequence[float], runs: RunChoices) -> bool:
    """``fills`` tries every choice there is."""
    others = len(_main(distinct(headings))[1])
    return bool(len(runs.lengths) ** others <= _MOST_TRIED)


def _main(ways: Sequence[float]) -> tuple[list[float], list[float]]:
    pairs = [(abs(math.sin(b - a)), a, b) for i, a in enumerate(ways) for b in ways[i + 1 :]]
    across, first, second = max(pairs, default=(0.0, ways[0], ways[0]))
    main = [first, second] if across > _LEAST_ACROSS else [ways[0]]
    return main, [one for one in ways if one not in main]


def _tried(others: int, runs: RunChoices) -> npt.NDArray[np.intp]:
    """(n, others) rows for the other headings, the fewest pieces first."""
    if not others:
        return np.zeros((1, 0), dtype=np.intp)
    few = np.argsort(runs.counts.sum(axis=1), kind="stable")[: max(1, int(_MOST_TRIED ** (1 / others) + ANGLE_RAD))]
    return np.array([*product(few, repeat=others)], dtype=np.intp)


def _may_do(
    left: npt.NDArray[np.complex128], main: Sequence[float], runs: RunChoices, within_mm: float
) -> npt.NDArray[np.bool_]:
    """Which needs the nearest rows along the main headings make up, owned pieces not yet counted."""
    if len(main) == 1:
        turned = left * np.conj(unit(main[0]))
        return np.asarray((np.abs(turned.imag) <= within_mm) & (_off(turned.real, runs) <= within_mm))
    along, across = _solved(left, main)
    slack = within_mm / abs(math.sin(main[1] - main[0]))
    return np.asarray((_off(along, runs) <= slack) & (_off(across, runs) <= slack))


def _solved(left: npt.NDArray[np.complex128], main: Sequence[float]) -> tuple[Floats, Floats]:
    """Lengths along two headings that add up to the needs."""
    first, second = unit(main[0]), unit(main[1])
    cross = (np.conj(first) * second).imag
    return (np.conj(left) * second).imag / cross, (np.conj(first) * left).imag / cross


def _off(lengths: Floats, runs: RunChoices) -> Floats:
    """How far each length is from the nearest row."""
    at = np.clip(np.searchsorted(runs.lengths, lengths), 1, max(len(runs.lengths) - 1, 1))
    near = runs.lengths[np.minimum(at, len(runs.lengths) - 1)]
    return np.minimum(np.abs(near - lengths), np.abs(runs.lengths[at - 1] - lengths))


def _main_rows(
    need: complex, main: Sequence[float], runs: RunChoices, spare: Counts, within_mm: float
) -> Iterator[tuple[int, ...]]:
    if len(main) == 1:
        for row in rows_near((need * np.conj(unit(main[0]))).real, within_mm, runs):
            if abs(need - runs.lengths[row] * unit(main[0])) <= within_mm and (runs.counts[row] <= spare).all():
                yield (row,)
        return
    along, across = (float(one[0]) for one in _solved(np.array([need]), main))
    slack = within_mm / abs(math.sin(main[1] - main[0]))
    firsts, seconds = rows_near(along, slack, runs), rows_near(across, slack, runs)
    if not firsts or not seconds:
        return
    a, b = np.array(firsts)[:, None], np.array(seconds)[None, :]
    off = np.abs(need - runs.lengths[a] * unit(main[0]) - runs.lengths[b] * unit(main[1]))
    enough = (runs.counts[a] + runs.counts[b] <= spare).all(axis=2)
    for i, j in np.argwhere((off <= within_mm) & enough):
        yield firsts[i], seconds[j]


def rows_near(length_mm: float, within_mm: float, runs: RunChoices) -> list[int]:
    """Rows whose length is within that of the one wanted."""
    low = int(np.searchsorted(runs.lengths, length_mm - within_mm))
    high = int(np.searchsorted(runs.lengths, length_mm + within_mm, side="right"))
    return list(range(low, high))
