"""What a controller is reported corners, arc centres and messages, and only where its profile says that it takes it."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings

from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import second_reading
from platelayer.post import program_text
from platelayer.units import MM_PER_INCH
from platelayer.values.motion import EventKind
from platelayer.values.tooling import BitChange, SpindleKind
from strategies_post import GROOVE, INCH_DIALECT, MACHINE, MM_DIALECT, make_plan, plans, two_sections


def written(plan):
    return program_text(plan.programs[0], plan=plan)


def said_before_moving(text):
    """The words said between every stop, the file's beginning among them, and the move after it."""
    said, found = [], []
    for line in text.splitlines():
        if re.match(r"M0\b|M6\b", line):
            said = []
        elif re.match(r"G[0-3] ", line):
            found.append(said)
        elif not line.startswith(("(", ";")):
            said = [*said, line]
    return found


@given(plans())
def test_modes_are_said_again_after_every_stop_and_only_where_the_controller_takes_them(plan):
    dialect, text = plan.machine.dialect, written(plan)
    for said in said_before_moving(text):
        assert [line for line in said if line.startswith(("G61", "G64"))][:1] == (
            []
            if not dialect.path_mode
            else [next(word for word in dialect.modes if word.startswith(dialect.path_mode))]
        )
        assert ("G91.1" in said) == dialect.arc_centre_word
    assert ("(MSG, " in text) <= dialect.messages


@settings(max_examples=30)
@given(plans())
def test_the_tolerance_that_is_read_back_is_the_profiles(plan):
    dialect, text = plan.machine.dialect, written(plan)
    motion = read_program(text, name="a.nc")
    read = {event.value for event in motion.events if event.kind is EventKind.MODE and event.text in {"G61", "G64"}}
    # half of the last digit written is the most that a number may be off
    digit = 10.0**-dialect.decimals * (MM_PER_INCH if dialect.units == "in" else 1)
    assert bool(read) == bool(dialect.path_mode)
    assert all(value == pytest.approx(dialect.path_tolerance_mm, abs=digit / 2) for value in read)
    assert second_reading(text, motion) == ()


@pytest.mark.parametrize("change", [BitChange.PAUSE, BitChange.TOOL_WORD])
@pytest.mark.parametrize("dialect", [MM_DIALECT, INCH_DIALECT], ids=["mm", "in"])
def test_every_stop_says_what_it_asks_as_a_message_too(dialect, change):
    machine = replace(
        MACHINE,
        spindle=SpindleKind.DIAL,
        bit_change=change,
        can_zero_in_pause=True,
        dialect=replace(dialect, messages=True, tool_change_word=change is BitChange.TOOL_WORD),
    )
    lines = written(make_plan(machine=machine, sections=two_sections())).splitlines()
    since = 0
    for at, line in enumerate(lines):
        if line not in {"M0", "M6"}:
            continue
        said = [one.strip("()") for one in lines[since:at] if one.startswith("(")]
        shown = " ".join(one.removeprefix("MSG, ") for one in said if one.startswith("MSG, "))
        asked = said[-1].removeprefix("PAUSE ") if said[-1].startswith("PAUSE ") else None
        if asked is None:
            assert re.fullmatch(r"Put in flat-\S+, zero z again, lift it, resume", shown)
        else:
            assert shown == asked, "the message stands before the reason, which stands right before its stop"
        since = at + 1
    assert since


def test_what_a_stop_asks_for_the_longest_of_the_shipped_bits_is_one_message():
    """Of two a controller may show the last alone, and "resume" is not what the machine stopped for."""
    first, second = two_sections()
    longest = replace(second.bit, id="flat-6.35-compression")
    machine = replace(MACHINE, can_zero_in_pause=True, dialect=replace(MM_DIALECT, messages=True))
    text = written(make_plan(machine=machine, sections=(first, replace(second, bit=longest))))
    assert [line for line in text.splitlines() if line.startswith("(MSG, ") and not line.endswith("resume)")] == []
    assert "(MSG, resume)" not in text
    assert "(MSG, Put in flat-6.35-compression" in text


def test_a_message_of_someone_elses_file_is_what_its_stop_asks():
    # source: NISTIR 6556, 3.3.4: MSG and a comma after the bracket, blanks and small letters allowed
    motion = read_program("(msg , put in the ball)\nM0\nM2\n", name="a.nc")
    assert [event.text for event in motion.events if event.kind is EventKind.PAUSE] == ["put in the ball"]


def test_free_text_is_set_off_only_where_it_would_be_heeded():
    plan = replace(make_plan(GROOVE), material="BIT 1 wood")
    assert "(- BIT" not in written(replace(plan, job_name="bit of wood"))
