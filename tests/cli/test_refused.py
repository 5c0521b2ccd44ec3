"""A job that is refused is drawn all the same, without G-code, and nothing of an earlier job is written over."""

import json
import re

import pytest

from cli.jobs import made, make, page_head, small_job
from platelayer.errors import CannotCut, Fault
from platelayer.placing import nesting_pieces
from platelayer.placing.nesting import nest
from platelayer.road import planning

BOARD = "width = 26\nheight = 5\n"
TOO_LARGE = small_job().replace(BOARD, "width = 6\nheight = 3\n")
TOO_MANY = small_job(count=9)
NO_ROOM_FOR_THE_BIT = small_job(bits='grooves = "flat-6.35-up"')
JAMS = small_job(joint='peg_root = "none"')


def names(folder):
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("text", [TOO_LARGE, TOO_MANY, NO_ROOM_FOR_THE_BIT, JAMS])
def test_a_refused_job_leaves_plan_and_page_and_no_gcode(tmp_path, text):
    done = make(tmp_path, text)
    out = tmp_path / "out"
    assert done.exit_code == 1
    assert f"No G-code written to {out}. To see what does not fit, open {out / 'refused.html'}." in done.stderr
    left = names(out)
    assert {"refused.html", "written.json"} < left
    assert all(name.startswith("refused") for name in left - {"written.json"})
    shown = [piece["id"] for scene in page_head(out / "refused.html")["scenes"] for piece in scene["pieces"]]
    assert len(shown) == len(set(shown)) == (10 if text == TOO_MANY else 2)
    lengths = "".join(path.read_text(encoding="utf-8") for path in out.glob("refused-*-plan.svg"))
    assert lengths.count(">150.813 mm<") == sum(name.startswith("long") for name in shown)


def test_what_the_dry_run_alone_refuses_leaves_plan_and_page_with_its_finding(tmp_path, monkeypatch, anew):
    monkeypatch.setattr(planning, "joint_faults", lambda *_: ())
    done = make(tmp_path, JAMS)
    assert done.exit_code == 1
    assert "the joint will jam" in done.stdout
    assert names(tmp_path / "out") == {"refused.html", "refused-A-plan.svg", "written.json"}
    head = page_head(tmp_path / "out" / "refused.html")
    assert [one["severity"] for one in head["problems"] if "the joint will jam" in one["text"][0]] == ["error"]


def test_spare_boards_are_said_to_be_none_of_the_job_s(tmp_path):
    make(tmp_path, TOO_LARGE)
    head = page_head(tmp_path / "out" / "refused.html")
    boards = [scene["board"] for scene in head["scenes"]]
    told = [problem["text"][0] for problem in head["problems"] if problem["severity"] == "warning"]
    assert told == [f"Board {board} is none of the job's: it shows what finds no room on those." for board in boards]


def test_an_earlier_job_stays_as_it_was_and_its_next_good_one_takes_the_drawings_away(tmp_path):
    made(tmp_path, small_job())
    out = tmp_path / "out"
    before = {path.name: path.read_bytes() for path in out.iterdir() if path.name != "written.json"}
    done = make(tmp_path, TOO_MANY)
    assert done.exit_code == 1
    assert f"The G-code in {out} is that of an earlier job, as it was." in done.stderr
    assert {name: (out / name).read_bytes() for name in before} == before
    many = {name for name in names(out) if name.startswith("refused")}
    make(tmp_path, NO_ROOM_FOR_THE_BIT)
    few = {name for name in names(out) if name.startswith("refused")}
    assert few == {"refused.html", "refused-A-plan.svg"} < many
    assert set(json.loads((out / "written.json").read_text())) == names(out) - {"written.json"}
    assert make(tmp_path, small_job()).exit_code == 0
    assert names(out) == {*before, "written.json"}


def test_one_fault_is_one_line_whatever_the_number_of_pieces(tmp_path):
    done = make(tmp_path, TOO_LARGE.replace("count = 1", "count = 12"))
    lines = [line for line in done.stderr.splitlines() if "[[piece]]" in line]
    assert ["long-01, long-02, long-03 and 9 more" in line for line in lines].count(True) == 1
    assert len(lines) == 2  # the straights' and the curve's


def test_only_faults_alike_are_told_as_one():
    faults = [Fault(where=f"[[piece]] {name}", problem=problem) for name, problem in ("ax", "bx", "cy")]
    assert CannotCut(*faults).lines == ("[[piece]] a, b: x", "[[piece]] c: y")


def test_a_board_that_is_full_is_searched_once_and_drawn_as_the_refusal_counts(tmp_path, monkeypatch):
    """It was nested five times more for its drawing, which then stood there without screws and told of no lack."""
    searched = []
    monkeypatch.setattr(nesting_pieces, "nest", lambda *given, **more: searched.append(given) or nest(*given, **more))
    full = TOO_MANY.replace('material = "hard-maple"', 'material = "hard-maple"\nplacing = "nest"')
    done = make(tmp_path, full.replace("count = 9", "count = 8") + '\n[holding]\nstock = "screws"\n')
    (held,) = re.findall(r"the board holds (\d+) of 9 pieces", done.stderr)
    scenes = page_head(tmp_path / "out" / "refused.html")["scenes"]
    assert [len(scene["pieces"]) for scene in scenes] == [int(held), 9 - int(held)]
    assert len(searched) == 1
