"""Feeds: as listed, or derived toward a gentler cut; never raised; the chart only warns."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from job.sample_jobs import JOB, MACHINE, changed, job_of
from platelayer.job import load_profiles
from platelayer.job.bits import BITS, shipped_bits
from platelayer.job.feeds import chip_findings, feeds_for
from platelayer.job.materials import WOODS, WoodGroup, shipped_woods
from platelayer.job.profiles import machine_files, read_profile
from platelayer.units import worded
from platelayer.values.findings import Code, Severity
from platelayer.values.tooling import BitKind, SpindleKind

SHIPPED = load_profiles()
PROFILES = [read_profile(SHIPPED[file], file=file) for file in machine_files(SHIPPED).values()]
FLAT = [bit for bit in BITS if bit.kind is BitKind.FLAT]
ENTRY = MACHINE[MACHINE.index("[[feeds]]") :]
HEAD = MACHINE[: MACHINE.index("[[feeds]]")]


def data_of(bit_id, wood, *, machine=MACHINE, others=()):
    """What the test machine does with a shipped bit in a wood."""
    profile = read_profile(machine, file="test.toml")
    return feeds_for(shipped_bits()[bit_id], shipped_woods()[wood], profile, others=others, bits=shipped_bits())


def test_a_listed_entry_is_used_as_it_stands():
    data = data_of("flat-3.175-long", "hard-maple")
    assert (data.spindle_rpm, data.dial_label, data.feed_mm_min, data.plunge_mm_min) == (10000, "low", 1200, 300)
    assert (data.stepdown_mm, data.stepover_ratio, data.note) == (1, 0.4, "")


def test_an_entry_for_the_bit_itself_goes_before_one_for_its_diameter():
    own = changed(ENTRY, ('diameter = "1/8 in"', 'bit = "flat-3.175-down"'), ("feed = 1200", "feed = 700"))
    assert data_of("flat-3.175-down", "hard-maple", machine=MACHINE + own).feed_mm_min == 700
    assert data_of("flat-3.175-long", "hard-maple", machine=MACHINE + own).feed_mm_min == 1200


def test_a_softer_wood_is_cut_as_the_harder_one_listed():
    data = data_of("flat-3.175", "cherry")
    assert (data.feed_mm_min, data.plunge_mm_min, data.stepdown_mm) == (1200, 300, 1)
    assert data.note == "as listed for hard maple, which is no softer"


def test_a_harder_wood_is_cut_slower_and_shallower_by_the_ratio_of_hardness():
    data = data_of("flat-3.175", "hard-maple", machine=changed(MACHINE, ("hard-maple", "soft-maple")))
    ratio = 4226 / 6450  # worked by hand: 950 and 1450 lbf in whole newtons
    assert data.feed_mm_min == pytest.approx(1200 * ratio, rel=1e-12)
    assert data.plunge_mm_min == pytest.approx(300 * ratio, rel=1e-12)
    assert data.stepdown_mm == pytest.approx(ratio, rel=1e-12)
    assert data.note == "listed for soft maple, so feed, plunge and stepdown times 0.66 for the harder wood"


def test_a_smaller_bit_is_spared():
    data = data_of("flat-1.588", "hard-maple")
    # worked by hand: half the diameter takes half the chip and a quarter of the depth
    assert (data.feed_mm_min, data.plunge_mm_min, data.stepdown_mm) == (600, 150, 0.25)
    assert worded(data.note, "in") == (
        "listed for a bit of 1/8 in (3.175 mm), so feed and plunge times 0.50, stepdown times 0.25"
    )


def test_a_larger_bit_goes_no_faster_than_the_smaller_one_listed():
    data = data_of("flat-6.35-up", "hard-maple")
    assert (data.feed_mm_min, data.plunge_mm_min, data.stepdown_mm) == (1200, 300, 1)
    assert worded(data.note, "in") == "as listed for the smaller bit of 1/8 in (3.175 mm)"


def test_a_longer_bit_of_the_same_diameter_cuts_shallower():
    machine = changed(MACHINE, ('diameter = "1/8 in"', 'bit = "flat-3.175"'))
    data = data_of("flat-3.175-long", "hard-maple", machine=machine)
    assert data.stepdown_mm == pytest.approx(12.7 / 17)  # worked by hand: cutting lengths 12.7 and 17 mm
    assert data.note == "listed for the shorter flat-3.175, so stepdown times 0.75"


def test_fewer_flutes_feed_slower_at_the_same_chip():
    machine = changed(MACHINE, ("stepover = 0.4", "stepover = 0.4\nflutes = 4"))
    data = data_of("flat-3.175", "hard-maple", machine=machine)
    assert data.feed_mm_min == 600
    assert data.note == "listed for 4 flutes, so feed times 0.50"


def test_a_slower_machine_takes_another_machines_entry_down():
    other = read_profile(
        changed(MACHINE, ("feed = 2000", "feed = 4000"), ("feed = 3000", "feed = 4000")), file="o.toml"
    )
    data = data_of("flat-3.175", "hard-maple", machine=HEAD, others=[other])
    assert (data.feed_mm_min, data.plunge_mm_min, data.stepdown_mm) == (600, 150, 0.5)
    assert data.note == "listed for test machine, so feed, plunge and stepdown times 0.50 for the slower machine"


def test_a_spindle_that_lacks_the_speed_takes_its_next_slower_mark():
    other = changed(MACHINE, ("rpm = 20000", "rpm = 16000"), ("spindle = 10000", "spindle = 16000"))
    data = data_of("flat-3.175", "hard-maple", machine=HEAD, others=[read_profile(other, file="o.toml")])
    assert (data.spindle_rpm, data.dial_label, data.feed_mm_min) == (10000, "low", 750)
    assert data.note == (
        "as listed for test machine, which is no faster; spindle 10000 rev/min instead of 16000, feed in proportion"
    )


def test_a_spindle_too_fast_for_every_entry_gets_none():
    fast = changed(HEAD, ("rpm = 10000", "rpm = 12000"))
    other = read_profile(MACHINE, file="o.toml")
    assert data_of("flat-3.175", "hard-maple", machine=fast, others=[other]) is None


def test_mdf_entries_serve_for_nothing_else():
    assert data_of("flat-3.175", "pine", machine=changed(MACHINE, ("hard-maple", "mdf"))) is None


@given(st.sampled_from(PROFILES), st.sampled_from(FLAT), st.sampled_from(WOODS), st.booleans())
def test_nothing_is_ever_raised_above_every_entry_nor_past_the_machine(profile, bit, wood, is_alone):
    others = [other for other in PROFILES if other is not profile]
    data = feeds_for(bit, wood, profile, others=() if is_alone else others, bits=shipped_bits())
    assert data is not None
    assert data.feed_mm_min <= max(entry.feed_mm_min for entry in profile.feeds)
    assert data.feed_mm_min <= min(profile.machine.feed_max_mm_min[:2])
    assert data.plunge_mm_min <= profile.machine.feed_max_mm_min[2]
    assert data.stepdown_mm <= max(entry.stepdown_mm for entry in profile.feeds)
    assert data.spindle_rpm <= profile.machine.spindle_max_rpm
    if profile.machine.spindle is SpindleKind.DIAL:
        assert dict(profile.machine.dial)[data.dial_label] == data.spindle_rpm


@given(
    st.floats(0.2, 8),
    st.floats(0.2, 8),
    st.sampled_from(WOODS),
    st.sampled_from(WOODS),
    st.integers(1, 4),
    st.integers(1, 4),
)
def test_a_derived_cut_is_gentler_in_every_number(listed_mm, bit_mm, listed_wood, wood, listed_flutes, flutes):
    machine = changed(
        MACHINE,
        ('"1/8 in"', f"{listed_mm:.3f}"),
        ("hard-maple", listed_wood.material.id),
        ("stepover = 0.4", f"stepover = 0.4\nflutes = {listed_flutes}"),
    )
    text = (
        f'{changed(JOB, ("hard-maple", wood.material.id))}[bits]\njoints = "own"\n[[bit]]\nid = "own"\nkind = "flat"\n'
    )
    text += f"diameter = {bit_mm:.3f}\ncutting_length = 20\nflutes = {flutes}\n"
    if listed_wood.group is WoodGroup.MDF and wood.group is not WoodGroup.MDF:
        return
    data = job_of(text, {"test.toml": machine}).feeds[0]
    assert data.feed_mm_min <= 1200
    assert data.plunge_mm_min <= 300
    assert data.stepdown_mm <= 1
    # force goes as chip times depth, and what a bit bears without more stress as its diameter cubed
    share = min(1, round(bit_mm, 3) / round(listed_mm, 3))
    chip = data.feed_mm_min / flutes
    is_same_size = abs(bit_mm - listed_mm) <= 0.051
    assert is_same_size or chip * data.stepdown_mm <= 1200 / min(listed_flutes, flutes) * share**3 * (1 + 1e-9)


def test_a_derived_feed_is_said_with_how_and_what():
    warning = job_of(changed(JOB, ("hard-maple", "cherry"))).warnings[0]
    assert (warning.code, warning.severity) == (Code.CUTTING_FEED_DERIVED, Severity.WARNING)
    assert worded(warning.text, "mm") == (
        "test machine lists no feeds for flat-3.175-long in black cherry; "
        "as listed for hard maple, which is no softer: "
        "spindle 10000 rev/min, feed 1200 mm/min, plunge 300 mm/min, stepdown 1.000 mm (~3/64 in)."
    )
    assert warning.advice == (
        "Try it in scrap of the same wood, then write a [[feeds]] entry of your own in the machine's profile."
    )


@pytest.mark.parametrize(
    ("feed", "chip_mm", "limit_mm", "advice"),
    [
        # worked by hand: feed over 10000 x 2; the chart's 2 and 4 thousandths of an inch are 0.0508 and 0.1016 mm
        (1000, 0.05, 0.0508, "A thin chip rubs"),
        (2000, 0.1, None, ""),
        (1020, 0.051, None, ""),
        (1960, 0.098, None, ""),
    ],
)
def test_a_chip_outside_the_chart_warns_and_changes_nothing(feed, chip_mm, limit_mm, advice):
    job = job_of(JOB, {"test.toml": changed(MACHINE, ("feed = 1200", f"feed = {feed}"))})
    assert job.feeds[0].feed_mm_min == feed
    assert [warning.code for warning in job.warnings] == [Code.CUTTING_CHIP_LOAD] * (limit_mm is not None)
    for warning in job.warnings:
        assert warning.measured == pytest.approx(chip_mm)
        assert warning.limit == pytest.approx(limit_mm)
        assert warning.advice.startswith(advice)


def test_a_chip_too_thick_is_said_in_both_units():
    machine = changed(MACHINE, ("feed = 1200", "feed = 2000"), ("stepdown = 1", "stepdown = 6.35"))
    warning = job_of(JOB, {"test.toml": machine}).warnings[0]
    # worked by hand: two diameters deep, so the chart keeps three quarters of its 2 and 4 thousandths
    assert worded(warning.text, "mm") == (
        "flat-3.175-long in hard maple takes chips of 0.100 mm (3.9 thousandths of an inch) a tooth; "
        "a router-bit maker's chart gives "
        "0.038 mm (1.5 thousandths of an inch) to 0.076 mm (3.0 thousandths of an inch) for hardwood."
    )
    assert warning.advice == (
        "A thick chip loads the bit: write a lower feed or a faster spindle in the profile's [[feeds]]."
    )


@pytest.mark.parametrize("profile", PROFILES, ids=[profile.machine.id for profile in PROFILES])
def test_every_shipped_entry_lies_within_the_chart(profile):
    for entry in profile.feeds:
        if entry.bit_id and shipped_bits()[entry.bit_id].kind is not BitKind.FLAT:
            continue  # the chart is for straight sides
        wood = shipped_woods()[entry.material_id]
        bit = min(FLAT, key=lambda bit, entry=entry: abs(bit.nominal_mm - entry.diameter_mm))
        data = feeds_for(bit, wood, profile, bits=shipped_bits())
        assert (data.note, data.stepdown_mm) == ("", entry.stepdown_mm)
        assert chip_findings(data, bit, wood, file="") == ()
        assert entry.stepdown_mm <= bit.nominal_mm
