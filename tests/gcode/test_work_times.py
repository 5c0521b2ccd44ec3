"""What a file's minutes go to: every second once, by what its comments name."""

import pytest

from gcode.motions import machine_of, motion_of
from platelayer.gcode.motion import move_times
from platelayer.gcode.work_times import work_times
from platelayer.values.minutes import Operation
from platelayer.values.motion import EventKind, MoveKind

LINE, RAPID = MoveKind.LINE, MoveKind.RAPID
MOVES = [
    (RAPID, (10.0, 0.0, 4.0), 0.0),
    (LINE, (10.0, 0.0, 0.0), 300.0),  # straight down
    (LINE, (90.0, 0.0, -2.0), 1500.0),
    (LINE, (90.0, 0.0, -4.0), 300.0),  # straight down
    (LINE, (10.0, 0.0, -4.0), 1500.0),
    (RAPID, (10.0, 0.0, 4.0), 0.0),
]


def comments(*said):
    return [(EventKind.COMMENT, at + 1, at, 0.0, text) for at, text in said]


def times_of(*events):
    """Seconds by operation and bit, and what the moves take by themselves."""
    motion = motion_of(MOVES, events=events)
    time = move_times(motion, machine_of())
    found = work_times(motion, time, ["flat-3.175"])
    assert sum(one.seconds_s for one in found) == pytest.approx(time.total_s)
    return {(one.operation, one.bit): one.seconds_s for one in found}, time.seconds_s


def test_every_second_has_its_operation_and_rapids_have_no_bit():
    times, each = times_of(*comments((0, "long-01 groove"), (1, "grooves come first"), (4, "long-01 outline")))
    assert times == {
        (Operation.GROOVES, "flat-3.175"): pytest.approx(each[2]),
        (Operation.SLOTS, "flat-3.175"): pytest.approx(each[4]),
        (Operation.PLUNGES, "flat-3.175"): pytest.approx(each[1] + each[3]),
        (Operation.RAPIDS, ""): pytest.approx(each[0] + each[5]),
    }


def test_an_outline_that_says_so_is_finished():
    times, each = times_of(*comments((0, "long-01 outline"), (4, "long-01 outline finish")))
    assert times[Operation.SLOTS, "flat-3.175"] == pytest.approx(each[2])
    assert times[Operation.FINISH, "flat-3.175"] == pytest.approx(each[4])


def test_a_file_without_names_has_other_cuts_and_waits_are_counted():
    times, each = times_of((EventKind.DWELL, 1, 0, 4.0))
    assert times[Operation.OTHER, "flat-3.175"] == pytest.approx(each[2] + each[4])
    assert times[Operation.WAITS, ""] == pytest.approx(4.0)
