"""Chip-load arithmetic and the published band.

SOURCE: worked example of feed at cncshop.eu, "calculating feeds and speeds"; chart of chip loads and its depth rule at
asttooling.com, "speeds and feeds charts"; the wider range of a second chart at calculator.city.
"""

import pytest

from platelayer.job.chip_loads import chip_band_mm, chip_load_mm
from platelayer.job.materials import WoodGroup
from platelayer.values.thin_cuts import depth_share_ratio


def test_the_worked_example():
    # source: cncshop.eu, calculating feeds and speeds: 18000 rpm, 2 flutes, 0.1 mm a tooth make 3600 mm/min
    assert chip_load_mm(feed_mm_min=3600, spindle_rpm=18000, flutes=2) == pytest.approx(0.1, rel=1e-12)


@pytest.mark.parametrize(
    ("diameter_mm", "group", "low", "high"),
    # source: asttooling.com chart, inches a tooth at one diameter deep
    [
        (3.175, WoodGroup.MDF, 0.004, 0.007),
        (3.175, WoodGroup.HARDWOOD, 0.002, 0.004),
        (3.175, WoodGroup.SOFTWOOD, 0.003, 0.005),
        (6.35, WoodGroup.MDF, 0.012, 0.015),
        (6.35, WoodGroup.HARDWOOD, 0.005, 0.007),
        (6.35, WoodGroup.SOFTWOOD, 0.006, 0.008),
        (9.525, WoodGroup.MDF, 0.017, 0.019),
        (9.525, WoodGroup.HARDWOOD, 0.013, 0.015),
        (9.525, WoodGroup.SOFTWOOD, 0.015, 0.017),
        (12.7, WoodGroup.MDF, 0.020, 0.025),
        (12.7, WoodGroup.HARDWOOD, 0.017, 0.019),
        (12.7, WoodGroup.SOFTWOOD, 0.019, 0.021),
    ],
)
def test_the_chart(diameter_mm, group, low, high):
    band = chip_band_mm(group, bit_diameter_mm=diameter_mm, depth_mm=diameter_mm)
    assert band == pytest.approx((low * 25.4, high * 25.4), rel=1e-12)


@pytest.mark.parametrize(
    ("depths", "chip_in", "wanted_in"),
    # source: asttooling.com chart, its two worked examples of the depth rule
    [(2, 0.020, 0.015), (3, 0.018, 0.009)],
)
def test_deeper_cuts_want_thinner_chips(depths, chip_in, wanted_in):
    assert chip_in * depth_share_ratio(depths * 6.35, bit_diameter_mm=6.35) == pytest.approx(wanted_in, rel=1e-12)


def test_the_hardwood_band_lies_within_the_second_chart():
    # source: calculator.city: 1/4 in bit in hardwood .005 to .010 in; the charts disagree elsewhere
    low, high = chip_band_mm(WoodGroup.HARDWOOD, bit_diameter_mm=6.35, depth_mm=3)
    assert 0.003 * 25.4 <= low < high <= 0.010 * 25.4


def test_between_the_charts_rows_the_band_grows_with_the_bit():
    bands = [chip_band_mm(WoodGroup.HARDWOOD, bit_diameter_mm=step / 2, depth_mm=0.5) for step in range(1, 26)]
    assert bands == sorted(bands)
    assert chip_band_mm(WoodGroup.HARDWOOD, bit_diameter_mm=12.8, depth_mm=1) is None
