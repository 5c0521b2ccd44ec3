"""A job in sittings: no file is longer than asked, the wood comes out the same, and files go on from it."""

import json

import pytest

from cli.jobs import make, run, small_job
from platelayer.road.proving import prove
from proved import written

MOST_MIN = 8
SITTING = f'[cutting]\nsitting = "{MOST_MIN} min"\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("sittings")
    done = make(place, small_job() + SITTING)
    assert done.exit_code == 0, done.output
    return place / "out"


def test_no_file_is_longer_than_a_sitting_and_the_wood_comes_out_the_same():
    whole, parted = (prove(written(text)) for text in (small_job(), small_job() + SITTING))
    assert parted.report.passed
    seconds = [file.seconds_s for file in parted.report.files]
    assert len(whole.report.files) == 1 < len(seconds)
    assert max(seconds) <= 60 * MOST_MIN < whole.report.files[0].seconds_s
    assert parted.report.pieces == whole.report.pieces
    assert parted.report.joints == whole.report.joints
    cut = [file.cutting_mm for one in (whole, parted) for file in one.report.files]
    assert sum(cut[1:]) == pytest.approx(cut[0], rel=0.01)


def test_each_file_says_which_sitting_it_is_and_what_is_cut_by_then(folder):
    names = [file["name"] for file in json.loads((folder / "manifest.json").read_text("utf-8"))["files"]]
    for number, name in enumerate(names, start=1):
        text = (folder / name).read_text("ascii")
        head = " ".join(line[1:-1] for line in text.split("G17")[0].splitlines())
        assert f"SITTING {number} of {len(names)} with this bit" in head
        assert ("Same bit, same zero as before" in head) == (number > 1)
        # two pieces with two grooves each, and the grooves come first
        said = "groove of 2" if number > 1 else "nothing"
        assert f"Cut already, kinds of cut and pieces: {said}" in head
    summary = (folder / "summary.txt").read_text("utf-8")
    assert summary.count("another sitting: the board stayed as it lay and the bit in") == len(names) - 1


def test_a_later_sitting_is_gone_on_with_and_all_of_them_run_in_the_air(folder, tmp_path):
    last = sorted(folder.glob("A-*.nc"))[-1]
    done = run("recut", last, "--pass", 2, "--zero", "lost", "--out", tmp_path / "more.nc")
    assert done.exit_code == 0, done.output
    done = run("rehearse", folder, "--out", tmp_path / "air")
    assert done.exit_code == 0, done.output
    aloft = {file.name for file in (tmp_path / "air").glob("*.nc")}
    assert aloft == {"A-trace.nc", *(f"{file.stem}-air.nc" for file in folder.glob("A-*.nc"))}


def test_a_sitting_shorter_than_one_piece_takes_is_refused(tmp_path):
    done = make(tmp_path, small_job() + '[cutting]\nsitting = "30 s"\n')
    assert done.exit_code == 1
    assert "[cutting] sitting = 0.5 min: shorter than what one piece takes at one go. Use " in done.stderr


def test_one_file_for_all_bits_has_no_sittings(tmp_path):
    done = make(tmp_path, small_job() + f"{SITTING}one_file = true\n")
    assert done.exit_code == 2
    assert "[cutting] one_file = true: all bits in one file, which no sitting can end. Leave one of" in done.stderr
