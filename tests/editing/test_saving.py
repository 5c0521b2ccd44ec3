"""A save writes the whole file or nothing, keeps the one before, and loses nobody's change."""

import os
import signal
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from platelayer.editing.edits import Conflict, Edit
from platelayer.editing.saving import BEFORE, create, put_back, save
from platelayer.errors import JobError

ROOT = Path(__file__).resolve().parents[2]
HALLWAY = (ROOT / "examples" / "hallway" / "job.toml").read_text("utf-8")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(HALLWAY, encoding="utf-8")
    return path


def count(old: int, new: int) -> Edit:
    return Edit(path=("piece", 0, "count"), old=old, new=new)


def test_the_one_before_is_kept_and_comes_back(job: Path) -> None:
    after = save(job, [count(12, 3)])
    assert job.read_text("utf-8") == after
    assert (job.parent / BEFORE / "job.toml").read_text("utf-8") == HALLWAY
    assert put_back(job, seen=after) == HALLWAY
    assert put_back(job, seen=HALLWAY) == after


def test_nothing_is_put_back_over_what_the_person_did_not_see(job: Path) -> None:
    after = save(job, [count(12, 3)])
    job.write_text(after + "# more\n", encoding="utf-8")
    with pytest.raises(Conflict):
        put_back(job, seen=after)
    assert job.read_text("utf-8") == after + "# more\n"


def test_a_conflict_writes_nothing_not_even_what_stood_before(job: Path) -> None:
    with pytest.raises(Conflict):
        save(job, [count(12, 3), count(12, 4)])
    assert job.read_text("utf-8") == HALLWAY
    assert not (job.parent / BEFORE / "job.toml").exists()


def test_what_was_typed_in_an_editor_meanwhile_stays(job: Path) -> None:
    job.write_text(HALLWAY.replace("width = 36", "width = 40  # the long one"), encoding="utf-8")
    save(job, [count(12, 3)])
    assert "width = 40  # the long one" in job.read_text("utf-8")


def test_a_new_file_never_takes_the_place_of_another(job: Path) -> None:
    with pytest.raises(JobError, match="exists already"):
        create(job, "")
    assert job.read_text("utf-8") == HALLWAY


def test_of_two_saves_of_one_value_at_once_one_is_refused(job: Path) -> None:
    def one(new: int) -> bool:
        try:
            save(job, [count(12, new)])
        except Conflict:
            return False
        return True

    with ThreadPoolExecutor(8) as together:
        done = list(together.map(one, range(20, 36)))
    assert sum(done) == 1
    assert tomllib.loads(job.read_text("utf-8"))["piece"][0]["count"] == 20 + done.index(True)


def test_saves_of_many_values_at_once_are_all_there(job: Path) -> None:
    edits = [Edit(path=("extra", f"key{number}"), new=number) for number in range(24)]
    with ThreadPoolExecutor(8) as together:
        list(together.map(lambda edit: save(job, [edit]), edits))
    assert tomllib.loads(job.read_text("utf-8"))["extra"] == {f"key{number}": number for number in range(24)}


ENDLESS = """
import sys
from pathlib import Path
from platelayer.editing.edits import Edit
from platelayer.editing.saving import save
for number in range(12, 1000):
    save(Path(sys.argv[1]), [Edit(path=("piece", 0, "count"), old=number, new=number + 1)])
    print("saved", flush=True)
"""


@pytest.mark.parametrize("after_s", [0.02, 0.11, 0.23])
def test_a_save_that_is_killed_leaves_the_old_file_or_the_new_one(job: Path, after_s: float) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", ENDLESS, str(job)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    ) as saving:
        assert saving.stdout.readline() == b"saved\n"
        try:
            saving.wait(after_s)
        except subprocess.TimeoutExpired:
            os.kill(saving.pid, signal.SIGKILL)
    left = job.read_text("utf-8")
    now = tomllib.loads(left)["piece"][0]["count"]
    assert left == HALLWAY.replace("count = 12", f"count = {now}", 1)
    before = tomllib.loads((job.parent / BEFORE / "job.toml").read_text("utf-8"))["piece"][0]["count"]
    assert before in (now, now - 1)
    save(job, [count(now, 5)])
    assert [path.name for path in job.parent.iterdir() if ".staged-" in path.name] == []
