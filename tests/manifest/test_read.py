"""The manifest: written as data and read from text by two hands that share nothing."""

import json
import math
from dataclasses import replace

import pytest

from broken_files.small_job import small_job
from platelayer.errors import ReadError
from platelayer.manifest.read import parse_manifest
from platelayer.manifest.write import manifest_data
from platelayer.values.shapes import Arc


@pytest.fixture(scope="module")
def manifest():
    return small_job(pieces=1).manifest


@pytest.fixture
def data(manifest):
    return json.loads(json.dumps(manifest_data(manifest)))


def faults_of(data):
    with pytest.raises(ReadError) as raised:
        parse_manifest(data if isinstance(data, str) else json.dumps(data))
    return str(raised.value)


def test_what_is_written_reads_back_the_same(manifest, data):
    assert parse_manifest(json.dumps(data)) == manifest


def test_the_documented_keys_are_there_and_in_their_units(data):
    assert data["manifest"] == 1
    assert data["units"] == "mm"
    assert data["boards"][0]["zero"] == "top"
    piece = data["pieces"][0]
    assert piece["ends"][0]["pose"] == [30.0, 35.0, 180.0]
    assert {key for segment in piece["outline"] for key in segment} == {"line", "arc"}
    assert data["files"][0]["bits"][0]["nominal"] == 3.175
    assert "turn" not in data["files"][0]


def test_the_layout_without_any_added_key_is_enough(data):
    for key in ("job", "material", "joint", "shown_units"):
        del data[key]
    data["machine"] = {key: data["machine"][key] for key in ("id", "travel", "zero_at")}
    data["boards"] = [{k: board[k] for k in ("id", "size", "thickness", "zero", "no_go")} for board in data["boards"]]
    for file in data["files"]:
        file["bits"] = [{k: bit[k] for k in ("id", "kind", "diameter", "nominal", "measured")} for bit in file["bits"]]
    for piece in data["pieces"]:
        for key in ("title", "order", "length", "unreached"):
            del piece[key]
    read = parse_manifest(json.dumps(data))
    assert read.machine.accel_mm_s2 == (0.0, 0.0, 0.0)
    assert read.files[0].bits[0].may_plunge is False
    assert read.pieces[0].unreached == ()


def test_keys_nobody_knows_are_passed_over(data, manifest):
    data["pieces"][0]["colour"] = "natural"
    assert parse_manifest(json.dumps(data)) == manifest


def test_title_notices_and_grain_are_read_back(manifest):
    board = replace(manifest.boards[0], grain_rad=math.pi / 2)
    more = replace(manifest, title="Loop", noticed=("warning: dull",), boards=(board, *manifest.boards[1:]))
    assert parse_manifest(json.dumps(manifest_data(more))) == more


def test_an_arc_whose_ends_coincide_is_a_full_circle(data):
    ring = [{"arc": [50.0, 35.0, 50.0, 35.0 + 4e-7, 52.0, 35.0, "cw"]}]
    data["pieces"][0]["inner"] = [ring]
    (arc,) = parse_manifest(json.dumps(data)).pieces[0].inner[0].segments
    assert isinstance(arc, Arc)
    assert arc.sweep_rad == math.tau


def test_a_turned_file_says_where(data):
    data["files"][0]["face"] = "bottom"
    assert faults_of(data) == 'files[0].turn: stands with a file of face "bottom" and only there'
    data["files"][0]["turn"] = {"axis": "x", "at": 40.0}
    assert parse_manifest(json.dumps(data)).files[0].turn_y_mm == 40.0


def changed(data, path, value):
    at = data
    for step in path[:-1]:
        at = at[step]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return data


REFUSED = [
    (("boards", 0, "thickness"), "thin", "boards[0].thickness = 'thin': is a number"),
    (("boards", 0, "thickness"), 0, "boards[0].thickness = 0: is more than 0"),
    (("boards", 0, "thickness"), True, "boards[0].thickness = True: is a number"),
    (("boards", 0, "size"), [1.0], "boards[0].size = [1.0]: is a list of 2 numbers"),
    (("boards", 0, "size"), [1.0, -2], "boards[0].size[1] = -2: is at least 0"),
    (("boards", 0, "zero"), "middle", "boards[0].zero = 'middle': is one of top, spoilboard"),
    (("units",), "in", "units = 'in': is one of mm"),
    (("machine",), None, "machine: is missing"),
    (("machine", "travel"), None, "machine.travel: is missing"),
    (("files", 0, "board"), "B", "files[0].board = B: no such board"),
    (("pieces", 0, "board"), "B", "pieces[0].board = B: no such board"),
    (("files", 0, "bits", 0, "may_plunge"), "no", "files[0].bits[0].may_plunge = 'no': is true or false"),
    (
        ("files", 0, "bits", 0, "kind"),
        "round",
        "files[0].bits[0].kind = 'round': is one of flat, ball, vee, round_over",
    ),
    (("pieces", 0, "id"), 7, "pieces[0].id = 7: is a string"),
    (("pieces", 0, "ends"), {}, "pieces[0].ends = {}: is a list"),
    (("pieces", 0, "ends", 0), 3, "pieces[0].ends[0] = 3: is an object in braces"),
    (("pieces", 0, "outline"), [], "pieces[0].outline: is a list of one segment or more"),
    (("pieces", 0, "outline", 2), {}, 'pieces[0].outline[2]: is an object with either "line" or "arc"'),
    (
        ("pieces", 0, "outline", 2),
        {"arc": [0, 1, 2, 3, 4, 5, "left"]},
        'pieces[0].outline[2].arc: is a list of six numbers and "ccw" or "cw"',
    ),
    (("pieces", 0, "grooves", 0, "flare"), [], "pieces[0].grooves[0].flare: has one entry for either end, so two"),
    (("machine", "dial"), [[1]], "machine.dial[0] = [1]: is a pair of a mark and a speed"),
    (("joint",), 3, "joint = 3: is an object in braces"),
]


@pytest.mark.parametrize(("path", "value", "sentence"), REFUSED, ids=lambda value: str(value)[:40])
def test_what_cannot_be_is_refused_by_its_key(data, path, value, sentence):
    assert sentence in faults_of(changed(data, path, value)).splitlines()


def test_a_gap_in_the_outline_and_a_wrong_arc_are_measured(data):
    outline = data["pieces"][0]["outline"]
    outline[0]["line"][2] += 0.25
    assert faults_of(data) == (
        "pieces[0].outline[1]: begins 0.250000 mm from where segment 0 ends; the limit is 1e-06 mm"
    )
    outline[0]["line"][2] -= 0.25
    outline[2]["arc"][4] += 0.01
    assert "pieces[0].outline[2].arc: its two radii differ by 0.0" in faults_of(data)


def test_a_clockwise_outline_is_refused(data):
    data["pieces"][0]["outline"] = [
        {"line": [0, 0, 0, 9]},
        {"line": [0, 9, 9, 9]},
        {"line": [9, 9, 9, 0]},
        {"line": [9, 0, 0, 0]},
    ]
    assert faults_of(data) == (
        "pieces[0].outline: runs clockwise or encloses nothing; an outline runs counter-clockwise"
    )


def test_all_faults_come_at_once(data):
    del data["boards"][0]["thickness"]
    data["pieces"][0]["id"] = 1
    assert faults_of(data).splitlines() == ["boards[0].thickness: is missing", "pieces[0].id = 1: is a string"]


def test_names_stand_once(data):
    data["boards"].append(data["boards"][0])
    assert faults_of(data) == "boards = A: stands more than once"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "the manifest is not JSON: line 1, column 2: Expecting property name enclosed in double quotes"),
        ('{"manifest": 1, "manifest": 1}', 'the manifest is not JSON: the key "manifest" stands twice in one object'),
        ('{"manifest": NaN}', "the manifest is not JSON: NaN is no number"),
        (
            '{"manifest": 2}',
            "manifest = 2: this program reads version 1. Make the job again with this version of the program.",
        ),
        ("[]", "[]: is an object in braces"),
    ],
)
def test_texts_that_are_no_manifest(text, sentence):
    assert sentence in faults_of(text).splitlines()


def test_brackets_without_end_are_no_manifest():
    assert faults_of("[" * 100_000).startswith("the manifest is not JSON: ")
