"""The exact way through a program: one line at a time, in the order of execution of the standard.

Glossary:
    row: the columns of one move, as they stand in Motion, in one tuple.
    state: everything that a line leaves behind for the next one.
    lost: after a line that could not be read the place is not known, so arcs cannot be judged until it is.

Source: NISTIR 6556, 3.5 and 3.6 (what the words do), table 8 (order of execution within a line).
"""

import math
import re
from dataclasses import dataclass, field
from typing import Final

from platelayer.errors import Fault, ReadError
from platelayer.gcode.reader_arcs import centre_from_radius, radii_limit_mm, radii_mm
from platelayer.gcode.words import (
    LINE_LENGTH_MOST,
    M_WORDS_MOST,
    PLACE_MOST_MM,
    Word,
    code_of,
    fault_at,
    show_code,
    split_line,
)
from platelayer.units import MM_PER_INCH
from platelayer.values.findings import Code
from platelayer.values.motion import Event, EventKind, MoveKind

Point3 = tuple[float, float, float]
Row = tuple[float, ...]
"""kind, line, start x y z, end x y z, centre x y, feed, speed, spindle on, bit."""

ROW_WIDTH: Final = 14
NO_MOTION: Final = -1
_BIT = re.compile(r"BIT\s+([0-9]{1,4})\s+(\S.*)")
_AXES: Final = ("X", "Y", "Z")
_MESSAGE = re.compile(r"MSG\s*,\s*(.*)", re.IGNORECASE)
MODES: Final = (
    "plane",
    "compensation",
    "length offset",
    "coordinates",
    "path",
    "distance",
    "arc centres",
    "feed mode",
)
"""Groups of words that stay in force, units apart."""


@dataclass(slots=True)
class ReadState:
    """Where the reader stands between two lines; lengths in mm whatever the program's unit."""

    x: float
    y: float
    z: float
    file: str
    motion: int = NO_MOTION
    is_inch: bool = False
    is_absolute: bool = True
    feed_mm_min: float = 0.0
    speed_rpm: float = math.nan
    tool: int = 0
    spindle_on: bool = False
    bit: int = -1
    pause_text: str = ""
    is_lost: bool = False
    is_over: bool = False
    count: int = 0
    events: list[Event] = field(default_factory=list)

    @property
    def unit_mm(self) -> float:
        """Millimetres to one unit of the program."""
        return MM_PER_INCH if self.is_inch else 1.0


@dataclass(slots=True)
class LineCodes:
    """Words of one line sorted: parameters by letter with their column, codes by group."""

    line: int
    params: dict[str, tuple[float, int]]
    codes: dict[str, tuple[int, int]]

    def number(self, letter: str) -> float | None:
        """The number after a letter, None when the line has no such word."""
        found = self.params.get(letter)
        return None if found is None else found[0]


def read_line(text: str, line: int, state: ReadState) -> Row | None:
    """Execute one line on the state; the row of its move, or None when it moves nothing.

    Raises:
        ReadError: the line breaks a rule; the state then stands where the line began, or at the end of its arc.
    """
    words, comments = split_line(text, file=state.file, line=line)
    _take_comments(comments, line, state)
    if not words:
        return None
    sorted_words = _sort_words(words, line, file=state.file)
    _check_parameters(sorted_words, state)
    _set_numbers(sorted_words, state)
    _set_modes(sorted_words, state)
    row = _move(sorted_words, state)
    _stop(sorted_words, state)
    return row


def _note(state: ReadState, kind: EventKind, line: int, *, number: float = 0.0, text: str = "") -> None:
    """Put an event before the next move."""
    state.events.append(Event(kind, line, state.count, number, text))


def _take_comments(comments: tuple[str, ...], line: int, state: ReadState) -> None:
    """Only the last comment of a line counts. Source: NISTIR 6556, 3.3.4."""
    if not comments:
        return
    text = comments[-1]
    _note(state, EventKind.COMMENT, line, text=text)
    match = _BIT.fullmatch(text)
    if match:
        state.bit = int(match[1]) - 1
        _note(state, EventKind.BIT, line, number=float(match[1]), text=match[2].strip())
    message = _MESSAGE.fullmatch(text)
    if match or text.startswith("PAUSE"):
        state.pause_text = text
    elif message and not state.pause_text:
        state.pause_text = message[1]


def _sort_words(words: tuple[Word, ...], line: int, *, file: str) -> LineCodes:
    params: dict[str, tuple[float, int]] = {}
    codes: dict[str, tuple[int, int]] = {}
    m_words = 0
    for word in words:
        letter, number, column = word
        if letter in {"G", "M"}:
            code, group = code_of(word, file=file, line=line)
            key = letter + group
            m_words += letter == "M"
            if key in codes:
                other = show_code(letter, codes[key][0])
                problem = f"two words of one group ({group}) on a line, the other is {other}"
                raise fault_at(problem, file=file, line=line, column=column, found=show_code(letter, code))
            if m_words > M_WORDS_MOST:
                problem = f"more than {M_WORDS_MOST} M words on a line"
                raise fault_at(problem, file=file, line=line, column=column)
            codes[key] = (code, column)
        elif letter in params:
            problem = f"the letter {letter} stands twice on a line"
            raise fault_at(problem, file=file, line=line, column=column)
        else:
            params[letter] = (number, column)
    return LineCodes(line, params, codes)


def _check_parameters(found: LineCodes, state: ReadState) -> None:
    """Refuse words that nothing on the line uses, before anything is executed."""
    motion = found.codes["Gmotion"][0] // 10 if "Gmotion" in found.codes else state.motion
    has_axes = any(axis in found.params for axis in _AXES)
    is_arc = motion in {MoveKind.ARC_CW, MoveKind.ARC_CCW} and (has_axes or "Gmotion" in found.codes)
    is_path = found.codes.get("Gpath", (0, 0))[0] == 640
    if is_path and "Gdwell" in found.codes:
        problem = "G4 and G64 on one line, and P belongs to only one of them"
        raise _fault(found, state, problem, column=found.codes["Gdwell"][1])
    uses = {"P": is_path or "Gdwell" in found.codes, "K": False, "I": is_arc, "J": is_arc, "R": is_arc}
    for letter, (number, column) in found.params.items():
        if not uses.get(letter, True):
            problem = f"nothing on this line uses the letter {letter}"
            raise _fault(found, state, problem, column=column)
        if letter in "FSTP" and number < 0:
            raise _fault(found, state, "less than nought", column=column, shown=f"{letter}{number:g}")
        if letter == "T" and (number != round(number) or number > LINE_LENGTH_MOST**2):
            raise _fault(found, state, "a tool number is a small whole number", column=column, shown=f"T{number:g}")
    if "Gdwell" in found.codes and "P" not in found.params:
        raise _fault(found, state, "G4 needs a P word", column=found.codes["Gdwell"][1])


def _set_numbers(found: LineCodes, state: ReadState) -> None:
    """F, S, T, M6, M3 to M5, G4: the first half of table 8. F counts in the unit in force before this line."""
    feed, speed, tool = found.number("F"), found.number("S"), found.number("T")
    if feed is not None:
        state.feed_mm_min = feed * state.unit_mm
    if speed is not None:
        state.speed_rpm = speed
        _note(state, EventKind.SPEED, found.line, number=speed)
    if tool is not None:
        state.tool = round(tool)
        _note(state, EventKind.TOOL, found.line, number=tool, text="T")
    if "Mtool" in found.codes:
        # from memory: NISTIR 6556, 3.6.3 has the spindle stopped once the tool is changed
        state.spindle_on = False
        _note(state, EventKind.TOOL, found.line, number=state.tool, text="M6")
    spindle = found.codes.get("Mspindle")
    if spindle is not None:
        state.spindle_on = spindle[0] != 50
        kind = EventKind.SPINDLE_ON if state.spindle_on else EventKind.SPINDLE_OFF
        _note(state, kind, found.line, number=state.speed_rpm, text=show_code("M", spindle[0]))
    if "Gdwell" in found.codes:
        _note(state, EventKind.DWELL, found.line, number=found.params["P"][0])


def _set_modes(found: LineCodes, state: ReadState) -> None:
    """Units and distance mode; the others are noted, G64 with its P in mm, and change nothing that is read."""
    if "Gunits" in found.codes:
        state.is_inch = found.codes["Gunits"][0] == 200
        text = show_code("G", found.codes["Gunits"][0])
        _note(state, EventKind.UNITS, found.line, number=state.unit_mm, text=text)
    if "Gdistance" in found.codes:
        state.is_absolute = found.codes["Gdistance"][0] == 900
    for group in MODES:
        if "G" + group in found.codes:
            within = (found.number("P") or 0.0) * state.unit_mm if "Gdwell" not in found.codes else 0.0
            text = show_code("G", found.codes["G" + group][0])
            _note(state, EventKind.MODE, found.line, number=within if group == "path" else 0.0, text=text)


def _move(found: LineCodes, state: ReadState) -> Row | None:
    code = found.codes.get("Gmotion")
    has_axes = any(axis in found.params for axis in _AXES)
    if code is None and not has_axes:
        return None
    if code is not None and code[0] == 800:
        if has_axes:
            raise _fault(found, state, "G80 moves nothing, so it takes no X, Y or Z", column=code[1])
        state.motion = NO_MOTION
        return None
    motion = state.motion if code is None else code[0] // 10
    if motion == NO_MOTION:
        column = min(found.params[axis][1] for axis in _AXES if axis in found.params)
        problem = "a place without a motion word in force"
        raise _fault(found, state, problem, column=column, mend="Write G0, G1, G2 or G3 first.")
    if not has_axes:
        column = 1 if code is None else code[1]
        raise _fault(found, state, f"G{motion} without X, Y or Z", column=column)
    end = (
        _target(found.number("X"), state.x, state),
        _target(found.number("Y"), state.y, state),
        _target(found.number("Z"), state.z, state),
    )
    kind = MoveKind(motion)
    centre = (math.nan, math.nan)
    if kind in {MoveKind.ARC_CW, MoveKind.ARC_CCW}:
        centre = _centre(found, state, end, kind=kind)
    if not state.is_lost and any(abs(number) > PLACE_MOST_MM for number in (*end, *centre)):
        problem = f"a place or a centre more than {PLACE_MOST_MM / 1000:.0f} m off"
        raise _fault(found, state, problem, column=min(column for _, column in found.params.values()))
    state.motion = motion
    feed = 0.0 if kind is MoveKind.RAPID else state.feed_mm_min
    row = (float(kind), found.line, *_place(state), *end, *centre, feed, state.speed_rpm, state.spindle_on, state.bit)
    state.x, state.y, state.z = end
    state.count += 1
    state.pause_text = ""
    if state.is_absolute and "X" in found.params and "Y" in found.params:
        state.is_lost = False
    return row


def _place(state: ReadState) -> Point3:
    return state.x, state.y, state.z


def _target(number: float | None, at: float, state: ReadState) -> float:
    if number is None:
        return at
    return number * state.unit_mm if state.is_absolute else at + number * state.unit_mm


def _centre(found: LineCodes, state: ReadState, target: Point3, *, kind: MoveKind) -> tuple[float, float]:
    """Centre of the arc on this line, by I and J or by R, with every rule for arcs applied.

    Source: NISTIR 6556, 3.5.3, 3.5.3.1, 3.5.3.2.
    """
    word = f"G{int(kind)}"
    column = found.codes["Gmotion"][1] if "Gmotion" in found.codes else 1
    start, end, limit = (state.x, state.y), (target[0], target[1]), radii_limit_mm(is_inch=state.is_inch)
    i, j, radius = found.number("I"), found.number("J"), found.number("R")
    if "X" not in found.params and "Y" not in found.params:
        raise _fault(found, state, f"{word} needs X or Y", column=column)
    if radius is not None:
        if i is not None or j is not None:
            raise _fault(found, state, f"{word} takes R or I and J, not both", column=found.params["R"][1])
        by_radius = centre_from_radius(
            start, end, radius_mm=radius * state.unit_mm, is_ccw=kind is MoveKind.ARC_CCW, slack_mm=limit
        )
        if by_radius is None:
            problem = f"{word} with R ends where it starts"
            if start != end:
                problem = f"{word} has a radius too small to reach its end"
            raise _fault(found, state, problem, column=found.params["R"][1], shown=f"R{radius:g}")
        return by_radius
    if i is None and j is None:
        raise _fault(found, state, f"{word} needs I or J", column=column)
    centre = (start[0] + (i or 0.0) * state.unit_mm, start[1] + (j or 0.0) * state.unit_mm)
    first, last = radii_mm(start, end, centre)
    if first == 0:
        raise _fault(found, state, f"{word} has its centre at its start", column=column)
    if abs(first - last) > limit and not state.is_lost:
        fault = _radii_fault(found, state, word, column=column, radii=(first, last), limit_mm=limit)
        state.x, state.y, state.z = target
        raise fault
    return centre


def _radii_fault(
    found: LineCodes, state: ReadState, word: str, *, column: int, radii: tuple[float, float], limit_mm: float
) -> ReadError:
    problem = (
        f"the arc ({word}) does not come out where it should: its end lies {abs(radii[0] - radii[1]):.3f} mm off the"
        f" circle that it begins on; {limit_mm:.3g} mm is allowed"
    )
    return ReadError(
        Fault(
            where="",
            problem=problem,
            mend="The file was changed or written with too few digits.",
            file=state.file,
            line=found.line,
            column=column,
            code=Code.READING_ARC_RADII_DIFFER.value,
            measured_mm=abs(radii[0] - radii[1]),
            limit_mm=limit_mm,
        )
    )


def _stop(found: LineCodes, state: ReadState) -> None:
    """M0 and M1 pause; M2 and M30 end the program and put the spindle off. Source: NISTIR 6556, 3.6.1."""
    stop = found.codes.get("Mstop")
    if stop is None:
        return
    text = show_code("M", stop[0])
    if stop[0] in {0, 10}:
        _note(state, EventKind.PAUSE, found.line, number=stop[0] / 10, text=state.pause_text)
        state.pause_text = ""
        return
    if state.spindle_on:
        _note(state, EventKind.SPINDLE_OFF, found.line, number=state.speed_rpm, text=text)
        state.spindle_on = False
    _note(state, EventKind.END, found.line, text=text)
    state.is_over = True


def _fault(
    found: LineCodes, state: ReadState, problem: str, *, column: int, shown: str = "", mend: str = ""
) -> ReadError:
    return fault_at(problem, file=state.file, line=found.line, column=column, found=shown, mend=mend)
