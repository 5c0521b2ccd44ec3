"""How each pass is come to: how far down it is open where the bit comes down, and whether the bit must lift before it.

Glossary:
    open: so much wood is gone, down to a z, that the whole bit goes there clear of it by OPEN_MM all round.
    swept: the bit goes there without cutting, but touches the walls: a slot of its own breadth.
    way: straight from the end of one pass to the start of the next of the same cut, down in the wood. Not a rapid.
    chord: one of the straight pieces that stand for a step's line.

Only what earlier passes of the same lying board have taken counts, by flat bits alone, and of a ramp no more than its
higher end: what is said to be open is open, though not all that is open is said to be.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count, pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.geometry.regions import Area, Areas, Floats, arc_points, line_through, lines_from, near_pairs
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM, OPEN_MM
from platelayer.values.cuts import Cut, Pass, Section, Step
from platelayer.values.shapes import Arc, Point
from platelayer.values.tooling import BitKind

Rows = npt.NDArray[np.intp]

_LONGEST_WAY_MM: Final = 60.0
"""A way longer than this is no quicker than lifting, moving at rapid and coming down."""

_SPACING_MM: Final = 0.1
"""Places no further apart than this are asked whether they are gone, along the rim of what is asked for."""

_RIMS_MM: Final = 3 * _SPACING_MM
"""Within it rims, and places on them, lie no further apart than this: narrower than a post that lanes leave."""

_ONE_IN: Final = 16
"""So many places are passed by at a first look."""

_CHORD_MM: Final = 4 * FLATTEN_CHORD_MM

_SPARE_MM: Final = 0.3 * OPEN_MM
"""Said to be open is what is clear by so much more, for what may stand between two places."""

_TOUCH_MM: Final = 1.5 * _CHORD_MM
"""Said to be swept is what is clear but for so much, which chords may stray."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    """What a file takes, step by step in order.

    Attributes:
        lines: (n,) centre lines.
        points: (k, 2) of all lines; line i has those from ``first[i]`` up to ``first[i + 1]``.
        radius_mm: (n,) of the bit.
        z: (n,) down to which each surely goes.
        number: (n,) of its pass.
        plan: (n,) the same number for lines that are the same.
    """

    lines: Areas
    points: Floats
    first: Rows
    radius_mm: Floats
    z: Floats
    number: Floats
    plan: Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A pass that asks how it is come to, its number in the file, and the one before it where there may be a way."""

    number: int
    one: Pass
    before: Pass
    radius_mm: float

    @property
    def line(self) -> Area:
        """The way, or the place alone."""
        return line_through((self.before.end, self.one.start))


def with_open_ways(sections: Sequence[Section], *, before: Sequence[Section] = ()) -> tuple[Section, ...]:
    """The sections of one file, every pass with how it is come to, whatever it was said of it before.

    Args:
        sections: in order.
        before: those of the files that are cut before it into the same face.
    """
    taken = _taken((*before, *sections))
    already = sum(len(cut.passes) for section in before for cut in section.cuts)
    asked = [replace(one, number=already + one.number) for one in _asked(sections)]
    found = {one.number: _come_to(one, taken, rows) for one, rows in zip(asked, _near(taken, asked), strict=True)}
    numbers = count(already)

    def known(cut: Cut) -> Cut:
        return replace(cut, passes=tuple(found.get(next(numbers), one) for one in cut.passes))

    return tuple(replace(section, cuts=tuple(known(cut) for cut in section.cuts)) for section in sections)


def _taken(sections: Sequence[Section]) -> _Taken:
    points: list[Floats] = []
    rows: list[tuple[float, float, float]] = []
    number = 0
    for section in sections:
        for one in (one for cut in section.cuts for one in cut.passes):
            for step in one.steps if section.bit.kind is BitKind.FLAT else ():
                if max(step.z_start, step.z_end) < 0 and step.segment.length_mm > COINCIDENT_MM:
                    points.append(_points(step))
                    rows.append((section.bit.radius_mm, max(step.z_start, step.z_end), number))
            number += 1
    counts = np.array([len(some) for some in points], np.intp)
    first = np.concatenate(([0], np.cumsum(counts)))
    owner = np.repeat(np.arange(len(points)), counts)
    flat = np.concatenate([np.zeros((0, 2)), *points])
    radius, z, numbers = np.array(rows).reshape(-1, 3).T
    places = flat @ (1, 1j)
    ends = np.sort(places[np.column_stack((first[:-1], first[1:] - 1))])
    middles = places[first[:-1] + counts // 2]
    key = np.column_stack((ends, middles, radius)) / COINCIDENT_MM
    plan = np.unique(np.rint(key), axis=0, return_inverse=True)[1].reshape(-1)
    lines = lines_from(flat, owner) if points else np.zeros(0, np.object_)
    return _Taken(lines=lines, points=flat, first=first, radius_mm=radius, z=z, number=numbers, plan=plan)


def _points(step: Step) -> Floats:
    segment = step.segment
    if isinstance(segment, Arc):
        return np.vstack((arc_points(segment, chord_mm=_CHORD_MM), segment.end))
    return np.array((segment.start, segment.end))


def _asked(sections: Sequence[Section]) -> Iterator[_Asked]:
    """Passes that begin below the board's top."""
    number = 0
    for section in sections:
        for cut in section.cuts:
            for before, one in pairwise((cut.passes[0], *cut.passes)):
                if one.steps[0].z_start < 0:
                    is_near = math.dist(before.end, one.start) <= _LONGEST_WAY_MM
                    yield _Asked(
                        number=number, one=one, before=before if is_near else one, radius_mm=section.bit.radius_mm
                    )
                number += 1


def _near(taken: _Taken, asked: Sequence[_Asked]) -> list[Rows]:
    """For each that asks the rows of what was taken before its pass and comes near enough to matter, each plan once."""
    if not asked or not len(taken.lines):
        return [np.zeros(0, np.intp) for _ in asked]
    reach = max(one.radius_mm for one in asked) + float(taken.radius_mm.max()) + OPEN_MM
    first, second = near_pairs((one.line for one in asked), taken.lines, reach)
    bounds = np.searchsorted(first, np.arange(len(asked) + 1)).tolist()
    found = []
    for one, (low, high) in zip(asked, pairwise(bounds), strict=True):
        rows = second[low:high][taken.number[second[low:high]] < one.number]
        rows = rows[np.lexsort((taken.z[rows], taken.plan[rows]))]
        found.append(rows[np.diff(taken.plan[rows], prepend=-1) > 0])
    return found


def _come_to(asked: _Asked, taken: _Taken, rows: Rows) -> Pass:
    """The pass with how far down its beginning is open, and the height of the way to it where there is one."""
    clear_mm, touch_mm = asked.radius_mm + OPEN_MM + _SPARE_MM, asked.radius_mm - _TOUCH_MM
    one = replace(asked.one, clear_z_mm=0.0, way_z_mm=math.inf, is_way_open=False)
    begin, end = one.start, asked.before.end
    if not len(rows):
        return one
    one = replace(one, clear_z_mm=_gone_to_z(begin, begin, clear_mm, taken, rows))
    if asked.before is asked.one:
        return one
    open_z, swept_z = (_gone_to_z(end, begin, wide_mm, taken, rows) for wide_mm in (clear_mm, touch_mm))
    z = asked.before.steps[-1].z_end
    way_z_mm = max(z, min(open_z, swept_z))
    return replace(one, way_z_mm=way_z_mm, is_way_open=open_z <= way_z_mm) if way_z_mm < 0 else one


def _gone_to_z(start: Point, end: Point, wide_mm: float, taken: _Taken, rows: Rows) -> float:
    """The lowest z down to which all within a distance of the line between two points is gone; 0 where some is left."""
    counts = taken.first[rows + 1] - taken.first[rows] - 1
    owner = np.repeat(rows, counts)
    at = taken.first[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    low, high = taken.points[at], taken.points[at + 1]
    reach = wide_mm + taken.radius_mm[owner][:, None]
    near = (np.minimum(low, high) <= np.maximum(start, end) + reach) & (
        np.maximum(low, high) >= np.minimum(start, end) - reach
    )
    near = near.all(axis=1)
    chords = low[near], high[near], taken.radius_mm[owner][near], taken.z[owner][near]
    places = _within(start, end, wide_mm)
    if not near.any() or _gone_at_z(places[::_ONE_IN], *chords) >= 0:
        return 0.0
    return _gone_at_z(places, *chords)


def _gone_at_z(places: Floats, low: Floats, high: Floats, radius_mm: Floats, z: Floats) -> float:
    """The lowest z down to which all places are gone that bits sweep which run along chords; 0 where one is left."""
    span = high - low
    squared = np.maximum((span**2).sum(axis=1), COINCIDENT_MM**2)
    ahead = places @ span.T - (low * span).sum(axis=1)
    share = np.clip(ahead / squared, 0.0, 1.0)
    gap = (places[:, :1] - low[:, 0] - share * span[:, 0]) ** 2 + (places[:, 1:] - low[:, 1] - share * span[:, 1]) ** 2
    return float(np.where(gap <= (radius_mm + COINCIDENT_MM) ** 2, z, 0.0).min(axis=1).max())


def _within(start: Point, end: Point, wide_mm: float) -> Floats:
    """(n, 2) places all over what lies within a distance of the line between two points: rims one inside the other."""
    (x, y), length = start, math.dist(start, end)
    ux, uy = ((end[0] - x) / length, (end[1] - y) / length) if length > COINCIDENT_MM else (1.0, 0.0)
    rims = []
    for wide in np.arange(wide_mm, 0.0, -_RIMS_MM):
        spacing = _SPACING_MM if wide == wide_mm else _RIMS_MM
        turns = np.linspace(-math.pi / 2, math.pi / 2, math.ceil(math.pi * wide / spacing) + 1)
        along, across = wide * np.cos(turns), wide * np.sin(turns)
        sides = np.linspace(0.0, length, math.ceil(length / spacing) + 1)
        beside = np.full(len(sides), wide)
        rims.append((
            np.concatenate((length + along, -along, sides, sides)),
            np.concatenate((across, across, beside, -beside)),
        ))
    along, across = np.concatenate(rims, axis=1)
    return np.column_stack((x + along * ux - across * uy, y + along * uy + across * ux))
