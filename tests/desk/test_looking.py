"""A look at a job whose own files have faults: they are told, and its board is drawn all the same."""

from pathlib import Path

import pytest

from desk.served import HALLWAY
from platelayer.desk.looking import look
from platelayer.job import load_profiles, starter_bits, starter_woods

SCREW = next(text for file, text in load_profiles().items() if file.endswith("mid-screw.toml"))
SPOILT = {
    "machine": ("machines/mine.toml", SCREW.replace("travel = 960", "travel = -3"), "travel"),
    "bits": ("bits.toml", starter_bits().replace("# measured = 3.14", "measured = 30"), "measured"),
    "woods": ("woods.toml", starter_woods().replace("1010 lbf", "11 lbf"), "hardness"),
}


def nobody(_: object) -> None:
    """Nobody is told what goes on."""


@pytest.mark.parametrize("what", SPOILT)
def test_a_fault_in_a_file_of_ones_own_is_told_and_the_board_is_drawn(what: str, tmp_path: Path) -> None:
    name, text, key = SPOILT[what]
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text(text, encoding="utf-8")
    named = 'profiles = "machines"' if what == "machine" else f'{what} = "{name}"'
    job = HALLWAY.replace("[job]\n", f"[job]\n{named}\n")
    if what == "machine":
        machine = next(line for line in job.splitlines() if line.startswith("machine ="))
        job = job.replace(machine, 'machine = "mine"')
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    told = look(tmp_path, nobody, job="job.toml")
    assert [fault["path"][-1] for fault in told["faults"]] == [key]
    assert told["drawings"]
    assert not told["may_be_cut"]
