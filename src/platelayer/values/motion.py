"""A program as read: columns, one row a move, so that half a million moves stay cheap.

Glossary:
    move: one straight, arc or helix of the bit's tip. Not a step: steps are planned, moves are read.
    event: what a file does between moves: pause, dwell, spindle, bit.
"""

from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int32]


class MoveKind(IntEnum):
    """Code in the ``kind`` column."""

    RAPID = 0
    LINE = 1
    ARC_CW = 2
    ARC_CCW = 3


class EventKind(StrEnum):
    """What an event is."""

    SPINDLE_ON = "spindle_on"
    SPINDLE_OFF = "spindle_off"
    SPEED = "speed"
    PAUSE = "pause"
    DWELL = "dwell"
    BIT = "bit"
    TOOL = "tool"
    UNITS = "units"
    MODE = "mode"
    END = "end"
    COMMENT = "comment"


@dataclass(frozen=True, slots=True)
class Event:
    """Something between moves: ``before`` is the index of the move it comes before."""

    kind: EventKind
    line: int
    before: int
    value: float = 0.0
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """Moves of one file in mm, in the program's own coordinates; arrays are read-only and of equal length n.

    Attributes:
        kind: (n,) int8, MoveKind.
        line: (n,) int32, line in the file, from 1.
        start: (n, 3) float64, mm.
        end: (n, 3) float64, mm.
        centre: (n, 2) float64, mm; nan for straight moves.
        feed: (n,) float64, mm/min in force, 0 when none was set; for rapids 0.
        speed: (n,) float64, spindle rev/min in force; nan when the file has no S word.
        spindle_on: (n,) bool.
        bit: (n,) int16, index into the file's bits, -1 before the first.
        events: in file order.
        line_count: lines in the file.
        is_ended: the last line that is not blank is M2 or M30.
    """

    name: str
    kind: npt.NDArray[np.int8]
    line: Ints
    start: Floats
    end: Floats
    centre: Floats
    feed: Floats
    speed: Floats
    spindle_on: npt.NDArray[np.bool_]
    bit: npt.NDArray[np.int16]
    events: tuple[Event, ...]
    line_count: int
    is_ended: bool

    def __len__(self) -> int:
        return len(self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionTime:
    """How long the moves of one file take on one machine; arrays of length n, one entry a move.

    Attributes:
        seconds_s: (n,) time of the move alone.
        start_s: (n,) when the move begins, dwells before it included, pauses counted as nothing.
        entry_mm_min: (n,) speed at the move's start.
        peak_mm_min: (n,) highest speed reached on the move.
        exit_mm_min: (n,) speed at the move's end.
        total_s: moves and dwells of the whole file.
        dwell_s: dwells alone.
        pauses: how many times the file waits for a person; that time is not counted.
    """

    seconds_s: Floats
    start_s: Floats
    entry_mm_min: Floats
    peak_mm_min: Floats
    exit_mm_min: Floats
    total_s: float
    dwell_s: float
    pauses: int
