"""What one controller wants to hear: the safe state, spindle, pauses, bit changes and the end, as lines.

Glossary:
    dialect: which of the RS274/NGC words a controller takes, flags of the machine's profile; never a product's name.
    restate: say units, plane, zero and modes again, since a person may have typed anything during a pause.
    spin-up: the wait for the spindle to reach its speed.
"""

from typing import Final

from platelayer.post.words import comment_line, message_lines, show_digits
from platelayer.units import to_inches
from platelayer.values.dialect import Dialect
from platelayer.values.spin_up import wait_s
from platelayer.values.tooling import CutData, Machine, SpindleKind

_MILLI: Final = 1000


def restate_lines(dialect: Dialect) -> list[str]:
    """All modes, one a line."""
    return list(dialect.modes)


def spindle_on_lines(machine: Machine, data: CutData) -> list[str]:
    """Speed (where the controller has a speed word), M3 and the spin-up."""
    speed = [f"S{round(data.spindle_rpm)}"] if machine.dialect.spindle_speed_word else []
    return [*speed, "M3", dwell_line(machine)]


def dwell_line(machine: Machine) -> str:
    """The spin-up of 2 to 10 s, in the unit in which this controller reads P.

    The standard counts P in seconds (NISTIR 6556, 3.5.4); some controllers count milliseconds, the profile says.
    """
    milliseconds = round(wait_s(machine.spin_up_s) * _MILLI)
    if machine.dialect.dwell_unit == "ms":
        return f"G4 P{milliseconds}"
    return f"G4 P{show_digits(milliseconds, decimals=3)}"


def pause_lines(reason: str, dialect: Dialect) -> list[str]:
    """A pause with its reason before it, as a message too where the controller shows them."""
    return [*asking_lines(reason, dialect), comment_line(f"PAUSE {reason}", dialect.comments), "M0"]


def asking_lines(text: str, dialect: Dialect) -> list[str]:
    """What a person is asked for, as messages; none where the controller shows none."""
    return message_lines(text) if dialect.messages else []


def bit_line(number: int, bit_id: str, dialect: Dialect) -> list[str]:
    """The mark at which bit ``number`` of this file begins, counted from 1."""
    return [comment_line(f"BIT {number} {bit_id}", dialect.comments)]


def start_reason(machine: Machine, data: CutData) -> str:
    """What the person does at the pause before the spindle turns; empty when the program does it."""
    if machine.spindle is SpindleKind.SPEED_WORD:
        return ""
    dial = f" at dial {data.dial_label}" if data.dial_label else ""
    return f"switch the router on{dial}, then resume"


def stop_reason(machine: Machine) -> str:
    """What the person does at the pause after the last cut; empty when M5 does it."""
    return "" if machine.spindle is SpindleKind.SPEED_WORD else "switch the router off, then resume"


def feed_word(feed_mm_min: float, dialect: Dialect) -> str:
    """The feed, rounded down so that no limit is passed: whole mm/min, hundredths of in/min, never zero."""
    if dialect.units == "in":
        return "F" + show_digits(max(1, int(to_inches(feed_mm_min) * 100)), decimals=2)
    return f"F{max(1, int(feed_mm_min))}"
