"""Chips of thin cuts and the feeds that follow from them.

SOURCE: chip thinning h = 2 f sqrt(q (1 - q)) with its worked example at machinecalcs.com (the formula is repeated on
three sites); rule of depth in the chart of asttooling.com, "speeds and feeds charts".
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from platelayer.offset.finish_ways import finish_way
from platelayer.values.bit_bend import chip_thickness
from platelayer.values.thin_cuts import ChipBand, depth_share_ratio, engaged_ratio
from platelayer.values.tooling import Bit, BitKind, CutData

IN = 25.4
# source: machinecalcs.com: a bit of 1/2 in, 0.05 in wide: factor 0.60; 0.002 in of chip ask for 0.00333 in a tooth;
# with 4 flutes at 8000 rev/min that is 106.7 in/min, where the unthinned one is 64
STUB = Bit(
    id="stub",
    kind=BitKind.FLAT,
    nominal_mm=0.5 * IN,
    flutes=4,
    cutting_length_mm=13.0,
    shank_mm=0.5 * IN,
    stick_out_mm=13.0,
)
ROUGH = CutData(
    bit_id="stub",
    spindle_rpm=8000,
    dial_label="",
    feed_mm_min=64 * IN,
    plunge_mm_min=300,
    stepdown_mm=2.0,
    stepover_ratio=0.4,
    thin=ChipBand(least_mm=0.0, most_mm=math.inf),
    feed_most_mm_min=10_000,
)


def test_the_worked_example_of_chip_thinning():
    share = engaged_ratio(0.05 * IN, bit_radius_mm=0.25 * IN)
    assert 2 * math.sqrt(share * (1 - share)) == pytest.approx(0.6, abs=1e-12)
    assert math.degrees(math.acos(1 - 2 * share)) == pytest.approx(36.8699, abs=1e-4)
    way = finish_way(2.0, bit=STUB, data=ROUGH, side_mm=0.05 * IN)
    assert way.thin.feed_mm_min == pytest.approx(106.6667 * IN, abs=1)  # whole mm a minute
    assert way.thin.feed_mm_min / (8000 * 4) == pytest.approx(0.00333 * IN, rel=2e-3)
    assert way.thin.chip_mm == pytest.approx(0.002 * IN, rel=1e-3)


def test_an_eighth_inch_bit_and_the_usual_allowance():
    # worked by hand: 0.2 mm of 3.175 mm are q = 0.063, and 2 sqrt(0.063 x 0.937) = 0.486
    share = engaged_ratio(0.2, bit_radius_mm=3.175 / 2)
    assert share == pytest.approx(0.063, abs=5e-4)
    assert float(chip_thickness(np.array(1.0), np.array(0.2), np.array(3.175))) == pytest.approx(0.486, abs=5e-4)


@pytest.mark.parametrize(("depth_in", "share"), [(0.5, 1.0), (1.0, 0.75), (1.5, 0.5), (3.0, 0.5)])
def test_the_charts_chip_is_less_the_deeper_the_cut(depth_in, share):
    # source: asttooling.com chart: two diameters deep 25 % less, three 50 %; deeper than that it says nothing
    assert depth_share_ratio(depth_in * IN, bit_diameter_mm=0.5 * IN) == pytest.approx(share)


def test_the_charts_greatest_chip_holds_a_feed_down_by_its_depth():
    """One diameter deep 0.0015 in and no more: 48 in/min unthinned, 80 at a factor of 0.6; worked by hand."""
    held = replace(ROUGH, thin=ChipBand(least_mm=0.0, most_mm=0.0015 * IN))
    way = finish_way(2.0, bit=STUB, data=held, side_mm=0.05 * IN)
    assert way.thin.feed_mm_min == pytest.approx(80 * IN, abs=1)  # whole mm a minute


def test_a_hollow_engages_more_of_the_bit_and_a_bulge_less():
    """Against the angle at which two circles meet, found by bisection."""
    width, radius = 0.2, 1.5875
    straight = engaged_ratio(width, bit_radius_mm=radius)
    for path in (2.0, 4.8, 150.0):
        for side in (1, -1):
            angle_low, angle_high = 0.0, math.pi
            centre = (0.0, -side * path)  # of the wall; the wall's nearest point lies along +y of the bit
            before = path + side * radius - side * width
            for _ in range(60):
                middle = (angle_low + angle_high) / 2
                point = radius * math.sin(middle), radius * math.cos(middle)
                is_wood = side * (math.dist(point, centre) - before) > 0
                angle_low, angle_high = (middle, angle_high) if is_wood else (angle_low, middle)
            found = engaged_ratio(width, bit_radius_mm=radius, bends_per_mm=side / path)
            assert found == pytest.approx((1 - math.cos(angle_low)) / 2, abs=1e-9)
            assert (found > straight) == (side > 0)
