"""Does a file wait where a person is needed, tell what is to be done, and let the spindle stop and come to speed?

What is asked comes from the machine and the file's entry in the manifest, never from the file's own comments; only a
file whose entry names no stops is asked to keep what it announces itself.

Glossary:
    stop: M0 or M6, where the machine waits for a person; a controller may be set to pass over M1, so it is none.
    part: cuts of one bit; a stop stands before a part, amid it or after it.
"""

import re
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.manifest.schema import ManifestBit, ManifestFile, ManifestMachine
from platelayer.proof.engagement import cutting_rows
from platelayer.values.cuts import Stop, StopAsks
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.motion import Event, EventKind, Motion, MoveKind

AGAIN: Final = "Make the job again; the file was changed."
_MS: Final = 1000.0
_WHOLE: Final = 0.999
"""Share of a dwell that has to be there: its last digit may be rounded."""

_MESSAGE: Final = "MSG, "
"""Begins a comment that a controller shows (NISTIR 6556, 3.3.4)."""

_PAUSE: Final = "PAUSE "
_FIGURES: Final = re.compile(r"\d+(\.\d+)?")

_CODE: Final = frozenset({EventKind.MODE, EventKind.UNITS, EventKind.BIT})


def check_stops(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """Every stop is there, where and as it is asked for, and no other; the spindle stands, or is waited for."""
    rows = cutting_rows(moves)
    found: list[Finding] = []
    for number, (file, motion) in enumerate(zip(moves.files, moves.motions, strict=True)):
        cuts = moves.row[rows[moves.file[rows] == number]]
        if file.stops is None:
            first = {bit: int(cuts[motion.bit[cuts] == bit][0]) for bit in np.unique(motion.bit[cuts]).tolist()}
            problems = [(event.line, text) for event, text in _missing_stops(file.bits, motion, first)]
        else:
            problems = [*_off_the_list(file, motion, file.stops), *_left_turning(motion, machine, file.stops)]
        problems += list(_not_waited_for(motion, cuts, machine))[:1]
        found += [_finding(file, line, text) for line, text in sorted(problems)]
    return tuple(found)


def check_head(file: ManifestFile, motion: Motion) -> tuple[Finding, ...]:
    """The head of the file tells a person what the manifest says it has to; the first sentence that is not there."""
    end = next((at for at, event in enumerate(motion.events) if event.kind in _CODE), len(motion.events))
    said = {event.text for event in motion.events[:end]}
    missing = next((text for text in file.head if text not in said), None)
    if missing is None:
        return ()
    return (
        Finding(
            code=Code.READING_TOLD,
            text=f'the head of {file.name} does not say "{missing}", which this job needs.',
            advice=AGAIN,
            where=Where(file=file.name, line=1, board=file.board),
        ),
    )


def _off_the_list(file: ManifestFile, motion: Motion, wanted: Sequence[Stop]) -> Iterator[tuple[int, str]]:
    """Line and sentence of every stop that is missing, not as it should be, or too many."""
    there = _placed_stops(motion)
    others = []
    for stop in wanted:
        fit = next((one for one in there if one[0] == _place(stop) and not _unlike(stop, *one[1:])), None)
        if fit is None:
            others.append(stop)
        else:
            there.remove(fit)
    for stop in others:
        near = next((one for one in there if one[0] == _place(stop)), None)
        if near is None:
            yield _line_near(motion, stop), f"nothing stops the machine {_what(file, stop)}"
            continue
        there.remove(near)
        yield near[1].line, _unlike(stop, *near[1:]).format(_what(file, stop))
    for (_, left), event, _ in there:
        amid = " in the middle of the cuts" if left == "amid" else ""
        yield event.line, f"{_shown(event)} stops the machine{amid} where nobody is asked for anything"


def _place(stop: Stop) -> tuple[int, str]:
    return stop.bit, "after" if stop.asks is StopAsks.OFF else "before"


def _unlike(stop: Stop, event: Event, said: set[str]) -> str:
    """How a stop in the file differs from what is asked, with a gap for what that is for; empty when it does not."""
    wants = f"T{stop.tool} M6" if stop.tool else "M0"
    if event.kind is EventKind.PAUSE and event.value:
        return f"M1 does not stop every machine; {wants} has to stand here {{}}"
    if _shown(event) != wants:
        return f"{_shown(event)} stands where {wants} has to stop the machine {{}}"
    shown = said | {text.removeprefix(_MESSAGE) for text in said}
    unsaid = next((text for text in stop.says if text not in shown), None)
    if unsaid is not None:
        return f'the machine stops {{}} and the file does not say "{unsaid}"'
    asked = {_words(text): _figured(text) for text in stop.says}
    other = next((text for text in sorted(said) if asked.get(_words(text), _figured(text)) != _figured(text)), None)
    return "" if other is None else f'the machine stops {{}} and the file also says "{other}", which is something else'


def _figured(text: str) -> str:
    """What a person reads of a comment, as a message or not."""
    return text.removeprefix(_MESSAGE).removeprefix(_PAUSE)


def _words(text: str) -> str:
    """The same without its figures."""
    return _FIGURES.sub("#", _figured(text))


def _shown(event: Event) -> str:
    return f"M{event.value:.0f}" if event.kind is EventKind.PAUSE else f"T{event.value:.0f} M6"


def _what(file: ManifestFile, stop: Stop) -> str:
    bit = file.bits[stop.bit - 1].id if stop.bit <= len(file.bits) else f"bit {stop.bit}"
    return {
        StopAsks.BIT: f"for bit {bit} to be put in",
        StopAsks.BOARD: "for the board to be turned over",
        StopAsks.ON: f"for the router to be switched on with bit {bit}",
        StopAsks.OFF: f"for the router to be switched off after bit {bit}",
    }[stop.asks]


def _line_near(motion: Motion, stop: Stop) -> int:
    """Where a stop that is missing should have been: at its bit's first line, or at that bit's last move."""
    mine = motion.line[motion.bit == stop.bit - 1]
    begins = (event.line for event in motion.events if event.kind is EventKind.BIT and event.value == stop.bit)
    return int(mine[-1]) if stop.asks is StopAsks.OFF and len(mine) else next(begins, 0)


def _placed_stops(motion: Motion) -> list[tuple[tuple[int, str], Event, set[str]]]:
    """Every M0, M1 and M6: its bit's number and place among that bit's cuts, and what was said since the one before."""
    at_feed = motion.kind != MoveKind.RAPID
    found = []
    bit, said = 0, set[str]()
    for event in motion.events:
        if event.kind is EventKind.BIT:
            bit = round(event.value)
        elif event.kind is EventKind.COMMENT:
            said.add(event.text)
        elif is_stop(event):
            cuts = np.flatnonzero(at_feed & (motion.bit == bit - 1))
            done = int((cuts < event.before).sum())
            place = "before" if not done else "after" if done == len(cuts) else "amid"
            found.append(((bit, place), event, said))
            said = set()
    return found


def is_stop(event: Event) -> bool:
    """The machine waits for a person; M1 too, though not on every machine."""
    return event.kind is EventKind.PAUSE or (event.kind is EventKind.TOOL and event.text == "M6")


def _left_turning(motion: Motion, machine: ManifestMachine, wanted: Sequence[Stop]) -> Iterator[tuple[int, str]]:
    """Bits changed and files ended with a spindle on that a word switches, whatever M6 and the end do to it."""
    if machine.spindle != "speed_word":
        return
    hands = {(stop.bit, "before") for stop in wanted}
    is_on = False
    waits = {id(event): where for where, event, _ in _placed_stops(motion)}
    for event in motion.events:
        if is_on and waits.get(id(event)) in hands:
            yield event.line, f"{_shown(event)} asks for a hand at the bit, and the spindle still turns: M5 is missing"
        elif event.kind is EventKind.SPINDLE_OFF and not event.text.startswith("M5"):
            yield event.line, f"the file ends with {event.text} and the spindle still turns: M5 is missing"
        if event.kind in {EventKind.SPINDLE_ON, EventKind.SPINDLE_OFF}:
            is_on = event.kind is EventKind.SPINDLE_ON


def _not_waited_for(motion: Motion, cuts: Rows, machine: ManifestMachine) -> Iterator[tuple[int, str]]:
    """Words that start the spindle and too short a dwell, and no stop, between them and the next cut.

    A spindle that a hand switches turns since the stop before the word, so dwells count from there on.
    """
    turns, stopped = "", len(motion.events)
    for at, event in enumerate(motion.events):
        if event.kind is EventKind.SPINDLE_OFF or is_stop(event):
            turns = ""
        if is_stop(event) and machine.spindle != "speed_word":
            stopped = at
        if event.kind is not EventKind.SPINDLE_ON or event.text == turns:
            continue
        turns = event.text
        after = cuts[cuts >= event.before]
        if not len(after):
            continue
        later = [other for other in motion.events[at + 1 :] if other.before <= int(after[0])]
        if any(is_stop(other) or other.kind is EventKind.SPINDLE_OFF for other in later):
            continue
        since = motion.events[min(at, stopped) + 1 :]
        waited = sum(one.value for one in since if one.kind is EventKind.DWELL and one.before <= int(after[0]))
        waited_s = waited / _MS if machine.dwell_unit == "ms" else waited
        if waited_s <= 0 or waited_s < _WHOLE * machine.dwell_s:
            text = "the spindle is switched on, and the bit cuts before it is at speed"
            if machine.dwell_s:
                text += f": the file waits {waited_s:g} s, this machine needs {machine.dwell_s:g} s"
            yield event.line, text


def _missing_stops(bits: Sequence[ManifestBit], motion: Motion, first: dict[int, int]) -> list[tuple[Event, str]]:
    """What a file announces by its own comments and tool words and does not stop for."""
    missing = []
    for at, event in enumerate(motion.events):
        later = motion.events[at + 1 :]
        match event.kind:
            case EventKind.COMMENT if event.text.startswith("PAUSE") and not _is_kept(event, later):
                missing.append((event, f'no M0 stands where the file says "{event.text}"'))
            case EventKind.BIT if event.value > 1:
                bit = round(event.value) - 1
                until = first.get(bit, -1)
                if until >= 0 and not any(is_stop(other) and other.before <= until for other in later):
                    name = bits[bit].id if bit < len(bits) else event.text
                    missing.append((event, f"nothing stops the machine for bit {name} to be put in"))
            case EventKind.TOOL if event.text == "T":
                until = min((row for row in first.values() if row >= event.before), default=-1)
                changes = (other for other in later if other.kind is EventKind.TOOL and other.text == "M6")
                if until >= 0 and not any(other.before <= until for other in changes):
                    missing.append((event, f"T{event.value:.0f} has no M6 after it, so the bit is not changed"))
    return missing


def _is_kept(pause: Event, later: Sequence[Event]) -> bool:
    """The next stop comes before any move, and before anything else that asks for one."""
    for event in later:
        if event.before > pause.before or event.kind is EventKind.BIT or event.text.startswith("PAUSE"):
            return event.kind is EventKind.PAUSE and event.before == pause.before
        if is_stop(event):
            return True
    return False


def _finding(file: ManifestFile, line: int, text: str) -> Finding:
    return Finding(
        code=Code.READING_STOP,
        text=f"{text}.",
        advice=AGAIN,
        where=Where(file=file.name, line=line, board=file.board),
    )
