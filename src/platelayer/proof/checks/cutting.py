"""Does the bit cut as it can: turning, fed, not too deep at once, not straight down where it cannot, no shank in wood?

These need no manifest beyond board, bits and machine; zero for a bit's size means unknown and is not asked.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows, plan_lengths_mm
from platelayer.manifest.schema import ManifestMachine
from platelayer.proof.checks.rows import by_file, where_of, worst_of
from platelayer.proof.engagement import (
    MET_MOST,
    Stations,
    cutting_rows,
    meets_wood,
    settled_by_shape,
    stations_on,
    wood_above_mm,
)
from platelayer.tolerances import COINCIDENT_MM, DEPTH_MM
from platelayer.units import show_place, show_small
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.motion import EventKind, Floats, Motion

MUCH_OVER: Final = 1.25
"""A step so many times the stepdown is refused, a smaller excess only told; common practice, no source."""

STEEP_RATIO: Final = 1.5
"""Down more than this for each length along is a plunge; the flank of a tab, at 45 degrees, is none."""


def check_spindle(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """The bit turns whenever it is in the wood; a hand-switched router is started in a pause. One finding a file."""
    rows = cutting_rows(moves)
    on = _turning(moves, machine)
    return tuple(
        Finding(
            code=Code.CUTTING_SPINDLE_OFF,
            text=f"the bit goes into the wood with the spindle off; {_moves(some)} so.",
            advice="Make the job again; the file must start the spindle and wait for it before it cuts.",
            where=where_of(moves, some[0]),
            measured=float(len(some)),
            limit=0.0,
            unit="moves",
        )
        for some in by_file(moves, rows[~on[rows]])
    )


def _turning(moves: BoardMoves, machine: ManifestMachine) -> Bools:
    on = moves.spindle_on.copy()
    for number, motion in enumerate(moves.motions):
        mine = np.flatnonzero(moves.file == number)
        if machine.spindle == "speed_word":
            speed = motion.speed
            on[mine] &= np.nan_to_num(speed, nan=0.0) > 0
        else:
            on[mine] &= np.nan_to_num(motion.speed, nan=1.0) > 0
        if machine.spindle == "switch":
            on[mine] = _switched_on(motion)
        if machine.spindle == "dial":
            on[mine] &= _switched_on(motion)
    return on


def _switched_on(motion: Motion) -> Bools:
    """(n,) a person was asked to a pause since the file began, or since it last put the spindle off."""
    on: Bools = np.zeros(len(motion), np.bool_)
    for event in motion.events:
        if event.kind in {EventKind.PAUSE, EventKind.SPINDLE_OFF}:
            on[event.before :] = event.kind is EventKind.PAUSE
    return on


def check_feed(moves: BoardMoves) -> tuple[Finding, ...]:
    """Every move at feed has one; the first of each file that has none."""
    at_feed = np.flatnonzero((moves.kind > 0) & (moves.feed <= 0))
    return tuple(
        Finding(
            code=Code.CUTTING_NO_FEED,
            text=f"a move at feed has no feed or a feed of zero; {_moves(some)} so.",
            advice="Make the job again; every cutting move needs an F word before or on it.",
            where=where_of(moves, some[0]),
            measured=0.0,
            limit=0.0,
            unit="mm/min",
        )
        for some in by_file(moves, at_feed)
    )


def check_shank(moves: BoardMoves) -> tuple[Finding, ...]:
    """A shank wider than the bit stays above the wood; the deepest move of each bit that breaks this."""
    found = []
    rows = cutting_rows(moves)
    for number, bit in enumerate(moves.bits):
        if not bit.cutting_length_mm or bit.shank_mm <= bit.diameter_mm:
            continue
        mine = rows[moves.bit[rows] == number]
        deep = mine[moves.depth[mine].max(axis=1) > bit.cutting_length_mm + DEPTH_MM]
        if len(deep):
            worst, depth = worst_of(deep.tolist(), moves.depth.max(axis=1))
            found.append(
                Finding(
                    code=Code.CUTTING_SHANK,
                    text=f"bit {bit.id} goes {show_small(depth)} deep, but cuts only "
                    f"{show_small(bit.cutting_length_mm)} up its length, and its shank of {show_small(bit.shank_mm)} "
                    "is wider than the cut.",
                    advice="Use a bit with a longer cutting length.",
                    where=where_of(moves, worst),
                    measured=depth,
                    limit=bit.cutting_length_mm,
                )
            )
    return tuple(found)


def check_steps(moves: BoardMoves) -> tuple[Finding, ...]:
    """No move takes more depth at once than its bit's stepdown, a thin cut apart; the deepest of each file.

    Over it by no more than MUCH_OVER it is a warning.
    """
    steps = _by_bit(moves, [bit.stepdown_mm for bit in moves.bits])
    rows = cutting_rows(moves)
    rows = rows[(steps[rows] > 0) & ~_is_plunge(moves)[rows]]
    rows = rows[~settled_by_shape(moves, rows, steps)]
    found = {finding.where.file: finding for finding in _steps_over(moves, rows, steps, Severity.WARNING)}
    if found:
        found |= {one.where.file: one for one in _steps_over(moves, rows, MUCH_OVER * steps, Severity.ERROR)}
    return tuple(found.values())


def _steps_over(moves: BoardMoves, rows: Rows, steps: Floats, severity: Severity) -> list[Finding]:
    """The deepest move of each file that takes more at once than the steps, (n,) mm."""
    stations = stations_on(moves, rows, steps + DEPTH_MM)
    met = np.flatnonzero(meets_wood(moves, stations))
    return [
        _step(moves, stations, met[np.isin(stations.move[met], some)], severity, _moves(some))
        for some in by_file(moves, stations.move[met])
    ]


def _step(moves: BoardMoves, stations: Stations, met: Rows, severity: Severity, do_so: str) -> Finding:
    """The deepest of some steps that are too deep, with what the bit takes where it first does or at its deepest."""
    first = int(max(met, key=lambda one: (float(moves.depth[stations.move[one]].max()), -int(stations.move[one]))))
    row = int(stations.move[first])
    bit = moves.bits[int(moves.bit[row])]
    same = np.flatnonzero(stations.move == row)
    deepest = int(same[stations.depth_mm[same].argmax()])
    taken, at = max((wood_above_mm(moves, stations, one), -one) for one in (first, deepest))
    at = -at
    return Finding(
        code=Code.CUTTING_STEP_TOO_DEEP,
        severity=severity,
        text=f"bit {bit.id} takes {show_small(taken)} at once, {100 * (taken / bit.stepdown_mm - 1):.0f} % more than "
        f"its stepdown of {show_small(bit.stepdown_mm)}, at {show_place(tuple(stations.point[at].tolist()))}, where it "
        f"runs {show_small(float(stations.depth_mm[at]))} deep; {do_so} so.",
        advice="Make the job again; a pass is missing, or the file was changed.",
        where=where_of(moves, row),
        measured=taken,
        limit=bit.stepdown_mm,
    )


def check_plunges(moves: BoardMoves) -> tuple[Finding, ...]:
    """No bit that cannot plunge goes straight down into wood that is there at that moment; the first of each file."""
    steep = _is_plunge(moves)
    may = _by_bit(moves, [float(bit.may_plunge) for bit in moves.bits]) > 0
    rows = cutting_rows(moves)
    rows = rows[steep[rows] & ~may[rows]]
    ends = stations_on(moves, rows, np.full(len(moves), 2 * DEPTH_MM))
    deepest = np.abs(ends.depth_mm - moves.depth[ends.move].max(axis=1)) <= COINCIDENT_MM
    met = meets_wood(moves, ends) & deepest
    found = []
    for some in by_file(moves, ends.move[met]):
        first = int(min(some))
        bit = moves.bits[int(moves.bit[first])]
        depth = float(moves.depth[first].max())
        found.append(
            Finding(
                code=Code.CUTTING_PLUNGE,
                text=f"bit {bit.id} cannot plunge, but goes straight down into wood at "
                f"{show_place(moves.end(first))}, to {show_small(depth)} deep; {_moves(some)} so.",
                advice="Enter by a ramp, or use a bit that may plunge.",
                where=where_of(moves, first),
                measured=depth,
                limit=0.0,
            )
        )
    return tuple(found)


def _moves(rows: Sequence[int]) -> str:
    """How many moves do it."""
    count = len(set(rows))
    return "1 move does" if count == 1 else f"{count} moves {'or more ' if count == MET_MOST else ''}do"


def _is_plunge(moves: BoardMoves) -> Bools:
    """(n,) goes down more steeply than STEEP_RATIO."""
    down = moves.depth[:, 1] - moves.depth[:, 0]
    steep: Bools = down > np.maximum(STEEP_RATIO * plan_lengths_mm(moves), DEPTH_MM)
    return steep


def _by_bit(moves: BoardMoves, values: Sequence[float]) -> Floats:
    """(n,) the value of each move's bit; zero for an unknown bit."""
    return np.append(np.asarray(values, np.float64), 0.0)[moves.bit]
