"""Bits a person owns: which of them makes a job quicker is proved and proposed, and never taken unasked."""

import re

import pytest

from cli.jobs import make, run, small_job
from platelayer.job import load_job, load_profiles
from platelayer.road import quicker
from platelayer.road.owned_bits import owned_note
from platelayer.road.planning import lay_job
from platelayer.road.proving import prove
from platelayer.road.quicker import quicker_lines, quicker_ways
from platelayer.units import worded
from proved import written

PROFILES = load_profiles(())
BITS = '[[bit]]\nid = "flat-4.763"\nmeasured = "4.74 mm"\n'


def ways_of(text, *own):
    return quicker_ways(text, file="job.toml", profiles=PROFILES, own=own)


def job_with(**bits):
    return small_job(bits="\n".join(f'{role} = "{bit}"' for role, bit in bits.items()))


def seconds_of(text):
    return sum(file.seconds_s for file in prove(written(text)).report.files)


def test_a_way_takes_just_what_the_job_takes_so_written(monkeypatch):
    monkeypatch.setattr(quicker, "MOST_TRIED", 2)
    as_it_is, *ways = ways_of(small_job(), "flat-4.763")
    assert as_it_is.seconds_s == pytest.approx(seconds_of(small_job()))
    assert ways and not any(way.fault for way in ways)
    assert [way.seconds_s for way in ways] == sorted(way.seconds_s for way in ways)
    assert ways[-1].seconds_s < as_it_is.seconds_s
    single = next(way for way in ways if len(way.changes) == 1)
    assert single.seconds_s == pytest.approx(seconds_of(job_with(**single.changes)))
    assert (as_it_is.bits, single.bits) == (1, 2)
    lines = quicker_lines((as_it_is, *ways))
    assert lines[0].startswith("As the job says: ")
    assert lines[-1].startswith("Nothing is changed. For the quickest write under [bits]: ")


def test_a_bit_that_is_not_sound_is_told_with_its_reason_and_one_that_is_slower_not_at_all(monkeypatch):
    monkeypatch.setattr(quicker, "MOST_TRIED", 0)
    _, *ways = ways_of(small_job(), "flat-6.35-up")
    by_role = {next(iter(way.changes)): worded(way.fault, "in") for way in ways if len(way.changes) == 1}
    assert "wider than the groove" in by_role["grooves"]
    lines = quicker_lines(ways_of(small_job(), "flat-1.588"))
    assert lines[-1] == "Neither these bits nor derived finish feeds make it quicker."


def test_a_bit_that_is_none_is_asked_about_and_nothing_is_written(tmp_path):
    (tmp_path / "job.toml").write_text(small_job(), encoding="utf-8")
    done = run("quicker", tmp_path / "job.toml", "--own", "flat-4.7")
    assert (done.exit_code, done.stderr) == (2, "--own = flat-4.7: no such bit. Did you mean flat-4.763?\n")
    assert [one.name for one in tmp_path.iterdir()] == ["job.toml"]


def note_of(text):
    job = load_job(text, file="job.toml", profiles=PROFILES)
    return owned_note(text, file="job.toml", profiles=PROFILES, laid=lay_job(job))


def test_a_make_notes_what_owned_bits_could_do_and_takes_none(tmp_path):
    assert note_of(small_job()) == ""
    note = note_of(small_job() + BITS)
    assert note.startswith("With bits you own, ")
    assert "outlines with flat-4.763" in note
    done = make(tmp_path, small_job() + BITS)
    assert done.exit_code == 0
    assert note.split(": platelayer")[0] in done.stderr
    assert [file.name for file in (tmp_path / "out").glob("*.nc")] == ["A-1-flat-3.175-long.nc"]


def test_what_is_measured_of_an_owned_bit_counts(monkeypatch):
    monkeypatch.setattr(quicker, "MOST_TRIED", 1)
    proved = ways_of(small_job() + BITS)
    assert any("flat-4.763" in way.changes.values() and not way.fault for way in proved)


def test_derived_finish_feeds_are_proposed_and_not_taken(monkeypatch):
    monkeypatch.setattr(quicker, "MOST_TRIED", 0)
    stiff = small_job() + '[[bit]]\nid = "flat-3.175-long"\nstick_out = "19 mm"\n'
    as_it_is, way = ways_of(stiff)
    asked_for = stiff + "[cutting]\nderive_finish_feeds = true\n"
    assert (as_it_is.seconds_s, way.seconds_s) == pytest.approx((seconds_of(stiff), seconds_of(asked_for)))
    lines = quicker_lines((as_it_is, way))
    assert re.fullmatch(r"Finish feeds derived: .* less, .*, one bit, 2 more to note\.", lines[1])
    assert lines[2] == "Nothing is changed. For the quickest write under [cutting]: derive_finish_feeds = true"
    as_it_is, *others = ways_of(asked_for)
    assert not any(way.derives_finish for way in others)  # it has them already
