"""The exact offset of a contour of lines and arcs: lines and arcs again, found by parallels, crossings and distance.

Glossary:
    parallel: the curve at a distance to the right of a contour. Not a path: a path has a direction of cut.
    candidate: the parallel of one segment, or the arc about one corner, before anything is cut off it.

How it works: every segment gives a candidate at its own distance, every corner that juts out to the right gives an arc
about it. Candidates are split wherever any two of them meet, and a piece of a candidate stays when no segment is
nearer to it than that segment's distance. What stays chains up by itself. An arc that curves towards the right with a
radius of the distance or less has no candidate: its neighbours meet in its place.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from platelayer.geometry.contours import between, reversed_contour, segment_point, starting_at
from platelayer.geometry.intersect import (
    bounds_of,
    crossings,
    direction_at,
    distances_mm,
    ratio_of,
)
from platelayer.tolerances import ANGLE_RAD, COINCIDENT_MM, KEEP_MM
from platelayer.values.shapes import Arc, Contour, Line, Point, Region, Segment

CORNER = -1
"""Source of an arc about a corner."""


@dataclass(frozen=True, slots=True)
class Parallel:
    """One connected parallel; ``sources`` names for each segment the source segment, or CORNER."""

    contour: Contour
    sources: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Candidate:
    segment: Segment
    source: int


@dataclass(frozen=True, slots=True)
class _Bit:
    candidate: int
    first_ratio: float
    last_ratio: float
    segment: Segment


def parallels(contour: Contour, apart_mm: Sequence[float] | float) -> tuple[Parallel, ...]:
    """Everything on the right of a contour that lies at its segments' distances from it and nowhere nearer.

    The outline of a piece is counter-clockwise, so its right is the waste. Closed results run the same way round as
    the contour does; results stand in the order in which the contour passes them. Exact to KEEP_MM.

    Args:
        contour: closed or open, simple. An open one has no caps: its parallel ends square to its ends.
        apart_mm: distances, one for all or one for each segment; greater than zero.
    """
    return _parallels((contour,), _each(apart_mm, len(contour.segments)))


def _each(apart_mm: Sequence[float] | float, count: int) -> list[float]:
    return [float(apart_mm)] * count if isinstance(apart_mm, (int, float)) else list(apart_mm)


def _parallels(contours: Sequence[Contour], each: Sequence[float]) -> tuple[Parallel, ...]:
    segments = [segment for contour in contours for segment in contour.segments]
    candidates: list[_Candidate] = []
    first = 0
    for contour in contours:
        last = first + len(contour.segments)
        candidates += _candidates(contour, each[first:last], first)
        first = last
    bits = _split(candidates)
    if not bits:
        return ()
    middles = np.array([segment_point(bit.segment, 0.5) for bit in bits])
    spare = distances_mm(middles, segments) - np.array(each)
    kept = [bit for bit, worst in zip(bits, spare.min(axis=1), strict=True) if worst >= -KEEP_MM]
    return tuple(_joined(chain, candidates) for chain in _chains(kept))


def region_parallels(region: Region, distance_mm: float) -> tuple[Parallel, ...]:
    """Everything inside a region that lies just so far from its edge: counter-clockwise, clockwise round islands.

    Sources count the outer contour's segments first and then those of the holes.
    """
    edges = (region.outer, *region.holes)
    firsts = [sum(len(edge.segments) for edge in edges[:index]) for index in range(len(edges) + 1)]
    found = _parallels([reversed_contour(edge) for edge in edges], [distance_mm] * firsts[-1])
    places = [last - 1 - k for first, last in pairwise(firsts) for k in range(last - first)]
    return tuple(_turned(parallel, places) for parallel in found)


def _turned(parallel: Parallel, places: Sequence[int]) -> Parallel:
    """The parallel run the other way, its sources looked up in the places."""
    sources = tuple(CORNER if source == CORNER else places[source] for source in reversed(parallel.sources))
    return Parallel(reversed_contour(parallel.contour), sources)


def left_parallels(contour: Contour, apart_mm: Sequence[float] | float) -> tuple[Parallel, ...]:
    """The same on the left of a contour, running the same way as it does."""
    count = len(contour.segments)
    found = parallels(reversed_contour(contour), _each(apart_mm, count)[::-1])
    return tuple(_turned(parallel, range(count - 1, -1, -1)) for parallel in found)


def _candidates(contour: Contour, distances: Sequence[float], first: int) -> list[_Candidate]:
    segments, result = contour.segments, list[_Candidate]()
    for index, segment in enumerate(segments):
        moved = _moved(segment, distances[index])
        if moved is not None:
            result.append(_Candidate(moved, first + index))
        last = index == len(segments) - 1
        if last and not contour.is_closed:
            break
        following = 0 if last else index + 1
        corner = _corner(segment, segments[following], distances[index], distances[following])
        if corner is not None:
            result.append(_Candidate(corner, CORNER))
    return result


def _moved(segment: Segment, distance: float) -> Segment | None:
    """The segment shifted to its right; None when it shrinks to nothing."""
    if isinstance(segment, Line):
        ux, uy = direction_at(segment, 0.0)
        dx, dy = uy * distance, -ux * distance
        (x0, y0), (x1, y1) = segment.start, segment.end
        return Line((x0 + dx, y0 + dy), (x1 + dx, y1 + dy))
    radius = segment.radius_mm
    moved = radius + distance if segment.is_ccw else radius - distance
    if moved <= COINCIDENT_MM:
        return None
    (cx, cy), scale = segment.centre, moved / radius
    start = (cx + (segment.start[0] - cx) * scale, cy + (segment.start[1] - cy) * scale)
    end = (cx + (segment.end[0] - cx) * scale, cy + (segment.end[1] - cy) * scale)
    if segment.start == segment.end:
        end = start
    return Arc(start, end, segment.centre, segment.is_ccw)


def _corner(before: Segment, after: Segment, d_before: float, d_after: float) -> Arc | None:
    """The arc about the corner between two segments; None where it does not jut out to the right.

    Where the two distances differ, the greater one's arc is half a circle, the cap of its own segment: how far it
    counts comes out of the crossings.
    """
    (ux, uy), (vx, vy) = direction_at(before, 1.0), direction_at(after, 0.0)
    x, y = after.start
    if d_before > d_after + COINCIDENT_MM:
        return Arc((x + uy * d_before, y - ux * d_before), (x - uy * d_before, y + ux * d_before), (x, y), True)
    if d_after > d_before + COINCIDENT_MM:
        return Arc((x - vy * d_after, y + vx * d_after), (x + vy * d_after, y - vx * d_after), (x, y), True)
    turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
    if turn <= ANGLE_RAD:
        return None
    return Arc((x + uy * d_before, y - ux * d_before), (x + vy * d_after, y - vx * d_after), (x, y), True)


def _split(candidates: Sequence[_Candidate]) -> list[_Bit]:
    """Every candidate cut at every crossing with another, in order."""
    boxes = bounds_of([candidate.segment for candidate in candidates])
    low, high = boxes[:, :2] - COINCIDENT_MM, boxes[:, 2:] + COINCIDENT_MM
    meets = np.all((low[:, None] <= high[None]) & (low[None] <= high[:, None]), axis=2)
    cuts: list[list[float]] = [[0.0, 1.0] for _ in candidates]
    for first, second in zip(*np.nonzero(np.triu(meets, 1)), strict=True):
        a, b = candidates[first].segment, candidates[second].segment
        for point in crossings(a, b):
            cuts[first].append(ratio_of(a, point))
            cuts[second].append(ratio_of(b, point))
    bits: list[_Bit] = []
    for index, (candidate, ratios) in enumerate(zip(candidates, cuts, strict=True)):
        shortest = COINCIDENT_MM / max(candidate.segment.length_mm, COINCIDENT_MM)
        places = [0.0]
        for ratio in sorted(ratios):
            if ratio - places[-1] > shortest:
                places.append(ratio)
        if len(places) > 1 and 1.0 - places[-1] <= shortest:
            places[-1] = 1.0
        for first_ratio, last_ratio in pairwise(places):
            part = part_of(candidate.segment, first_ratio, last_ratio)
            bits.append(_Bit(index, first_ratio, last_ratio, part))
    return bits


def part_of(segment: Segment, first_ratio: float, last_ratio: float) -> Segment:
    """The stretch of a segment between two ratios."""
    if first_ratio <= 0.0 and last_ratio >= 1.0:
        return segment
    return between(segment, segment_point(segment, first_ratio), segment_point(segment, last_ratio))


def _chains(bits: Sequence[_Bit]) -> list[list[_Bit]]:
    """Bits linked end to start; loops and, where nothing follows, open runs."""
    starts: dict[tuple[int, int], list[int]] = {}
    for index, bit in enumerate(bits):
        starts.setdefault(_cell(bit.segment.start), []).append(index)
    follows = [_next(bit, index, bits, starts) for index, bit in enumerate(bits)]
    preceded = {after for after in follows if after is not None}
    used = [False] * len(bits)
    chains: list[list[_Bit]] = []
    for first in [i for i in range(len(bits)) if i not in preceded] + list(range(len(bits))):
        chain: list[_Bit] = []
        here: int | None = first
        while here is not None and not used[here]:
            used[here] = True
            chain.append(bits[here])
            here = follows[here]
        if chain:
            chains.append(chain)
    return sorted(chains, key=lambda chain: (chain[0].candidate, chain[0].first_ratio))


_CELL_MM = 1.0 / 1024
"""Side of the buckets in which ends are looked up; neighbours are searched too."""


def _cell(point: Point) -> tuple[int, int]:
    return (math.floor(point[0] / _CELL_MM), math.floor(point[1] / _CELL_MM))


def _next(bit: _Bit, index: int, bits: Sequence[_Bit], starts: dict[tuple[int, int], list[int]]) -> int | None:
    """The bit that starts where this one ends; of several, the one that goes on most nearly straight."""
    column, row = _cell(bit.segment.end)
    found = [
        other
        for dx in (-1, 0, 1)
        for dy in (-1, 0, 1)
        for other in starts.get((column + dx, row + dy), ())
        if math.dist(bits[other].segment.start, bit.segment.end) <= 2 * COINCIDENT_MM
    ]
    if bit.segment.start == bit.segment.end and isinstance(bit.segment, Arc):
        return index
    found = [other for other in found if other != index]
    if len(found) < 2:
        return found[0] if found else None
    ux, uy = direction_at(bit.segment, 1.0)

    def straightness(other: int) -> float:
        vx, vy = direction_at(bits[other].segment, 0.0)
        return ux * vx + uy * vy

    return max(found, key=straightness)


def _joined(chain: Sequence[_Bit], candidates: Sequence[_Candidate]) -> Parallel:
    """The chain as a contour, stretches of one candidate put together again and ends made to meet exactly."""
    is_closed = math.dist(chain[0].segment.start, chain[-1].segment.end) <= 2 * COINCIDENT_MM
    runs: list[list[_Bit]] = []
    for bit in chain:
        if runs and _goes_on(runs[-1][-1], bit):
            runs[-1].append(bit)
        else:
            runs.append([bit])
    if is_closed and len(runs) > 1 and _goes_on(runs[-1][-1], runs[0][0]):
        runs[0] = runs.pop() + runs[0]
    parts = [_one(run, candidates) for run in runs]
    sources = tuple(candidates[run[0].candidate].source for run in runs)
    for index in range(1, len(parts)):
        parts[index] = starting_at(parts[index], parts[index - 1].end)
    if is_closed and len(parts) > 1:
        parts[0] = starting_at(parts[0], parts[-1].end)
    return Parallel(Contour(tuple(parts), is_closed), sources)


def _goes_on(before: _Bit, after: _Bit) -> bool:
    return before.candidate == after.candidate and math.isclose(before.last_ratio, after.first_ratio, abs_tol=ANGLE_RAD)


def _one(run: Sequence[_Bit], candidates: Sequence[_Candidate]) -> Segment:
    segment = candidates[run[0].candidate].segment
    if len(run) == 1:
        return run[0].segment
    if run[0].first_ratio > run[-1].last_ratio and isinstance(segment, Arc):
        return between(segment, run[0].segment.start, run[-1].segment.end)
    return part_of(segment, run[0].first_ratio, run[-1].last_ratio)
