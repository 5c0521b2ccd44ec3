"""Lines that RS274/NGC accepts and refuses, and the order in which it executes the words of a line.

SOURCE: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter - Version 3, NISTIR 6556, 17 August
2000; clause numbers stand beside each case.
"""

import math

import numpy as np
import pytest

from platelayer.errors import ReadError
from platelayer.gcode.reader import read_program
from platelayer.values.motion import EventKind

ACCEPTED = {
    "256 characters (3.3)": "G1 X1" + " " * 251,
    "block delete (3.3)": "/G1 X1",
    "line number of five digits (3.3.1)": "N99999 G1 X1",
    "line number zero (3.3.1)": "N0 G1 X1",
    "number that begins with its point (3.3.2.1)": "G1 X.5",
    "number that ends with its point (3.3.2.1)": "G1 X5.",
    "plus sign (3.3.2.1)": "G1 X+0.5",
    "many noughts (3.3.2.1)": "G1 X0000.50000",
    "code within 0.0001 of an integer (3.3.2.1)": "G1.00005 X1",
    "lower case (3.3)": "g1 x1",
    "comment between words (3.3.4)": "G1 (straight) X1",
    "message (3.3.5)": "(MSG,hello) G1 X1",
    "two comments (3.3.4)": "(one) G1 X1 (two)",
    "four M words (3.3.5)": "M3 M6 M8 M0 T1",
    "G words of different groups (table 4)": "G17 G21 G90 G94 G40 G49 G54 G61 G1 X1",
    "words in any order (3.3.5)": "X1 F20 G1",
    "dwell (3.5.4)": "G4 P0.5",
    "arc by I alone (3.5.3.2)": "G2 X2 Y0 I1",
    "arc that ends where it starts, centre form (3.5.3)": "G2 X0 Y0 I5",
    "arc by a negative radius (3.5.3.1)": "G3 X1 Y1 R-1",
    "tolerated, not in the standard: semicolon comment": "G1 X1 ; note (with a bracket",
    "tolerated, not in the standard: semicolon inside brackets": "G1 X1 (a ; b)",
}

REFUSED = {
    "257 characters (3.3)": ("G1 X1" + " " * 252, 257),
    "line number of six digits (3.3.1)": ("N000009 G1 X1", 1),
    "signed line number (3.3.1)": ("N-1 G1 X1", 1),
    "line number with a point (3.3.1)": ("N1.5 G1 X1", 1),
    "line number not in front (3.3)": ("G1 N10 X1", 4),
    "exponent (3.3.2.1)": ("G1 X1e-05", 6),
    "two points (3.3.2.1)": ("G1 X1.2.3", 4),
    "no digit (3.3.2.1)": ("G1 X.", 4),
    "sign alone (3.3.2.1)": ("G1 X-", 4),
    "letter without a number (3.3.2)": ("G1 X Y2", 4),
    "number without a letter (3.3.2)": ("12 G1 X1", 1),
    "code off an integer by more than 0.0001 (3.3.2.1)": ("G1.0002 X1", 1),
    "nested comment (3.3.4)": ("G1 X1 (a (b) c)", 7),
    "unclosed comment (3.3.4)": ("G1 X1 (a", 7),
    "closing bracket alone (3.3.4)": ("G1 X1 a)", 7),
    "unknown letter": ("G1 X1 W2", 7),
    "unknown code": ("G1 G12 X1", 4),
    "two words of the motion group (table 4)": ("G0 G1 X1", 4),
    "G80 and a motion (table 4)": ("G80 G1 X1", 5),
    "two words of the unit group (table 4)": ("G20 G21", 5),
    "two words of the distance group (table 4)": ("G90 G91", 5),
    "two words of the stop group (table 4)": ("M0 M2", 4),
    "two words of the spindle group (table 4)": ("M3 M5", 4),
    "two words of the coolant group (table 4)": ("M8 M9", 4),
    "a letter twice (3.3.5)": ("G1 X1 X2", 7),
    "G0 without a place (3.5.1)": ("G0", 1),
    "G1 without a place (3.5.2)": ("G1 F20", 1),
    "place without a motion in force": ("X1", 1),
    "place after G80 on its line": ("G80 X1", 1),
    "arc without a place (3.5.3)": ("G2 I5", 1),
    "arc with Z alone (3.5.3)": ("G2 Z1 I5", 1),
    "arc without a centre (3.5.3)": ("G2 X1 Y1", 1),
    "arc with R and I (3.5.3)": ("G2 X1 Y1 R1 I1", 10),
    "arc by radius that ends where it starts (3.5.3.1)": ("G2 X0 Y0 R5", 10),
    "arc by a radius too small (3.5.3.1)": ("G2 X10 Y0 R4.9", 11),
    "I without an arc": ("G1 X1 I1", 7),
    "dwell without a time (3.5.4)": ("G4", 1),
    "dwell less than zero (3.5.4)": ("G4 P-1", 4),
    "speed less than zero (3.7.2)": ("S-1", 1),
    "feed less than zero (3.7.1)": ("F-1", 1),
    "expression, in the standard but not read": ("G1 X[1+2]", 5),
    "parameter, in the standard but not read": ("G1 X#1", 5),
    "inverse time, in the standard but not read": ("G93", 1),
    "another plane, in the standard but not read": ("G18", 1),
    "compensation, in the standard but not read": ("G41", 1),
}


@pytest.mark.parametrize("line", ACCEPTED.values(), ids=ACCEPTED)
def test_the_standard_accepts(line):
    read_program(line + "\nM2\n", name="a.nc")


@pytest.mark.parametrize(("line", "column"), REFUSED.values(), ids=REFUSED)
def test_the_standard_or_the_subset_refuses(line, column):
    with pytest.raises(ReadError) as caught:
        read_program(f"G21\n{line}\nM2\n", name="a.nc")
    fault = caught.value.faults[0]
    assert (fault.file, fault.line, fault.column) == ("a.nc", 2, column)


def test_blanks_count_for_nothing_even_inside_numbers():
    """3.3: ``g0 x +0. 12 34y 7`` is the same as ``g0 x+0.1234 y7``."""
    motion = read_program("g0x +0. 12 34y 7\nM2\n", name="a.nc")
    assert motion.end.tolist() == [[0.1234, 7.0, 0.0]]


def test_only_the_last_comment_of_a_line_is_used():
    """3.3.4."""
    motion = read_program("(BIT 1 one) G0 X1 (BIT 2 two)\nM2\n", name="a.nc")
    assert [(event.value, event.text) for event in motion.events if event.kind is EventKind.BIT] == [(2.0, "two")]
    assert motion.bit.tolist() == [1]


ORDER = {
    "spindle stops before the move of its line": ("M3\nG1 X1 M5", [False]),
    "spindle starts before the move of its line": ("G1 X1 M3", [True]),
}


@pytest.mark.parametrize(("text", "spindle"), ORDER.values(), ids=ORDER)
def test_table_8_spindle_before_motion(text, spindle):
    assert read_program(text + "\nM2\n", name="a.nc").spindle_on.tolist() == spindle


def test_table_8_speed_and_feed_before_motion_and_stop_after_it():
    motion = read_program("X1 M2 G1 F20 S4000 M3\nG1 X9\n", name="a.nc")
    assert motion.end.tolist() == [[1.0, 0.0, 0.0]]
    assert (motion.feed.tolist(), motion.speed.tolist(), motion.spindle_on.tolist()) == ([20.0], [4000.0], [True])
    assert motion.events[-1].kind is EventKind.END
    assert motion.events[-1].before == 1


def test_table_8_speed_is_set_before_the_spindle_turns():
    events = read_program("M3 S12000\nM2\n", name="a.nc").events
    assert [(event.kind, event.value) for event in events[:2]] == [
        (EventKind.SPEED, 12000.0),
        (EventKind.SPINDLE_ON, 12000.0),
    ]


def test_table_8_units_and_distance_before_motion_but_after_feed():
    motion = read_program("G21 G90 G1 X1 F10\nG91 G20 X1 F10\nX1 F10\nM2\n", name="a.nc")
    assert motion.end[:, 0] == pytest.approx([1.0, 26.4, 51.8], abs=1e-12)  # 1 in = 25.4 mm, ISO 1
    assert motion.feed == pytest.approx([10.0, 10.0, 254.0], abs=1e-12)


def test_table_8_dwell_before_motion():
    events = read_program("G1 X1 G4 P2\nM2\n", name="a.nc").events
    assert [(event.kind, event.before, event.value) for event in events[:1]] == [(EventKind.DWELL, 0, 2.0)]


PER_CENT = {
    "both signs, no end word (3.1)": ("%\nG0 X1\n%\n", 1, True),
    "both signs and an end word (3.1)": ("\n %\nG0 X1\nM2\n%\n", 1, True),
    "text after the second sign is ignored (3.1)": ("%\nG0 X1\n%\nrubbish\n", 1, True),
    "first sign only, end word (3.1)": ("%\nG0 X1\nM30\n", 1, True),
    "first sign only, no end word (3.1)": ("%\nG0 X1\n", 1, False),
    "no sign, end word (3.1)": ("G0 X1\nM2\n\n", 1, True),
    "no sign, no end word (3.1)": ("G0 X1\n", 1, False),
    "lines after the end word are not executed (3.6.1)": ("G0 X1\nM2\nG0 X[\n", 1, False),
}


@pytest.mark.parametrize(("text", "moves", "is_ended"), PER_CENT.values(), ids=PER_CENT)
def test_ends_of_a_program(text, moves, is_ended):
    motion = read_program(text, name="a.nc")
    assert (len(motion), motion.is_ended) == (moves, is_ended)


@pytest.mark.parametrize("end", ["M2", "M30"])
def test_the_end_word_stops_the_spindle(end):
    """3.6.1."""
    events = read_program(f"M3\nG0 X1\n{end}\n", name="a.nc").events
    assert [event.kind for event in events[-2:]] == [EventKind.SPINDLE_OFF, EventKind.END]


LIMITS = {
    "millimetres, just within 0.002": ("G21", "G2 X10.0019 Y0 I5", True),
    "millimetres, just beyond 0.002": ("G21", "G2 X10.0021 Y0 I5", False),
    "inches, just within 0.0002": ("G20", "G2 X10.00019 Y0 I5", True),
    "inches, just beyond 0.0002": ("G20", "G2 X10.00021 Y0 I5", False),
}


@pytest.mark.parametrize(("units", "line", "is_sound"), LIMITS.values(), ids=LIMITS)
def test_radii_of_an_arc_may_differ_by_the_limit_of_the_unit(units, line, is_sound):
    """3.5.3.2: 0.002 mm or 0.0002 in."""
    text = f"{units}\n{line}\nM2\n"
    if is_sound:
        assert len(read_program(text, name="a.nc")) == 1
        return
    with pytest.raises(ReadError) as caught:
        read_program(text, name="a.nc")
    assert caught.value.faults[0].code == "reading-arc-radii-differ"


def test_centre_of_an_arc_counts_from_the_current_point_in_either_distance_mode():
    """3.5.3.2."""
    absolute = read_program("G90 G0 X7 Y7\nG2 X10 Y16 I3 J4\nM2\n", name="a.nc")
    relative = read_program("G90 G0 X7 Y7\nG91 G2 X3 Y9 I3 J4\nM2\n", name="a.nc")
    assert np.array_equal(absolute.centre[1], relative.centre[1])
    assert absolute.end[1].tolist() == relative.end[1].tolist() == [10.0, 16.0, 0.0]


def test_semicircle_by_radius_has_its_centre_between_its_ends():
    """3.5.3.1 allows it, though it warns of arcs near a half."""
    motion = read_program("G2 X10 Y0 R5\nM2\n", name="a.nc")
    assert motion.centre[0].tolist() == pytest.approx([5.0, 0.0], abs=1e-9)
    assert math.isnan(read_program("G1 X1\nM2\n", name="a.nc").centre[0, 0])
