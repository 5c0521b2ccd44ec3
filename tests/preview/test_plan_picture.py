import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
import shapely

import preview_scene as scene
from platelayer.geometry.contours import circle
from platelayer.manifest.schema import ManifestTurning
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.plan import AGAIN_ON_A_SHEET, ALONE, ON_A_SHEET, plan_svg
from platelayer.preview.pictures.plan import plan as plan_of
from platelayer.values.cuts import Dowel
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.tooling import NoGo
from referees.drawings import word_boxes

SVG = "{http://www.w3.org/2000/svg}"


def luminance(colour):
    """Relative luminance, WCAG 2.1 definition (from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a, b):
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.fixture(scope="module")
def plan():
    manifest, motions, _ = scene.board(4)
    finding = Finding(
        code=Code.SHAPE_GOUGE,
        severity=Severity.ERROR,
        text="gouge of 0.31 mm",
        where=Where(board="A", point=(80.0, 30.0, -2.0)),
    )
    return plan_svg(manifest, motions, board_id="A", seconds={"A-1-flat-3.175.nc": 600.0}, findings=[finding])


def test_plan_is_well_formed_and_says_what_a_woodworker_looks_for(plan):
    root = ET.fromstring(plan)
    words = [node.text for node in root.iter(f"{SVG}text")]
    for wanted in (
        "garden-loop",
        "150.8 mm",
        "5 15/16 in",
        "1",
        "4",
        "grain",
        "X",
        "Y",
        "mm",
        "no-go clamp",
        "through",
    ):
        assert wanted in words
    assert any("10 min" in word for word in words if word)
    assert "gouge of 0.31 mm" in words


def test_one_tab_is_drawn_for_each_tab_meant(plan):
    drawn = [n for n in ET.fromstring(plan).iter(f"{SVG}path") if n.get("fill") == palette.VERMILLION]
    assert len(drawn) == 4 * 4 + 1, "sixteen on the board and one in the legend"


def test_bands_are_as_wide_as_the_bit_and_get_darker_downwards(plan):
    clipped = [n.findall(f"{SVG}path") for n in ET.fromstring(plan).iter(f"{SVG}g") if n.get("clip-path")]
    bands = next(paths for paths in clipped if paths[0].get("stroke-linecap") == "round")
    assert all(float(band.get("stroke-width")) == pytest.approx(3.175, abs=0.006) for band in bands)
    light = [luminance(band.get("stroke")) for band in bands]
    assert light == sorted(light, reverse=True)
    assert light[0] > 3 * light[-1]


def test_swept_places_lie_on_the_sheet_with_y_turned_over():
    manifest, _, _ = scene.board(1, columns=1)
    moves = scene.Moves("A-1-flat-3.175.nc")
    moves.rapid(50, 10, 0.6)
    moves.line(50, 10, -2)
    moves.line(90, 10)
    moves.arc(100, 20, 90, 20, ccw=True)
    motion, _ = moves.motion()
    svg = plan_svg(manifest, {motion.name: motion}, board_id="A")
    assert "M50 -10L90 -10A10 10 0 0 0 100 -20" in svg


def test_same_input_same_text():
    manifest, motions, _ = scene.board(2)
    assert plan_svg(manifest, motions, board_id="A") == plan_svg(manifest, motions, board_id="A")


def test_the_same_place_cut_twice_is_drawn_once():
    manifest, _, _ = scene.board(1, columns=1)
    texts = []
    for turns in (1, 30):
        moves = scene.Moves("A-1-flat-3.175.nc")
        moves.rapid(50, 10, 0.6)
        moves.line(50, 10, -2)
        for _ in range(turns):
            moves.line(90, 10)
            moves.line(50, 10)
        motion, _ = moves.motion()
        texts.append(plan_svg(manifest, {motion.name: motion}, board_id="A"))
    assert texts[0] == texts[1]


def test_titles_cannot_break_the_picture():
    manifest, motions, _ = scene.board(1, columns=1)
    from dataclasses import replace

    svg = plan_svg(replace(manifest, job='<b>&"loop"'), motions, board_id="A")
    assert '<b>&"loop"' in [node.text for node in ET.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize(
    ("ink", "ground", "least"),
    [
        (palette.INK, palette.PAPER, 7.0),
        (palette.FAINT_INK, palette.PAPER, 4.5),
        (palette.BLUE, palette.MAPLE, 3.0),
        (palette.VERMILLION, palette.MAPLE, 3.0),
        (palette.INK, palette.WASTE, 7.0),
    ],
)
def test_marks_stand_out_in_lightness_alone(ink, ground, least):
    # least contrasts: WCAG 2.1, 1.4.3, 1.4.6 and 1.4.11 (from memory)
    assert contrast(ink, ground) >= least


def test_no_picture_reaches_outside_the_file(plan):
    assert not re.search(r"(href|src|url\((?!#))", plan.replace('xmlns="http://www.w3.org/2000/svg"', ""))


def test_the_name_of_a_round_no_go_area_is_printed_on_it():
    """A disc has one corner only, so that its name came out with no height, beside it."""
    manifest, motions, _ = scene.board(1)
    knot = NoGo(circle((60.0, 30.0), 10.0), 0.0, "knot")
    marked = replace(manifest, boards=(replace(manifest.boards[0], no_go=(knot,)),))
    svg = plan_svg(marked, motions, board_id=manifest.boards[0].id)
    (words,) = re.findall(r"<g transform=.translate.60 -30..><text[^>]*>no-go knot</text>", svg)
    size = re.search(r'font-size="([\d.]+)', words)
    assert size is not None
    assert float(size[1]) > 1.5


@pytest.mark.parametrize("look", [ALONE, ON_A_SHEET, AGAIN_ON_A_SHEET])
@pytest.mark.parametrize("grain_deg", [0, 90])
def test_no_words_lie_on_others_or_beyond_the_edge(look, grain_deg):
    manifest, motions, _ = scene.board(4)
    wide, high = manifest.boards[0].size_mm
    dowels = tuple(Dowel((x, high - 12.0), 6.35, 4.0) for x in (9.0, wide - 9.0))
    turning = ManifestTurning(by="dowels", tolerance_mm=0.2, dowels=dowels)
    board = replace(manifest.boards[0], turning=turning, grain_rad=math.radians(grain_deg))
    drawing = plan_of(replace(manifest, boards=(board,)), motions, board_id="A", look=look)
    sheet = shapely.box(*drawing.low, *drawing.high)
    words = list(word_boxes(drawing.parts))
    assert len(words) > 20
    assert [text for text, box in words if not sheet.covers(box)] == []
    pairs = combinations(words, 2)
    assert [(a, b) for (a, first), (b, second) in pairs if first.intersection(second).area > 0] == []
