"""Grooves on a table saw: the settings cut just the groove, from wall to wall."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import TRACK
from platelayer.errors import CannotCut
from platelayer.pieces.saw_table import saw_table, saw_table_lines
from platelayer.units import inches, worded


@given(st.floats(0.5, 5.953))
def test_kerfs_cover_the_groove_from_wall_to_wall_and_nothing_else(kerf_mm):
    table = saw_table(TRACK, kerf_mm=kerf_mm)
    assert table.fence_mm[0] == TRACK.groove_outer_mm
    assert table.fence_mm[-1] + kerf_mm == pytest.approx(TRACK.groove_inner_mm, abs=1e-9)
    assert all(b - a <= kerf_mm + 1e-9 for a, b in zip(table.fence_mm, table.fence_mm[1:], strict=False))
    assert table.width_mm == pytest.approx(TRACK.groove_width_mm)
    assert table.blade_height_mm == TRACK.groove_depth_mm


@given(st.floats(0.5, 5.9))
def test_no_setting_can_be_spared(kerf_mm):
    count = len(saw_table(TRACK, kerf_mm=kerf_mm).fence_mm)
    assert (count - 1) * kerf_mm < TRACK.groove_width_mm + 1e-6


def test_an_eighth_blade_by_hand():
    """Groove 15/64 in wide from 11/64 in: kerf 1/8 in needs two settings, 11/64 in and 11/64 + 7/64 = 18/64 in."""
    table = saw_table(TRACK, kerf_mm=inches(1 / 8))
    assert table.fence_mm == pytest.approx((inches(11 / 64), inches(18 / 64)))
    assert table.passes_a_strip == 4
    assert tuple(worded(line, "in") for line in saw_table_lines(table)) == (
        "Blade with flat-topped teeth, kerf 1/8 in (3.175 mm) as a test cut must show, 9/64 in (3.572 mm) over the "
        "table.",
        "Setting 1: fence 11/64 in (4.366 mm) from the near side of the teeth; run every strip, turn it end for end, "
        "run it again.",
        "Setting 2: fence 9/32 in (7.144 mm) from the near side of the teeth; run every strip, turn it end for end, "
        "run it again.",
        "4 passes a strip make two grooves 15/64 in (5.953 mm) wide. Straights only; groove long strips first, then "
        "cut them to length.",
        "The cut does not go through: set guard, riving knife and push blocks as the saw's manual says for that, or "
        "leave it.",
    )


def test_a_blade_as_wide_as_the_groove_needs_one_setting():
    table = saw_table(TRACK, kerf_mm=TRACK.groove_width_mm)
    assert (len(table.fence_mm), table.passes_a_strip) == (1, 2)


@pytest.mark.parametrize("kerf_mm", [0.0, -1.0, 6.35])
def test_a_blade_that_cannot_be_is_refused(kerf_mm):
    with pytest.raises(CannotCut):
        saw_table(TRACK, kerf_mm=kerf_mm)


def test_the_refusal_says_what_would_do():
    with pytest.raises(CannotCut) as caught:
        saw_table(TRACK, kerf_mm=inches(1 / 4))
    assert str(caught.value) == (
        "--kerf = 1/4 in (6.350 mm): must be more than nothing and no wider than a groove, 15/64 in (5.953 mm). "
        "Use a thinner blade, or a router for the grooves."
    )
