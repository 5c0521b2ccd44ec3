"""The floor on the page: drawn as its file says, closed by what the cut list takes, and never out of the folder."""

import tomllib
from pathlib import Path

import pytest

from desk.served import HALLWAY, ROOT
from platelayer.desk.floors import close, floor
from platelayer.desk.saving import save_file
from platelayer.errors import JobError

FLOOR = (
    (ROOT / "examples" / "hallway-floor" / "floor.toml").read_text("utf-8").replace("../hallway/job.toml", "job.toml")
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    work = tmp_path / "work"
    work.mkdir()
    (work / "job.toml").write_text(HALLWAY, encoding="utf-8")
    (work / "floor.toml").write_text(FLOOR, encoding="utf-8")
    return work


def nobody(_: object) -> None:
    """Nobody is told what goes on."""


def test_a_floor_is_drawn_and_its_gap_closed_by_what_the_cut_list_takes(folder: Path) -> None:
    seen = floor(folder, nobody, file="floor.toml")
    assert seen["svg"].startswith("<svg")
    assert seen["gaps"] == ("hall",)
    best = close(folder, nobody, file="floor.toml", gap="hall")["answers"][0]
    assert best["pieces"] == "6 long, short, hall-28"
    (piece,) = best["new"]
    save_file(folder, {"file": "job.toml", "edits": [{"path": ["piece", 4], "old": None, "new": dict(piece)}]})
    assert tomllib.loads((folder / "job.toml").read_text("utf-8"))["piece"][4] == dict(piece)


def test_a_floor_with_a_fault_is_told_with_its_line(folder: Path) -> None:
    (folder / "floor.toml").write_text(FLOOR.replace('pieces = ["20 long"]', 'pieces = ["20 lang"]'), encoding="utf-8")
    told = floor(folder, nobody, file="floor.toml")
    assert told["faults"][0]["line"] == FLOOR[: FLOOR.index('pieces = ["20 long"]')].count("\n") + 1


def test_a_floor_whose_job_lies_outside_is_not_followed(folder: Path) -> None:
    (folder.parent / "job.toml").write_text(HALLWAY, encoding="utf-8")
    leading = FLOOR.replace('"job.toml"', '"../job.toml"')
    with pytest.raises(JobError, match="leads out of the folder"):
        save_file(folder, {"file": "floor.toml", "edits": [{"path": [], "old": FLOOR, "new": leading}]})
    with pytest.raises(JobError, match="leads out of the folder"):
        save_file(
            folder,
            {"file": "floor.toml", "edits": [{"path": ["floor", "job"], "old": "job.toml", "new": "../job.toml"}]},
        )
    assert (folder / "floor.toml").read_text("utf-8") == FLOOR
    (folder / "floor.toml").write_text(leading, encoding="utf-8")
    assert "leads out of the folder" in floor(folder, nobody, file="floor.toml")["faults"][0]["sentence"]
