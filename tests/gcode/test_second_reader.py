"""The second reader agrees with the first on what the post writes, and says so when they differ."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from pygcode import Line, Machine
from pygcode.gcodes import MODAL_GROUP_MAP

from platelayer.gcode import second_reader
from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import LINES_MOST, second_reading, second_readings
from platelayer.post import program_text
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.findings import Code, Severity
from platelayer.values.motion import EventKind
from platelayer.values.tooling import BitChange, SpindleKind
from strategies_post import GROOVE, INCH_DIALECT, MACHINE, make_plan, plans, two_sections


def both(text):
    return second_reading(text, read_program(text, name="a.nc"))


@settings(max_examples=60)
@given(plans())
def test_both_readers_agree_on_every_program_the_post_writes(plan):
    assert both(program_text(plan.programs[0], plan=plan)) == ()


@settings(max_examples=40)
@given(plans(units=("mm",)))
def test_the_replay_ends_where_the_librarys_own_machine_does(plan):
    """The lighter use of the library stands or falls with its own Machine; block by block, in millimetres."""
    text = program_text(plan.programs[0], plan=plan)
    motion = read_program(text, name="a.nc")
    machine, ends = Machine(), []
    for line in text.splitlines():
        block = Line(second_reader._CUT_OFF.sub("", line)).block
        machine.process_block(block)
        if any(gcode.modal_group == MODAL_GROUP_MAP["motion"] for gcode in block.gcodes):
            ends.append([machine.pos.X, machine.pos.Y, machine.pos.Z])
    assert np.abs(np.array(ends) - motion.end).max() <= COINCIDENT_MM
    replay_modes = {"motion": 1, "plane_selection": 2, "distance": 3, "units": 6, "spindle": 107}
    assert {name: MODAL_GROUP_MAP[name] for name in replay_modes} == replay_modes
    assert machine.mode.spindle.word == "M5"


def test_numbers_of_the_modal_groups_are_the_librarys():
    names = ("motion", "plane_selection", "distance", "units", "stopping", "spindle", "feed_rate", "spindle_speed")
    ours = (
        second_reader._GROUP_MOTION,
        second_reader._GROUP_PLANE,
        second_reader._GROUP_DISTANCE,
        second_reader._GROUP_UNITS,
        second_reader._GROUP_STOP,
        second_reader._GROUP_SPINDLE,
        second_reader._GROUP_FEED,
        second_reader._GROUP_SPEED,
    )
    assert tuple(MODAL_GROUP_MAP[name] for name in names) == ours


FOREIGN = {
    "lower case, no blanks": "g21g90\ng0x1y2\ng1z-1f100\nm2\n",
    "blanks inside numbers, plus signs": "g0x +0. 12 34y 7\nM2\n",
    "place before its motion word": "X1 Y2 G1 F20\nM2\n",
    "line numbers and a stroke": "N10 G0 X1\n/N20 G0 X9\nN30 M30\n",
    "inches, then millimetres": "G20 G0 X1\nG21 G0 X5\nG20 G91 X1\nM2\n",
    "incremental": "G91 G1 X1 F9\nX1 Y2\nX-3\nG90 X0\nM2\n",
    "semicolon inside brackets": "G0 X1 (peg 7.94; hole)\nM2\n",
    "arc by radius": "G2 X10 R5 F3\nG3 X0 R-7\nM2\n",
    "G80 between motions": "G0 X1\nG80\nG1 X2\nM2\n",
    "words after the end": "G0 X1\nM2\nG0 X2\n",
    "per cent signs": "%\nG0 X1\n%\nG0 X7\n",
    "tool change stops the spindle": "M3\nG0 X1\nT2 M6\nG0 X2\nM3\nG0 X3\nM30\n",
    "dwell with its time in front": "P1 G4\nG0 X1\nM2\n",
    "spindle stops before the move": "M3 S9 G1 X1 F8\nX2 M5\nM2\n",
    "feed before the units of its line": "G21 G1 X1 F10\nG20 X1 F10\nX2 F10\nM2\n",
}


@pytest.mark.parametrize("text", FOREIGN.values(), ids=FOREIGN)
def test_both_readers_agree_on_other_hands_files(text):
    assert both(text) == ()


TEXT = "G21\nG0 Z5\nS9000\nM3\nG1 X10 Y0 F100\nG2 X20 I5 J0\nG0 Z5\nM5\nM2\n"
DAMAGES = {
    "end": ("G2 X20 I5 J0", "G2 X20.00001 I5.000005 J0", "a.nc:6: the two readers differ in end x: 20 and 20.00001."),
    "centre": ("I5 J0", "I4.9999 J0", "a.nc:6: the two readers differ in centre x: 15 and 14.9999."),
    "direction": ("G2 X", "G3 X", "a.nc:6: the two readers differ in kind: 2 and 3."),
    "feed": ("F100", "F101", "a.nc:5: the two readers differ in feed: 100 and 101."),
    "speed": ("S9000", "S900", "a.nc:5: the two readers differ in speed: 9000 and 900."),
    "spindle": ("M3\n", "M5\n", "a.nc:5: the two readers differ in spindle: 1 and 0."),
    "units": ("G21", "G20", "a.nc: the two readers differ in the units."),
    "plane": ("G21", "G21 G18", "a.nc: the second reader finds another plane than G17."),
    "a move more": ("M5\n", "M5\nG0 X0\n", "a.nc: the second reader sees 5 moves where the first sees 4."),
    "a line more": ("M3\n", "M3\n\n", "a.nc: the second reader finds the moves on other lines than the first."),
}


@pytest.mark.parametrize(("old", "new", "said"), DAMAGES.values(), ids=DAMAGES)
def test_a_text_that_is_not_the_one_read_is_found_out(old, new, said):
    motion = read_program(TEXT, name="a.nc")
    assert old in TEXT
    findings = second_reading(TEXT.replace(old, new, 1), motion)
    assert findings[0].text == said
    assert findings[0].code is Code.READING_SECOND_READER
    assert findings[0].severity is Severity.ERROR


def test_what_the_library_cannot_read_is_a_finding():
    motion = read_program(TEXT, name="a.nc")
    findings = second_reading(TEXT.replace("M3\n", "G0 G1 X1\n"), motion)
    assert findings[0].text.startswith("a.nc:4: the second reader cannot read this line: ")


def test_a_long_file_is_skipped_and_said_so():
    text = "".join(f"G0 X{number}\n" for number in range(LINES_MOST)) + "M2"
    findings = both(text)
    assert [(finding.code, finding.severity) for finding in findings] == [
        (Code.READING_SECOND_READER_SKIPPED, Severity.NOTE)
    ]
    assert findings[0].text == "a.nc has 20001 different lines; the second reader reads files of up to 20000."


def test_equal_lines_do_not_make_a_file_too_long():
    text = "G0 X1\nG0 X2\n" * LINES_MOST + "M2\n"
    motion = read_program(text, name="a.nc")
    assert second_reading(text, motion) == ()
    assert second_reading(text.replace("X2", "X3", 1), motion)[0].code is Code.READING_SECOND_READER


def test_path_modes_are_held_against_each_other():
    """The mode, its line, and its P in the program's own unit."""
    text = "G20\nG64 P0.001\nG91.1\nG0 X1\nG61\nG0 X2\nM2\n"
    assert both(text) == ()
    motion = read_program(text, name="a.nc")
    for spoilt in (text.replace("P0.001", "P0.01"), text.replace("G61", "G64"), text.replace("G91.1", "G90.1")):
        assert [finding.code for finding in second_reading(spoilt, motion)] == [Code.READING_SECOND_READER]


def test_several_files_at_once_give_what_each_gives_alone():
    texts = {"a.nc": TEXT, "b.nc": TEXT.replace("X10", "X11").replace("I5", "I4.5")}
    files = {name: (text, read_program(text, name=name)) for name, text in texts.items()}
    files["c.nc"] = (TEXT, files["b.nc"][1])
    readings = second_readings(files)
    assert list(readings) == ["a.nc", "b.nc", "c.nc"]
    assert [len(found) for found in readings.values()] == [0, 0, 2]


@pytest.mark.parametrize("dialect", [MACHINE.dialect, INCH_DIALECT], ids=["mm", "in"])
def test_bit_changes_and_pauses_are_read_alike(dialect):
    machine = replace(
        MACHINE,
        dialect=replace(dialect, tool_change_word=True),
        bit_change=BitChange.TOOL_WORD,
        can_zero_in_pause=True,
        spindle=SpindleKind.DIAL,
    )
    plan = make_plan(GROOVE, machine=machine, sections=two_sections())
    text = program_text(plan.programs[0], plan=plan)
    assert both(text) == ()
    assert sum(event.kind is EventKind.PAUSE for event in read_program(text, name="a.nc").events) == 4
