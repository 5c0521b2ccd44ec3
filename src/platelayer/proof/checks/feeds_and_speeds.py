"""Does a file run its bits as the job asked: no faster, not far slower, at their speed, the right way round?

Glossary:
    asked: feed, plunge and speed of a bit in the manifest; zero is unknown and is not asked.
    sinking: the part of a feed that goes straight down; a ramp's is less than its feed.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows, plan_lengths_mm
from platelayer.manifest.schema import ManifestMachine
from platelayer.proof.checks.finish_feeds import MORE_RATIO, light_moves
from platelayer.proof.checks.rows import where_of
from platelayer.proof.engagement import cutting_rows, is_clear_below, meets_wood, stations_on
from platelayer.tolerances import DEPTH_MM, OPEN_MM, RAPID_CLEARANCE_MM
from platelayer.values.findings import Code, Finding
from platelayer.values.motion import EventKind, Floats, Motion, MoveKind

_LESS: Final = 0.5
"""A feed under this share of what was asked, the machine's axes and the way down allowed for, rubs more than it cuts;
common practice, no source."""

_SPEED_RATIO: Final = 0.05
"""A speed may differ by this share from the one asked; common practice, no source."""

_ASKED_AT_ONCE: Final = 40
"""Fewer than engagement names at most, so that none of them goes unasked."""

_AGAIN: Final = "Make the job again; the file was changed."


def check_pace(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """No bit goes through wood faster than its feed or far slower, nor sinks faster than its plunge; the worst of each.

    Across a slot where nothing but air is left, any feed will do; so it will down to RAPID_CLEARANCE_MM above what
    earlier moves have cut, the whole bit clear of wood by OPEN_MM all round. Finish passes go by their own feeds.
    """
    rows = cutting_rows(moves)
    down = moves.depth[:, 1] - moves.depth[:, 0]
    plan = plan_lengths_mm(moves)
    whole = np.hypot(plan, down)
    steep, level = np.abs(down) / np.where(whole > 0, whole, 1.0), plan / np.where(whole > 0, whole, 1.0)
    sinking = np.where(down > DEPTH_MM, moves.feed * steep, 0.0)
    feed, plunge = _of_bits(moves, "feed_mm_min"), _of_bits(moves, "plunge_mm_min")
    least = _LESS * np.minimum(feed, _at_most(plunge, np.where(down > 0, steep, 0.0)))
    least = np.minimum(least, _LESS * _at_most(machine.feed_max_mm_min[2], steep))
    least = np.minimum(least, _LESS * _at_most(min(machine.feed_max_mm_min[:2]), level))
    found = []
    for pace, asked, what, is_slow in (
        (moves.feed, feed, "goes through wood", False),
        (moves.feed, least, "creeps through wood", True),
    ):
        odd = pace[rows] < asked[rows] if is_slow else pace[rows] > MORE_RATIO * asked[rows]
        off = rows[(asked[rows] > 0) & (pace[rows] > 0) & odd]
        off = off if is_slow else off[~light_moves(moves, off)]
        for number in np.unique(moves.file[off]).tolist():
            some = off[moves.file[off] == number]
            excess = pace[some] / asked[some]
            some = some[np.argsort(excess if is_slow else -excess, kind="stable")]
            worst = _first_in_wood(moves, some)
            if worst >= 0:
                found.append(_off_pace(moves, worst, float(pace[worst]), float(asked[worst]), what, is_slow=is_slow))
    return (*found, *_sinks(moves, sinking, plunge))


def _sinks(moves: BoardMoves, sinking: Floats, plunge: Floats) -> Iterator[Finding]:
    """The fastest of each file that sinks faster than its plunge where that is not known to be clear."""
    fast = np.flatnonzero((moves.kind != MoveKind.RAPID) & (plunge > 0) & (sinking > MORE_RATIO * plunge))
    for number in np.unique(moves.file[fast]).tolist():
        some = fast[moves.file[fast] == number]
        met = some[~is_clear_below(moves, some, by_mm=OPEN_MM, below_mm=RAPID_CLEARANCE_MM)]
        if len(met):
            worst = int(met[np.argmax(sinking[met] / plunge[met])])
            yield _off_pace(moves, worst, float(sinking[worst]), float(plunge[worst]), "goes down", is_slow=False)


def _at_most(limit_mm_min: Floats | float, share: Floats) -> Floats:
    """(n,) the feed along a path at which so large a share of it reaches the limit; inf where there is none."""
    known = (share > 0) & (np.asarray(limit_mm_min) > 0)
    return np.where(known, limit_mm_min / np.where(share > 0, share, 1.0), np.inf)


def _first_in_wood(moves: BoardMoves, rows: Rows) -> int:
    """The first of the rows in whose bit's way wood stands, a finish pass's thin cut too; -1 where none does.

    One is asked first and then twice as many each time: where a whole file is off its pace, most are not asked at all.
    """
    first, most = 0, 1
    while first < len(rows):
        some = rows[first : first + most]
        stations = stations_on(moves, np.sort(some), np.full(len(moves), DEPTH_MM))
        met = set(stations.move[meets_wood(moves, stations, spared_ratio=0.0)].tolist())
        if met:
            return int(next(row for row in some.tolist() if row in met))
        first, most = first + most, min(2 * most, _ASKED_AT_ONCE)
    return -1


def _of_bits(moves: BoardMoves, name: str) -> Floats:
    """(n,) a number of each move's bit; zero for an unknown bit."""
    return np.append(np.asarray([getattr(bit, name) for bit in moves.bits], np.float64), 0.0)[moves.bit]


def _off_pace(
    moves: BoardMoves, row: int, pace_mm_min: float, asked_mm_min: float, what: str, *, is_slow: bool
) -> Finding:
    limit = f"{asked_mm_min:.0f} at {'least, or the wood burns' if is_slow else 'most'}"
    return Finding(
        code=Code.CUTTING_FEED,
        text=f"bit {moves.bits[int(moves.bit[row])].id} {what} at {pace_mm_min:.0f} mm/min; the job asks for {limit}.",
        advice=_AGAIN,
        where=where_of(moves, row),
        measured=pace_mm_min,
        limit=asked_mm_min,
        unit="mm/min",
    )


def check_speed(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """The spindle turns clockwise, and at the speed asked where a word sets it; one finding of each kind a file."""
    found = []
    rows = cutting_rows(moves)
    for number, motion in enumerate(moves.motions):
        mine = rows[moves.file[rows] == number]
        back = mine[_is_backwards(motion)[moves.row[mine]]]
        if len(back):
            found.append(_backwards(moves, int(back[0])))
        if machine.spindle != "speed_word":
            continue
        asked, said = _of_bits(moves, "spindle_rpm")[mine], motion.speed[moves.row[mine]]
        off = mine[(asked > 0) & (said > 0) & (np.abs(said - asked) > _SPEED_RATIO * asked)]
        if len(off):
            found.append(_off_speed(moves, int(off[0]), float(motion.speed[moves.row[off[0]]])))
    return tuple(found)


def _is_backwards(motion: Motion) -> Bools:
    """(n,) the last spindle word before the move is M4."""
    is_back: Bools = np.zeros(len(motion), np.bool_)
    for event in motion.events:
        if event.kind in {EventKind.SPINDLE_ON, EventKind.SPINDLE_OFF}:
            is_back[event.before :] = event.text == "M4"
    return is_back


def _backwards(moves: BoardMoves, row: int) -> Finding:
    return Finding(
        code=Code.CUTTING_SPEED,
        text="the spindle turns backwards (M4): the bit rubs, burns and may come loose.",
        advice="Start the spindle with M3.",
        where=where_of(moves, row),
    )


def _off_speed(moves: BoardMoves, row: int, speed_rpm: float) -> Finding:
    bit = moves.bits[int(moves.bit[row])]
    return Finding(
        code=Code.CUTTING_SPEED,
        text=f"bit {bit.id} turns at {speed_rpm:.0f} rev/min; the job asks for {bit.spindle_rpm:.0f}.",
        advice=_AGAIN,
        where=where_of(moves, row),
        measured=speed_rpm,
        limit=bit.spindle_rpm,
        unit="rev/min",
    )
