"""Does a file run its bits as the job asked: no faster, at their speed, the right way round, waiting where it says so?

Glossary:
    asked: feed, plunge and speed of a bit in the manifest; nought is unknown and is not asked.
    sinking: the part of a feed that goes straight down; a ramp's is less than its feed.
    stop: M0, M1 or M6, where the machine waits for a person.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import Bools, Rows, Tracks, plan_lengths_mm
from platelayer.manifest.schema import ManifestBit, ManifestFile, ManifestMachine
from platelayer.proof.checks.travel import where_of
from platelayer.proof.engagement import cutting_rows
from platelayer.tolerances import DEPTH_MM
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import Event, EventKind, Floats, Motion

_MORE: Final = 1.03
"""A feed may be this many times what was asked: the last digit of slow feeds, and no more."""

_SPEED_RATIO: Final = 0.05
"""A speed may differ by this share from the one asked; common practice, no source."""

_AGAIN: Final = "Make the job again; the file was changed."


def check_pace(tracks: Tracks) -> tuple[Finding, ...]:
    """No bit goes through wood faster than its feed, nor sinks into it faster than its plunge; the worst of each."""
    rows = cutting_rows(tracks)
    down = tracks.depth[:, 1] - tracks.depth[:, 0]
    whole = np.hypot(plan_lengths_mm(tracks), down)
    sinking = np.where(down > DEPTH_MM, tracks.feed * down / np.where(whole > 0, whole, 1.0), 0.0)
    feed, plunge = _of_bits(tracks, "feed_mm_min"), _of_bits(tracks, "plunge_mm_min")
    found = []
    for pace, asked, what in ((tracks.feed, feed, "goes through wood"), (sinking, plunge, "goes down")):
        fast = rows[(asked[rows] > 0) & (pace[rows] > _MORE * asked[rows])]
        for number in np.unique(tracks.file[fast]).tolist():
            some = fast[tracks.file[fast] == number]
            worst = int(some[int((pace[some] / asked[some]).argmax())])
            found.append(_too_fast(tracks, worst, float(pace[worst]), float(asked[worst]), what))
    return tuple(found)


def _of_bits(tracks: Tracks, name: str) -> Floats:
    """(n,) a number of each track's bit; nought for an unknown bit."""
    return np.append(np.asarray([getattr(bit, name) for bit in tracks.bits], np.float64), 0.0)[tracks.bit]


def _too_fast(tracks: Tracks, row: int, pace_mm_min: float, asked_mm_min: float, what: str) -> Finding:
    return Finding(
        code=Code.CUTTING_FEED,
        severity=Severity.ERROR,
        text=f"bit {tracks.bits[int(tracks.bit[row])].id} {what} at {pace_mm_min:.0f} mm/min; "
        f"the job asks for {asked_mm_min:.0f} at most.",
        advice=_AGAIN,
        where=where_of(tracks, row),
        measured=pace_mm_min,
        limit=asked_mm_min,
        unit="mm/min",
    )


def check_speed(tracks: Tracks, machine: ManifestMachine) -> tuple[Finding, ...]:
    """The spindle turns clockwise, and at the speed asked where a word sets it; one finding of each kind a file."""
    found = []
    rows = cutting_rows(tracks)
    for number, motion in enumerate(tracks.motions):
        mine = rows[tracks.file[rows] == number]
        back = mine[_is_backwards(motion)[tracks.row[mine]]]
        if len(back):
            found.append(_backwards(tracks, int(back[0])))
        if machine.spindle != "speed_word":
            continue
        asked, said = _of_bits(tracks, "spindle_rpm")[mine], motion.speed[tracks.row[mine]]
        off = mine[(asked > 0) & (said > 0) & (np.abs(said - asked) > _SPEED_RATIO * asked)]
        if len(off):
            found.append(_off_speed(tracks, int(off[0]), float(motion.speed[tracks.row[off[0]]])))
    return tuple(found)


def _is_backwards(motion: Motion) -> Bools:
    """(n,) the last spindle word before the move is M4."""
    is_back: Bools = np.zeros(len(motion), np.bool_)
    for event in motion.events:
        if event.kind in {EventKind.SPINDLE_ON, EventKind.SPINDLE_OFF}:
            is_back[event.before :] = event.text == "M4"
    return is_back


def _backwards(tracks: Tracks, row: int) -> Finding:
    return Finding(
        code=Code.CUTTING_SPEED,
        severity=Severity.ERROR,
        text="the spindle turns backwards (M4): the bit rubs, burns and may come loose.",
        advice="Start the spindle with M3.",
        where=where_of(tracks, row),
    )


def _off_speed(tracks: Tracks, row: int, speed_rpm: float) -> Finding:
    bit = tracks.bits[int(tracks.bit[row])]
    return Finding(
        code=Code.CUTTING_SPEED,
        severity=Severity.ERROR,
        text=f"bit {bit.id} turns at {speed_rpm:.0f} rev/min; the job asks for {bit.spindle_rpm:.0f}.",
        advice=_AGAIN,
        where=where_of(tracks, row),
        measured=speed_rpm,
        limit=bit.spindle_rpm,
        unit="rev/min",
    )


def check_stops(tracks: Tracks) -> tuple[Finding, ...]:
    """Every pause that a file announces is there, a stop for every bit changed within it, a wait for the spindle."""
    rows = cutting_rows(tracks)
    found: list[Finding] = []
    for number, (file, motion) in enumerate(zip(tracks.files, tracks.motions, strict=True)):
        cuts = tracks.row[rows[tracks.file[rows] == number]]
        first = {bit: int(cuts[motion.bit[cuts] == bit][0]) for bit in np.unique(motion.bit[cuts]).tolist()}
        found += [_no_stop(file, event.line, text) for event, text in _missing_stops(file.bits, motion, first)]
        hasty = next(_not_waited_for(motion, cuts), None)
        if hasty is not None:
            found.append(
                _no_stop(file, hasty.line, "the spindle is switched on, and the bit cuts before it is at speed")
            )
    return tuple(found)


def _not_waited_for(motion: Motion, cuts: Rows) -> Iterator[Event]:
    """Words that switch the spindle on with no dwell and no stop between them and the next cut."""
    for at, event in enumerate(motion.events):
        if event.kind is EventKind.SPINDLE_ON:
            first = int(cuts[cuts >= event.before][0]) if (cuts >= event.before).any() else -1
            later = [other for other in motion.events[at + 1 :] if other.before <= first]
            waits = {EventKind.DWELL, EventKind.PAUSE, EventKind.SPINDLE_OFF, EventKind.SPINDLE_ON}
            if first >= 0 and not any(other.kind in waits for other in later):
                yield event


def _missing_stops(bits: Sequence[ManifestBit], motion: Motion, first: dict[int, int]) -> list[tuple[Event, str]]:
    missing = []
    for at, event in enumerate(motion.events):
        later = motion.events[at + 1 :]
        match event.kind:
            case EventKind.COMMENT if event.text.startswith("PAUSE") and not _is_kept(event, later):
                missing.append((event, f'no M0 stands where the file says "{event.text}"'))
            case EventKind.BIT if event.value > 1:
                bit = round(event.value) - 1
                until = first.get(bit, -1)
                if until >= 0 and not any(_is_stop(other) and other.before <= until for other in later):
                    name = bits[bit].id if bit < len(bits) else event.text
                    missing.append((event, f"nothing stops the machine for bit {name} to be put in"))
            case EventKind.TOOL if event.text == "T":
                until = min((row for row in first.values() if row >= event.before), default=-1)
                changes = (other for other in later if other.kind is EventKind.TOOL and other.text == "M6")
                if until >= 0 and not any(other.before <= until for other in changes):
                    missing.append((event, f"T{event.value:.0f} has no M6 after it, so the bit is not changed"))
    return missing


def _is_stop(event: Event) -> bool:
    return event.kind is EventKind.PAUSE or (event.kind is EventKind.TOOL and event.text == "M6")


def _is_kept(pause: Event, later: Sequence[Event]) -> bool:
    """The next stop comes before any move, and before anything else that asks for one."""
    for event in later:
        if event.before > pause.before or event.kind is EventKind.BIT or event.text.startswith("PAUSE"):
            return event.kind is EventKind.PAUSE and event.before == pause.before
        if _is_stop(event):
            return True
    return False


def _no_stop(file: ManifestFile, line: int, text: str) -> Finding:
    return Finding(
        code=Code.READING_STOP,
        severity=Severity.ERROR,
        text=f"{text}.",
        advice=_AGAIN,
        where=Where(file=file.name, line=line, board=file.board),
    )
