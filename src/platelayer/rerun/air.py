"""A whole program run in the air: every height raised alike, so that a person sees where the machine will go.

Glossary:
    air pass: the program raised until no part of it touches the wood. Not a dry run: that is worked out, this is run.
    lift: by how much everything is raised.
"""

import re
from collections.abc import Iterator
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.post.rounding import Grid
from platelayer.post.words import LINE_LENGTH_MOST, comment_lines, word
from platelayer.rerun.written import bit_lines, comment_of, head_of, lasting_head_of, lines_of, openings_of, ways_of
from platelayer.tolerances import RAPID_CLEARANCE_MM
from platelayer.units import minutes, show_length, worded
from platelayer.values.motion import Motion

AIR_ROOM_MM: Final = 5.0
"""Air under the bit where it comes deepest, when no lift is stated. Common practice, no source."""

_Z: Final = re.compile(r"Z(?P<number>-?[0-9]*\.?[0-9]*)")
_SPINDLE_AND_STOPS: Final = re.compile(r"S[0-9.]+|M3|M4|G4 .*|M0|M6|T[0-9]+")


def usual_lift_mm(motion: Motion, *, top_mm: float) -> float:
    """Lift that leaves AIR_ROOM_MM under the deepest cut, in whole mm; ``top_mm`` is the z of the wood's top."""
    return float(-(-(_deepest_mm(motion, top_mm) + AIR_ROOM_MM) // 1))


def air_text(
    text: str,
    motion: Motion,
    *,
    top_mm: float,
    travel_mm: float,
    lift_mm: float | None,
    has_spindle_on: bool,
    seconds_s: float,
) -> str:
    """The program raised by a lift; without spindle, dwells and pauses unless asked for.

    Args:
        text: the program.
        motion: what it reads as.
        top_mm: z of the wood's top, as the program counts it.
        travel_mm: of the machine along z, 0 where it is not known.
        lift_mm: the lift, the usual one when None.
        has_spindle_on: all that starts, stops and waits for the spindle stays.
        seconds_s: that the program takes.

    Raises:
        CannotCut: so raised, the bit would still come lower than a rapid may go, or higher than the machine can.
    """
    ways = ways_of(text, motion)
    usual = usual_lift_mm(motion, top_mm=top_mm)
    lift = usual if lift_mm is None else lift_mm
    least, most = _deepest_mm(motion, top_mm) + RAPID_CLEARANCE_MM, travel_mm - float(motion.end[:, 2].max(initial=0.0))
    if lift < least:
        problem = f"raised so little, {motion.name} comes too near the wood (at least {show_length(least)})"
        raise _no_lift(lift, problem, f"Use {show_length(usual)}, or leave --lift out.")
    if travel_mm and lift > most:
        problem = (
            f"raised so far, {motion.name} needs more than the machine's travel of {show_length(travel_mm)} along z"
        )
        raise _no_lift(lift, problem, f"Use at most {show_length(most)}, at least {show_length(least)}.")
    lines = lines_of(text)
    begin = len(head_of(lines))
    spindle = "spindle as in the cut" if has_spindle_on else "spindle off"
    raised_by = worded(show_length(lift), "mm").replace("(", "= ").replace(")", "")  # comments hold no brackets
    sentences = (
        f"AIR PASS of {motion.name}: all raised by {raised_by},"
        f"{worded(show_length(lift), 'mm').replace('(', '= ').replace(')', '')}, {spindle}, nothing is cut",
        f"Time: about {minutes(seconds_s)}",
    )
    said = [part for sentence in sentences for part in comment_lines(sentence, ways.comments)]
    body = lines[begin:] if has_spindle_on else list(_silent(text, motion, begin))
    digits = ways.grid.digits(lift)
    raised = [part for line in body for part in _raised(line, digits, ways.grid)]
    return "\n".join([*said, *lasting_head_of(lines), *raised]) + "\n"


def _no_lift(lift_mm: float, problem: str, fix: str) -> CannotCut:
    return CannotCut(Fault(where="--lift", found=show_length(lift_mm), problem=problem, fix=fix))


def _deepest_mm(motion: Motion, top_mm: float) -> float:
    return max(top_mm - float(motion.end[:, 2].min(initial=top_mm)), 0.0)


def _silent(text: str, motion: Motion, begin: int) -> Iterator[str]:
    """Lines from ``begin`` on without spindle, dwells and pauses, nor what openings say of them."""
    openings = zip(bit_lines(motion), openings_of(text, motion), strict=True)
    asked = {line + further for line, opening in openings for further in range(1, len(opening))}
    for number, line in enumerate(lines_of(text)[begin:], start=begin + 1):
        comment = comment_of(line)
        if comment is None:
            if not _SPINDLE_AND_STOPS.fullmatch(line):
                yield line
        elif number not in asked and not comment.startswith(("PAUSE", "MSG")):
            yield line


def _raised(line: str, lift: int, grid: Grid) -> list[str]:
    """The line with its Z raised; its feed goes before it on a line of its own where both have become too long."""
    if comment_of(line) is not None:
        return [line]
    raised = _Z.sub(lambda match: _higher(match["number"], lift, grid), line)
    if len(raised) <= LINE_LENGTH_MOST or " F" not in raised:
        return [raised]
    motion, feed = raised.rsplit(" ", 1)
    return [feed, motion]


def _higher(number: str, lift: int, grid: Grid) -> str:
    return word("Z", round(float(number) * 10**grid.decimals) + lift, decimals=grid.decimals)
