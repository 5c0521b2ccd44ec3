"""Strength of a neck against handbook values.

SOURCE: USDA Wood Handbook as copied at engdatabase.com (sugar maple, metric), maplefloor.org (psi), matmake.com.
"""

from dataclasses import replace

import pytest

from fit.hand_made import USUAL, WIDTH_MM
from platelayer.fit.shapes import as_designed
from platelayer.fit.strength import PULL_TEST_N, STRENGTHS, neck_loads, neck_words
from platelayer.values.pieces import CornerRadii

SHAPE = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())
MAPLE = STRENGTHS["hard-maple"]


@pytest.mark.parametrize(("psi", "kpa"), [(15800, MAPLE.bending_kpa), (2330, MAPLE.shear_kpa)])
def test_metric_and_inch_rows_agree_to_rounding(psi, kpa):
    # source: maplefloor.org psi row against engdatabase.com metric row; 1 psi = 6.894757 kPa
    assert psi * 6.894757 == pytest.approx(kpa, rel=0.005)


def test_pull_test_stress_is_small_along_the_grain():
    # worked by hand: 90 N on 6 x 12 mm is 1.25 MPa
    thin = replace(SHAPE, sizes=replace(SHAPE.sizes, neck_width_mm=6.0))
    assert neck_loads(thin, replace(MAPLE, bending_kpa=1250), thickness_mm=12.0, is_along=True).pull == PULL_TEST_N
    loads = neck_loads(SHAPE, MAPLE, thickness_mm=12.7, is_along=True)
    assert loads.pull == pytest.approx(109 * 6.35 * 12.7, abs=1)
    assert loads.pull > 50 * PULL_TEST_N
    # worked by hand: 109 * 12.7 * 6.35^2 / 6 over an arm of 12.7 mm
    assert loads.bending == pytest.approx(109 * 6.35**2 / 6, abs=1)


def test_grain_along_the_peg_is_more_than_five_times_stronger():
    for wood in STRENGTHS.values():
        along = neck_loads(SHAPE, wood, thickness_mm=12.7, is_along=True)
        across = neck_loads(SHAPE, wood, thickness_mm=12.7, is_along=False)
        assert along.pull / across.pull > 5
        assert along.bending / across.bending > 5
        assert along.head_shear > across.head_shear


def test_words_give_the_reason():
    words = neck_words(SHAPE, MAPLE, thickness_mm=12.7)
    # worked by hand: 2 planes of 9.719 x 12.7 mm at 16.1 MPa, 109 * 6.35 * 12.7, and its sixths over an arm of 12.7 mm
    assert words[0] == (
        "Grain along the peg: pulled, the head shears off at about 3975 N and the neck tears at 8790 N; at the head it "
        "breaks at 733 N sideways, or at 1465 N lifted."
    )
    assert words[1].startswith("Grain across it: 1555 N, 508 N, 42 N and 85 N, as little as 1 / 17, since wood parts ")
