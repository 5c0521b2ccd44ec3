"""G-code leaves the page only as it was proved from disk a moment ago."""

import os
import shutil
from pathlib import Path

import pytest

from cli.jobs import made, small_job, spoil
from platelayer.desk.files_made import copy, make, prove, shop, timing
from platelayer.desk.looking import drawings_of, look
from platelayer.errors import JobError
from platelayer.files import sha256
from platelayer.job import load_job, load_profiles
from platelayer.manifest.read import parse_manifest
from platelayer.road.making import contents_of
from platelayer.road.planning import plan_job
from road.test_planning import BESIDE_CURVES

NAME = "A-1-flat-3.175-long.nc"


def nobody(_: object) -> None:
    """Nobody is told what goes on."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job and what was made of it, as the page names it."""
    made(tmp_path, small_job())
    shutil.move(tmp_path / "out", tmp_path / "job")
    return tmp_path


def test_pieces_that_the_cuts_lay_further_apart_are_drawn_again(tmp_path: Path) -> None:
    """The page went on to show them where they lay before anybody asked where their tabs find room."""
    text = BESIDE_CURVES.format(height=200, cutting="")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    first = look(tmp_path, nobody, job="job.toml")["drawings"]
    told: list[dict] = []
    assert prove(tmp_path, told.append, job="job.toml")["passed"]
    (planned,) = (one for one in told if one.get("event") == "planned")
    job = load_job(text, file=str(tmp_path / "job.toml"), profiles=load_profiles(()))
    contents = contents_of(plan_job(job)[0], job, ())
    assert planned["drawings"] == drawings_of(parse_manifest(contents["manifest.json"].decode())) != first


def test_pieces_that_stay_where_they_lay_are_not_drawn_again(folder: Path) -> None:
    told: list[dict] = []
    prove(folder, told.append, job="job.toml")
    assert [one.keys() for one in told if one.get("event") == "planned"] == [{"event", "minutes"}]


def test_what_was_made_is_handed_out_byte_for_byte(folder: Path) -> None:
    told = copy(folder, nobody, file=f"job/{NAME}", kind="gcode")
    assert told["text"].encode("ascii") == (folder / "job" / NAME).read_bytes()


def test_only_what_stands_in_the_way_may_be_written_over(folder: Path) -> None:
    """The page once knew it by the words of the sentence."""
    (folder / "job" / NAME).write_text("mine", encoding="ascii")
    assert [one["cure"] for one in make(folder, nobody, job="job.toml")["refused"]] == ["write_over"]
    (folder / "job" / "written.json").unlink()
    assert [one["cure"] for one in make(folder, nobody, job="job.toml")["refused"]] == ["write_over"]
    (folder / "job.toml").write_text(small_job(count=0), encoding="utf-8")
    assert [one["cure"] for one in make(folder, nobody, job="job.toml", force=True)["refused"]] == [None]


def test_a_file_that_somebody_changed_is_not_handed_out(folder: Path) -> None:
    path = folder / "job" / NAME
    path.write_text(path.read_text("ascii").replace("G0 Z4", "G0 Z-4", 1), encoding="ascii")
    with pytest.raises(JobError, match="changed since it was made"):
        copy(folder, nobody, file=f"job/{NAME}", kind="gcode")


def test_a_folder_that_fails_its_dry_run_hands_nothing_out(folder: Path) -> None:
    """Its record and manifest were changed with the file, so that only the dry run can tell."""
    text = (folder / "job" / NAME).read_text("ascii").replace("G0 Z4", "G0 Z-4", 1)
    spoil(folder / "job", NAME, text)
    record = folder / "job" / "written.json"
    record.write_text('{"' + NAME + '": "' + sha256(text.encode("ascii")) + '"}', encoding="ascii")
    with pytest.raises(JobError, match="Dry run refused"):
        copy(folder, nobody, file=f"job/{NAME}", kind="gcode")
    assert not shop(folder, nobody, job="job.toml")["passed"]


@pytest.mark.parametrize(
    ("file", "kind"), [("job.toml", "page"), (f"job/{NAME}", "page"), ("job/manifest.json", "gcode")]
)
def test_nothing_else_is_handed_out(folder: Path, file: str, kind: str) -> None:
    with pytest.raises(JobError, match="not a file that was made here"):
        copy(folder, nobody, file=file, kind=kind)


def test_a_job_changed_since_is_told_to_be_newer_than_its_files(folder: Path) -> None:
    made_at = (folder / "job" / "manifest.json").stat().st_mtime
    for after_s, is_older in ((-5, False), (5, True)):
        os.utime(folder / "job.toml", (made_at + after_s,) * 2)
        assert shop(folder, nobody, job="job.toml")["is_older"] is is_older


def test_moves_to_time_are_written_and_their_time_says_how_briskly_the_axis_starts(tmp_path: Path) -> None:
    asked = {"axis": "x", "feed": "3000 mm/min", "length": "20 mm"}
    told = timing(tmp_path, nobody, **asked)
    assert (tmp_path / "timing-x.nc").read_text("ascii") == told["text"]
    # worked by hand: 20 mm at 50 mm/s with 400 mm/s2 takes 0.4 s + 0.125 s
    said = timing(tmp_path, nobody, **asked, took=f"{told['count'] * 0.525:.3f}")
    assert said["words"].startswith("It starts with 400 mm/s2")


@pytest.mark.parametrize(("axis", "took"), [("../x", ""), ("x", "soon")])
def test_an_axis_or_a_time_that_is_none_is_refused(tmp_path: Path, axis: str, took: str) -> None:
    with pytest.raises(JobError):
        timing(tmp_path, nobody, axis=axis, feed="3000 mm/min", length="20 mm", took=took)
    assert list(tmp_path.iterdir()) == []


def test_the_trace_is_run_before_the_air_passes(folder: Path) -> None:
    """They were told by the alphabet, and a program in the air ran before anybody knew of a clamp in its way."""
    told = make(folder, nobody, job="job.toml", force=True)
    assert told["air"] == ["A-trace.nc", "A-1-flat-3.175-long-air.nc"]
