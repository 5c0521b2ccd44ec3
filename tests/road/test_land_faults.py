"""Too little wood beside a groove below, with the turned board off, is told before anything is cut."""

import pytest

from platelayer.errors import CannotCut
from platelayer.job import load_job, load_profiles
from platelayer.road import planning
from platelayer.road.land_faults import land_faults
from platelayer.road.making import contents_of
from platelayer.road.planning import cut_faults, lay_job, plan_job
from platelayer.values.findings import Code
from proved import refusals

TIGHT = """
[job]
units = "mm"
machine = "bench-top"
material = "pine"
[bits]
joints = "flat-3.175-long"
groove_edges = "vee-60"
[edges]
groove = 0.48
[holding]
kind = "skin"
skin = 0.7
[turning]
by = "fence"
tolerance = {tolerance}
[[board]]
width = 395
height = 229
height_measured = true
thickness = 12.7
zero = "spoilboard"
[[piece]]
name = "tight"
kind = "curve"
radius = 85.18
angle = 100
hand = "left"
start = "socket"
end = "socket"
grooves = "both"
"""


def laid(tolerance):
    return lay_job(load_job(TIGHT.format(tolerance=tolerance), file="j", profiles=load_profiles(())))


def test_the_hole_of_a_tight_curve_comes_too_near_to_the_groove_below():
    (line,) = CannotCut(*cut_faults(laid(0.2))).in_unit("mm").lines
    assert line == (
        "[turning] tolerance = 0.200 mm (0.008 in): only 1.632 mm (0.064 in) of wood stays beside a groove in its "
        "lower face of tight-01, with the turned board 0.200 mm (0.008 in) off 1.432 mm (0.056 in); at least "
        "1.500 mm (0.059 in) must. Turn the board more truly: 0.100 mm (0.004 in) would do."
    )
    assert cut_faults(laid(0.1)) == ()


@pytest.mark.parametrize("tolerance", [0.1, 0.15, 0.2])
def test_the_dry_run_refuses_the_same(tolerance, monkeypatch, anew):
    before = laid(tolerance)
    expected = land_faults(before.job, before.pieces)
    monkeypatch.setattr(planning, "land_faults", lambda *_: ())
    plan, noticed = plan_job(before.asked)
    found = [one for one in refusals(contents_of(plan, before.job, noticed)) if one.code is Code.SHAPE_LAND]
    assert [one.measured for one in found] == pytest.approx([one.measured_mm for one in expected], abs=0.005)
    assert bool(found) == (tolerance > 0.14)
