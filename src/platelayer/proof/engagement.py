"""What wood a bit meets at the moment it comes by: only what earlier moves have left.

Glossary:
    station: a place on a move that is asked, with the depth of the tip there.
    met: wood that stands inside the bit's round at a station when the bit arrives, higher than a level.
    round: what the bit cuts at the level asked; of a bit that is not flat less than its whole breadth.
    thin cut: wood met only in the outermost part of the round, as a finish pass meets it; it does not count.

Asked in two steps. First cheaply: an earlier move that went by near enough and deep enough has cleared the station by
itself. What is not settled so is worked out exactly, as areas.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows, gathered
from platelayer.geometry.regions import (
    Area,
    Areas,
    box,
    buffered,
    difference,
    intersection,
    is_thinner_than_mm,
    line_through,
    lines_from,
    near_pairs,
    parts,
    points_area,
)
from platelayer.proof.removal import part_of, rounds_mm, runs_through, swept
from platelayer.tolerances import COINCIDENT_MM, DEPTH_MM, FLATTEN_CHORD_MM, LEFTOVER_MM
from platelayer.values.bit_shape import radius_at, tip_radius_mm
from platelayer.values.motion import Floats, MoveKind
from platelayer.values.tooling import BitKind

THIN_CUT_RATIO: Final = 0.15
"""A cut no wider than this share of the bit's diameter may be as deep as the flutes: it hardly bends the bit."""

STATION_MM: Final = 2.0
"""Stations stand no further apart than this along a move, and one at either end."""

_ON_A_SLOPE: Final = 5
"""So many at least on a move that rises or falls: it may meet wood in its first half only, where it is deep."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Columns: the move, the place, the depths of the tip and of the level asked, own, and the bit's round there."""

    move: Rows
    point: Floats
    depth_mm: Floats
    level_mm: Floats
    radius_mm: Floats

    def __len__(self) -> int:
        return len(self.move)


def tip_radii_mm(moves: BoardMoves) -> Floats:
    """(n,) what each move clears at its tip's own depth and everywhere above."""
    return np.append([tip_radius_mm(bit) for bit in moves.bits], 0.0)[moves.bit]


def stations_on(moves: BoardMoves, rows: Rows, above_tip_mm: Floats) -> Stations:
    """Stations along the rows; the level asked lies so far above the tip there.

    What is above the wood or beside the board is left out. A move that goes on from the row before it leaves its start
    to that one's end.
    """
    blank = np.zeros(0)
    none = Stations(move=np.zeros(0, np.intp), point=np.zeros((0, 2)), depth_mm=blank, level_mm=blank, radius_mm=blank)
    rows = rows[moves.depth[rows].max(axis=1) - above_tip_mm[rows] > DEPTH_MM]
    if not len(rows):
        return none
    at, owner, place = gathered(moves, rows)
    points = moves.points[at]
    steps = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
    steps[place == 0] = 0.0
    along = np.cumsum(steps) + owner
    heads = np.flatnonzero(place == 0)
    lengths = np.add.reduceat(steps, heads)
    is_sloped = (moves.depth[rows, 0] != moves.depth[rows, 1]) & (lengths > COINCIDENT_MM)
    counts = np.maximum(2 + lengths // STATION_MM, np.where(is_sloped, _ON_A_SLOPE, 2)).astype(np.intp)
    of = np.repeat(np.arange(len(rows)), counts)
    number = np.arange(len(of)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = number / (counts - 1)[of]
    target = along[heads][of] + share * lengths[of]
    point = np.column_stack((np.interp(target, along, points[:, 0]), np.interp(target, along, points[:, 1])))
    first, last = moves.depth[rows, 0], moves.depth[rows, 1]
    depth = first[of] + share * (last - first)[of]
    level = depth - above_tip_mm[rows][of]
    goes_on = np.concatenate(([False], (np.diff(rows) == 1) & (last[:-1] == first[1:])))
    goes_on[1:] &= np.hypot(*(points[heads[1:]] - points[heads[1:] - 1]).T) <= COINCIDENT_MM
    keep = (level > DEPTH_MM) & ~(goes_on[of] & (number == 0))
    radius = rounds_mm(moves, rows, above_tip_mm[rows])[of]
    keep &= ((point > -radius[:, None]) & (point < moves.board.size_mm + radius[:, None])).all(axis=1)
    return Stations(
        move=rows[of][keep], point=point[keep], depth_mm=depth[keep], level_mm=level[keep], radius_mm=radius[keep]
    )


def meets_wood(moves: BoardMoves, stations: Stations, *, spared_ratio: float = THIN_CUT_RATIO) -> Bools:
    """(m,) wood stands at the station's level inside the bit's round when the bit comes, a cut no wider than so apart.

    ``spared_ratio`` is that cut's width as a share of the bit's diameter; what is thinner than wood left is none.

    Of each move that meets wood the first such station is named, and no more than MET_MOST moves.
    """
    met: Bools = np.zeros(len(stations), np.bool_)
    if not len(stations):
        return met
    known: set[int] = set()
    for index in np.flatnonzero(_not_cleared_by_one(moves, stations, spared_ratio)).tolist():
        move = int(stations.move[index])
        if move not in known and _is_met(moves, stations, index, spared_ratio):
            met[index] = True
            known.add(move)
            if len(known) == MET_MOST:
                break
    return met


def wood_above_mm(moves: BoardMoves, stations: Stations, index: int) -> float:
    """How high above the tip wood stands in the bit's round at a station when the bit comes, less the thin cut."""
    depth = float(stations.depth_mm[index])
    low, high = 0.0, float(stations.level_mm[index])
    while high - low > DEPTH_MM:
        middle = (low + high) / 2
        asked = replace(stations, level_mm=np.full(len(stations), middle))
        low, high = (low, middle) if _is_met(moves, asked, index, THIN_CUT_RATIO) else (middle, high)
    return depth - (0.0 if high <= 2 * DEPTH_MM else high)


MET_MOST: Final = 50
"""Moves named at most; a file with more is wrong from end to end."""


def _not_cleared_by_one(moves: BoardMoves, stations: Stations, spared_ratio: float) -> Bools:
    """(m,) no single earlier move that was as deep as the level where it came by has cleared the station's round."""
    cutters = np.flatnonzero((moves.depth.max(axis=1) > 0) & (moves.radius > 0))
    is_level = moves.depth[cutters, 0] == moves.depth[cutters, 1]
    is_open = np.ones(len(stations), np.bool_)
    _clear_by_levels(moves, stations, cutters[is_level], is_open, spared_ratio)
    _clear_by_slopes(moves, stations, cutters[~is_level], is_open, spared_ratio)
    return is_open


def _clear_by_levels(moves: BoardMoves, stations: Stations, rows: Rows, is_open: Bools, spared_ratio: float) -> None:
    """Settle what moves of one depth have cleared; plans cut again and again are looked at once."""
    if not len(rows):
        return
    order = rows[np.lexsort((rows, moves.shape[rows]))]
    shape = moves.shape[order]
    is_first = np.concatenate(([True], shape[1:] != shape[:-1]))
    rank = np.cumsum(is_first) - 1
    deepest = _running_max(rank, moves.depth[order, 0])
    key = rank * len(moves) + order
    plans = order[is_first]
    at, owner, _ = gathered(moves, plans)
    lines = lines_from(moves.points[at], owner)
    for station, found in _pairs(moves, stations, plans, lines, is_open, spared_ratio):
        before = np.searchsorted(key, found * len(moves) + stations.move[station]) - 1
        cleared = (before >= 0) & (rank[before] == found) & (deepest[before] >= stations.level_mm[station])
        is_open[station[cleared]] = False


def _clear_by_slopes(moves: BoardMoves, stations: Stations, rows: Rows, is_open: Bools, spared_ratio: float) -> None:
    """Settle what sloping moves have cleared, chord by chord, each as deep as it is where it comes nearest."""
    if not len(rows):
        return
    at, owner, place = gathered(moves, rows)
    heads = np.flatnonzero(np.diff(owner, append=-1) == 0)
    chords = np.stack((moves.points[at[heads]], moves.points[at[heads] + 1]), axis=1)
    lines = lines_from(chords.reshape(-1, 2), np.repeat(np.arange(len(heads)), 2))
    count = np.bincount(owner)[owner[heads]] - 1
    depth = moves.depth[rows[owner[heads]]]
    rise = depth[:, 1] - depth[:, 0]
    start = depth[:, 0] + rise * place[heads] / count
    span = chords[:, 1] - chords[:, 0]
    squared = (span**2).sum(axis=1)
    row_of = rows[owner[heads]]
    for station, found in _pairs(moves, stations, row_of, lines, is_open, spared_ratio):
        along = ((stations.point[station] - chords[found, 0]) * span[found]).sum(axis=1)
        share = np.clip(along / np.where(squared[found] > 0, squared[found], 1.0), 0.0, 1.0)
        beside = start[found] + share * (rise / count)[found]
        cleared = (row_of[found] < stations.move[station]) & (beside >= stations.level_mm[station])
        is_open[station[cleared]] = False


def _running_max(rank: Rows, values: Floats) -> Floats:
    """(k,) largest value so far among those of the same rank; ranks rise, values are far smaller than the step."""
    step = 2 * float(np.abs(values).max(initial=1.0))
    return np.asarray(np.maximum.accumulate(values + rank * step) - rank * step)


def _pairs(
    moves: BoardMoves, stations: Stations, rows: Rows, lines: Areas, is_open: Bools, spared_ratio: float
) -> Iterator[tuple[Rows, Rows]]:
    """Open stations and lines that come near enough to clear their rounds alone, for each pair of radii and face."""
    clears = tip_radii_mm(moves)[rows]
    of_face = moves.is_top[stations.move]
    for is_top, radius in sorted({*zip(of_face.tolist(), stations.radius_mm.tolist(), strict=True)}):
        mine = np.flatnonzero(is_open & (of_face == is_top) & (stations.radius_mm == radius))
        for other in np.unique(clears).tolist():
            theirs = np.flatnonzero((clears == other) & (moves.is_top[rows] == is_top))
            if not len(mine) or not len(theirs):
                continue
            reach = other - radius + max(spared_ratio * 2 * radius, LEFTOVER_MM)
            if reach >= 0:
                places, of = np.unique(stations.point[mine] @ (1, 1j), return_inverse=True)
                asked, found = near_pairs(
                    points_area(np.column_stack((places.real, places.imag))), lines[theirs], reach
                )
                station, pair = _each_of(of, asked)
                yield mine[station], theirs[found[pair]]


def _each_of(of: Rows, asked: Rows) -> tuple[Rows, Rows]:
    """For every entry of ``asked`` all indices of ``of`` that have its number, and the entry's index beside each."""
    order = np.argsort(of, kind="stable")
    counts = np.bincount(of)
    first = np.cumsum(counts) - counts
    pair = np.repeat(np.arange(len(asked)), counts[asked])
    heads = np.cumsum(counts[asked]) - counts[asked]
    return order[first[asked][pair] + np.arange(len(pair)) - heads[pair]], pair


def _is_met(moves: BoardMoves, stations: Stations, index: int, spared_ratio: float) -> bool:
    """Exactly: the round, less the thin cut, over the board and less all that earlier moves took at the level."""
    row, point = int(stations.move[index]), stations.point[index]
    level = float(stations.level_mm[index])
    radius = float(stations.radius_mm[index]) * (1 - 2 * spared_ratio)
    width, height = moves.board.size_mm
    wood = intersection(
        buffered(points_area([point])[0], radius, chord_mm=FLATTEN_CHORD_MM), box((0.0, 0.0), (width, height))
    )
    reach = radius + moves.radius
    near = ((moves.low[:row] - reach[:row, None] <= point) & (moves.high[:row] + reach[:row, None] >= point)).all(
        axis=1
    )
    is_top = bool(moves.is_top[row])
    own = np.where(moves.is_top[:row] == is_top, level, moves.board.thickness_mm - level)
    there = near & (moves.depth[:row].max(axis=1) >= own) & (moves.radius[:row] > 0)
    earlier = _each_once(moves, np.flatnonzero(there), own)
    for other in earlier.tolist():
        start, end = (float(depth) for depth in moves.depth[other])
        low, high = _share(start, end, float(own[other]))
        line = line_through(part_of(moves.plan(other), low, high))
        above = start - float(own[other]) if start == end else 0.0
        cleared = radius_at(moves.bits[int(moves.bit[other])], above)
        wood = difference(wood, buffered(line, cleared, chord_mm=FLATTEN_CHORD_MM))
        if wood.is_empty:
            return False
    return any(not is_thinner_than_mm(part, 4 * LEFTOVER_MM) for part in parts(wood))


def _each_once(moves: BoardMoves, rows: Rows, own: Floats) -> Rows:
    """The rows, but one alone of those of a flat bit that sweep the same plan as deep as asked all along."""
    is_flat = np.array([bit.kind is BitKind.FLAT for bit in moves.bits], np.bool_)[moves.bit[rows]]
    is_whole = is_flat & (moves.depth[rows].min(axis=1) >= own[rows])
    same = np.where(is_whole, moves.shape[rows], -1 - rows)
    return rows[np.unique(same, return_index=True)[1]]


def _share(start: float, end: float, level: float) -> tuple[float, float]:
    """The shares of a move between which its tip is at the level or past it."""
    if start >= level and end >= level:
        return 0.0, 1.0
    crossing = (level - start) / (end - start)
    return (0.0, crossing) if start >= level else (crossing, 1.0)


def is_clear_below(moves: BoardMoves, rows: Rows, *, by_mm: float, below_mm: float) -> Bools:
    """(k,) all along each move earlier ones have cut so far below the tip, so far out beyond the bit at the least.

    A move that stays so far above the wood is clear; one that goes down along a slope is asked as if it were as deep
    all along as at its end.
    """
    deepest = moves.depth[rows].max(axis=1) + below_mm
    clear: Bools = deepest <= COINCIDENT_MM
    for at in np.flatnonzero(~clear).tolist():
        row, depth_mm = int(rows[at]), float(deepest[at])
        clear[at] = is_cleared(moves, row, way_of(moves, row, by_mm=by_mm), depth_mm=depth_mm, by_mm=by_mm)
    return clear


def way_of(moves: BoardMoves, row: int, *, by_mm: float = 0.0) -> Area:
    """What a move's whole bit passes over, and so much all round it."""
    return buffered(line_through(moves.plan(row)), float(moves.radius[row]) + by_mm, chord_mm=FLATTEN_CHORD_MM)


def is_cleared(moves: BoardMoves, row: int, area: Area, *, depth_mm: float, by_mm: float = 0.0) -> bool:
    """Earlier moves from the same face have cut all of an area to that depth, what is thinner than wood left apart.

    The area reaches no further from the move than its bit, and ``by_mm`` beyond that.
    """
    wood = intersection(area, box((0.0, 0.0), moves.board.size_mm))
    reach = float(moves.radius[row]) + by_mm + moves.radius[:row]
    near = (moves.low[:row] - reach[:, None] <= moves.high[row]) & (moves.high[:row] + reach[:, None] >= moves.low[row])
    earlier = np.flatnonzero(near.all(axis=1) & (moves.is_top[:row] == moves.is_top[row]))
    left = difference(wood, swept((runs_through(moves, earlier, depth_mm - COINCIDENT_MM),)))
    return all(is_thinner_than_mm(part, LEFTOVER_MM) for part in parts(left))


def settled_by_shape(moves: BoardMoves, rows: Rows, step_mm: Floats) -> Bools:
    """(k,) the same plan was cut before, at most a step less deep than now, or now is the first step from the face."""
    order = np.lexsort((np.arange(len(moves)), moves.shape))
    shape = moves.shape[order]
    shallow = np.maximum(moves.depth.min(axis=1)[order], 0.0)
    so_far = np.concatenate(([0.0], _running_max(shape, shallow)[:-1]))
    so_far[np.concatenate(([True], shape[1:] != shape[:-1]))] = 0.0
    before = np.zeros(len(moves))
    before[order] = so_far
    settled: Bools = moves.depth[rows].max(axis=1) - before[rows] <= step_mm[rows] + DEPTH_MM
    return settled


def cutting_rows(moves: BoardMoves) -> Rows:
    """Moves at feed with their tip below the face somewhere."""
    return np.flatnonzero((moves.kind != MoveKind.RAPID) & (moves.depth.max(axis=1) > DEPTH_MM) & (moves.radius > 0))
