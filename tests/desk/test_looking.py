"""A look at a job: its faults at their fields, and its board drawn even so."""

import math
import re
import subprocess
import sys
from pathlib import Path

import pytest

from desk.served import HALLWAY, ROOT
from platelayer.desk.looking import look
from platelayer.units import inches, show_length, worded


def nobody(_: object) -> None:
    """Nobody is told what goes on."""


def looked(folder: Path, text: str) -> dict:
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return look(folder, nobody, job="job.toml")


def test_a_good_job_is_drawn_counted_and_timed(tmp_path: Path) -> None:
    told = looked(tmp_path, HALLWAY)
    assert told["faults"] == []
    assert told["may_be_cut"]
    assert [one["board"] for one in told["drawings"]] == ["A"]
    assert [(line["name"], line["count"]) for line in told["pieces"]] == [
        ("long", 12), ("short", 4), ("curve-left", 2), ("curve-right", 2)
    ]  # fmt: skip
    # worked by hand: 12 x 5 15/16 in + 4 x 2 3/8 in and four eighths of a circle of 8 in
    length_mm = inches(12 * (5 + 15 / 16) + 4 * (2 + 3 / 8) + 4 * 8 * math.pi / 4)
    assert told["sums"]["length"] == worded(show_length(length_mm), "in")
    assert told["sums"]["pieces"] == 20
    assert re.fullmatch(r"\d h \d\d min", told["about"])


SPOILT = [
    ('length = "5 15/16"', 'length = "5 15/"', ["piece", 0, "length"], 1),
    ('length = "5 15/16"\n', "", ["piece", 0, "length"], 1),
    ("count = 12", 'count = "many"', ["piece", 0, "count"], 1),
    ('mouth = "ease"', 'mouht = "ease"', ["joint", "mouht"], 1),
    ('machine = "mid-screw"', 'machine = "mine"', ["job", "machine"], 1),
    ('material = "hard-maple"', 'material = "iron"', ["job", "material"], 1),
    ("radius = 8 ", "radius = 1 ", ["piece", 2, "radius"], 1),
    ("width = 36", 'width = "wide"', ["board", 0, "width"], 0),
    ('joints = "flat-3.175-long"', 'joints = "flat-3"', ["bits", "joints"], 1),
    ('peg_root = "relieve"', 'peg_root = "none"', ["joint", "peg_root"], 1),
    ('kind = "tabs"', 'kind = "tabs"\ntab_height = 1', ["holding", "tab_height"], 1),
]


@pytest.mark.parametrize(("good", "bad", "path", "boards"), SPOILT, ids=[bad or "left out" for _, bad, *_ in SPOILT])
def test_a_fault_is_told_at_its_field_and_the_board_is_drawn(
    tmp_path: Path, good: str, bad: str, path: list, boards: int
) -> None:
    assert good in HALLWAY
    told = looked(tmp_path, HALLWAY.replace(good, bad, 1))
    assert [one["path"] for one in told["faults"]] == [path]
    assert told["faults"][0]["file"] == "job.toml"
    assert not told["may_be_cut"]
    assert len(told.get("drawings", [])) == boards


def test_a_key_that_nobody_knows_may_be_taken_out_and_no_other(tmp_path: Path) -> None:
    spoilt = HALLWAY.replace('mouth = "ease"', 'mouht = "ease"').replace("count = 12", 'count = "many"')
    told = {tuple(one["path"]): one["cure"] for one in looked(tmp_path, spoilt)["faults"]}
    assert told == {("joint", "mouht"): "take_out", ("piece", 0, "count"): None}


def test_what_is_no_toml_is_told_with_its_line_and_nothing_else(tmp_path: Path) -> None:
    told = looked(tmp_path, HALLWAY.replace('units = "in"', 'units = "in', 1))
    assert (told["data"], told["faults"][0]["line"], told["faults"][0]["path"]) == (None, 6, [])


def test_a_fault_of_ones_own_machine_is_told_at_the_field_of_its_own_file(tmp_path: Path) -> None:
    (tmp_path / "machines").mkdir()
    profile = (ROOT / "machine_profiles" / "mid-screw.toml").read_text("utf-8")
    (tmp_path / "machines" / "mine.toml").write_text(profile.replace("travel = 720", "travel = -1"), encoding="utf-8")
    own = HALLWAY.replace('machine = "mid-screw"', 'machine = "mine"\nprofiles = "machines"')
    told = looked(tmp_path, own)
    assert [(one["file"], one["path"]) for one in told["faults"]] == [("machines/mine.toml", ["axis", "y", "travel"])]
    assert told["own"]["machine"]["file"] == "machines/mine.toml"
    assert told["own"]["machine"]["data"]["axis"]["x"]["travel"] == 960


def test_a_job_that_does_not_fit_says_so_at_once_and_is_then_drawn_with_a_spare(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(HALLWAY.replace("width = 36", "width = 20"), encoding="utf-8")
    early: list[dict] = []
    told = look(tmp_path, early.append, job="job.toml")
    assert [one["path"] for one in early[0]["faults"]] == [["board"]]
    assert [one["board"] for one in early[0]["drawings"]] == ["A"]
    assert "Give 2 more boards like A, 3 in all" in told["faults"][0]["sentence"]
    assert [one["board"] for one in told["drawings"]] == ["A", "A-more-1", "A-more-2"]


def test_a_first_view_waits_for_nothing_that_proves_or_writes() -> None:
    """What a refused job alone needs was read in before anything was shown: a sixth of the whole wait."""
    ask = "import sys, platelayer.desk.looking; print(*sys.modules)"
    own = {"PYTHONPATH": str(ROOT / "src")}
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True, env=own)
    read_in = set(done.stdout.split())
    assert "platelayer.desk.looking" in read_in
    assert not {"platelayer.proof.dry_run", "platelayer.road.outputs", "platelayer.preview.page"} & read_in
