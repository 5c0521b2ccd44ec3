"""What the bit takes away at a slice, worked out from the moves alone.

Glossary:
    sweep: everything that the round of the bit passes over: discs and the bands between them. Not an offset: nothing
        here knows the outline.
    run: moves that follow one another without lifting and without a change of bit, cut off where they leave the slice.

Built its own way: every run is swept by itself and the sweeps are joined, so nothing of how the paths were found
takes part. Identical moves count once. Bits that are not flat sweep their width at the slice.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows, gathered
from platelayer.geometry.regions import EMPTY, Area, Areas, all_buffered, lines_from, union_all
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM
from platelayer.values.bit_shape import radius_at
from platelayer.values.motion import Floats
from platelayer.values.tooling import BitKind


@dataclass(frozen=True, slots=True)
class Runs:
    """Runs at one slice: their centre lines, the radius swept about each, and the moves each is made of."""

    lines: Areas
    radius_mm: Floats
    moves: tuple[Rows, ...]

    def __len__(self) -> int:
        return len(self.lines)


def slice_depths(moves: BoardMoves, depth_mm: float) -> Floats:
    """(n,) depth of the slice as each move counts it, from the face that was up when it was cut."""
    return np.where(moves.is_top, depth_mm, moves.board.thickness_mm - depth_mm)


def at_slice(moves: BoardMoves, rows: Rows, depth_mm: float) -> Rows:
    """The rows, in order, whose tip is somewhere at the slice or past it; bits unknown to the manifest left out."""
    deepest = moves.depth[rows].max(axis=1)
    is_there: Bools = (deepest >= slice_depths(moves, depth_mm)[rows]) & (moves.radius[rows] > 0)
    return rows[is_there]


def near(
    moves: BoardMoves, box: tuple[float, float, float, float], margin_mm: float, *, among: Rows | None = None
) -> Rows:
    """Rows, of all or of those given, whose bit comes as near as the margin to a box (x, y low, x, y high)."""
    rows = np.arange(len(moves)) if among is None else among
    reach = moves.radius[rows] + margin_mm
    is_near: Bools = (
        (moves.low[rows, 0] - reach <= box[2])
        & (moves.high[rows, 0] + reach >= box[0])
        & (moves.low[rows, 1] - reach <= box[3])
        & (moves.high[rows, 1] + reach >= box[1])
    )
    return rows[is_near]


def runs_at(moves: BoardMoves, rows: Rows, depth_mm: float) -> Runs:
    """The runs of those rows at a slice, identical moves once, ramps cut off where they come up through it.

    Args:
        moves: all moves of the board.
        rows: those asked.
        depth_mm: of the slice, from the top of the board.
    """
    return _runs(moves, rows, slice_depths(moves, depth_mm), is_single=False)


def runs_through(moves: BoardMoves, rows: Rows, depth_mm: float, *, is_single: bool = False) -> Runs:
    """The same for moves at that depth or past it below the face they were cut from, whichever face that is.

    What is cut so from one face down to the other is cut through; shallow cuts from below are not. ``is_single``: every
    move is a run of its own.
    """
    return _runs(moves, rows, np.full(len(moves), depth_mm), is_single=is_single)


def _runs(moves: BoardMoves, rows: Rows, own: Floats, *, is_single: bool) -> Runs:
    deepest = moves.depth[rows].max(axis=1)
    is_there: Bools = (deepest >= own[rows]) & (moves.radius[rows] > 0)
    rows = rows[is_there]
    if not len(rows):
        return Runs(np.zeros(0, np.object_), np.zeros(0), ())
    rows = _once(moves, rows, own)
    radius = radii_at(moves, rows, own)
    keep = radius > 0
    rows, radius = rows[keep], radius[keep]
    begin, end = _shares(moves, rows, own)
    return _chained(moves, rows, radius, begin, end, is_single=is_single)


def _once(moves: BoardMoves, rows: Rows, own: Floats) -> Rows:
    """One row for each shape, the deepest; a sloping move goes too when its plan is cut deeper all along."""
    shallow, deep = moves.depth[rows].min(axis=1), moves.depth[rows].max(axis=1)
    is_whole = shallow >= own[rows]
    order = np.lexsort((rows, -shallow, ~is_whole, moves.shape[rows]))
    shape = moves.shape[rows][order]
    is_first = np.concatenate(([True], shape[1:] != shape[:-1]))
    whole_shape = set(shape[is_first][is_whole[order][is_first]].tolist())
    is_lone = np.array([number not in whole_shape for number in shape.tolist()], np.bool_)
    is_flat = np.array([bit.kind is BitKind.FLAT for bit in moves.bits], np.bool_)[moves.bit[rows][order]]
    spare = ~is_flat & (deep[order] > shallow[order])
    return np.sort(rows[order[is_first | is_lone | spare]])


def radii_at(moves: BoardMoves, rows: Rows, own: Floats) -> Floats:
    """(k,) radius that each row's bit sweeps at the slice, (n,) depths of it as each move counts it."""
    return rounds_mm(moves, rows, moves.depth[rows].max(axis=1) - own[rows])


def rounds_mm(moves: BoardMoves, rows: Rows, above_tip_mm: Floats) -> Floats:
    """(k,) radius of each row's bit so far above its tip, (k,)."""
    radius = moves.radius[rows].copy()
    for index, bit in enumerate(moves.bits):
        if bit.kind is not BitKind.FLAT:
            for at in np.flatnonzero(moves.bit[rows] == index):
                radius[at] = radius_at(bit, float(above_tip_mm[at]))
    return radius


def _shares(moves: BoardMoves, rows: Rows, own: Floats) -> tuple[Floats, Floats]:
    """Where on each move, as shares of it, the tip is at the slice: from and to."""
    start, end = moves.depth[rows, 0], moves.depth[rows, 1]
    level = own[rows]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = np.clip((level - start) / (end - start), 0.0, 1.0)
    return np.where(start >= level, 0.0, crossing), np.where(end >= level, 1.0, crossing)


def _chained(moves: BoardMoves, rows: Rows, radius: Floats, begin: Floats, end: Floats, *, is_single: bool) -> Runs:
    """Rows joined into runs wherever one takes up where the one before it left off, whole on both sides."""
    if not len(rows):
        return Runs(np.zeros(0, np.object_), np.zeros(0), ())
    firsts = moves.points[moves.first[rows]]
    lasts = moves.points[moves.first[rows + 1] - 1]
    meets = np.hypot(*(firsts[1:] - lasts[:-1]).T) <= COINCIDENT_MM
    same = (radius[1:] == radius[:-1]) & (end[:-1] == 1.0) & (begin[1:] == 0.0)
    number = np.concatenate(([0], np.cumsum(~(meets & same) | is_single)))
    is_whole = (begin == 0.0) & (end == 1.0)
    at, owner, _ = gathered(moves, rows)
    coords = moves.points[at]
    if not is_whole.all():
        coords, owner = _cut_off(coords, owner, begin, end, is_whole)
    lines = lines_from(coords, number[owner])
    heads = np.flatnonzero(np.concatenate(([True], number[1:] != number[:-1])))
    bounds = [*heads.tolist(), len(rows)]
    return Runs(lines, radius[heads], tuple(rows[low:high] for low, high in itertools.pairwise(bounds)))


def _cut_off(coords: Floats, owner: Rows, begin: Floats, end: Floats, is_whole: Bools) -> tuple[Floats, Rows]:
    """Points of every row, sloping ones cut off at their shares of the length; straight ones all at once."""
    heads = np.flatnonzero(np.diff(owner, prepend=-1))
    counts = np.diff(heads, append=len(owner))
    straight = np.flatnonzero(~is_whole & (counts == 2))
    first, last = coords[heads[straight]], coords[heads[straight] + 1]
    low, high = begin[straight, None], end[straight, None]
    coords[heads[straight]] = first + low * (last - first)
    coords[heads[straight] + 1] = np.where(high < 1, first + high * (last - first), last)
    bent = np.flatnonzero(~is_whole & (counts > 2)).tolist()
    if not bent:
        return coords, owner
    pieces = np.split(coords, heads[1:])
    for at in bent:
        pieces[at] = part_of(pieces[at], float(begin[at]), float(end[at]))
    return np.concatenate(pieces), np.repeat(np.arange(len(pieces)), [len(piece) for piece in pieces])


def part_of(points: Floats, begin_ratio: float, end_ratio: float) -> Floats:
    """The part of a polyline between two shares of its length, at least two points."""
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    low, high = begin_ratio * along[-1], end_ratio * along[-1]
    inner = points[(along > low) & (along < high)]
    ends = [[np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])] for at in (low, high)]
    return np.vstack((ends[:1], inner, ends[1:]))


ROUND_MM: Final = FLATTEN_CHORD_MM / 4
"""Half the height of a disc's chords: small beside the arcs' own, since a joint's play magnifies it."""


def swept(parts: Sequence[Runs]) -> Area:
    """The whole area that the runs sweep: discs and bands along their centre lines."""
    areas = sweeps(parts)
    return union_all(areas) if areas else EMPTY


def sweeps(parts: Sequence[Runs]) -> list[Area]:
    """What each run sweeps: a buffer of all lines at once takes three times as long.

    Discs are polygons whose edges stray from the true round by ROUND_MM to either side; bands are that much too wide.
    """
    areas: list[Area] = []
    for runs in parts:
        for radius in np.unique(runs.radius_mm).tolist():
            lines = runs.lines[runs.radius_mm == radius]
            areas += all_buffered(lines, radius + ROUND_MM, chord_mm=2 * ROUND_MM).tolist()
    return areas
