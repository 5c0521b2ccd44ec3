"""What every move takes from the wood, in the order of the file: volume, depth, width; from the moves alone.

Glossary:
    bite: wood taken by one move. visit: one cell under one part of one move, with the height the bit would leave there.

All visits are sorted by cell and then by time; along each cell the wood can only fall, so what a visit takes is the
drop of the running minimum. Sums over the visits of a move give its bite: width is the area it lowers over its length,
depth the volume over width and length. A move shorter than the bit is wide is taken with its neighbours over that
length. The grid is turned by an odd angle, so that cells straddle a wall along an axis by all shares: a finish pass
narrower than a cell has its true width on the mean.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.forces.capsules import capsules_in_order
from platelayer.forces.field import runs_of
from platelayer.gcode.motion import move_lengths_mm
from platelayer.manifest.schema import ManifestFile
from platelayer.tolerances import COINCIDENT_MM, PROGRAM_STEP_MM
from platelayer.values.motion import Floats, Motion, MoveKind

CELLS_A_BIT: Final = 8
TURNED_RAD: Final = math.atan((math.sqrt(5) - 1) / 2)
"""The grid's turn: the golden section is the slope that lattices straddle most evenly."""
PARTS_IN_CELLS: Final = 4
"""Ramps and arcs are cut into parts some four times as long as a field would; else every part visits a whole disc."""
VISITS_MOST: Final = 12_000_000
"""More visits than about this are not held, 40 bytes each with their sorting; cells are made coarser until they fit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bites:
    """One row a move: volume (n,) mm3, mean depth (n,) mm, mean width (n,) mm, length of path (n,) mm."""

    volume: Floats
    depth: Floats
    width: Floats
    length: Floats


def bites_of(cut: Sequence[tuple[Motion, ManifestFile]], *, size_mm: tuple[float, float]) -> tuple[Bites, ...]:
    """The bite of every move of these files, one after another on the same fresh wood, one value a file.

    Args:
        cut: moves in board coordinates, z 0 at the up face, and their files, in order of use.
        size_mm: the board's width and height.
    """
    if not cut:
        return ()
    bits = [bit.diameter_mm for _, file in cut for bit in file.bits]
    cell = min(bits, default=1.0) / CELLS_A_BIT
    lengths = [move_lengths_mm(motion) for motion, _ in cut]
    guess = 0.0
    for (motion, _), length in zip(cut, lengths, strict=True):
        wet = np.minimum(motion.start[:, 2], motion.end[:, 2]) < 0
        guess += float((length[wet] + max(bits, default=1.0)).sum()) * max(bits, default=1.0)
    cell = max(cell, math.sqrt(guess / VISITS_MOST))
    wide, high = size_mm
    cos, sin = math.cos(TURNED_RAD), math.sin(TURNED_RAD)
    shape = (math.ceil((wide * sin + high * cos) / cell) + 1, math.ceil((wide * cos + high * sin) / cell) + 1)
    wood = _wood(shape, size_mm, cell_mm=cell)
    parts: list[Visits] = []
    first = 0
    for motion, file in cut:
        for where, when, z in _visits(_turned(motion, high), file, wood, shape, cell_mm=cell):
            parts.append((where, when + np.int32(first), z))
        first += len(motion)
    volume, area, depth = np.zeros(first), np.zeros(first), np.zeros(first)
    if parts:
        where, when, z = (np.concatenate(columns) for columns in zip(*parts, strict=True))
        fall = _falls(where, when, z)
        volume = np.bincount(when, weights=fall, minlength=first).astype(np.float64) * cell**2
        area = np.bincount(when, weights=fall > COINCIDENT_MM, minlength=first).astype(np.float64) * cell**2
        np.maximum.at(depth, when, fall)
    out, first = [], 0
    for (motion, file), length in zip(cut, lengths, strict=True):
        mine = slice(first, first + len(motion))
        first += len(motion)
        out.append(_bites(motion, file, volume[mine], area[mine], depth[mine], length))
    return tuple(out)


def _bites(motion: Motion, file: ManifestFile, volume: Floats, area: Floats, deepest: Floats, length: Floats) -> Bites:
    diameter = np.array([bit.diameter_mm for bit in file.bits])[np.clip(motion.bit, 0, len(file.bits) - 1)]
    is_arc = (motion.kind == MoveKind.ARC_CW) | (motion.kind == MoveKind.ARC_CCW)
    goes_along = np.hypot(*(motion.end - motion.start)[:, :2].T) > PROGRAM_STEP_MM
    is_level = (motion.kind != MoveKind.RAPID) & (is_arc | goes_along)
    step = np.where(is_level, length, 2 * diameter)
    ends = np.cumsum(step)
    middle = ends - step / 2
    half = np.maximum(length, diameter) / 2
    taken, lowered = (
        np.interp(middle + half, places, sums) - np.interp(middle - half, places, sums)
        for places, sums in (
            (np.concatenate([[0.0], ends]), np.concatenate([[0.0], np.cumsum(np.where(is_level, each, 0.0))]))
            for each in (volume, area)
        )
    )
    taken, lowered = np.where(is_level, taken, volume), np.where(is_level, lowered, area)
    with np.errstate(divide="ignore", invalid="ignore"):
        width = np.minimum(np.where(is_level, lowered / (2 * half), diameter), diameter)
        depth = np.where(taken > COINCIDENT_MM, taken / (np.maximum(width, COINCIDENT_MM) * 2 * half), 0.0)
    return Bites(volume=volume, depth=np.minimum(depth, deepest), width=width, length=length)


def _turned(motion: Motion, height_mm: float) -> Motion:
    """The moves in the grid's frame: turned, and shifted so that the board lies at positive x and y."""
    cos, sin = math.cos(TURNED_RAD), math.sin(TURNED_RAD)

    def turned(points: Floats) -> Floats:
        x, y = points[:, 0], points[:, 1]
        return np.column_stack([x * cos - y * sin + height_mm * sin, x * sin + y * cos, *points[:, 2:].T])

    return replace(motion, start=turned(motion.start), end=turned(motion.end), centre=turned(motion.centre))


def _wood(shape: tuple[int, int], size_mm: tuple[float, float], *, cell_mm: float) -> npt.NDArray[np.int64]:
    """(rows, 2) numbers of the first cell of each row of the turned grid with its middle on the board, and the next.

    On the board is 0 <= x c + y s <= wide and 0 <= y c - x s <= high, for the middle of a cell at (x, y).
    """
    wide, high = size_mm
    cos, sin = math.cos(TURNED_RAD), math.sin(TURNED_RAD)
    y = (np.arange(shape[0]) + 0.5) * cell_mm
    first = np.maximum(-y * sin / cos, (y * cos - high) / sin)
    last = np.minimum((wide - y * sin) / cos, y * cos / sin)
    columns = np.column_stack((np.ceil(_columns(first, high, cell_mm)), np.floor(_columns(last, high, cell_mm)) + 1))
    columns = np.clip(columns, 0, shape[1]).astype(np.int64)
    cells: npt.NDArray[np.int64] = np.arange(shape[0])[:, None] * shape[1] + np.maximum(columns, columns[:, :1])
    return cells


def _columns(x_mm: Floats, height_mm: float, cell_mm: float) -> Floats:
    """Numbers, not whole, of the cells whose middles lie at those places along a row."""
    return (x_mm + height_mm * math.sin(TURNED_RAD)) / cell_mm - 0.5


Visits = tuple[npt.NDArray[np.int32], npt.NDArray[np.int32], npt.NDArray[np.float32]]


def _visits(
    motion: Motion, file: ManifestFile, wood: npt.NDArray[np.int64], shape: tuple[int, ...], *, cell_mm: float
) -> Iterator[Visits]:
    for number, bit in enumerate(file.bits):
        mine = motion.bit == number if number else motion.bit <= 0
        for capsules, owner in capsules_in_order(motion, bit, mine, cell_mm=PARTS_IN_CELLS * cell_mm):
            for radius, rise in capsules.rings:
                first, after, z, which = runs_of(capsules.ends, capsules.tip + rise, radius, shape, cell_mm)
                row = first // shape[1]
                first, after = np.maximum(first, wood[row, 0]), np.minimum(after, wood[row, 1])
                cells = np.maximum(after - first, 0)
                base = np.repeat(first - np.cumsum(cells) + cells, cells)
                where = (base + np.arange(len(base))).astype(np.int32)
                yield where, np.repeat(owner[which], cells).astype(np.int32), np.repeat(z, cells)


def _falls(where: npt.NDArray[np.int32], when: npt.NDArray[np.int32], z: npt.NDArray[np.float32]) -> Floats:
    """How far each visit lowers its cell, in the order given."""
    if not len(where):
        return np.zeros(0)
    order = np.argsort(where.astype(np.int64) * (int(when.max()) + 1) + when, kind="stable")
    cell, low = where[order], z[order].astype(np.float64)
    change = np.zeros(len(cell), dtype=np.bool_)
    change[1:] = cell[1:] != cell[:-1]
    span = 1.0 - float(low.min())
    shift = np.cumsum(change) * span
    lowest = np.minimum.accumulate(np.minimum(low, 0.0) - shift) + shift
    before = np.zeros(len(cell))
    before[1:] = np.where(change[1:], 0.0, lowest[:-1])
    fall = np.empty(len(cell))
    fall[order] = np.maximum(before - lowest, 0.0)
    return fall
