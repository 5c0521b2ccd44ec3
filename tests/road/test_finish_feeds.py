"""Feeds of finish passes that a job lets be derived: the whole road, and files spoilt where the chip or the bend is."""

import json
import re

import pytest

from cli.jobs import make, small_job
from platelayer.job import load_job, load_profiles
from platelayer.road.planning import plan_job
from platelayer.road.proving import prove
from platelayer.units import worded
from platelayer.values.findings import Code
from proved import data_of, errors, refusals, spoilt, text_of, with_manifest, written

BIT = '[[bit]]\nid = "flat-3.175-long"\nstick_out = "19 mm"\n'
LISTED = small_job() + BIT
DERIVED = LISTED + "[cutting]\nderive_finish_feeds = true\n"
NAME = "A-1-flat-3.175-long.nc"


@pytest.fixture(scope="module")
def contents():
    return written(DERIVED)


def said(contents):
    (file,) = data_of(contents)["files"]
    return {one["operation"]: one for one in file["bits"][0].get("finish_feeds", ())}


def seconds_of(contents):
    return prove(contents).report.files[0].seconds_s


def with_feed(contents, after, old, new, count=1):
    """The first feeds ``old`` after a comment turned into ``new``."""
    text = text_of(contents, NAME)
    begin = text.index(after)
    tail = re.sub(rf"F{old}$", f"F{new}", text[begin:], count=count, flags=re.M)
    return spoilt(contents, NAME, text[:begin] + tail)


def test_nothing_is_derived_unasked():
    assert said(written(LISTED)) == {}
    assert "1861" not in text_of(written(LISTED), NAME)


def test_what_is_derived_takes_less_time_and_is_proved(contents):
    assert errors(contents) == {}
    assert seconds_of(contents) < seconds_of(written(LISTED))
    feeds = said(contents)
    assert feeds["sockets"]["feed"] > 1700 > feeds["finish"]["feed"]
    assert feeds["finish"]["depth"] > 2 * 2.2  # in one level, where listed feeds take two
    assert len(re.findall(r"long-01 outline finish", text_of(contents, NAME))) == 1


def test_chips_stay_between_the_charts_and_roughings(contents):
    # source: asttooling.com chart: 1/8 in, hardwood .002 to .004 in, half of it from three diameters on
    roughing = 1700 / (13000 * 2)
    for one in said(contents).values():
        share = 0.5 if one["depth"] >= 3 * 3.175 else 1 - 0.25 * (one["depth"] / 3.175 - 1)
        assert one["chip"] <= min(roughing, 0.004 * 25.4 * share)
        assert one["feed"] >= 1700 or one["chip"] >= 0.002 * 25.4 * share


def test_a_person_is_told_to_listen():
    job = load_job(DERIVED, file="job.toml", profiles=load_profiles(()))
    _, noticed = plan_job(job)
    found = [one for one in noticed if one.code is Code.CUTTING_FEED_DERIVED]
    assert {one.measured for one in found} == {1861, 1378}
    sentence = next(worded(f"{one.text} {one.advice}", "mm") for one in found if one.measured == 1861)
    assert sentence == (
        "flat-3.175-long finishes sockets 6.500 mm (~1/4 in) deep at once at 1861 mm/min instead of 1700: of the "
        "0.200 mm (0.008 in) left on a wall it takes chips of 0.035 mm (1.4 thousandths of an inch) (roughing: 0.065 "
        "mm (2.6 thousandths of an inch)), and it bends by some 0.020 mm (0.001 in). This feed was worked out and "
        "tried by nobody: listen to the first finish pass, a hand on the stop. If the bit whines, chatters or smells "
        "of burning, leave derive_finish_feeds out of [cutting]."
    )


def test_sheet_and_summary_have_the_caution(tmp_path):
    done = make(tmp_path, DERIVED)
    assert done.exit_code == 0
    assert "listen to the first finish pass" in done.output
    noticed = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="ascii"))["noticed"]
    assert sum("derive_finish_feeds" in one for one in noticed) == 2  # the sheet prints these


@pytest.mark.parametrize(
    ("after", "old", "new", "count", "says"),
    [
        ("(long-01 groove)", 1700, 1861, 1, "goes through wood at 1861 mm/min; the job asks for 1700 at most"),
        ("(long-01 socket)", 1700, 1861, 1, "goes through wood at 1861 mm/min; the job asks for 1700 at most"),
        ("(long-01 socket)", 1861, 2000, 1, "goes through wood at 2000 mm/min; the job asks for 1700 at most"),
        ("(long-01 outline finish)", 1378, 1700, 1, "at once at 1700 mm/min, and bends more than a finish pass may"),
        ("(long-01 outline finish)", 1378, 1861, 1, "goes through wood at 1861 mm/min; the job asks for 1700 at most"),
        ("(long-01 outline finish)", 1378, 600, 9, "creeps through wood at 600 mm/min"),
    ],
)
def test_a_file_that_goes_faster_than_is_said_is_refused(contents, after, old, new, count, says):
    assert any(says in one.text for one in refusals(with_feed(contents, after, old, new, count)))


def test_a_hollow_and_a_lead_are_slower_than_a_straight_wall(contents):
    """Of a socket's finish pass every slow stretch made fast is refused: its chips would be thicker than is said."""
    text = text_of(contents, NAME)
    first = text.index("F1861")
    ends = [match.start() for match in re.finditer("F1700", text)]
    hollow = next(at for at in ends if at > first)
    lead = max(at for at in ends if at < first)
    for slow in (lead, hollow):
        assert "cutting-feed" in errors(spoilt(contents, NAME, f"{text[:slow]}F1861{text[slow + 5 :]}"))


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("chip", 0.01, "takes chips of"),
        ("depth", 13.0, "bends the bit by"),
        ("feed", 4000.0, "the machine goes 3000 at most"),
    ],
)
def test_finish_feeds_that_are_not_sound_by_their_own_numbers(contents, key, value, says):
    def change(data):
        next(one for one in data["files"][0]["bits"][0]["finish_feeds"] if one["operation"] == "sockets")[key] = value

    assert any(says in one.text for one in refusals(with_manifest(contents, change)))


def test_chips_beyond_the_chart_are_refused(contents):
    def change(data):
        bit = data["files"][0]["bits"][0]
        bit["finish_feeds"][0]["chip"] = 0.2

    assert "router-bit maker's chart" in errors(with_manifest(contents, change))["cutting-feed"]
