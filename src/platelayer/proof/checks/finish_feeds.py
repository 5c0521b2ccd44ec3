"""Feeds of finish passes that were derived: are they sound by their own numbers, and do the files keep to them?

A move may go faster than its bit's feed only as a finish feed of the manifest allows, and only where its chips are no
thicker and its cut no deeper than is said there; where finish feeds are slower than the bit's own, a cut as deep as
theirs goes no faster.

Glossary:
    asked: as in ``feeds_and_speeds``. light: a move that some finish feed allows.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.manifest.schema import ManifestBit, ManifestFile, ManifestMachine
from platelayer.proof.checks.rows import by_file, where_of
from platelayer.proof.engagement import cutting_rows, meets_wood, settled_by_shape, stations_on
from platelayer.proof.thin_cuts import is_clear_above, is_clear_ahead
from platelayer.tolerances import BEND_MM, DEPTH_MM
from platelayer.units import show_small
from platelayer.values.bit_bend import bend_mm_n, chip_thickness, overhang_mm, push_n
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.thin_cuts import FinishFeed

MORE_RATIO: Final = 1.03
"""A feed may be this many times what was asked: the last digit of slow feeds, and no more."""

_BISECTIONS: Final = 40


def light_moves(moves: BoardMoves, rows: Rows) -> Bools:
    """(k,) which moves some finish feed of their bit allows, by the wood that they meet."""
    light: Bools = np.zeros(len(rows), np.bool_)
    for number, bit in enumerate(moves.bits):
        for one in bit.finish_feeds:
            load = _chip_load(bit, 1.0) if bit.spindle_rpm and bit.flutes else 0.0
            is_level = moves.depth[rows, 0] == moves.depth[rows, 1]
            may = ~light & is_level & (moves.bit[rows] == number) & (moves.feed[rows] <= MORE_RATIO * one.feed_mm_min)
            some = np.flatnonzero(may)
            if load and len(some):
                some = some[is_clear_above(moves, rows[some], np.full(len(some), one.depth_mm))]
                share = MORE_RATIO * one.chip_mm / (load * moves.feed[rows[some]])
                light[some] = is_clear_ahead(moves, rows[some], share)
    return light


def _chip_load(bit: ManifestBit, feed_mm_min: float) -> float:
    return feed_mm_min / (bit.spindle_rpm * bit.flutes)


def check_finish_feeds(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """Every finish feed is sound by its own numbers, and no cut as deep as theirs goes faster than its bit bears."""
    found = [finding for file in moves.files for bit in file.bits for finding in _unsound(file, bit, machine)]
    return (*found, *_too_deep(moves))


def _unsound(file: ManifestFile, bit: ManifestBit, machine: ManifestMachine) -> Iterator[Finding]:
    """What is wrong with a finish feed: chip, bend or feed more than bit, roughing and machine bear."""
    limits = [limit for limit in machine.feed_max_mm_min[:2] if limit]
    for one in bit.finish_feeds:
        what = f"{one.operation} {show_small(one.depth_mm)} deep at {one.feed_mm_min:.0f} mm/min"
        if not bit.spindle_rpm or not bit.flutes:
            yield _finding(file, f"{bit.id}: {what}, but nobody says how fast it turns or how many flutes it has.")
            continue
        is_derived = one.feed_mm_min != bit.feed_mm_min
        chip, most = _chip_mm(bit, one), min(one.chip_mm, _chip_load(bit, bit.feed_mm_min))
        if is_derived and chip > MORE_RATIO * most:
            yield _finding(
                file, f"{bit.id}: {what} takes chips of {show_small(chip)}; {show_small(most)} is the most.", chip, most
            )
        bend = _bend_mm(bit, one.feed_mm_min, one.width_mm, one.depth_mm)
        if is_derived and bend > MORE_RATIO * BEND_MM:
            text = f"{bit.id}: {what} bends the bit by {show_small(bend)}; {show_small(BEND_MM)} is the most."
            yield _finding(file, text, bend, BEND_MM)
        if limits and one.feed_mm_min > MORE_RATIO * min(limits):
            text = f"{bit.id}: {what}; the machine goes {min(limits):.0f} at most."
            yield _finding(file, text, one.feed_mm_min, min(limits), unit="mm/min")


def _chip_mm(bit: ManifestBit, one: FinishFeed) -> float:
    load, width, diameter = (
        np.array(number) for number in (_chip_load(bit, one.feed_mm_min), one.width_mm, bit.diameter_mm)
    )
    return float(chip_thickness(load, width, diameter))


def _bend_mm(bit: ManifestBit, feed_mm_min: float, width_mm: float, depth_mm: float) -> float:
    load, width, depth = (np.array(number) for number in (_chip_load(bit, feed_mm_min), width_mm, depth_mm))
    return float(push_n(chip_thickness(load, width, np.array(bit.diameter_mm)), depth) * bend_mm_n(bit, depth))


def _deepest_mm(bit: ManifestBit, feed_mm_min: float) -> float:
    """How deep a finish pass may be cut at once at this feed: as some finish feed says, or till it bends BEND_MM."""
    said = [one.depth_mm for one in bit.finish_feeds if feed_mm_min <= MORE_RATIO * one.feed_mm_min]
    width = max(one.width_mm for one in bit.finish_feeds)
    low, high = 0.0, overhang_mm(bit)
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        low, high = (middle, high) if _bend_mm(bit, feed_mm_min, width, middle) <= BEND_MM else (low, middle)
    return max([low, bit.stepdown_mm, *said])


def _too_deep(moves: BoardMoves) -> Iterator[Finding]:
    """The first of each file that takes more depth at its feed than a finish pass may, thin as it is."""
    deepest = np.full(len(moves), np.inf)
    for number, bit in enumerate(moves.bits):
        if bit.finish_feeds and bit.spindle_rpm and bit.flutes:
            slowest = MORE_RATIO * min(one.feed_mm_min for one in bit.finish_feeds)
            mine = (moves.bit == number) & (moves.feed > slowest)
            for feed in np.unique(moves.feed[mine]).tolist():
                deepest[mine & (moves.feed == feed)] = _deepest_mm(bit, feed)
    rows = cutting_rows(moves)
    is_level = moves.depth[rows, 0] == moves.depth[rows, 1]
    rows = rows[is_level & (moves.depth[rows].max(axis=1) > deepest[rows] + DEPTH_MM)]
    rows = rows[~settled_by_shape(moves, rows, deepest)]
    stations = stations_on(moves, rows, deepest + DEPTH_MM)
    met = stations.move[meets_wood(moves, stations, spared_ratio=0.0)]
    for some in by_file(moves, met):
        row = int(some[0])
        bit, feed = moves.bits[int(moves.bit[row])], float(moves.feed[row])
        text = (
            f"bit {bit.id} takes more than {show_small(float(deepest[row]))} at once at {feed:.0f} mm/min, and bends "
            "more than a finish pass may; it has to go slower there, or in more levels."
        )
        yield _finding(where_of(moves, row), text, float(moves.depth[row].max()), float(deepest[row]))


def _finding(
    where: ManifestFile | Where, text: str, measured: float | None = None, limit: float | None = None, unit: str = "mm"
) -> Finding:
    return Finding(
        code=Code.CUTTING_FEED,
        text=text,
        advice="Make the job again; the file or its manifest was changed.",
        where=where if isinstance(where, Where) else Where(file=where.name, board=where.board),
        measured=measured,
        limit=limit,
        unit=unit,
    )
