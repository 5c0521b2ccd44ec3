"""The reader: columns, events, both ways agreeing, faults with their place."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from platelayer.errors import ReadError
from platelayer.gcode.reader import FAULTS_MOST, read_program
from platelayer.gcode.reader_plain import scan_plain
from platelayer.values.motion import Event, EventKind, MoveKind
from strategies_post import OTHER_LINES, SOUND_LINES, near_gcode, programs

COLUMNS = ("kind", "line", "start", "end", "centre", "feed", "speed", "spindle_on", "bit")


def outcome(text, **options):
    """The motion or the faults, in a form that compares to the last bit."""
    try:
        motion = read_program(text, name="a.nc", **options)
    except ReadError as error:
        return error.faults
    columns = tuple((getattr(motion, name).dtype, getattr(motion, name).tobytes()) for name in COLUMNS)
    events = tuple((event.kind, event.line, event.before, repr(event.value), event.text) for event in motion.events)
    return columns, events, motion.line_count, motion.is_ended


@settings(max_examples=100)
@given(programs())
def test_plain_way_and_exact_way_agree_to_the_last_bit(text):
    assert outcome(text) == outcome(text, is_exact=True)


def test_plain_way_is_taken_and_agrees_on_a_long_program():
    lines = [f"G1 X{n % 97}.{n % 10} Y-.{n % 89} Z{-n % 7}" for n in range(500)]
    lines += [f"g{2 + n % 2} x{n % 2 * 10} y0 i{n % 2 * 10 - 5} f{n % 3 + 1}" for n in range(2, 500)]
    text = "G21 F10\nG0 X10 Y0\n" + "\n".join(lines[500:] + lines[:500]) + "\nG20\n" + "\n".join(lines[:500]) + "\nM2\n"
    assert outcome(text) == outcome(text, is_exact=True)
    assert len(read_program(text, name="a.nc")) == 1499


@pytest.mark.parametrize(
    "odd", [*OTHER_LINES, *SOUND_LINES, "F-5 X1", "G1 X1 ", "12", "-", ".", "G4 X1", "G1 X1 Z" + " " * 250 + "5"]
)
@pytest.mark.parametrize("last", ["G1 X3 Y-4.5", "G3 X0 Y0 I-0.5 J-.5"], ids=["after a line", "after an arc"])
def test_one_odd_line_among_plain_ones_is_read_alike_both_ways(odd, last):
    run = ["G1 X1 Y1 F10", "Z-2"] * 30 + ["G1 X1 Y1", last]
    text = "\n".join(["M3", "(PAUSE before)", *run, odd, "X5", *run, "M2", ""])
    assert outcome(text) == outcome(text, is_exact=True)


def test_plain_lines_are_taken_the_plain_way_and_others_are_not():
    plain = ["G1 X1", "x-.5y+2.", "Z0001.5 F10", "\tG3 X1 Y2 Z3 I4 J5 F6\r", "G01 Y1"]
    other = [
        "G1",
        "F10",
        "I1 J1",
        "G4 X1",
        "G1 X1 (a)",
        "M3",
        "G1 X1 X2",
        "X1.2.3",
        "X123456789012345.6",
        "5",
        "G1 G1 X1",
    ]
    lines = [*plain, "", "  \r", *other, "G1 X1"]
    scan = scan_plain("\n".join(lines), len(lines))
    assert [line for line, is_plain in zip(lines, scan.is_plain, strict=True) if is_plain] == [*plain, "G1 X1"]
    assert [line for line, is_empty in zip(lines, scan.is_empty, strict=True) if is_empty] == ["", "  \r"]


@settings(max_examples=75)
@given(near_gcode | st.text(max_size=60))
def test_nothing_but_a_read_error_comes_of_any_text(text):
    for is_exact in (False, True):
        try:
            read_program(text, name="a.nc", is_exact=is_exact)
        except ReadError as error:
            lines = text.split("\n")
            assert all(1 <= fault.line <= len(lines) and fault.column >= 1 for fault in error.faults)
            assert str(error)


@given(
    st.sampled_from(["x{}", "G1 X{}", "G3 X1 Y1 I{}", "F{}", "S{}", "G4 P{}", "T{}", "G{}", "M{}", "N{}"]), st.text()
)
def test_a_bad_number_anywhere_is_a_read_error_or_a_reading(pattern, number):
    outcome("G1 X0 Y0\n" + pattern.format(number) + "\nM2")


PROGRAM = """(made by hand)
G21 G90
(BIT 1 flat-3.175)
(PAUSE switch the router on)
M0
S18000
M3
G4 P3
G0 X10 Y20 Z5
G1 Z-2 F300
G2 X20 Y30 I10 J0 F1200
G3 X30 Y40 Z-3 I0 J10
G0 Z5
M5
(BIT 2 flat-6.35)
T2 M6
G20
G0 X1 Y0
M30
"""


def test_columns_of_a_short_program():
    motion = read_program(PROGRAM, name="a.nc")
    assert motion.name == "a.nc"
    assert motion.kind.tolist() == [0, 1, MoveKind.ARC_CW, MoveKind.ARC_CCW, 0, 0]
    assert motion.line.tolist() == [9, 10, 11, 12, 13, 18]
    assert motion.start.tolist()[:2] == [[0.0, 0.0, 0.0], [10.0, 20.0, 5.0]]
    assert motion.end.tolist() == [
        [10.0, 20.0, 5.0],
        [10.0, 20.0, -2.0],
        [20.0, 30.0, -2.0],
        [30.0, 40.0, -3.0],
        [30.0, 40.0, 5.0],
        [25.4, 0.0, 5.0],
    ]
    assert motion.centre[2:4].tolist() == [[20.0, 20.0], [20.0, 40.0]]
    assert np.isnan(motion.centre[[0, 1, 4, 5]]).all()
    assert motion.feed.tolist() == [0.0, 300.0, 1200.0, 1200.0, 0.0, 0.0]
    assert motion.speed.tolist() == [18000.0] * 6
    assert motion.spindle_on.tolist() == [True] * 5 + [False]
    assert motion.bit.tolist() == [0, 0, 0, 0, 0, 1]
    assert (motion.line_count, motion.is_ended) == (19, True)
    assert not motion.end.flags.writeable


def test_events_of_a_short_program():
    events = [event for event in read_program(PROGRAM, name="a.nc").events if event.kind is not EventKind.COMMENT]
    assert events == [
        Event(EventKind.UNITS, 2, 0, 1.0, "G21"),
        Event(EventKind.MODE, 2, 0, 0.0, "G90"),
        Event(EventKind.BIT, 3, 0, 1.0, "flat-3.175"),
        Event(EventKind.PAUSE, 5, 0, 0.0, "PAUSE switch the router on"),
        Event(EventKind.SPEED, 6, 0, 18000.0),
        Event(EventKind.SPINDLE_ON, 7, 0, 18000.0, "M3"),
        Event(EventKind.DWELL, 8, 0, 3.0),
        Event(EventKind.SPINDLE_OFF, 14, 5, 18000.0, "M5"),
        Event(EventKind.BIT, 15, 5, 2.0, "flat-6.35"),
        Event(EventKind.TOOL, 16, 5, 2.0, "T"),
        Event(EventKind.TOOL, 16, 5, 2.0, "M6"),
        Event(EventKind.UNITS, 17, 5, 25.4, "G20"),
        Event(EventKind.END, 19, 6, 0.0, "M30"),
    ]


def test_speed_is_unknown_before_the_first_speed_word():
    motion = read_program("G0 X1\nS5\nG0 X2\nM2\n", name="a.nc")
    assert math.isnan(motion.speed[0])
    assert motion.speed[1] == 5.0


def test_start_may_be_stated():
    motion = read_program("G91 G1 X1\nM2\n", name="a.nc", start_mm=(1.0, 2.0, 50.0))
    assert motion.start.tolist() == [[1.0, 2.0, 50.0]]
    assert motion.end.tolist() == [[2.0, 2.0, 50.0]]


def test_nothing_is_a_program_of_no_moves_and_no_end():
    motion = read_program("", name="a.nc")
    assert (len(motion), motion.line_count, motion.is_ended) == (0, 0, False)
    assert motion.start.shape == (0, 3)


@pytest.mark.parametrize("cut", range(1, len(PROGRAM.splitlines())))
def test_a_program_cut_short_is_not_ended(cut):
    text = "\n".join(PROGRAM.splitlines()[:cut]) + "\n"
    assert not read_program(text, name="a.nc").is_ended


def test_a_pause_after_a_move_is_not_taken_for_the_one_announced():
    events = read_program("(PAUSE one)\nG0 X1\nM0\nM2\n", name="a.nc").events
    assert [event.text for event in events if event.kind is EventKind.PAUSE] == [""]


def test_a_bit_in_a_semicolon_comment_counts():
    assert read_program("; (BIT 3 x)\nG0 X1\nM2\n", name="a.nc").bit.tolist() == [2]


MESSAGES = {
    "G1 X1 X2": "a.nc:2:7: the letter X stands twice on a line",
    "G0 G1 X1": "a.nc:2:4 G1: two words of one group (motion) on a line, the other is G0",
    "G1 X1 W2": "a.nc:2:7 W2: only the axes X, Y and Z are read. Write the program for three axes.",
    "G41": "a.nc:2:1 G41: cutter compensation is not read. Write the path of the bit's centre.",
    "G12": "a.nc:2:1 G12: this word is not read",
    "G1 X[1]": "a.nc:2:5 [: expressions and parameters are not read. Write the number it comes to.",
    "G1 X1 (a": "a.nc:2:7: the comment is not closed on its line. Close it, and use no brackets inside.",
    "G1 X1 (a (b) c)": "a.nc:2:7: a comment inside a comment. Close it, and use no brackets inside.",
    "G1 X1) ": "a.nc:2:6: a comment ends that never began",
    "G1 X1.2.3": "a.nc:2:4 X1.2.3: not a number",
    "G1 X": "a.nc:2:4: the letter X has no number",
    "4": "a.nc:2:1: a number without a letter",
    "G1 X1 é": "a.nc:2:7 U+00E9: this character is not read",
    "X1": "a.nc:2:1: a place without a motion word in force. Write G0, G1, G2 or G3 first.",
    "G0": "a.nc:2:1: G0 without X, Y or Z",
    "G80 X1": "a.nc:2:1: G80 moves nothing, so it takes no X, Y or Z",
    "G1 X1 I2": "a.nc:2:7: nothing on this line uses the letter I",
    "G4": "a.nc:2:1: G4 needs a P word",
    "G64 G4 P1": "a.nc:2:5: G4 and G64 on one line, and P belongs to only one of them",
    "G61 P1": "a.nc:2:5: nothing on this line uses the letter P",
    "G90.1": "a.nc:2:1 G90.1: arc centres counted from zero are not read. "
    "Write I and J from where the arc starts, G91.1.",
    "G4 P-1": "a.nc:2:4 P-1: less than zero",
    "T1.5": "a.nc:2:1 T1.5: a tool number is a small whole number",
    "G2 I5": "a.nc:2:1: G2 without X, Y or Z",
    "G2 Z1 I5": "a.nc:2:1: G2 needs X or Y",
    "G2 X5": "a.nc:2:1: G2 needs I or J",
    "G2 X5 R9 I1": "a.nc:2:7: G2 takes R or I and J, not both",
    "G2 X0 R9": "a.nc:2:7 R9: G2 with R ends where it starts",
    "G2 X9 R4": "a.nc:2:7 R4: G2 has a radius too small to reach its end",
    "G2 X9 I0": "a.nc:2:1: G2 has its centre at its start",
    "G3 X8.031 Y0 I4": (
        "a.nc:2:1: the arc (G3) does not come out where it should: its end lies 0.031 mm off the circle that it begins "
        "on; 0.002 mm is allowed."
        " The file was changed or written with too few digits."
    ),
    "M7 M8 M9": "a.nc:2:4 M8: two words of one group (coolant) on a line, the other is M7",
    "N123456 G0 X1": "a.nc:2:1 N123456: a line number has one to 5 digits and nothing else",
    "G0 N1 X1": "a.nc:2:4: a line number stands only at the start of a line",
    "G0 X1" + " " * 260: "a.nc:2:257: the line has 265 characters; the limit is 256",
}


@pytest.mark.parametrize(("line", "message"), MESSAGES.items(), ids=[line[:20] for line in MESSAGES])
def test_messages(line, message):
    with pytest.raises(ReadError) as caught:
        read_program(f"G21\n{line}\nM2\n", name="a.nc")
    assert str(caught.value) == message


def test_all_faults_of_a_file_are_reported_at_once():
    with pytest.raises(ReadError) as caught:
        read_program("G1 X\nG1 X5 Y5\nG2 X9 I1\nM2\n", name="a.nc")
    assert [(fault.line, fault.code) for fault in caught.value.faults] == [
        (1, "reading-syntax"),
        (3, "reading-arc-radii-differ"),
    ]
    assert caught.value.faults[1].limit_mm == 0.002
    assert caught.value.faults[1].measured_mm == 2.0  # worked by hand: radii 1 and 3


def test_an_arc_after_an_unreadable_line_is_not_blamed_for_it():
    with pytest.raises(ReadError) as caught:
        read_program("G1 X[10] Y0\nG2 X20 Y0 I5\nM2\n", name="a.nc")
    assert [fault.line for fault in caught.value.faults] == [1]


def test_a_file_that_is_no_program_stops_at_a_number_of_faults():
    with pytest.raises(ReadError) as caught:
        read_program("no program\n" * 1000, name="a.nc")
    assert len(caught.value.faults) == FAULTS_MOST
