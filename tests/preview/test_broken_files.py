"""Twelve spoilt files: each is refused, for its own reason and for no other than those that follow from it."""

import pytest

from broken_files.damages import DAMAGES
from broken_files.small_job import small_job
from platelayer.preview.dry_run import dry_run
from platelayer.values.findings import Code, Severity

REASONS = {
    "rapid_lowered": {Code.TRAVEL_LOW_RAPID},
    "z_too_deep": {Code.TRAVEL_TOO_DEEP},
    "arc_radii_differ": {Code.READING_ARC_RADII_DIFFER},
    # the bit leaves the peg's slot: wood stays on the peg, and new wood is met at full depth
    "arc_bent": {Code.SHAPE_WOOD_LEFT, Code.CUTTING_STEP_TOO_DEEP},
    "tab_removed": {Code.HOLDING_TAB_MISSING},
    "tail_cut_off": {Code.READING_CUT_SHORT},
    "units_swapped": {Code.READING_UNITS},
    "spindle_never_started": {Code.CUTTING_SPINDLE_OFF},
    "feed_of_zero": {Code.CUTTING_NO_FEED},
    # moved to one side it gouges there, leaves wood at the other end face, which keeps the joint open
    "piece_shifted": {Code.SHAPE_GOUGE, Code.SHAPE_WOOD_LEFT, Code.JOINT_WILL_JAM},
    "groove_missing": {Code.SHAPE_GROOVE_MISSING},
    # what the flank would have taken away by and by is there all at once
    "plunge_after_tab": {Code.CUTTING_PLUNGE, Code.CUTTING_STEP_TOO_DEEP},
}
MEASURED = {
    "rapid_lowered": (Code.TRAVEL_LOW_RAPID, 0.2),
    "z_too_deep": (Code.TRAVEL_TOO_DEEP, 1.3),
    "piece_shifted": (Code.SHAPE_GOUGE, 0.2),
    "groove_missing": (Code.SHAPE_GROOVE_MISSING, 1.0),
}


@pytest.fixture(scope="module")
def good():
    return small_job()


def test_the_good_job_has_no_finding(good):
    report = dry_run(good.manifest, good.texts)
    assert report.findings == ()
    assert report.passed


def test_every_damage_has_a_reason():
    assert [damage.__name__ for damage in DAMAGES] == list(REASONS)


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_spoilt_file_is_refused_for_its_reason(good, damage):
    name = good.manifest.files[0].name
    spoilt = good.changed(damage(good.texts[name], good.manifest))
    assert spoilt.texts != good.texts
    report = dry_run(spoilt.manifest, spoilt.texts)
    assert not report.passed
    assert {finding.code for finding in report.findings if finding.severity is Severity.ERROR} == REASONS[
        damage.__name__
    ]
    if damage.__name__ in MEASURED:
        code, value = MEASURED[damage.__name__]
        found = next(finding for finding in report.findings if finding.code is code)
        assert found.measured == pytest.approx(value, abs=0.003)


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_spoilt_file_is_no_longer_the_one_that_was_made(good, damage):
    name = good.manifest.files[0].name
    report = dry_run(good.manifest, {name: damage(good.texts[name], good.manifest)})
    assert Code.READING_HASH in {finding.code for finding in report.findings}


def test_what_was_done_to_a_piece_is_said_of_that_piece_and_line(good):
    name = good.manifest.files[0].name
    by_name = {damage.__name__: damage for damage in DAMAGES}
    shifted = good.changed(by_name["piece_shifted"](good.texts[name], good.manifest))
    found = dry_run(shifted.manifest, shifted.texts).findings
    assert {finding.where.piece for finding in found} == {"straight-02"}
    gouge = next(finding for finding in found if finding.code is Code.SHAPE_GOUGE)
    lines = shifted.texts[name].splitlines()
    assert lines[gouge.where.line - 1] != good.texts[name].splitlines()[gouge.where.line - 1]
    plunged = good.changed(by_name["plunge_after_tab"](good.texts[name], good.manifest))
    plunge = next(f for f in dry_run(plunged.manifest, plunged.texts).findings if f.code is Code.CUTTING_PLUNGE)
    assert plunged.texts[name].splitlines()[plunge.where.line - 1] == "G1 Z-13.0000 F300"
