"""Between two files of one board with different bits: zero z again, told by all that a person reads."""

import base64
import json
import re
import zlib
from itertools import pairwise

import pytest

from cli.jobs import ROOT, made, run
from platelayer.gcode.reader import read_program

AGAIN = "zero z again with this bit"


def one_piece(name):
    """The example's first piece, once."""
    text = (ROOT / "examples" / name / "job.toml").read_text(encoding="utf-8")
    return re.sub(r"(?m)^count = \d+", "count = 1", "[[piece]]".join(text.split("[[piece]]")[:2]))


ROUNDED, BOTH = one_piece("rounded-edges"), one_piece("both-faces")
JOBS = {
    "three files, zero on top": ROUNDED,
    "zero on the spoilboard": ROUNDED.replace("[[board]]", '[[board]]\nzero = "spoilboard"'),
    "one bit": BOTH,
    "turned over and another bit": BOTH.replace(
        'joints = "flat-3.175-long"', 'joints = "flat-3.175-long"\ngrooves = "flat-3.175"'
    ),
}


@pytest.fixture(scope="module", params=JOBS.values(), ids=JOBS)
def job(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("changed")
    done = made(folder, request.param)
    assert run("sheet", folder / "out").exit_code == 0
    return folder / "out", done.stdout, json.loads((folder / "out" / "manifest.json").read_text())


def changes(manifest):
    """Every file that begins with another bit than the one before it ended with, after that one's name."""
    for before, file in pairwise(manifest["files"]):
        assert before["board"] == file["board"]
        if before["bits"][-1]["id"] != file["bits"][0]["id"]:
            yield before["name"], file


def test_it_stands_between_the_files_in_the_summary_and_on_the_sheet(job):
    folder, summary, manifest = job
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    for text in (summary[summary.index("Files, in") :], page[page.index("Files, in") :]):
        expected = 0
        for before, file in changes(manifest):
            between = text[text.index(before) : text.index(file["name"], text.index(before))]
            assert f"put in {file['bits'][0]['id']} and {AGAIN}" in between
            zero = "on the spoilboard" if manifest["boards"][0]["zero"] == "spoilboard" else "on top of the wood"
            assert zero in between
            assert "keep every zero" not in between
            expected += 1
        assert text.count(AGAIN) == expected


def test_it_stands_in_the_head_of_the_second_file_alone(job):
    folder, _, manifest = job
    changed = {file["name"]: file["bits"][0]["id"] for _, file in changes(manifest)}
    for file in manifest["files"]:
        lines = (folder / file["name"]).read_text("ascii").splitlines()
        head = " ".join(line.strip("()") for line in lines[: lines.index("G17")])
        said = f"CHANGED BIT: put in {changed.get(file['name'])}, {AGAIN}"
        assert (said in head) == (AGAIN in head) == (file["name"] in changed)
        if file["name"] in changed:
            assert "Keep x, y and z" not in head


def test_it_stands_on_the_page(job):
    folder, _, manifest = job
    page = (folder / "preview.html").read_text(encoding="utf-8")
    packed = max(re.findall(r">([A-Za-z0-9+/=\s]{1000,})<", page), key=len)
    block = zlib.decompress(base64.b64decode(packed))
    rows = json.loads(block[4 : 4 + int.from_bytes(block[:4], "little")])["summary"]
    told = {row[0] for row in rows if any(AGAIN in words for words in row[1:])}
    assert told == {f"Before {file['name']}" for _, file in changes(manifest)}


def test_how_far_the_bit_goes_into_the_spoilboard_is_told_as_the_files_have_it(job):
    folder, summary, manifest = job
    (board,) = manifest["boards"]
    floor = 0.0 if board["zero"] == "spoilboard" else -board["thickness"]
    deepest = at_dowels = 0.0
    for file in manifest["files"]:
        motion = read_program((folder / file["name"]).read_text("ascii"), name=file["name"])
        holes = [dowel["at"] for dowel in board.get("turning", {}).get("dowels", [])]
        for (x, y, _), (_, _, z) in zip(motion.start, motion.end, strict=True):
            if all(abs(x - at[0]) > 5 or abs(y - at[1]) > 5 for at in holes):
                deepest = max(deepest, floor - z)
            else:
                at_dowels = max(at_dowels, floor - z)
    assert deepest > 0
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    for text in (summary, page):
        said = re.search(r"The bit goes through, [\d.]+ in \(([\d.]+) mm\) into the spoilboard", text)
        assert float(said[1]) == pytest.approx(deepest, abs=0.0006)
        holes = re.search(r"into the spoilboard, [^,]*\(([\d.]+) mm\) for dowels", text)
        assert float(holes[1] if holes else 0) == pytest.approx(at_dowels, abs=0.0006)
        assert ("further as the wood is thinner" in text) == (board["zero"] == "top")


def test_each_file_says_at_its_head_the_minutes_that_the_summary_says(job):
    """A file of 4.1 minutes said 5 at its head, since one place rounded and the other took the next whole minute."""
    folder, summary, manifest = job
    for file in manifest["files"]:
        head = re.search(r"\(Time: about ([^)]*)\)", (folder / file["name"]).read_text("ascii"))
        assert f"; {head[1]}; " in next(line for line in summary.splitlines() if line.startswith(f"  {file['name']}: "))
