"""The only writer: whole or nothing, and a person's file stays what it was in all but its content."""

import os
import sys
from pathlib import Path
from subprocess import PIPE, Popen

import pytest

from platelayer import files
from platelayer.errors import JobError


def test_line_ends_come_through_reading_and_writing(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_bytes(b"# mine\r\n")
    files.write_file(file, files.read_text(file) + "a = 1\r\n", force=True)
    assert file.read_bytes() == b"# mine\r\na = 1\r\n"


def test_permissions_and_links_stay(tmp_path: Path) -> None:
    file, link = tmp_path / "real.toml", tmp_path / "link.toml"
    file.write_text("a = 1\n", encoding="utf-8")
    file.chmod(0o640)
    link.symlink_to(file)
    files.write_file(link, "a = 2\n", force=True)
    assert link.is_symlink()
    assert file.read_text(encoding="utf-8") == "a = 2\n"
    assert file.stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.toml", "real.toml"]


def test_a_new_file_may_be_read_by_others(tmp_path: Path) -> None:
    files.write_file(tmp_path / "new.toml", "", force=False)
    assert (tmp_path / "new.toml").stat().st_mode & 0o777 == 0o644


def test_a_file_set_read_only_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text("a = 1\n", encoding="utf-8")
    file.chmod(0o444)
    with pytest.raises(JobError) as caught:
        files.write_file(file, "a = 2\n", force=True)
    assert str(caught.value) == f"{file}: read-only. Make it writable, or name another."
    assert file.read_text(encoding="utf-8") == "a = 1\n"
    assert [path.name for path in tmp_path.iterdir()] == ["shop.toml"]


HANDING_OVER = """
import os, sys, time
import os
import sys
from pathlib import Path
from subprocess import PIPE, Popen
from platelayer import files

target, ends_after = Path(sys.argv[1]), sys.argv[2]

def stop(name):
    if name == ends_after:
        print("there", flush=True)
        time.sleep(600)

rename = Path.rename

def renamed(self, to):
    rename(self, to)
    stop("kept" if self == target else "handed over" if to == target else "other")

Path.rename = renamed
with files.staging(target) as staged:
    files.fill(staged, {"new.nc": b"new"})
    stop("staged")
    files.hand_over(staged, target)
"""


@pytest.fixture
def run_until():
    """Starts a run of its own that stands still at a named point, until it is killed outright."""
    runs = []

    def start(target: Path, point: str) -> Popen[str]:
        run = Popen([sys.executable, "-c", HANDING_OVER, str(target), point], stdout=PIPE, text=True, env=OWN)
        runs.append(run)
        assert run.stdout.readline() == "there\n"
        return run

    yield start
    for run in runs:
        run.kill()
        run.communicate()


OWN = {**os.environ, "PYTHONPATH": str(Path(files.__file__).parents[1])}


def written(target: Path) -> None:
    with files.staging(target) as staged:
        files.fill(staged, {"old.nc": b"old"})
        files.hand_over(staged, target)
    (target / "mine.txt").write_text("mine", encoding="utf-8")


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize(("point", "left"), [("staged", "old.nc"), ("kept", "old.nc"), ("handed over", "new.nc")])
def test_what_a_killed_run_left_is_cleared_by_the_next_and_nothing_is_lost(tmp_path, run_until, point, left):
    target = tmp_path / "out"
    written(target)
    (tmp_path / ".out.mine").mkdir()
    run = run_until(target, point)
    run.kill()
    run.wait()
    assert len(names(tmp_path)) > 2 or not target.exists()
    with files.staging(target):
        assert names(target) == sorted([left, "mine.txt", "written.json"])
    assert names(tmp_path) == [".out.mine", "out"]


def test_a_live_run_s_folder_is_left_alone(tmp_path, run_until):
    target = tmp_path / "out"
    written(target)
    run = run_until(target, "staged")
    (beside,) = (path for path in tmp_path.iterdir() if path != target)
    written(target)
    assert names(beside) == ["new.nc", "written.json"]
    assert run.poll() is None
