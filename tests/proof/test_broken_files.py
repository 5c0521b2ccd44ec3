"""Twelve spoilt files: each is refused, for its own reason and for no other than those that follow from it."""

import pytest

from broken_files.damages import DAMAGES
from broken_files.small_job import small_job
from platelayer.proof.dry_run import check_files, dry_run
from platelayer.units import worded
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
    # what the flank would have taken away by and by is there all at once, not much more than a step
    "plunge_after_tab": {Code.CUTTING_PLUNGE},
}
MEASURED = {
    "rapid_lowered": (Code.TRAVEL_LOW_RAPID, 0.2),
    "z_too_deep": (Code.TRAVEL_TOO_DEEP, 1.3),
    "piece_shifted": (Code.SHAPE_GOUGE, 0.2),
    "groove_missing": (Code.SHAPE_GROOVE_MISSING, 1.0),
}


SENTENCES = {
    "rapid_lowered": (
        (
            "G0 goes 0.200 mm (0.008 in) above the top of the wood; a rapid stays at least 0.500 mm (0.020 in) "
            "above it. Raise the safe height, or make the job again if the file was changed."
        ),
    ),
    "z_too_deep": (
        (
            "the bit goes 1.300 mm (0.051 in) below the board; the spoilboard allows 0.500 mm (0.020 in), and "
            "so do 4 more moves. Check thickness and zero of the board, or make the job again if the file was "
            "changed."
        ),
    ),
    "arc_radii_differ": (
        (
            "the arc (G2) does not come out where it should: its end lies 0.030 mm off the circle that it begins on; "
            "0.002 mm is allowed. "
            "The file was changed or written with too few digits."
        ),
    ),
    "arc_bent": (
        (
            "bit flat takes 13.000 mm (0.512 in) at once, 767 % more than its stepdown of 1.500 mm (0.059 in), at x "
            "149.2 y 39.5 mm, where it runs 13.000 mm (0.512 in) deep; 1 move does so. Make the job again; a pass is "
            "missing, or the file was changed."
        ),
        (
            "wood is left on straight-01, 0.200 mm (0.008 in) or more proud of its edge at x 148.4 y 34.1 mm; "
            "the limit is 0.020 mm (0.001 in). Make the job again; a cut is missing or out of place."
        ),
    ),
    "tab_removed": (
        (
            "tab 4 of straight-01 at x 105.0 y 54.8 mm is missing: its wood is gone. Make the job again; without "
            "its tabs a piece comes loose under the bit."
        ),
    ),
    "tail_cut_off": (
        ("A-1.nc ends after line 278 without M2 or M30: the file was cut short. Copy or make the file again."),
    ),
    "units_swapped": (
        (
            "A-1.nc cuts about 25.4 times too large for its pieces: inches and millimetres were swapped (G20 and "
            "G21). Make the job again; never change the units word by hand."
        ),
    ),
    "spindle_never_started": (
        (
            "the bit goes into the wood with the spindle off; 367 moves do so. Make the job again; the file must "
            "start the spindle and wait for it before it cuts."
        ),
    ),
    "feed_of_zero": (
        (
            "a move at feed has no feed or a feed of zero; 1 move does so. Make the job again; every cutting "
            "move needs an F word before or on it."
        ),
    ),
    "piece_shifted": (
        (
            "straight-01 is gouged 0.201 mm (0.008 in) deep at x 48.5 y 34.9 mm; the limit is 0.005 mm (0.0002 "
            "in). Make the job again; the file cuts into the piece."
        ),
        (
            "wood is left on straight-01, 0.200 mm (0.008 in) or more proud of its edge at x 148.5 y 34.7 mm; "
            "the limit is 0.020 mm (0.001 in). Make the job again; a cut is missing or out of place."
        ),
        (
            "peg of straight-01 with a nominal socket: wood left on the end face holds the faces 0.200 mm (0.008 "
            "in) apart, and 0.275 mm (0.011 in) is left before the head meets the lips: the joint will jam. Make "
            "the job again; a cut is missing or out of place."
        ),
    ),
    "groove_missing": (
        ("groove 2 of straight-01 is not cut: 100 % of it stands. Make the job again; the cut is missing."),
    ),
    "plunge_after_tab": (
        (
            "bit flat cannot plunge, but goes straight down into wood at x 100.4 y 13.6 mm, to 13.000 mm (0.512 "
            "in) deep; 1 move does so. Enter by a ramp, or use a bit that may plunge."
        ),
        (
            "bit flat takes 1.544 mm (0.061 in) at once, 3 % more than its stepdown of 1.500 mm (0.059 in), at x "
            "98.5 y 13.6 mm, where it runs 13.000 mm (0.512 in) deep; 1 move does so. Make the job again; a pass is "
            "missing, or the file was changed."
        ),
    ),
}


@pytest.fixture(scope="module")
def good():
    return small_job(pieces=1)


@pytest.fixture(scope="module")
def pair():
    return small_job()


@pytest.mark.parametrize("pieces", [1, 2])
def test_the_good_job_has_no_finding(pieces):
    good = small_job(pieces=pieces)
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
    assert (
        tuple(worded(f"{finding.text} {finding.advice}".strip(), "mm") for finding in report.findings)
        == SENTENCES[damage.__name__]
    )
    if damage.__name__ in MEASURED:
        code, value = MEASURED[damage.__name__]
        found = next(finding for finding in report.findings if finding.code is code)
        assert found.measured == pytest.approx(value, abs=0.003)


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_spoilt_file_is_no_longer_the_one_that_was_made(good, damage):
    name = good.manifest.files[0].name
    checked = check_files(good.manifest, {name: damage(good.texts[name], good.manifest)})
    assert Code.READING_HASH in {finding.code for finding in checked.findings}


def test_what_was_done_to_a_piece_is_said_of_that_piece_and_line(pair):
    name = pair.manifest.files[0].name
    by_name = {damage.__name__: damage for damage in DAMAGES}
    shifted = pair.changed(by_name["piece_shifted"](pair.texts[name], pair.manifest))
    found = dry_run(shifted.manifest, shifted.texts).findings
    assert {finding.where.piece for finding in found} == {"straight-02"}
    gouge = next(finding for finding in found if finding.code is Code.SHAPE_GOUGE)
    lines = shifted.texts[name].splitlines()
    assert lines[gouge.where.line - 1] != pair.texts[name].splitlines()[gouge.where.line - 1]
    plunged = pair.changed(by_name["plunge_after_tab"](pair.texts[name], pair.manifest))
    plunge = next(f for f in dry_run(plunged.manifest, plunged.texts).findings if f.code is Code.CUTTING_PLUNGE)
    assert plunged.texts[name].splitlines()[plunge.where.line - 1] == "G1 Z-13.0000 F300"
