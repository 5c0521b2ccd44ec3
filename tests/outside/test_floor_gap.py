"""A gap by tape: a worked example with rods, and how unsure three readings leave it.

SOURCE: worked by hand from marks whose places are given; half a millimetre on both edges of 40 mm track is a degree.
"""

import math

import numpy as np
import pytest

from platelayer.errors import JobError
from platelayer.floor.gaps import measured_gap
from platelayer.values.layout import GapMeasured
from platelayer.values.pieces import EndKind


def measured(left, right, diagonal, *, base=40.0, reading=0.5, straight=0.0):
    given = GapMeasured(
        name="door",
        left_mm=left,
        right_mm=right,
        diagonal_mm=diagonal,
        base_mm=base,
        set_mm=straight,
        reading_mm=reading,
        here=EndKind.PEG,
        there=EndKind.SOCKET,
    )
    return measured_gap(given, track_width_mm=40.0)


def by_tape(x, y, degrees, base):
    """The three readings of a gap whose far end is there."""
    heading, half = math.radians(degrees), base / 2
    aside = np.array([-math.sin(heading), math.cos(heading)]) * half
    left, right = np.array([x, y]) + aside, np.array([x, y]) - aside
    return math.dist(left, (0, half)), math.dist(right, (0, -half)), math.dist(right, (0, half))


def test_a_straight_gap_with_rods_of_three_four_five():
    # worked by hand: marks 300 mm apart on both sides, 400 mm between: a diagonal of 500 mm
    found = measured(400, 400, 500, base=300)
    assert (found.pose.x, found.pose.y, found.pose.heading_rad) == pytest.approx((400, 0, 0))


@pytest.mark.parametrize(("x", "y", "degrees"), [(250, 0, 5), (460, 12, -3), (600, -80, 20), (90, 30, -40)])
@pytest.mark.parametrize("base", [40.0, 152.4])
def test_readings_taken_from_a_known_place_give_it_back(x, y, degrees, base):
    found = measured(*by_tape(x, y, degrees, base), base=base)
    assert (found.pose.x, found.pose.y) == pytest.approx((x, y), abs=1e-6)
    assert math.degrees(found.pose.heading_rad) == pytest.approx(degrees, abs=1e-7)


def test_a_straight_set_at_each_end_belongs_to_the_gap():
    # worked by hand: 150 mm set at either end, 200 mm between their ends in one line
    found = measured(200, 200, math.hypot(200, 40), straight=150.0)
    assert (found.pose.x, found.pose.y) == pytest.approx((500, 0))


def test_half_a_millimetre_on_both_edges_of_40_mm_track_is_a_degree():
    # worked by hand: sqrt(2) x 0.5 mm across 40 mm is 1.01 degrees; across 152.4 mm a quarter of that
    narrow = measured(*by_tape(400, 0, 0, 40.0))
    wide = measured(*by_tape(400, 0, 0, 152.4), base=152.4)
    assert math.degrees(narrow.unsure[2]) == pytest.approx(1.01, abs=0.01)
    assert math.degrees(wide.unsure[2]) == pytest.approx(1.013 * 40 / 152.4, abs=0.01)


def test_uncertainty_is_that_of_many_readings_with_that_scatter():
    random = np.random.default_rng(1)
    readings = by_tape(400, 20, 4, 152.4)
    drawn = [measured(*(readings + random.normal(0, 0.05, 3)), base=152.4, reading=0.05).pose for _ in range(2000)]
    spread = np.std([(pose.x, pose.y, pose.heading_rad) for pose in drawn], axis=0)
    said = measured(*readings, base=152.4, reading=0.05).unsure
    assert np.array(said) == pytest.approx(spread, rel=0.08)


def test_readings_that_make_no_figure_are_refused():
    with pytest.raises(JobError) as caught:
        measured(400, 400, 600)
    assert str(caught.value) == (
        "[[gap]] door diagonal: the three readings make no figure. Take them again: both edges, and the diagonal from "
        "the left mark here to the right mark there."
    )
