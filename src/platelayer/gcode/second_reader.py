"""The second reader: pygcode, a library this project did not make, reads a file again and must agree.

Glossary:
    effect: what one line does by pygcode's reading: modes it sets, place it names, in pygcode's order of execution.
    replay: the effects of all lines in order, giving the motion that pygcode saw.
    agree: same number of moves on the same lines, same ends, centres, units, modes, feed, speed and spindle.

What is pygcode's: taking lines apart into words, words into codes with their parameters, modal groups, order of
execution. What is not: its ``Machine`` (8,000 lines a second; no inches, no arcs) is replaced by a replay of a few
lines, which tests hold against it. Some shortcomings of pygcode 0.2.1 are worked round before it sees a line: it
raises on a plus sign and on a bracket comment with a semicolon in it, and takes a blank inside a number for its end.
So comments, strokes and blanks are cut off here first, by other code than the reader's. In the replay inches are
converted here, a place written before its motion word belongs to that word, G80 belongs to the motions, and M6 stops
the spindle. Arcs given by R are held against ends only, since pygcode works out no centre from R.

Equal line texts are read once. One process reads all files: pygcode reads 20,000 different lines a second, a file
of 15,000 lines has about 3,000 different ones, and starting a second process costs more than it saves.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import MM_PER_INCH
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import EventKind, Motion

LINES_MOST: Final = 20_000
"""Files with more different line texts are not read a second time: it would take longer than people wait."""

DIFFERENCES_MOST: Final = 5
"""Differences reported of one file; the first are the ones that matter."""

_CUT_OFF = re.compile(r"^\s*/|\([^()]*\)|;.*|[\s+]+")
_ROUND_OFF_MM: Final = COINCIDENT_MM
"""Both readers multiply the same decimal numbers; anything beyond round-off is a real difference."""

_AXES: Final = frozenset("XYZ")
_PATH_MODES: Final = frozenset({61.0, 61.1, 64.0})
_COLUMNS: Final = ("kind", "end x", "end y", "end z", "centre x", "centre y", "feed", "speed", "spindle")


@dataclass(frozen=True, slots=True)
class _Effect:
    """What one line does: pygcode's codes in its order of execution, and the parameters of its motion and path mode."""

    codes: tuple[tuple[int | None, float], ...]
    places: Mapping[str, float]


@dataclass(slots=True)
class _Replay:
    """Modes and place as pygcode's codes leave them; lengths in mm."""

    at: list[float]
    units: list[tuple[int, float]] = field(default_factory=list)
    modes: dict[int | None, float] = field(default_factory=dict)
    feed_mm_min: float = 0.0
    paths: list[tuple[int, float, float]] = field(default_factory=list)
    rows: list[tuple[float, ...]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    is_over: bool = False


def second_reading(text: str, motion: Motion) -> tuple[Finding, ...]:
    """Findings where pygcode's reading of a file differs from ours; empty when both agree.

    ``motion`` is our reading of the same text, starting at its first row's start. A file of more than LINES_MOST
    lines, equal ones counted once since they are read once, is not read; one note says so.
    """
    return second_readings({motion.name: (text, motion)})[motion.name]


def second_readings(files: Mapping[str, tuple[str, Motion]]) -> dict[str, tuple[Finding, ...]]:
    """The same for several files, by name, in their order; line texts that files share are read once for all."""
    effects: dict[str, _Effect] = {}
    return {name: _findings(name, text, motion, effects) for name, (text, motion) in files.items()}


def _findings(name: str, text: str, motion: Motion, effects: dict[str, _Effect]) -> tuple[Finding, ...]:
    lines = text.split("\n")
    different = len(set(lines)) if len(lines) > LINES_MOST else 0
    if different > LINES_MOST:
        said = f"{name} has {different} different lines; the second reader reads files of up to {LINES_MOST}."
        return (_finding(Code.READING_SECOND_READER_SKIPPED, Severity.NOTE, said, name, 0),)
    start = [float(number) for number in motion.start[0]] if len(motion) else [0.0, 0.0, 0.0]
    replay = _Replay(start)
    signs = 0
    for number, line in enumerate(lines, start=1):
        code = _CUT_OFF.sub("", line)
        signs += code == "%"
        if signs > 1:
            break
        if not code or code == "%":
            continue
        try:
            effect = effects.get(code) or effects.setdefault(code, _effect(code))
        except Exception as error:  # whatever a foreign library raises is a difference
            said = f"{name}:{number}: the second reader cannot read this line: {error}"
            return (_finding(Code.READING_SECOND_READER, Severity.ERROR, said, name, number),)
        _apply(effect, number, replay)
        if replay.is_over:
            break
    return _differences(name, motion, replay)


def _effect(code: str) -> _Effect:
    from pygcode import Line  # costs start-up, so only when a file is read

    block: Any = Line(code).block
    places: dict[str, float] = {}
    codes: list[tuple[int | None, float]] = []
    for gcode in sorted(block.gcodes):
        group, letter, value = gcode.modal_group, gcode.word.letter, float(gcode.word.value)
        if group in {_GROUP_MOTION, _GROUP_PATH}:
            places |= gcode.get_param_dict()
        if (letter, value) == ("G", 80.0):
            group = _GROUP_MOTION
        elif (letter, value) == ("M", 6.0):
            group, value = _GROUP_SPINDLE, 5.0
        codes.append((group, value))
    places |= {word.letter: word.value for word in block.modal_params}
    return _Effect(tuple(codes), places)


_GROUP_MOTION, _GROUP_PLANE, _GROUP_DISTANCE, _GROUP_CENTRES, _GROUP_UNITS, _GROUP_PATH = 1, 2, 3, 4, 6, 13
_GROUP_STOP, _GROUP_SPINDLE, _GROUP_FEED, _GROUP_SPEED = 104, 107, 201, 202
"""pygcode's numbers of the modal groups; ``tests/preview/test_second_reader.py`` holds them against its own map."""


def _apply(effect: _Effect, number: int, replay: _Replay) -> None:
    """One line: its codes in pygcode's order, the motion among them last but for a stop."""
    for group, value in effect.codes:
        if group == _GROUP_FEED:
            replay.feed_mm_min = value * _unit_mm(replay)
            continue
        replay.modes[group] = value
        if group == _GROUP_UNITS:
            replay.units.append((number, value))
        if group == _GROUP_PATH:
            replay.paths.append((number, value, effect.places.get("P", 0.0) * _unit_mm(replay)))
        replay.is_over = replay.is_over or (group == _GROUP_STOP and value in {2.0, 30.0})
    if not _AXES.isdisjoint(effect.places) and replay.modes.get(_GROUP_MOTION, 80.0) != 80.0:
        _move(effect.places, number, replay)


def _move(places: Mapping[str, float], number: int, replay: _Replay) -> None:
    unit, modes = _unit_mm(replay), replay.modes
    is_relative = modes.get(_GROUP_DISTANCE) == 91.0
    start = list(replay.at)
    for axis, letter in enumerate("XYZ"):
        if letter in places:
            replay.at[axis] = places[letter] * unit + (start[axis] if is_relative else 0.0)
    kind = modes[_GROUP_MOTION]
    centre = (np.nan, np.nan)
    if kind >= 2.0 and "R" not in places:
        centre = (start[0] + places.get("I", 0.0) * unit, start[1] + places.get("J", 0.0) * unit)
    feed = replay.feed_mm_min if kind else 0.0
    spindle = float(modes.get(_GROUP_SPINDLE, 5.0) != 5.0)
    replay.lines.append(number)
    replay.rows.append((kind, *replay.at, *centre, feed, modes.get(_GROUP_SPEED, np.nan), spindle))


def _unit_mm(replay: _Replay) -> float:
    """What a unit of the program is: pygcode leaves inches as they are, so lengths are converted here."""
    return MM_PER_INCH if replay.modes.get(_GROUP_UNITS) == 20.0 else 1.0


def _differences(name: str, motion: Motion, replay: _Replay) -> tuple[Finding, ...]:
    said = _modes_said(name, motion, replay)
    if said:
        return (_finding(Code.READING_SECOND_READER, Severity.ERROR, said, name, 0),)
    if not replay.lines:
        return ()
    ours = np.column_stack([motion.kind, motion.end, motion.centre, motion.feed, motion.speed, motion.spindle_on])
    theirs = np.array(replay.rows, np.float64)
    by_radius = np.isnan(theirs[:, 4]) & (theirs[:, 0] >= 2)
    theirs[by_radius, 4:6] = ours[by_radius, 4:6]
    allowed = _ROUND_OFF_MM * np.maximum(1, np.abs(ours) / 100)
    agrees = (np.abs(ours - theirs) <= allowed) | (np.isnan(ours) & np.isnan(theirs))
    found = []
    for row, column in np.argwhere(~agrees)[:DIFFERENCES_MOST].tolist():
        line, mine, other = int(motion.line[row]), ours[row, column], theirs[row, column]
        said = f"{name}:{line}: the two readers differ in {_COLUMNS[column]}: {mine:.10g} and {other:.10g}."
        found.append(_finding(Code.READING_SECOND_READER, Severity.ERROR, said, name, line))
    return tuple(found)


def _modes_said(name: str, motion: Motion, replay: _Replay) -> str:
    """The sentence when moves or modes do not even line up; empty when they do."""
    if len(replay.lines) != len(motion):
        return f"{name}: the second reader sees {len(replay.lines)} moves where the first sees {len(motion)}."
    if (np.array(replay.lines, np.int64) != motion.line).any():
        return f"{name}: the second reader finds the moves on other lines than the first."
    units = [(event.line, float(event.text[1:])) for event in motion.events if event.kind is EventKind.UNITS]
    if units != replay.units:
        return f"{name}: the two readers differ in the units."
    modes = (
        (event.line, float(event.text[1:]), event.value) for event in motion.events if event.kind is EventKind.MODE
    )
    if [mode for mode in modes if mode[1] in _PATH_MODES] != replay.paths:
        return f"{name}: the two readers differ in how corners are run."
    if replay.modes.get(_GROUP_CENTRES, 91.1) != 91.1:
        return f"{name}: the second reader counts the centres of arcs from zero."
    if replay.modes.get(_GROUP_PLANE, 17.0) != 17.0:
        return f"{name}: the second reader finds another plane than G17."
    return ""


def _finding(code: Code, severity: Severity, text: str, name: str, line: int) -> Finding:
    advice = "" if severity is Severity.NOTE else "Do not run the file; report it with the job that made it."
    return Finding(code=code, severity=severity, text=text, advice=advice, where=Where(file=name, line=line))
