"""The guided form for a machine of one's own: what is asked, how to find it out, and what happens where it is wrong.

Glossary:
    field: one question, whose answer fills one key of a profile, or the same key of two axes.
    answer: text as a person types it; empty where the question is not answered yet.
    beginning: the answer that a form may begin with; none where only the machine itself can tell.

Beginnings: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One question of the form.

    Attributes:
        name: of the answer.
        keys: what it fills, as ``axis.x.travel``.
        asks: the question.
        find_out: how to find the answer out.
        if_wrong: what happens where it is wrong.
        begins: beginning, empty for none.
        only_if: name of a field and the answer with which alone this one is asked; None where it always is.
        may_be_empty: a profile without it is a good one.
    """

    name: str
    keys: tuple[str, ...]
    asks: str
    find_out: str
    if_wrong: str
    begins: str = ""
    only_if: tuple[str, str] | None = None
    may_be_empty: bool = False

    def is_asked(self, answers: Mapping[str, str]) -> bool:
        """The question arises with these answers."""
        return self.only_if is None or answers.get(self.only_if[0], "") == self.only_if[1]


def _travel(axis: str) -> FormField:
    return FormField(
        name=f"{axis}_travel",
        keys=(f"axis.{axis}.travel",),
        asks=f"How far can the bit go along {axis}?",
        find_out=f"Drive {axis} by hand from stop to stop and read the display, or hold a tape to it; take off 5 mm.",
        if_wrong="Too long: a board passes that the machine cannot reach, it runs into its stop and loses its place, "
        "and all after that is cut beside the line. Too short: boards are refused that would have gone.",
    )


def _pair(what: str, axes: str, asks: str, find_out: str, if_wrong: str) -> FormField:
    keys = tuple(f"axis.{axis}.{what}" for axis in axes)
    return FormField(name=f"{axes}_{what}", keys=keys, asks=asks, find_out=find_out, if_wrong=if_wrong)


_TIMED: Final = (
    "Measure it: platelayer timing writes a file of short moves in the air; run it, stop the time, and let the same "
    "command work it out. Or take the controller's own setting, where you can read it."
)
_STALLS: Final = "Too high: a motor stalls in the wood and loses its place. Too low: it is slower than it need be."
_TOLD_TIME: Final = "Minutes are told wrong; and where it is really lower than you say, short moves rub, which burns."

_FORM: Final = (
    # What it is called
    FormField(
        name="title",
        keys=("title",),
        asks="What do you call the machine?",
        find_out="Any words; they stand on sheet and summary.",
        if_wrong="Nothing.",
    ),
    # How far it goes
    _travel("x"),
    _travel("y"),
    _travel("z"),
    # How fast it goes
    _pair(
        "feed",
        "xy",
        "How fast may it cut along x and y, at most?",
        "The fastest at which the slower of the two runs smoothly; half the rapid speed is a good start.",
        _STALLS,
    ),
    _pair("feed", "z", "How fast may it go down into wood, at most?", "As for x and y, along z.", _STALLS),
    _pair(
        "rapid",
        "xy",
        "How fast does it move above the wood, along x and y?",
        "The controller's setting of each axis, the slower of the two; or time a long move.",
        "Minutes are told wrong; nothing is cut wrong.",
    ),
    _pair(
        "rapid",
        "z",
        "How fast does it lift?",
        "The controller's setting for z.",
        "Minutes are told wrong; nothing is cut wrong.",
    ),
    # How briskly it starts
    _pair("acceleration", "xy", "How briskly do x and y get up to speed?", _TIMED, _TOLD_TIME),
    _pair("acceleration", "z", "How briskly does z?", "As for x and y, along z.", _TOLD_TIME),
    FormField(
        name="corner_deviation",
        keys=("cornering.deviation",),
        asks="By how much may the controller round a corner off?",
        find_out="Look in its settings for a length of about 0.01 mm that has to do with corners or junctions. "
        "Where it has a speed instead, leave this empty.",
        if_wrong="Minutes are told wrong, and whether the bit rubs in corners.",
        begins="0.01 mm",
        may_be_empty=True,
    ),
    FormField(
        name="corner_speed",
        keys=("cornering.speed",),
        asks="Or: by how much may an axis's speed jump at a corner?",
        find_out="Look in its settings for a jump of speed, often called jerk, where there is no such length.",
        if_wrong="Minutes are told wrong, and whether the bit rubs in corners.",
        may_be_empty=True,
    ),
    # The spindle
    FormField(
        name="spindle",
        keys=("spindle.kind",),
        asks="How is its speed set?",
        find_out="speed_word: by the file. dial: by hand on a dial. switch: not at all, it has one speed.",
        if_wrong="The spindle runs at another speed than the chips were reckoned for, or not at all.",
    ),
    FormField(
        name="dial",
        keys=("spindle.dial",),
        asks="Which marks has the dial, and which speeds do they stand for?",
        find_out="The manual has a table; write it slowest first, as 1 = 9000, 2 = 13000, 3 = 17000.",
        if_wrong="Chips come out thinner or thicker than meant: a thin chip rubs and burns, a thick one breaks bits.",
        only_if=("spindle", "dial"),
    ),
    FormField(
        name="slowest",
        keys=("spindle.slowest",),
        asks="Its slowest speed, in rev/min?",
        find_out="The manual, or the plate on the spindle.",
        if_wrong="A speed is asked for that it does not have, and it takes the nearest.",
        only_if=("spindle", "speed_word"),
    ),
    FormField(
        name="fastest",
        keys=("spindle.fastest",),
        asks="Its fastest speed, in rev/min?",
        find_out="The manual, or the plate on the spindle.",
        if_wrong="A speed is asked for that it does not have, and it takes the nearest.",
        only_if=("spindle", "speed_word"),
    ),
    FormField(
        name="only_speed",
        keys=("spindle.fastest",),
        asks="Its speed, in rev/min?",
        find_out="The manual, or the plate on the router.",
        if_wrong="Chips come out thinner or thicker than meant.",
        only_if=("spindle", "switch"),
    ),
    FormField(
        name="spin_up",
        keys=("spindle.spin_up",),
        asks="How many seconds until it turns at speed?",
        find_out="Listen: count from the switch to a steady note.",
        if_wrong="Too few: the bit goes into the wood too slow, and may break.",
        begins="4",
    ),
    FormField(
        name="holder_diameter",
        keys=("spindle.holder_diameter",),
        asks="How wide is the collet nut?",
        find_out="Caliper, over its corners.",
        if_wrong="Too small: the nut may rub on a wall that the dry run took for clear.",
    ),
    # Changing bits
    FormField(
        name="bit_change",
        keys=("bit_change.manner",),
        asks="How are bits changed?",
        find_out="files: each bit has a file of its own, which every machine can. pause: the file waits while "
        "you change it. tool_word: the machine changes it itself.",
        if_wrong="It goes on with the wrong bit. With files it cannot.",
        begins="files",
    ),
    FormField(
        name="can_zero_in_pause",
        keys=("bit_change.can_zero_in_pause",),
        asks="Can z be zeroed while a file waits?",
        find_out="Try it: pause a file in the air, and see whether zeroing is refused.",
        if_wrong="The next bit, longer or shorter, cuts at a wrong depth. With no, each bit gets its own file.",
        begins="no",
    ),
    # Zero and heights
    FormField(
        name="homes",
        keys=("places.homes",),
        asks="Does it find its own zero on switches when it is turned on?",
        find_out="Turn it on and see whether it drives to a corner by itself, or on a command to.",
        if_wrong="Whether zero can be had again after a stop is told wrong.",
    ),
    FormField(
        name="safe_height",
        keys=("places.safe_height",),
        asks="How high above the wood is clear of clamps and all?",
        find_out="Your highest clamp, and 5 mm.",
        if_wrong="Too low: the bit hits a clamp. Too high: z runs out of travel over thick boards.",
        begins="15 mm",
    ),
    FormField(
        name="clear_height",
        keys=("places.clear_height",),
        asks="How high above bare wood does the bit go from cut to cut?",
        find_out="As low as chips and a board's unevenness allow.",
        if_wrong="Too low: it drags through chips. Too high: it takes longer.",
        begins="4 mm",
    ),
    # What the controller takes
    FormField(
        name="arcs",
        keys=("dialect.arcs",),
        asks="Does it take arcs, G2 and G3?",
        find_out="Type G21, G90, G0 X0 Y0, then G2 X10 Y0 I5 J0 F500 with the bit high: it runs half a circle, "
        "or refuses it.",
        if_wrong="Yes where it does not: it refuses the file. No where it does: longer files, same pieces.",
    ),
    FormField(
        name="dwell_unit",
        keys=("dialect.dwell_unit",),
        asks="Does it count a wait in seconds or in thousandths, s or ms?",
        find_out="Type G4 P2 and count: two seconds is s; if it goes on at once, ms.",
        if_wrong="The bit goes into the wood before the spindle turns at speed, or the machine waits an hour.",
    ),
    FormField(
        name="comments",
        keys=("dialect.comments",),
        asks="How does it take remarks: brackets or semicolon?",
        find_out="Type (hello), then ; hello. The one that is not refused; brackets where both go.",
        if_wrong="It refuses the file.",
        begins="brackets",
    ),
    FormField(
        name="end_word",
        keys=("dialect.end_word",),
        asks="How does a file end: M2 or M30?",
        find_out="Either will do on most; the manual says.",
        if_wrong="It complains at the end of the file.",
        begins="M2",
    ),
)

FIELDS: Final = {field.name: field for field in _FORM}
"""All questions by name, in the order of the work."""


def beginnings() -> dict[str, str]:
    """The answers that a form begins with."""
    return {name: field.begins for name, field in FIELDS.items() if field.begins}


def open_questions(answers: Mapping[str, str]) -> tuple[FormField, ...]:
    """The questions that arise and are not answered yet, but must be."""
    return tuple(
        field
        for field in FIELDS.values()
        if field.is_asked(answers) and not field.may_be_empty and not answers.get(field.name, "").strip()
    )
