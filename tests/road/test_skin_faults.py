"""A piece so short that its joints take half of the edge its skin holds is told before any slot is cut."""

import pytest

from platelayer.errors import CannotCut
from platelayer.job import load_job, load_profiles
from platelayer.road import planning
from platelayer.road.making import contents_of
from platelayer.road.planning import plan_job
from proved import errors, written

SHORT = """
[job]
units = "mm"
machine = "small-belt"
material = "plywood"
[bits]
joints = "flat-3.175-long"
outlines = "flat-6.35-up"
grooves = "flat-3.175-down"
[holding]
kind = "skin"
skin = "1/16 in"
[[board]]
width = 220
height = 110
thickness = 12
zero = "spoilboard"
[[piece]]
name = "short"
length = 39
"""
MENDED = {
    "one bit": SHORT.replace('outlines = "flat-6.35-up"', 'outlines = "flat-3.175-long"'),
    "longer": SHORT.replace("length = 39", "length = 45"),
}


def test_it_is_told_at_the_piece_and_the_dry_run_says_the_same(monkeypatch, anew):
    job = load_job(SHORT, file="job.toml", profiles=load_profiles(()))
    with pytest.raises(CannotCut) as refusal:
        plan_job(job)
    (line,) = refusal.value.in_unit("mm").lines
    said = "stands on a skin of 1.588 mm (1/16 in) along only 49."
    assert line.startswith(f"[[piece]] short-01: {said}")
    assert line.endswith(
        '% of its edge. Make it longer, or let one bit cut joints and outlines: outlines = "flat-3.175-long" in [bits].'
    )
    monkeypatch.setattr(planning, "skin_faults", lambda *_: ())
    plan, noticed = plan_job(job)
    assert list(errors(contents_of(plan, job, noticed))) == ["holding-tab-missing"]


@pytest.mark.parametrize("text", MENDED.values(), ids=MENDED)
def test_what_the_words_name_does(text):
    assert errors(written(text)) == {}
