"""The manifest: written as data and read from text by two hands that share the schema and nothing else."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from broken_files.small_job import small_job
from platelayer.errors import ReadError
from platelayer.manifest import schema
from platelayer.manifest.read import parse_manifest
from platelayer.manifest.schema import entries_of
from platelayer.manifest.write import manifest_bytes, manifest_data
from platelayer.values.cuts import Dowel, Tab
from platelayer.values.minutes import WorkBound
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace, End, EndKind, Flare, Groove, JointSizes
from platelayer.values.shapes import Arc, Pose
from platelayer.values.thin_cuts import FinishFeed
from platelayer.values.tooling import BitKind, NoGo, StripFeed
from platelayer.values.tuning import Tuning
from strategies_manifest import manifests


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
    (("boards", 0, "thickness"), "thin", "boards[0].thickness = 'thin': must be a number"),
    (("boards", 0, "thickness"), 0, "boards[0].thickness = 0: must be more than 0"),
    (("boards", 0, "thickness"), True, "boards[0].thickness = True: must be a number"),
    (("boards", 0, "size"), [1.0], "boards[0].size = [1.0]: must be a list of 2 numbers"),
    (("boards", 0, "size"), [1.0, -2], "boards[0].size[1] = -2: must be at least 0"),
    (("boards", 0, "zero"), "middle", "boards[0].zero = 'middle': must be one of top, spoilboard"),
    (("units",), "in", "units = 'in': must be one of mm"),
    (("machine",), None, "machine: is missing"),
    (("machine", "travel"), None, "machine.travel: is missing"),
    (("files", 0, "board"), "B", "files[0].board = B: no such board"),
    (("pieces", 0, "board"), "B", "pieces[0].board = B: no such board"),
    (("files", 0, "bits", 0, "may_plunge"), "no", "files[0].bits[0].may_plunge = 'no': must be true or false"),
    (
        ("files", 0, "bits", 0, "kind"),
        "round",
        "files[0].bits[0].kind = 'round': must be one of flat, ball, vee, round_over",
    ),
    (("pieces", 0, "id"), 7, "pieces[0].id = 7: must be a string"),
    (("pieces", 0, "ends"), {}, "pieces[0].ends = {}: must be a list"),
    (("pieces", 0, "ends", 0), 3, "pieces[0].ends[0] = 3: must be an object in braces"),
    (("pieces", 0, "outline"), [], "pieces[0].outline: must be a list of one segment or more"),
    (("pieces", 0, "outline", 2), {}, 'pieces[0].outline[2]: must be an object with either "line" or "arc"'),
    (
        ("pieces", 0, "outline", 2),
        {"arc": [0, 1, 2, 3, 4, 5, "left"]},
        'pieces[0].outline[2].arc: must be a list of six numbers and "ccw" or "cw"',
    ),
    (
        ("pieces", 0, "grooves", 0, "flare"),
        [],
        "pieces[0].grooves[0].flare = []: must have one entry for either end, so two",
    ),
    (
        ("pieces", 0, "grooves", 0, "widening"),
        [[20, 0], [20, 1], [40, 0]],
        "pieces[0].grooves[0].widening: its knots do not stand one after another along the path",
    ),
    (
        ("pieces", 0, "grooves", 0, "widening"),
        [[20, 0], [40, 1]],
        "pieces[0].grooves[0].widening: must begin and end with an extra of 0",
    ),
    (
        ("pieces", 0, "grooves", 0, "widening"),
        [[20, 0], [30, 1], [4000, 0]],
        "pieces[0].grooves[0].widening: must stand between the flares, LOW to HIGH mm along the path",
    ),
    (
        ("pieces", 0, "grooves", 0, "widening"),
        [[20, 0], [30, -1], [40, 0]],
        "pieces[0].grooves[0].widening[1][1] = -1: must be at least 0",
    ),
    (("machine", "dial"), [[1]], "machine.dial[0] = [1]: must be a pair of a mark and a speed"),
    (("joint",), 3, "joint = 3: must be an object in braces"),
]


@pytest.mark.parametrize(("path", "value", "sentence"), REFUSED, ids=lambda value: str(value)[:40])
def test_what_cannot_be_is_refused_by_its_key(data, path, value, sentence):
    groove = parse_manifest(json.dumps(data)).pieces[0].grooves[0]
    low, high = groove.flare[0].length_mm, groove.path.length_mm - groove.flare[1].length_mm
    sentence = sentence.replace("LOW", f"{low:g}").replace("HIGH", f"{high:g}")
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
    assert faults_of(data).splitlines() == ["boards[0].thickness: is missing", "pieces[0].id = 1: must be a string"]


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
        ("[]", "[]: must be an object in braces"),
    ],
)
def test_texts_that_are_no_manifest(text, sentence):
    assert sentence in faults_of(text).splitlines()


def test_brackets_without_end_are_no_manifest():
    assert faults_of("[" * 100_000).startswith("the manifest is not JSON: ")


def places_in(data, path=""):
    """Every value in the data but the whole: what holds it, its key there, and its key path."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        at = f"{path}[{key}]" if isinstance(key, int) else f"{path}.{key}" if path else key
        yield data, key, at
        yield from places_in(value, at)


WRONG = {bool: "x", int: "x", float: "x", str: 7, list: "x", dict: 7, type(None): True}
drawn = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
drawn_few = settings(drawn, max_examples=6)


@drawn
@given(manifests)
def test_any_manifest_reads_back_the_same(manifest):
    assert parse_manifest(manifest_bytes(manifest).decode("ascii")) == manifest


def one_of_each(data):
    """One place of each key."""
    return {re.sub(r"\[\d+\]", "[]", path): (holder, key, path) for holder, key, path in places_in(data)}.values()


@drawn_few
@given(manifests)
def test_any_value_of_a_wrong_type_is_refused_by_its_key(manifest):
    data = json.loads(manifest_bytes(manifest))
    for holder, key, path in one_of_each(data):
        sound = holder[key]
        holder[key] = WRONG[type(sound)]
        with pytest.raises(ReadError) as raised:
            parse_manifest(json.dumps(data))
        assert {fault.where for fault in raised.value.faults} == {path.replace(".arc[6]", ".arc")}
        holder[key] = sound


@drawn_few
@given(manifests)
def test_a_key_that_is_missing_is_refused_by_name_or_means_unknown(manifest):
    data = json.loads(manifest_bytes(manifest))
    for holder, key, path in one_of_each(data):
        if isinstance(key, str):
            sound = dict(holder)
            del holder[key]
            try:
                parse_manifest(json.dumps(data))
            except ReadError as error:
                assert {fault.where for fault in error.faults} <= {path, path.rpartition(".")[0]}
            holder |= sound


def test_the_same_text_by_hand_means_the_same():
    """Keys, units and defaults as documented, held against values made here: reader and writer share one schema."""
    bit = '{"id": "v", "kind": "vee", "diameter": 6, "included": 90, "flutes": 2, "spindle": 18000, "feed": 900}'
    ring = '[{"arc": [9, 5, 9, 5, 7, 5, "ccw"]}]'
    board = (
        '{"id": "A", "size": [90, 40], "thickness": 12, "zero": "spoilboard", "grain": 45, "strip": true, "no_go": [], '
        '"turning": {"by": "fence", "tolerance": 0.2, "dowels": [{"at": [3, 20], "diameter": 6, "depth": 9}]}}'
    )
    file = (
        '{"name": "a.nc", "board": "A", "face": "bottom", "sha256": "0", "turn": {"axis": "x", "at": 20}, '
        f'"bits": [{bit}]}}'
    )
    piece = (
        '{"id": "p", "kind": "straight", "board": "A", "pose": [1, 2, 180], "grooves": [], "inner": [], '
        f'"ends": [{{"kind": "peg", "pose": [9, 5, 90]}}], "outline": {ring}, '
        '"holding": {"tabs": [[9, 5, 6, 2]], "skin": 0, "by": "tape"}, '
        '"edges": [{"place": "outer", "face": "top", "width": 2, "depth": 1, "bit": "v"}]}'
    )
    machine = '{"id": "m", "travel": [600, 400, 60], "rapid": [5000, 5000, 800], "dial": [["2", 16000]]}'
    read = parse_manifest(
        f'{{"manifest": 1, "units": "mm", "shown_units": "in", "machine": {machine}, '
        f'"boards": [{board}], "files": [{file}], "pieces": [{piece}]}}'
    )
    (board,), (file,), (piece,) = read.boards, read.files, read.pieces
    assert (read.units, read.joint, read.tuning, read.job) == ("in", None, None, "")
    assert (read.machine.rapid_mm_min, read.machine.dial) == ((5000, 5000, 800), (("2", 16000),))
    assert (read.machine.accel_mm_s2, read.machine.dwell_unit) == ((0, 0, 0), "s")
    assert (board.grain_rad, board.is_strip, board.allowance_mm) == (math.pi / 4, True, 0.5)
    assert board.turning.dowels == (Dowel((3, 20), 6, 9),)
    assert (file.face, file.turn_y_mm) == (BoardFace.BOTTOM, 20)
    (bit,) = file.bits
    assert (bit.kind, bit.nominal_mm, bit.measured_mm, bit.included_rad) == (BitKind.VEE, 6, None, math.pi / 2)
    assert (bit.spindle_rpm, bit.feed_mm_min, bit.plunge_mm_min) == (18000, 900, 0)
    assert (piece.pose, piece.ends) == (Pose(1, 2, math.pi), (End(EndKind.PEG, Pose(9, 5, math.pi / 2)),))
    assert (piece.tabs, piece.skin_mm, piece.held_by) == ((Tab((9, 5), 6, 2),), 0, "tape")
    assert piece.outline.segments[0].length_mm == pytest.approx(4 * math.pi)
    assert piece.edges == (
        EdgeBreak(place=EdgePlace.OUTER, face=BoardFace.TOP, width_mm=2, depth_mm=1, radius_mm=0, bit="v"),
    )


def test_every_key_is_documented():
    chapter = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8").split("## The manifest")[1]
    documented = set(re.findall(r"\w+", chapter.split("```")[1]))
    shared = (NoGo, StripFeed, Dowel, End, EdgeBreak, Groove, Flare, JointSizes, Tuning, WorkBound, FinishFeed)
    ours = [one for one in vars(schema).values() if isinstance(one, type) and one.__module__ == schema.__name__]
    keys = {key for cls in (*ours, *shared) for entry in entries_of(cls) for key in entry.path}
    assert keys <= documented
