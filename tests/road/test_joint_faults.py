"""Joints are asked before anything is cut whether they will go together, by the dry run's own check."""

import re

import pytest

from cli.jobs import small_job
from platelayer.editing.edits import Edit, edited
from platelayer.errors import CannotCut
from platelayer.job import load_job, load_profiles, placed
from platelayer.road import planning
from platelayer.road.joint_faults import joint_errors
from platelayer.road.making import contents_of
from platelayer.road.planning import cut_faults, lay_job, plan_job
from proved import refusals, written

SHORT = small_job(bits='finish = "flat-1.588"', joint='peg_root = "finish"')
QUARTER = small_job(bit="flat-6.35-up", bits='grooves = "flat-3.175-long"', joint='peg_root = "none"')
HEAD = small_job(
    joint='neck_width = "5 mm"\nmouth_width = "5.8 mm"\nhead_diameter = "12 mm"\nhole_diameter = "13 mm"\n'
    'hole_setback = "7 mm"\nhead_setback = "7.04 mm"'
)
JAMMED = {
    "a fillet at the root": small_job(joint='peg_root = "none"'),
    "a finishing bit too short": SHORT,
    "a quarter inch bit": QUARTER,
    "a fillet at the head": HEAD,
}


def laid(text):
    return lay_job(load_job(text, file="job.toml", profiles=load_profiles(())))


def told(text):
    return placed(CannotCut(*cut_faults(laid(text))), text, file="job.toml").lines


@pytest.mark.parametrize("text", JAMMED.values(), ids=JAMMED)
def test_plan_and_dry_run_refuse_the_same_joints_with_the_same_figures(text, monkeypatch, anew):
    before = laid(text)
    expected = joint_errors(before.job, before.pieces)
    assert expected
    monkeypatch.setattr(planning, "joint_faults", lambda *_: ())
    plan, noticed = plan_job(before.asked)
    found = {one.code: one for one in refusals(contents_of(plan, before.job, noticed)) if one.code.startswith("joint")}
    assert list(found) == [one.code for one in expected]
    for one in expected:
        assert one.measured == pytest.approx(found[one.code].measured, abs=0.002)


def test_a_short_finishing_bit_is_told_at_the_key_that_cures_it():
    (line,) = told(SHORT)
    assert re.sub(r"0\.06\d", "0.06x", line) == (
        "job.toml:12 [joint] peg_root = finish: peg of curve-01 with a nominal socket: the peg's root holds the faces "
        "0.008 in (0.213 mm) apart, and only 0.002 in (0.06x mm) is left before the head meets the lips: the joint "
        "will jam; flat-1.588 cuts 1/4 in (6.350 mm) deep and leaves flat-3.175-long's fillet below that. Use relieve "
        "and leave finish out of [bits]."
    )


@pytest.mark.parametrize(
    ("text", "edits"),
    [
        (JAMMED["a fillet at the root"], [(("joint", "peg_root"), "none", "relieve")]),
        (SHORT, [(("joint", "peg_root"), "finish", "relieve"), (("bits", "finish"), "flat-1.588", None)]),
        (QUARTER, [(("joint", "peg_root"), "none", "relieve"), (("bits", "joints"), "flat-6.35-up", "flat-4.763")]),
        (HEAD, [(("joint", "head_setback"), "7.04 mm", "7.150 mm")]),
    ],
    ids=["root", "finish", "two", "head"],
)
def test_what_the_words_name_does(text, edits):
    (line,) = told(text)
    asked = line.rsplit(". ", 1)[1]
    assert all(new in asked if new else path[-1] in asked for path, _, new in edits)
    mended = edited(text, [Edit(path=path, old=old, **({"new": new} if new else {})) for path, old, new in edits])
    assert cut_faults(laid(mended)) == ()


def test_bits_that_cannot_reach_are_told_before_the_joints_they_would_spoil():
    lines = told(small_job(bit="flat-3.175", joint='peg_root = "none"'))
    assert [line.split(" = ")[0] for line in lines] == ["job.toml:9 [bits] joints"]


FINE = """
[[bit]]
id = "fine"
kind = "flat"
diameter = "1.5 mm"
cutting_length = "14 mm"
[[bit]]
id = "finer"
kind = "flat"
diameter = "1 mm"
cutting_length = "{} mm"
"""


@pytest.mark.parametrize(("cuts_mm", "is_short"), [(12.8, False), (11, True), (6, True)])
def test_a_finishing_bit_goes_to_the_foot_of_the_wall_or_is_refused(cuts_mm, is_short):
    """One that ended between the top of the tabs and the underside was refused as wood left, far from its key."""
    bits = 'grooves = "flat-3.175-long"\noutlines = "flat-3.175-long"\nfinish = "finer"'
    text = small_job(bit="fine", bits=bits, joint='peg_root = "finish"') + FINE.format(cuts_mm)
    lines = told(text)
    if is_short:
        (line,) = lines
        assert "[bits] finish = finer: finer cuts " in line
        assert "leaves fine's fillet below that, and the joints go together with that fillet too" in line
    else:
        assert lines == ()
        assert refusals(written(text)) == []
