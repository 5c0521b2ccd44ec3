"""Strips by the whole road: long edges stay untouched, bridges hold, the stop of each piece is told."""

import json
import re
import zlib
from base64 import a85decode

import numpy as np
import pytest

from cli.jobs import ROOT, made, run, spoil
from platelayer.gcode.reader import read_program

FED = (ROOT / "examples" / "strip" / "job.toml").read_text(encoding="utf-8")
WHOLE = (
    FED
    .replace("width = 48 ", "width = 16 ")
    .replace("count = 2\nwidth", "count = 4\nwidth")
    .replace("count = 8", "count = 3")
)


@pytest.fixture(scope="module")
def fed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("fed")
    return folder / "out", made(folder, FED)


@pytest.fixture(scope="module")
def on_paper(fed):
    assert run("sheet", fed[0]).exit_code == 0
    return fed


def test_a_long_strip_is_fed_and_each_stop_is_told(fed):
    folder, done = fed
    assert "11 pieces in hard maple" in done.stdout
    lines = [line.strip() for line in done.stdout.splitlines()]
    assert any(line.startswith("long-1-flat-3.175-long.nc") and line.endswith("run 8 times") for line in lines)
    assert (
        "stop at x ~8 31/64 in (215.359 mm), strip A, long-01 to long-06 (6 runs): long-1-flat-3.175-long.nc" in lines
    )
    assert "Left of the strips: A ~3 1/8 in (79.448 mm), B ~15 17/64 in (387.675 mm)." in lines
    assert any("clamp it at zero on the left, within 1 in (25.400 mm) and no higher than" in line for line in lines)
    data = json.loads((folder / "manifest.json").read_text())
    assert {board["id"]: len(board["feeds"]) for board in data["boards"]} == {"long": 8, "double-peg": 2, "last": 1}
    assert all(board["strip"] for board in data["boards"])


def test_no_work_on_strips_takes_less_than_its_least(fed):
    """Strips have no parting of their own, yet the least of it was told beside no minutes at all."""
    rows = re.findall(r"^  (\w+), flat-3.175-long: (\S*) min, (\S+) at the least$", fed[1].stdout, re.MULTILINE)
    assert [row[0] for row in rows] == ["grooves", "sockets", "slots", "finish"]
    assert all(float(took) >= float(least) for _, took, least in rows)


def test_the_sheet_counts_runs_and_says_how_to_feed(on_paper):
    folder, _ = on_paper
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    assert "stop at x ~8 31/64 in (215.359 mm), strip A, long-01 to long-06 (6 runs)" in page
    assert "11 pieces," in page


@pytest.mark.parametrize("text", [FED, WHOLE], ids=["fed", "end to end"])
def test_the_bit_stays_off_the_long_edges_but_above_the_bridges_at_the_ends(tmp_path, text):
    made(tmp_path, text)
    data = json.loads((tmp_path / "out" / "manifest.json").read_text())
    faces = [(p["board"], end["pose"][0]) for p in data["pieces"] for end in p["ends"]]
    boards = {file["name"]: file["board"] for file in data["files"]}
    for name, board in boards.items():
        motion = read_program((tmp_path / "out" / name).read_text(), name=name)
        down = motion.end[motion.end[:, 2] < 0]
        edge = np.minimum(down[:, 1], 39.6875 - down[:, 1])
        assert edge.min() > -1e-3
        low = down[edge < 3.175 / 2]
        at = np.array([x for on, x in faces if on == board])
        assert np.abs(low[:, :1] - at).min(axis=1).max() < 5.0
        assert low[:, 2].min() >= -(12.7 - 2.0) - 1e-3


def test_a_batten_stands_where_the_bit_leaves_the_far_edge(on_paper):
    """The edge is rounded already and the bit runs out over it: drawn, told and on the list to tick."""
    folder, done = on_paper
    for board in json.loads((folder / "manifest.json").read_text())["boards"]:
        motion = read_program((folder / f"{board['id']}-1-flat-3.175-long.nc").read_text(), name="strip")
        begin, end = motion.start, motion.end
        over = (end[:, 2] < 0) & (end[:, 1] > board["size"][1] - 3.175 / 2) & (end[:, 1] > begin[:, 1] + 1e-6)
        page = (folder / f"{board['id']}-plan.svg").read_text(encoding="utf-8")
        corners = re.search(r'<path d="M([-\dL. ]+)Z"[^>]*/><text[^>]*>batten<', page)[1].replace("L", " ").split()
        xs, ys = ([float(number) for number in corners[axis::2]] for axis in (0, 1))
        assert over.any()
        assert max(ys) == pytest.approx(-board["size"][1], abs=0.01), "it lies against the far edge"
        assert min(ys) < max(ys)
        assert min(xs) < end[over, 0].min() - 3.175 / 2 < end[over, 0].max() + 3.175 / 2 < max(xs)
    told = "tight against the far edge: there the finish pass leaves the left end faces"
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    assert told in done.stdout
    assert told in page
    assert "Strip tight between the fence and a batten of scrap at its far edge, neither higher than the wood." in page
    assert b"(batten)" in _page_streams(folder / "sheet.pdf")


def _page_streams(place):
    """What the pages of a PDF draw, unpacked."""
    found = re.findall(rb"stream\r?\n(.*?)endstream", place.read_bytes(), re.DOTALL)
    return b"".join(zlib.decompress(a85decode(b"<~" + one.strip(), adobe=True)) for one in found)


def test_the_finish_pass_leaves_a_left_end_face_at_the_far_edge(fed):
    """By climb, with the spindle clockwise, the wall stands on the right of travel."""
    folder, _ = fed
    pieces = json.loads((folder / "manifest.json").read_text())["pieces"]
    for board, left in {p["board"]: min(end["pose"][0] for end in p["ends"]) for p in pieces}.items():
        motion = read_program((folder / f"{board}-1-flat-3.175-long.nc").read_text(), name=board)
        at_wall = np.abs(np.stack([motion.start[:, 0], motion.end[:, 0]]) - (left - 3.175 / 2)).max(axis=0) < 1e-3
        along = motion.end[:, 1] - motion.start[:, 1]
        along = along[at_wall & (motion.end[:, 2] < 0) & (np.abs(along) > 1e-3)]
        assert len(along)
        assert along.min() > 0


def test_bridges_cut_through_are_missed(tmp_path):
    made(tmp_path, WHOLE)
    name = "A-1-flat-3.175-long.nc"
    text = (tmp_path / "out" / name).read_text()
    assert "Z-10.7" in text
    spoil(tmp_path / "out", name, re.sub(r"Z-10\.7\b", "Z-13", text))
    result = run("dryrun", tmp_path / "out")
    assert result.exit_code == 1
    assert "is missing: its wood is gone" in result.stdout
    assert "comes loose while the bit is down" in result.stdout


def test_places_on_strips_are_not_kept(tmp_path):
    made(tmp_path, WHOLE)
    kept = tmp_path / "out" / "placement.json"
    result = run("make", tmp_path / "job.toml", "--out", tmp_path / "again", "--placement", kept)
    assert result.exit_code == 2
    assert "--placement: pieces on strips lie end to end; there are no places to keep. Leave it out." in result.stderr
