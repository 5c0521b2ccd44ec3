"""An axis timed by hand: the acceleration is that which the timing of moves itself goes by."""

import math

import numpy as np
import pytest

from gcode.motions import machine_of
from platelayer.errors import JobError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.job.timed_moves import TimedMoves, acceleration_mm_s2, acceleration_range_mm_s2
from platelayer.post.timed_moves import timed_moves_text


@pytest.mark.parametrize(
    ("took", "accel"),
    [
        (52.5, 400.0),  # worked by hand: 100 (20 / 50 + 50 / 400)
        (80.0, 125.0),  # worked by hand: the feed is reached at the very middle, 50^2 / 125 = 20
        (100.0, 80.0),  # worked by hand: never reached, 100 * 2 sqrt(20 / 80)
    ],
)
def test_worked_by_hand(took, accel) -> None:
    assert acceleration_mm_s2(TimedMoves(), took_s=took) == pytest.approx(accel)


@pytest.mark.parametrize("accel", [60.0, 125.0, 400.0, 1500.0])
def test_what_the_watch_says_is_what_the_minutes_go_by(accel) -> None:
    moves = TimedMoves()
    text = timed_moves_text("x", count=moves.count, length_mm=moves.length_mm, feed_mm_min=moves.feed_mm_min)
    seconds = move_times(read_program(text, name="t"), machine_of(accel_mm_s2=(accel,) * 3)).total_s
    assert acceleration_mm_s2(moves, took_s=seconds) == pytest.approx(accel, rel=1e-3)


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_the_moves_go_along_one_axis_from_where_it_stands(axis) -> None:
    motion = read_program(timed_moves_text(axis, count=100, length_mm=20, feed_mm_min=3000), name="t")
    other = [n for n in range(3) if "xyz"[n] != axis]
    assert np.all(motion.end[:, other] == 0)
    assert set(motion.end[:, "xyz".index(axis)]) == {0.0, 20.0}
    assert len(motion) == 100
    assert motion.is_ended
    assert not motion.spindle_on.any()


def test_less_time_than_the_feed_takes_is_refused() -> None:
    with pytest.raises(JobError) as caught:
        acceleration_mm_s2(TimedMoves(), took_s=40.0)
    assert str(caught.value.in_unit("mm")) == (
        "--took = 40 s: less than the feed alone takes for 100 moves of 20.000 mm (~25/32 in), 40.0 s. Time all of "
        "them, and look whether the controller holds this feed back or runs it faster."
    )


def test_a_watch_is_never_exact() -> None:
    low, high = acceleration_range_mm_s2(TimedMoves(), took_s=52.5)
    assert low < 400 < high
    assert acceleration_range_mm_s2(TimedMoves(), took_s=40.3)[1] == math.inf
