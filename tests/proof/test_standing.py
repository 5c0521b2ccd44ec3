"""What must stand up to the bit: waste, the wood that tabs hold to, the board between its holds."""

import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from broken_files.small_job import small_job
from cli.jobs import small_job as job_text
from platelayer.gcode.reader import read_program
from platelayer.geometry.contours import circle
from platelayer.geometry.regions import box
from platelayer.job import load_job, load_profiles
from platelayer.manifest.read import parse_manifest
from platelayer.placing.kept import read_kept
from platelayer.proof.checks.standing import check_board_held
from platelayer.proof.slivers import Waste, thin_strips
from platelayer.proof.webs import ALONG_MPA, beam_yield_mm, stiffness_mpa
from platelayer.road.making import contents_of
from platelayer.road.planning import cut_laid, lay_job
from platelayer.road.proving import prove
from platelayer.values.findings import Code
from platelayer.values.tooling import NoGo
from proved import MANIFEST, data_of, refusals, spoilt, text_of, written

SKIN = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
placing = "{placing}"

[bits]
joints = "flat-3.175-long"

[holding]
kind = "skin"
stock = "tape"

[[board]]
width = 420
height = 340
thickness = 12.7
zero = "spoilboard"
{no_go}

[[piece]]
name = "long"
length = 150
count = 3

[[piece]]
name = "short"
length = 100

[[piece]]
name = "curve"
kind = "curve"
radius = 203.2
angle = 45
hand = "left"
count = 2
"""
KNOT = """
[[board.no_go]]
title = "knot"
x = 200
y = 150
diameter = 12
"""


def codes(contents, code):
    return [one for one in prove(contents).report.findings if one.code is code]


def standing_waste(contents):
    """The waste by shapely alone: the board less each outline, sockets and the wood round pegs filled, and its slot;
    and less what the bit took besides."""
    data = data_of(contents)
    wide, high = data["boards"][0]["size"]
    pieces = [ring_of(piece["outline"]) for piece in data["pieces"]]
    bit = data["files"][0]["bits"][0]["diameter"]
    cut = shapely.union_all([*(piece.buffer(bit + 8).buffer(-8) for piece in pieces), *milled(contents, bit / 2)])
    return shapely.box(0, 0, wide, high) - cut, bit


def milled(contents, radius, below=2.0):
    """What the bit takes away where it comes so near to the spoilboard, from which z counts."""
    name = data_of(contents)["files"][0]["name"]
    motion = read_program(text_of(contents, name), name=name)
    is_deep = np.maximum(motion.start[:, 2], motion.end[:, 2]) < below
    found = []
    rows = (each[is_deep] for each in (motion.kind, motion.start, motion.end, motion.centre))
    for kind, a, b, c in zip(*rows, strict=True):
        way = {2: "cw", 3: "ccw"}.get(int(kind))
        points = [a[:2]] if way is None else turned(*a[:2], *b[:2], *c, way)
        found.append(shapely.LineString([*points, b[:2]]).buffer(radius))
    return found


def turned(x0, y0, x1, y1, cx, cy, way):
    """Points of an arc from its start, without its end."""
    first, last = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    sweep = (last - first) % math.tau if way == "ccw" else -((first - last) % math.tau)
    r = math.hypot(x0 - cx, y0 - cy)
    turns = [first + sweep * k / 40 for k in range(40)]
    return [(cx + r * math.cos(turn), cy + r * math.sin(turn)) for turn in turns]


def ring_of(segments):
    points = []
    for one in segments:
        if "line" in one:
            points.append(one["line"][:2])
            continue
        points += turned(*one["arc"])
    return shapely.Polygon(points)


@pytest.mark.parametrize("placing", ["rows", "nest"])
@pytest.mark.parametrize("no_go", ["", KNOT], ids=["clear", "knot"])
def test_between_pieces_on_a_skin_nothing_thin_is_left_standing(placing, no_go):
    """Nested pieces once lay at any distance from each other: 33 strips 1.6 mm thick stood on the skin of sixty."""
    contents = written(SKIN.format(placing=placing, no_go=no_go))
    assert refusals(contents) == []
    assert_nothing_thin(contents)
    assert_nothing_is_thin_where_slots_are_wide(contents)


def assert_nothing_is_thin_where_slots_are_wide(contents):
    """A quarter down no part that a disc of the least thickness does not reach is longer than the bit is wide, but tips
    of waste that are so all the way down."""
    data = data_of(contents)
    bit = data["files"][0]["bits"][0]["diameter"]
    pieces = [ring_of(piece["outline"]).buffer(0.1) for piece in data["pieces"]]
    board = shapely.box(0, 0, *data["boards"][0]["size"])

    def thin(below):
        waste = board - shapely.union_all([*pieces, *milled(contents, bit / 2, below)])
        return waste - waste.buffer(-1.5).buffer(1.5 + 0.02)

    upper = thin(12.7 * 0.75) - thin(12.7 / 2).buffer(0.1)
    assert all(long_side(part) <= bit + 0.05 for part in shapely.get_parts(upper) if part.buffer(-0.25).area > 0)


def assert_nothing_thin(contents):
    """No strip longer than the bit is wide is thinner than what can stand."""
    waste, bit = standing_waste(contents)
    thin = waste - waste.buffer(-1.5).buffer(1.5 * math.sqrt(2) + 0.02)
    assert all(long_side(part) <= bit + 0.05 for part in shapely.get_parts(thin) if part.buffer(-0.25).area > 0)


def long_side(part):
    """Of the smallest box round a part, however it lies."""
    corners = shapely.get_coordinates(part.minimum_rotated_rectangle)
    return np.hypot(*np.diff(corners, axis=0)[:2].T).max()


@cache
def moved(text, by_mm):
    """Files of a job whose second piece lies beside the first, so much further from it than deep slots ask."""
    job = load_job(text, file="job.toml", profiles=load_profiles(()))
    laid = lay_job(job)
    places = {laid.pieces[one.index].id: (one.board_id, one.pose) for one in laid.placements}
    board, pose = places["long-01"]
    apart_mm = 39.6875 + 1.5 * 3.175 + by_mm
    places["long-02"] = (board, replace(pose, y=pose.y + apart_mm))
    kept = replace(read_kept(EMPTY_PLACES, file="p.json"), places=places)
    plan, noticed = cut_laid(lay_job(job, kept=kept))
    return contents_of(plan, job, noticed)


EMPTY_PLACES = '{"placement": 1, "units": "mm", "pieces": []}'
PAIR = (
    SKIN.format(placing="rows", no_go="").split("[[piece]]")[0]
    + """
[[piece]]
name = "long"
length = 150
count = 2
"""
)


@pytest.mark.parametrize("by_mm", [0.0, 1.8, 2.0, 2.3, 2.5, 4.0, 5.0, 8.0])
def test_wherever_a_neighbour_lies_no_strip_is_left_between_two_kerfs(by_mm):
    contents = moved(PAIR, by_mm)
    assert refusals(contents) == []
    assert_nothing_thin(contents)


@pytest.mark.parametrize("by_mm", [2.5, 4.0])
def test_a_strip_between_two_kerfs_that_is_not_milled_is_refused(by_mm):
    contents = moved(PAIR, by_mm)
    name = data_of(contents)["files"][0]["name"]
    text, milled_away = re.subn(r"\(long-0\d waste\)\n[^(]*", "", text_of(contents, name))
    assert milled_away
    found = refusals(spoilt(contents, name, text))
    assert [one.code for one in found] == [Code.HOLDING_SLIVER]
    assert 0.5 < found[0].measured < found[0].limit


@pytest.mark.parametrize(("apart_mm", "is_refused"), [(4.7, True), (7.0, False)])
def test_a_strip_that_stands_on_whole_wood_is_refused_too_where_it_is_thin(apart_mm, is_refused):
    # regression: only the slice above the tabs was looked at, and two slots 4.3 mm deep left 1.5 mm between them
    contents = written(PAIR)
    name = data_of(contents)["files"][0]["name"]
    slots = "".join(
        f"G0 X280 Y{y}\nG1 Z10.6 F300\nX380 F1000\nZ8.4 F300\nX280 F1000\nG0 Z30\n" for y in (250, 250 + apart_mm)
    )
    text = text_of(contents, name)
    at = text.rindex("G0 X")
    found = refusals(spoilt(contents, name, f"{text[:at]}{slots}{text[at:]}"))
    assert (Code.HOLDING_SLIVER in [one.code for one in found]) == is_refused


@given(st.floats(4, 60), st.floats(0.6, 8))
def test_a_strip_is_found_by_its_thickness_and_length(length, thickness):
    blocks = box((0.0, 0.0), (40.0, 40.0)) | box((40.0 + length, 0.0), (80.0 + length, 40.0))
    bar = box((39.0, 20.0), (41.0 + length, 20.0 + thickness))
    strips = thin_strips(Waste(area=blocks | bar, depth_mm=12.0, bit_mm=3.175))
    is_long = length - 2 * 3.0 * (math.sqrt(0.5) - 0.5) > 3.4
    assert bool(strips) == (thickness < 2.99 and is_long) or 2.9 < thickness < 3.1 or 3.1 < length < 5.5


def test_corners_of_boards_are_no_strips():
    assert thin_strips(Waste(area=box((0.0, 0.0), (900.0, 300.0)), depth_mm=25.0, bit_mm=1.5)) == ()


# webs


def test_a_web_gives_way_as_a_beam_held_at_both_ends_does():
    # worked by hand: 10 N in the middle of 860 mm, 6 mm thick and 12.7 mm high: 10 860^3 / (192 10000 12.7 6^3 / 12)
    rim = beam_yield_mm(
        push_n=10.0, span_mm=860.0, at_mm=430.0, thickness_mm=6.0, height_mm=12.7, stiffness_mpa=ALONG_MPA
    )
    assert rim == pytest.approx(14.49, abs=0.01)
    web = beam_yield_mm(
        push_n=10.0, span_mm=150.0, at_mm=75.0, thickness_mm=7.0, height_mm=12.7, stiffness_mpa=ALONG_MPA
    )
    assert web == pytest.approx(0.048, abs=0.001)


def test_across_the_grain_wood_is_many_times_as_soft():
    assert stiffness_mpa(0.0, 0.0) == pytest.approx(ALONG_MPA)
    assert stiffness_mpa(math.pi / 2, 0.0) < ALONG_MPA / 10


LONE = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"

[bits]
joints = "flat-3.175-long"

[holding]
stock = "tape"

[[board]]
width = {width}
height = {height}
thickness = 12.7

[[piece]]
name = "beam"
length = {length}
"""


def test_a_long_piece_on_two_thin_rims_is_warned_of():
    (found,) = codes(written(LONE.format(width=880, height=66, length=800)), Code.HOLDING_WEAK)
    assert found.measured > 1.0
    assert codes(written(LONE.format(width=880, height=200, length=800)), Code.HOLDING_WEAK) == []
    assert codes(written(LONE.format(width=240, height=66, length=150)), Code.HOLDING_WEAK) == []


# holds


def on_board(**keys):
    manifest = small_job(pieces=1).manifest
    (board,) = manifest.boards
    board = replace(board, **keys)
    return [one.code for one in check_board_held(replace(manifest, boards=(board,)), board)]


def clamp(x, y):
    return NoGo(circle((x, y), 5.0), 10.0, "clamp")


def test_a_board_of_whose_hold_nobody_said_a_word_is_warned_of():
    assert on_board(held_by="") == [Code.HOLDING_UNNAMED]
    assert on_board(held_by="clamps", no_go=(NoGo(circle((5, 5), 5.0), 0.0, "knot"),)) == [Code.HOLDING_UNNAMED]
    assert on_board(held_by="tape") == on_board(held_by="vacuum") == []


def test_holds_further_apart_than_the_span_are_warned_of():
    corners = tuple(clamp(x, y) for x in (0, 180) for y in (0, 80))
    assert on_board(held_by="clamps", no_go=corners, span_mm=200.0) == []
    assert on_board(held_by="clamps", no_go=corners[:2], span_mm=240.0) == []
    assert on_board(held_by="clamps", no_go=corners[:1], span_mm=200.0) == [Code.HOLDING_SPAN]


def test_a_panel_clamped_at_its_corners_alone_is_warned_of():
    edge = "".join(
        f"\n[[board.no_go]]\ntitle = \"clamp\"\nx = {x}\ny = {y}\nwidth = 8\nheight = 6\nrise = 10\n"
        for x in (0, 412) for y in (0, 334)
    )  # fmt: skip
    text = SKIN.replace('stock = "tape"', 'stock = "clamps"\nspan = 300')
    contents = written(text.format(placing="rows", no_go=edge))
    assert len(codes(contents, Code.HOLDING_SPAN)) == 1
    manifest = parse_manifest(contents[MANIFEST].decode("ascii"))
    (board,) = manifest.boards
    assert board.span_mm == 300.0
    assert check_board_held(manifest, replace(board, span_mm=400.0)) == ()


def test_the_usual_span_goes_with_the_board():
    def span(thickness):
        text = re.sub(r"(?m)^thickness = .*$", f'thickness = "{thickness} mm"', job_text())
        return load_job(text, file="job.toml", profiles=load_profiles(())).holding.span_mm

    assert span(12.7) == pytest.approx(300.0)
    assert span(10.0) == pytest.approx(300.0 * 10.0 / 12.7)
