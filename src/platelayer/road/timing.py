"""How briskly an axis starts: the file of moves to time, held against what it promises, and what the watch says."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

import numpy as np

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.gcode.reader import read_program
from platelayer.job.timed_moves import TimedMoves, acceleration_mm_s2, acceleration_range_mm_s2
from platelayer.parsing import parse_feed, parse_length
from platelayer.post.timed_moves import timed_moves_text
from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.values.motion import MoveKind

_AXES: Final[Mapping[str, int]] = MappingProxyType({"x": 0, "y": 1, "z": 2})


LEAST_MM_S2: Final = 1.0
"""No axis starts as slowly as this. Common practice, no source."""


def asked_moves(*, feed: str, length: str) -> TimedMoves:
    """The moves that a person asks for, with lengths and feeds as typed.

    Raises:
        JobError: a feed or a length that is none, or not above zero.
    """
    moves = TimedMoves(
        feed_mm_min=parse_feed(feed, unit="mm", where="--feed"),
        length_mm=parse_length(length, unit="mm", where="--length"),
    )
    for where, value, found in (("--feed", moves.feed_mm_min, feed), ("--length", moves.length_mm, length)):
        if value <= 0:
            raise JobError(Fault(where=where, found=found, problem="must be more than zero"))
    return moves


def write_timed_moves(axis: str, moves: TimedMoves, *, out: Path, force: bool) -> None:
    """Writes the program, once it reads as moves along that axis alone, never below its beginning, spindle off.

    Raises:
        JobError: something stands in its way.
        CannotCut: the program is not what it promises, which is our fault.
    """
    text = timed_moves_text(axis, count=moves.count, length_mm=moves.length_mm, feed_mm_min=moves.feed_mm_min)
    files.check_free(out, force=force)
    motion = read_program(text, name=out.name)
    most = np.zeros(3)
    most[_AXES[axis]] = moves.length_mm
    is_kept = bool(np.all(motion.end >= 0) and np.all(motion.end <= most + PROGRAM_STEP_MM))
    is_fed = bool(np.all(motion.kind == MoveKind.LINE)) and len(motion.end) == moves.count and motion.is_ended
    if not (is_kept and is_fed and not motion.spindle_on.any()):
        problem = "the moves to time are not what they should be; please send us this message"
        raise CannotCut(Fault(where=out.name, problem=problem))
    files.write_file(out, text, force=force)


def timed_words(moves: TimedMoves, *, took_s: float) -> str:
    """What a time says of the axis, in a sentence.

    Raises:
        JobError: less time than the feed alone takes, or more than any axis.
    """
    found = acceleration_mm_s2(moves, took_s=took_s)
    if not found >= LEAST_MM_S2:
        problem, fix = "more than any axis takes for these moves", "Write the seconds that all of them took together."
        raise JobError(Fault(where="--took", found=f"{took_s:g} s", problem=problem, fix=fix))
    low, high = acceleration_range_mm_s2(moves, took_s=took_s)
    upper = f"{high:.0f}" if np.isfinite(high) else "any more"
    return f'It starts with {found:.0f} mm/s2, {low:.0f} to {upper} as watches go: acceleration = "{found:.0f} mm/s2"'
