"""Minutes held against a planner that shares nothing with ours: its own reader, chords for arcs, look-ahead over all.

SOURCE: trapezoids of speed between corners, and the corner speeds of tests/outside/test_motion_corners.py; worked here.
"""

import pytest

from cli.jobs import ROOT
from platelayer.road.proving import prove
from proved import data_of, text_of, written
from referees.chord_planner import seconds_of

EXAMPLES = ("both-faces", "odd-lengths", "one-quarter-bit", "two-bits")  # every shipped machine


@pytest.mark.parametrize("name", EXAMPLES)
def test_minutes_are_those_of_a_planner_that_shares_nothing(name):
    contents = written((ROOT / "examples" / name / "job.toml").read_text(encoding="utf-8"))
    for file in prove(contents).report.files:
        other_s = seconds_of(text_of(contents, file.name), data_of(contents)["machine"])
        assert file.seconds_s == pytest.approx(other_s, rel=0.03), file.name


def test_the_other_planner_by_hand():
    # worked by hand: 100 mm at 50 mm/s, 500 mm/s2 up and down: 0.1 s each way over 2.5 mm, 95 mm between: 2.1 s;
    # a dwell of 3 s
    machine = {"accel": [500.0] * 3, "feed_max": [6000.0] * 3, "rapid": [6000.0] * 3, "dwell_unit": "s"}
    text = "G21\nG0 Z5\nG0 X0 Y0\nG4 P3\nG1 X100 F3000\nM30\n"
    assert seconds_of(text, machine | {"corner_speed": 0.0, "corner_deviation": 0.02}) == pytest.approx(5.1)
