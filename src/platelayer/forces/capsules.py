"""Moves of one bit as capsules: short straight bands with round ends, each at one height of the tip.

Glossary:
    capsule: what a disc sweeps along a short straight line. Not a band of the plan: that is a drawn stroke.
    ring: one of the discs that a bit is built of, with its height above the tip. A flat bit has a single ring.

Why rings: the surface that a turned bit sweeps is, at every point of the plan, the lowest of (tip + rise at that
distance) over all places of the bit; rise grows with distance, so it is the lowest ring whose disc reaches the point.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from platelayer.manifest.schema import ManifestBit
from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.values.bit_shape import rise_mm, tip_radius_mm
from platelayer.values.motion import Floats, Motion, MoveKind
from platelayer.values.tooling import BitKind

ARC_SHARE = 16
"""An arc is cut into chords no farther from it than this share of a cell."""
SLOPE_SHARE = 8
"""A ramp is cut into levels no higher than this share of a cell, or into lengths of one cell if that is fewer."""
RINGS_MOST = 64
MOVES_AT_ONCE = 40_000
"""Moves turned into capsules before those are laid down, so that memory does not grow with the program."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Capsules:
    """Capsules of one bit: ends (n, 4) as x0 y0 x1 y1 in mm, tip (n,) in mm; rings (k, 2) as radius and rise in mm."""

    ends: Floats
    tip: Floats
    rings: Floats


def rings_of(bit: ManifestBit, *, cell_mm: float) -> Floats:
    """Rings (k, 2) of a bit: a ring's radius is its outer edge, its rise that of its middle; a cell apart at most."""
    radius = bit.diameter_mm / 2
    if bit.kind is BitKind.FLAT:
        return np.array([[radius, 0.0]])
    inner = tip_radius_mm(bit)
    count = min(max(math.ceil((radius - inner) / cell_mm), 4), RINGS_MOST)
    edges = inner + (radius - inner) * np.arange(count + 1) / count
    rise = rise_mm(bit, (edges[1:] + edges[:-1]) / 2)
    rings = np.column_stack([edges[1:], rise])
    return np.vstack([[inner, 0.0], rings]) if inner > 0 else rings


def capsules_in_order(
    motion: Motion, bit: ManifestBit, rows: npt.NDArray[np.bool_], *, cell_mm: float
) -> Iterator[tuple[Capsules, npt.NDArray[np.intp]]]:
    """The capsules of those moves that go below z 0, in lots, each with the row of the move that every one is part of.

    Args:
        motion: moves in board coordinates, z 0 at the up face.
        bit: the bit of these moves.
        rows: (n,) bool, which moves.
        cell_mm: cell of the grid to come; sets the length of chords and levels.
    """
    low = np.minimum(motion.start[:, 2], motion.end[:, 2])
    index = np.flatnonzero(rows & (low < 0))
    rings = rings_of(bit, cell_mm=cell_mm)
    for first in range(0, len(index), MOVES_AT_ONCE):
        part = index[first : first + MOVES_AT_ONCE]
        ends, tip, row = _lot(motion, part, cell_mm=cell_mm)
        wet = tip < 0
        yield Capsules(ends=ends[wet], tip=tip[wet], rings=rings), part[row[wet]]


def _lot(motion: Motion, index: npt.NDArray[np.intp], *, cell_mm: float) -> tuple[Floats, Floats, npt.NDArray[np.intp]]:
    start, end, kind = motion.start[index], motion.end[index], motion.kind[index]
    is_arc = (kind == MoveKind.ARC_CW) | (kind == MoveKind.ARC_CCW)
    straight = _straight(start[~is_arc], end[~is_arc], cell_mm=cell_mm)
    is_ccw = kind[is_arc] == MoveKind.ARC_CCW
    bent = _bent(start[is_arc], end[is_arc], motion.centre[index][is_arc], is_ccw, cell_mm=cell_mm)
    rows = np.concatenate([np.flatnonzero(~is_arc)[straight[2]], np.flatnonzero(is_arc)[bent[2]]])
    return np.vstack([straight[0], bent[0]]), np.concatenate([straight[1], bent[1]]), rows


def _counts(length: Floats, drop: Floats, *, cell_mm: float) -> npt.NDArray[np.int64]:
    """How many levels a sloped move is cut into."""
    fine = np.ceil(np.abs(drop) * SLOPE_SHARE / cell_mm)
    return np.maximum(np.minimum(np.ceil(length / cell_mm), fine), 1).astype(np.int64)


def _parts(count: npt.NDArray[np.int64]) -> tuple[npt.NDArray[np.intp], Floats, Floats]:
    """For every part of every move: its row, and where it starts and ends as shares of the move."""
    row = np.repeat(np.arange(len(count)), count)
    number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    return row, number / count[row], (number + 1) / count[row]


def _straight(start: Floats, end: Floats, *, cell_mm: float) -> tuple[Floats, Floats, npt.NDArray[np.intp]]:
    change = end - start
    length = np.hypot(change[:, 0], change[:, 1])
    row, first, last = _parts(_counts(length, change[:, 2], cell_mm=cell_mm))
    base, along = start[row], change[row]
    ends = np.hstack([base[:, :2] + along[:, :2] * first[:, None], base[:, :2] + along[:, :2] * last[:, None]])
    tip = base[:, 2] + along[:, 2] * (first + last) / 2
    is_plunge = length[row] < PROGRAM_STEP_MM
    return ends, np.where(is_plunge, np.minimum(start[row, 2], end[row, 2]), tip), row


def _bent(
    start: Floats, end: Floats, centre: Floats, is_ccw: npt.NDArray[np.bool_], *, cell_mm: float
) -> tuple[Floats, Floats, npt.NDArray[np.intp]]:
    radius = np.hypot(*(start[:, :2] - centre).T)
    first_angle = np.arctan2(*(start[:, :2] - centre).T[::-1])
    last_angle = np.arctan2(*(end[:, :2] - centre).T[::-1])
    sweep = np.where(is_ccw, last_angle - first_angle, first_angle - last_angle) % math.tau
    is_full = np.hypot(*(start[:, :2] - end[:, :2]).T) < PROGRAM_STEP_MM
    sweep = np.where(is_full, math.tau, sweep)
    chord = cell_mm / ARC_SHARE
    step = 2 * np.arccos(np.clip(1 - chord / np.maximum(radius, chord), -1.0, 1.0))
    levels = _counts(radius * sweep, end[:, 2] - start[:, 2], cell_mm=cell_mm)
    row, first, last = _parts(np.maximum(np.ceil(sweep / np.maximum(step, PROGRAM_STEP_MM)), levels).astype(np.int64))
    turn = np.where(is_ccw, sweep, -sweep)[row]
    parts = []
    for share in (first, last):
        angle = first_angle[row] + turn * share
        reach = radius[row]
        parts.append(centre[row] + reach[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))
    tip = start[row, 2] + (end[row, 2] - start[row, 2]) * (first + last) / 2
    return np.hstack(parts), tip, row
