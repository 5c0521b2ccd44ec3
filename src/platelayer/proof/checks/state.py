"""Does a file say how its words are to be taken before it moves, and lift the bit where nobody knows how it stands?

Glossary:
    mode: a word that stays in force: plane, units, absolute places, feed a minute, compensation, zero, path.
    restart: the file's beginning and every stop; a person may have typed and moved anything there.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from platelayer.errors import ReadError
from platelayer.gcode.moves import BoardMoves
from platelayer.gcode.reader import read_program
from platelayer.gcode.words import G_GROUPS
from platelayer.manifest.schema import ManifestMachine
from platelayer.proof.checks.stops import AGAIN, is_stop
from platelayer.tolerances import COINCIDENT_MM, RAPID_CLEARANCE_MM
from platelayer.units import show_small
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.motion import Event, EventKind, Motion

_MEANS: Final = {
    "distance": "places count from where the bit stands, not from the board's corner",
    "path": "the machine rounds corners off as far as it likes",
    "coordinates": "places count from another zero than the board's",
    "units": "lengths are taken 25.4 times too large or too small",
}
_TENTHS: Final = 10
_MODES: Final = frozenset({EventKind.MODE, EventKind.UNITS})


def check_modes(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """Each file says every mode of the machine before it moves, again after every stop, and no other."""
    try:
        wanted = _wanted(machine)
    except ReadError as error:
        text = f"the modes that the manifest has for the machine cannot be read: {error}."
        return (Finding(code=Code.READING_STATE, text=text, advice=AGAIN),)
    found = []
    for file, motion in zip(moves.files, moves.motions, strict=True):
        problems = [*_unsaid(motion, wanted), *_other_modes(motion, wanted)] if wanted else []
        found += [
            Finding(
                code=Code.READING_STATE,
                text=f"{text}.",
                advice=AGAIN,
                where=Where(file=file.name, line=line, board=file.board),
            )
            for line, text in sorted(problems)
        ]
    return tuple(found)


def _wanted(machine: ManifestMachine) -> dict[str, float]:
    """The machine's modes, and for those that let the bit stray from its path by how much, in mm; read as a file is.

    Raises:
        ReadError: a word that no file may have.
    """
    said = read_program("\n".join(machine.modes), name="modes").events
    return {event.text: _stray_mm(event) for event in said if event.kind in _MODES}


def _stray_mm(event: Event) -> float:
    return event.value if event.kind is EventKind.MODE else 0.0


def _restarts(motion: Motion) -> Iterator[tuple[int, int, int]]:
    """Number of the first event after every restart with moves before the next, its line, and its first move."""
    stops = [(at, event) for at, event in enumerate(motion.events) if is_stop(event)]
    begins = [(0, 0, 0), *((at + 1, event.line, event.before) for at, event in stops)]
    ends = [*(event.before for _, event in stops), len(motion)]
    yield from (begin for begin, end in zip(begins, ends, strict=True) if end > begin[2])


def _modes(motion: Motion, begin: int, move: int) -> dict[str, Event]:
    """The mode words between a restart and a move, the last of each group."""
    some = (event for event in motion.events[begin:] if event.kind in _MODES)
    return {_group(event.text): event for event in some if event.before <= move}


def _group(word: str) -> str:
    return G_GROUPS[round(float(word[1:]) * _TENTHS)]


def _unsaid(motion: Motion, wanted: Iterable[str]) -> Iterator[tuple[int, str]]:
    for begin, line, move in _restarts(motion):
        said = _modes(motion, begin, move)
        unsaid = [word for word in wanted if _group(word) not in said]
        if unsaid:
            after = f"after the stop in line {line}" if line else "at all"
            words = " and ".join(unsaid)
            yield int(motion.line[move]), f"the bit moves before the file says {words} {after}"


def _other_modes(motion: Motion, wanted: Mapping[str, float]) -> Iterator[tuple[int, str]]:
    """Modes that are not the machine's, or let the bit stray by more or less than that one does, and rule some move."""
    for at, event in enumerate(motion.events):
        stray_mm, bound_mm = _stray_mm(event), wanted.get(event.text, math.inf)
        if event.kind not in _MODES or abs(stray_mm - bound_mm) <= COINCIDENT_MM:
            continue
        group = _group(event.text)
        next_one = (
            other.before for other in motion.events[at + 1 :] if other.kind in _MODES and _group(other.text) == group
        )
        if next(next_one, len(motion)) > event.before:
            usual = next((word for word in wanted if _group(word) == group), "none")
            means = _MEANS.get(group, "the words after it mean something else")
            if bound_mm < math.inf:
                usual = f"it within {show_small(bound_mm)}"
                means = f"the machine may stray by {show_small(stray_mm)}" if stray_mm else means
            yield event.line, f"{event.text} is in force where this job needs {usual}: {means}"


def check_lifted(moves: BoardMoves, *, is_ours: bool) -> tuple[Finding, ...]:
    """The bit is out of the wood wherever a file stops or ends, and goes up alone after every stop and at the start."""
    found: list[Finding] = []
    first = 0
    for file, motion in zip(moves.files, moves.motions, strict=True):
        stops = [(event.before, event.line) for event in motion.events if is_stop(event) and event.before]
        ends = [*stops, (len(motion), motion.line_count)] if len(motion) else []
        low = [
            (line, row) for row, line in ends if moves.depth[first + row - 1, 1] > COINCIDENT_MM - RAPID_CLEARANCE_MM
        ]
        for line, row in low[:1]:
            height = -float(moves.depth[first + row - 1, 1])
            what = "ends" if row == len(motion) else "stops"
            text = f"the file {what} with the bit {_height(height)}; {show_small(RAPID_CLEARANCE_MM)} above it at least"
            found.append(_low(file.name, line, file.board, f"{text}.", height))
        if is_ours:
            for _, line, move in _restarts(motion):
                row = first + move
                is_up = bool((moves.high[row] - moves.low[row] <= COINCIDENT_MM).all())
                height = -float(moves.depth[row, 1])
                if not is_up or height < RAPID_CLEARANCE_MM - COINCIDENT_MM:
                    after = f"after the stop in line {line}" if line else "at the start"
                    text = f"the first move {after} has to lift the bit clear of the wood, and nothing else."
                    found.append(_low(file.name, int(motion.line[move]), file.board, text, height))
        first += len(motion)
    return tuple(found)


def _height(height_mm: float) -> str:
    return f"{show_small(abs(height_mm))} {'above' if height_mm >= 0 else 'below'} the top of the wood"


def _low(name: str, line: int, board: str, text: str, height_mm: float) -> Finding:
    return Finding(
        code=Code.TRAVEL_NOT_LIFTED,
        text=text,
        advice=AGAIN,
        where=Where(file=name, line=line, board=board),
        measured=height_mm,
        limit=RAPID_CLEARANCE_MM,
    )
