"""Straight cuts that two pieces share, by the whole road: on a skin and on tape, less wood and fewer minutes."""

import json
import math
from itertools import pairwise

import pytest

from cli.jobs import made, make, run, spoil

EIGHT = """
[job]
title = "Eight straights, invented"
units = "in"
machine = "mid-screw"
material = "hard-maple"
placing = "{placing}"

[bits]
joints = "flat-3.175-down"
{bits}
[holding]
kind = "{kind}"

[cutting]
shared_cuts = {shared}

[[board]]
width = {width}
height = {height}
thickness = "1/2 in"
zero = "spoilboard"

[[piece]]
name = "long"
length = "5 15/16"
count = 8
{more}
"""
KERF = 3.175


def eight(kind, *, shared=True, width=26, height=10, placing="rows", bits="", more=""):
    return EIGHT.format(
        kind=kind, shared=str(shared).lower(), width=width, height=height, placing=placing, bits=bits, more=more
    )


def summary_of(folder, text):
    """Made, passed, and its summary as data."""
    return json.loads(made(folder, text, "--json").stdout)


def manifest_of(folder):
    return json.loads((folder / "out" / "manifest.json").read_text())


def text_of(folder):
    (path,) = sorted((folder / "out").glob("*.nc"))
    return path.name, path.read_text()


def cut_of(lines, title):
    """The lines of one cut, its comment included."""
    first = lines.index(title)
    last = next(n for n in range(first + 1, len(lines)) if lines[n].startswith("(") or lines[n].startswith("M5"))
    return first, last


@pytest.mark.parametrize("kind", ["skin", "tape", "vacuum"])
def test_straights_lie_one_bit_apart_and_every_piece_passes_the_dry_run(tmp_path, kind):
    data = summary_of(tmp_path, eight(kind))
    assert len(data["pieces"]) == 8
    assert max(piece["gouge_mm"] for piece in data["pieces"]) <= 0.005
    assert max(piece["leftover_mm"] for piece in data["pieces"]) <= 0.02
    poses = sorted(tuple(piece["pose"]) for piece in manifest_of(tmp_path)["pieces"])
    columns = [poses[:4], poses[4:]]
    for column in columns:
        assert len({x for x, _, _ in column}) == 1
        gaps = [upper[1] - lower[1] - 39.6875 for lower, upper in pairwise(column)]
        assert gaps == pytest.approx([KERF] * 3, abs=1e-5)
    _, text = text_of(tmp_path)
    assert text.count(" outline)") == 2
    assert len([finding for finding in data["findings"] if finding["code"] == "cutting-deep-slot"]) == 1


@pytest.mark.parametrize("kind", ["skin", "tape"])
def test_shared_cuts_need_less_wood_and_fewer_minutes(tmp_path, kind):
    shared = summary_of(tmp_path / "shared", eight(kind))
    apart = summary_of(tmp_path / "apart", eight(kind, shared=False))
    minutes = [sum(file["seconds_s"] / 60 for file in data["files"]) for data in (shared, apart)]
    assert minutes[0] < 0.85 * minutes[1]
    less = {"skin": 0.97, "tape": 0.9}[kind]  # on a skin kerfs of neighbours merge anyway
    assert _box_mm2(tmp_path / "shared") < less * _box_mm2(tmp_path / "apart")


def _box_mm2(folder):
    """Of the smallest box round all pieces: each has a board of this size to itself."""
    points = [
        point
        for piece in manifest_of(folder)["pieces"]
        for segment in piece["outline"]
        for numbers in segment.values()
        for point in (numbers[0:2], numbers[2:4])
    ]
    xs, ys = zip(*points, strict=True)
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def test_what_shared_cuts_leave_room_for_does_not_fit_without_them(tmp_path):
    """Five straights one above the other on a board that takes four of them apart."""
    text = eight("tape", width=8.5, height=9.3).replace("count = 8", "count = 5")
    data = summary_of(tmp_path, text)
    assert len(data["pieces"]) == 5
    refused = make(tmp_path, text.replace("shared_cuts = true", "shared_cuts = false"), "--force")
    assert refused.exit_code == 1
    assert "holds 4 of 5 pieces" in refused.stderr


def test_places_kept_share_as_before_even_when_a_piece_is_turned_round_by_hand(tmp_path):
    assert make(tmp_path, eight("tape")).exit_code == 0
    kept = tmp_path / "out" / "placement.json"
    again = run("make", tmp_path / "job.toml", "--out", tmp_path / "again", "--placement", kept)
    assert again.exit_code == 0, again.output
    first, second = ({p.name: p.read_bytes() for p in (tmp_path / name).iterdir()} for name in ("out", "again"))
    assert first == second
    data = json.loads(kept.read_text())
    for piece in data["pieces"]:
        piece["pose"][0] += 60.0 if piece["pose"][0] > 100 else 0.0
    (x, y, _), name = data["pieces"][-3]["pose"], data["pieces"][-3]["id"]
    data["pieces"][-3]["pose"] = [x + 150.8125, y, 180.0]
    assert x > 100
    turned = tmp_path / "turned.json"
    turned.write_text(json.dumps(data))
    result = run("make", tmp_path / "job.toml", "--out", tmp_path / "turned", "--placement", turned)
    assert result.exit_code == 0, result.output
    pieces = json.loads((tmp_path / "turned" / "manifest.json").read_text())["pieces"]
    assert {piece["pose"][2] for piece in pieces if piece["id"] == name} == {180.0}
    (path,) = (tmp_path / "turned").glob("*.nc")
    assert path.read_text().count(" outline)") == 2


def test_a_kept_piece_slid_along_its_kerf_is_too_near(tmp_path):
    made(tmp_path, eight("tape"), "--json")
    data = json.loads((tmp_path / "out" / "placement.json").read_text())
    moved = max(data["pieces"], key=lambda piece: (piece["pose"][0], piece["pose"][1]))
    moved["pose"][0] += 1.0
    slid = tmp_path / "slid.json"
    slid.write_text(json.dumps(data))
    result = run("make", tmp_path / "job.toml", "--out", tmp_path / "slid", "--placement", slid)
    assert result.exit_code == 2
    assert result.stderr == (
        f"{slid} long-07: lies 1/8 in (3.175 mm) from long-08, and the bit and the margin take ~7/32 in "
        "(5.445 mm). Move it.\n"
    )


def test_a_shared_cut_out_of_place_is_a_gouge(tmp_path):
    """Every y on the first kerf's line moved by a tenth of a millimetre."""
    made(tmp_path, eight("skin"), "--json")
    name, text = text_of(tmp_path)
    lines = text.splitlines()
    first, last = cut_of(lines, "(long-01 to long-04 outline)")
    word = next(word for line in lines[first + 1 :] for word in line.split() if word.startswith("Y"))
    moved = f"Y{float(word[1:]) + 0.1:.4f}".rstrip("0")
    wrong = [line.replace(word, moved) if first < n < last else line for n, line in enumerate(lines)]
    assert wrong != lines
    spoil(tmp_path / "out", name, "\n".join(wrong) + "\n")
    result = run("dryrun", tmp_path / "out")
    assert result.exit_code == 1
    assert "is gouged 0.004 in (0.100 mm)" in result.stdout


def test_a_shared_cut_made_again_after_the_pieces_are_free_is_refused(tmp_path):
    """The passes that take the kerfs' last floor, run once more after the pass that frees all pieces."""
    made(tmp_path, eight("tape"), "--json")
    name, text = text_of(tmp_path)
    lines = text.splitlines()
    begins = [n for n, line in enumerate(lines) if line.startswith("G0 X") and line != "G0 X0 Y0"]
    end = next(n for n in range(begins[-1], len(lines)) if lines[n].startswith("G0 Z"))
    again = [*lines[:end], "G0 Z17", *lines[begins[-2] : begins[-1]], *lines[end:]]
    spoil(tmp_path / "out", name, "\n".join(again) + "\n")
    result = run("dryrun", tmp_path / "out")
    assert result.exit_code == 1, result.stdout
    errors = [line for line in result.stdout.splitlines() if "error:" in line]
    assert len(errors) == 4, errors
    assert all("comes loose while the bit is down" in line for line in errors)


CURVES = """
[[piece]]
name = "curve"
kind = "curve"
radius = 8
angle = 45
hand = "left"
[[piece]]
name = "pegs"
length = "5 15/16"
start = "peg"
[[piece]]
name = "short"
length = "2 3/8"
count = 2
"""


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("tape", {"height": 16, "more": CURVES}),
        ("skin", {"height": 16, "more": CURVES, "placing": "nest"}),
        ("skin", {"height": 26, "more": 'grooves = "both"'}),
        ("vacuum", {"bits": 'outlines = "flat-6.35-up"'}),
        ("skin", {"bits": 'groove_edges = "round-over-1.588"', "more": '[edges]\ngroove = "1/64 in"'}),
    ],
    ids=["beside curves on tape", "nested on a skin", "grooves on both faces", "quarter inch kerfs", "groove edges"],
)
def test_shared_cuts_go_with_everything_else(tmp_path, kind, more):
    data = summary_of(tmp_path, eight(kind, **more))
    poses = [tuple(piece["pose"]) for piece in manifest_of(tmp_path)["pieces"] if piece["id"].startswith("long")]
    pitch = 39.6875 + (6.35 if "outlines" in more.get("bits", "") else KERF)
    beside = [
        (one, other)
        for one in poses
        for other in poses
        if math.dist(one[:2], other[:2]) == pytest.approx(pitch, abs=1e-5)
    ]
    assert len(beside) >= 8
    assert max(piece["gouge_mm"] for piece in data["pieces"]) <= 0.005
    assert max(piece["leftover_mm"] for piece in data["pieces"]) <= 0.02


def test_short_pieces_on_tape_keep_their_tabs_and_share_nothing(tmp_path):
    made(tmp_path, eight("tape", height=16, more=CURVES), "--json")
    tabs = {piece["id"]: len(piece["holding"]["tabs"]) for piece in manifest_of(tmp_path)["pieces"]}
    assert {name: count for name, count in tabs.items() if count} == {"short-01": 4, "short-02": 4}
    _, text = text_of(tmp_path)
    assert "(short-01 outline)" in text
    assert "(short-02 outline)" in text


def test_a_cut_that_stopped_in_a_shared_slot_goes_on(tmp_path):
    made(tmp_path, eight("tape"), "--json")
    name, text = text_of(tmp_path)
    first, _ = cut_of(text.splitlines(), "(long-01 to long-04 outline)")
    out = tmp_path / "more.nc"
    result = run("recut", tmp_path / "out" / name, "--from-line", first + 40, "--zero", "kept", "--out", out)
    assert result.exit_code == 0, result.output
    assert out.is_file()
