"""What every move takes from the wood, in the order of the file: volume, depth, width; from the moves alone.

Glossary:
    bite: wood taken by one move. visit: one cell under one part of one move, with the height the bit would leave there.

All visits are sorted by cell and then by time; along each cell the wood can only fall, so what a visit takes is the
drop of the running minimum. Sums over the visits of a move give its bite. Cells are coarse (a quarter of the bit), so a
bite is good to some tenths of its width; forces are known worse than that.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.forces.capsules import capsules_in_order
from platelayer.forces.field import runs_of
from platelayer.gcode.motion import move_lengths_mm
from platelayer.manifest.schema import ManifestFile
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.motion import Floats, Motion

CELLS_A_BIT: Final = 4
PARTS_IN_CELLS: Final = 4
"""Ramps and arcs are cut into parts some four times as long as a field would; else every part visits a whole disc."""
VISITS_MOST: Final = 12_000_000
"""More visits than about this are not held, 40 bytes each with their sorting; cells are made coarser until they fit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bites:
    """One row a move: volume (n,) mm3, greatest depth taken (n,) mm, mean width (n,) mm, length of path (n,) mm."""

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
    bits = [bit.diameter_mm for _, file in cut for bit in file.bits]
    cell = min(bits, default=1.0) / CELLS_A_BIT
    lengths = [move_lengths_mm(motion) for motion, _ in cut]
    guess = 0.0
    for (motion, _), length in zip(cut, lengths, strict=True):
        wet = np.minimum(motion.start[:, 2], motion.end[:, 2]) < 0
        guess += float((length[wet] + max(bits, default=1.0)).sum()) * max(bits, default=1.0)
    cell = max(cell, math.sqrt(guess / VISITS_MOST))
    shape = tuple(max(math.ceil(side / cell), 1) for side in reversed(size_mm))
    parts: list[Visits] = []
    first = 0
    for motion, file in cut:
        parts += [(where, when + first, z) for where, when, z in _visits(motion, file, shape, cell_mm=cell)]
        first += len(motion)
    volume, depth = np.zeros(first), np.zeros(first)
    if parts:
        where, when, z = (np.concatenate(columns) for columns in zip(*parts, strict=True))
        fall = _falls(where, when, z)
        volume = np.bincount(when, weights=fall, minlength=first).astype(np.float64) * cell**2
        np.maximum.at(depth, when, fall)
    out, first = [], 0
    for (motion, file), length in zip(cut, lengths, strict=True):
        mine = slice(first, first + len(motion))
        first += len(motion)
        out.append(_bites(motion, file, volume[mine], depth[mine], length, cell_mm=cell))
    return tuple(out)


def _bites(
    motion: Motion, file: ManifestFile, volume: Floats, depth: Floats, length: Floats, *, cell_mm: float
) -> Bites:
    with np.errstate(divide="ignore", invalid="ignore"):
        width = np.where(depth > COINCIDENT_MM, volume / (np.maximum(length, cell_mm) * depth), 0.0)
    diameter = np.array([bit.diameter_mm for bit in file.bits])[np.clip(motion.bit, 0, len(file.bits) - 1)]
    return Bites(volume=volume, depth=depth, width=np.minimum(width, diameter), length=length)


Visits = tuple[npt.NDArray[np.int32], npt.NDArray[np.int32], npt.NDArray[np.float32]]


def _visits(motion: Motion, file: ManifestFile, shape: tuple[int, ...], *, cell_mm: float) -> Iterator[Visits]:
    for number, bit in enumerate(file.bits):
        mine = motion.bit == number if number else motion.bit <= 0
        for capsules, owner in capsules_in_order(motion, bit, mine, cell_mm=PARTS_IN_CELLS * cell_mm):
            for radius, rise in capsules.rings:
                first, after, z, which = runs_of(capsules.ends, capsules.tip + rise, radius, shape, cell_mm)
                cells = (after - first).astype(np.int64)
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
