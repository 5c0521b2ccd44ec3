"""Corner speeds against the worked values of the junction-deviation formula.

SOURCE: R = d sin(h) / (1 - sin(h)), v^2 = a R with h half the angle between the segments; the formula is repeated in
the comments of open motion planners. The values below were computed from it by hand to seven figures, since no
published worked numbers were found: at a = 500 mm/s2, d = 0.02 mm.
"""

import math

import numpy as np
import pytest

from gcode.motions import machine_of, motion_of
from platelayer.gcode.motion import move_times
from platelayer.values.motion import MoveKind

# source: R / d = 1, 1 + sqrt 2, 3 + 2 sqrt 3, then to six figures; v = sqrt(500 * 0.02 * R / d)
CORNERS = [
    (60, 3.162278),
    (90, 4.913465),
    (120, 8.039964),
    (135, 11.016838),
    (170, 51.165539),
]


@pytest.mark.parametrize(("angle_deg", "speed_mm_s"), CORNERS)
def test_a_corner_between_two_long_lines_is_taken_at_the_worked_speed(angle_deg, speed_mm_s):
    turn = math.pi - math.radians(angle_deg)
    # turned by 15 degrees so that both axes change at every corner
    first = math.radians(15)
    corner = (100 * math.cos(first), 100 * math.sin(first), 0.0)
    last = (corner[0] + 100 * math.cos(first + turn), corner[1] + 100 * math.sin(first + turn), 0.0)
    times = move_times(motion_of([(MoveKind.LINE, corner, 4500.0), (MoveKind.LINE, last, 4500.0)]), machine_of())
    assert times.exit_mm_min[0] / 60 == pytest.approx(speed_mm_s, rel=1e-6)
    assert times.entry_mm_min[1] == times.exit_mm_min[0]


def test_a_reversal_is_a_stop_and_straight_on_is_none():
    back = motion_of([(MoveKind.LINE, (100.0, 0.0, 0.0), 3000.0), (MoveKind.LINE, (0.0, 0.0, 0.0), 3000.0)])
    assert move_times(back, machine_of()).exit_mm_min[0] == 0
    on = motion_of([(MoveKind.LINE, (100.0, 0.0, 0.0), 3000.0), (MoveKind.LINE, (200.0, 0.0, 0.0), 3000.0)])
    assert move_times(on, machine_of()).exit_mm_min[0] == 3000


def test_the_radius_of_a_rounded_corner_touches_both_lines_and_strays_by_the_deviation():
    # worked by hand: a circle of radius R tangent to both legs has its centre at R / sin(h) from the corner, so
    # it strays R / sin(h) - R, which must be d
    for angle_deg, _ in CORNERS:
        sine = math.sin(math.radians(angle_deg) / 2)
        radius = 0.02 * sine / (1 - sine)
        assert radius / sine - radius == pytest.approx(0.02)
        assert np.isfinite(radius)
