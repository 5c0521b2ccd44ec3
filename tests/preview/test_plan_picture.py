import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
import shapely.affinity

import preview_scene as scene
from platelayer.geometry.contours import bounds, circle, signed_area_mm2
from platelayer.geometry.regions import to_area
from platelayer.manifest.schema import ManifestTurning
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Group, Shape
from platelayer.preview.pictures.plan import AGAIN_ON_A_SHEET, ALONE, ON_A_SHEET, plan_svg
from platelayer.preview.pictures.plan import plan as plan_of
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.cuts import Dowel
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import NoGo
from referees.drawings import shapes_of, word_boxes, words_of

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
        text="gouge of 0.31 mm",
        where=Where(board="A", point=(80.0, 30.0, -2.0)),
    )
    return plan_svg(manifest, motions, board_id="A", seconds={"A-1-flat-3.175.nc": 600.0}, findings=[finding])


def test_plan_is_well_formed_and_says_what_a_woodworker_looks_for(plan):
    root = ET.fromstring(plan)
    words = [node.text for node in root.iter(f"{SVG}text")]
    for wanted in (
        "garden-loop",
        "150.813 mm",
        "5 15/16 in",
        "1",
        "4",
        "grain",
        "X",
        "Y",
        "mm",
        "clamp",
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


@pytest.mark.parametrize("radius_mm", [1.0, 6.0, 30.0])
@pytest.mark.parametrize("at", [(60.0, 30.0), (10.0, 10.0), (160.0, 30.0)])
def test_the_name_of_a_no_go_area_can_be_read_however_small_it_is(radius_mm, at):
    """The name of a knot was shrunk until it fitted on it, to letters of a millimetre."""
    manifest, motions, _ = scene.board(1)
    knot = NoGo(circle(at, radius_mm), 0.0, "knot")
    marked = replace(manifest, boards=(replace(manifest.boards[0], no_go=(knot,)),))
    drawing = plan_of(marked, motions, board_id="A")
    ruler = next(words.size_mm for words in words_of(drawing.parts) if words.text == "mm")
    (name,) = (words for words in words_of(drawing.parts) if words.text == "knot")
    assert name.size_mm >= ruler
    words = dict(word_boxes(drawing.parts))
    box = words.pop("knot")
    assert shapely.Point(at).distance(box) <= radius_mm + 3 * ruler
    assert [text for text, other in words.items() if other.intersects(box) and text not in ("X", "Y")] == []


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


def rapids_over_words(drawing):
    """Words through which a rapid can be seen to run: those over which no plate was laid after it."""
    inked = list(laid(drawing.parts))
    out = []
    for number, (part, _) in enumerate(inked):
        if not (isinstance(part, Shape) and part.ink.stroke == palette.BLUE and part.ink.dash_mm):
            continue
        lines = shapely.MultiLineString([[c.start, *(s.end for s in c.segments)] for c in part.contours])
        plates = [
            frame(to_area(c, chord_mm=FLATTEN_CHORD_MM), where)
            for shape, where in inked[number:]
            if isinstance(shape, Shape) and shape.ink.fill and shape.ink.fill_ratio == 1
            for c in shape.contours
            if c.is_closed
        ]
        seen = lines.difference(shapely.union_all(plates))
        out += [text for text, box in word_boxes(drawing.parts) if seen.intersection(box).length > 0.1]
    return out


def laid(parts, matrix=(1, 0, 0, 1, 0, 0)):
    """Shapes and words in the order in which they are laid on the paper, with the frame of each."""
    for part in parts:
        if isinstance(part, Group):
            cos, sin = math.cos(part.turn_rad), math.sin(part.turn_rad)
            a, b, d, e, x, y = matrix
            px, py = part.at
            turned = (a * cos + b * sin, b * cos - a * sin, d * cos + e * sin, e * cos - d * sin)
            yield from laid(part.parts, (*turned, a * px + b * py + x, d * px + e * py + y))
        else:
            yield part, matrix


def frame(polygon, matrix):
    return shapely.affinity.affine_transform(polygon, matrix)


def test_no_rapid_runs_through_words():
    """Dashes crossed the letters of sizes, dowels and the zero."""
    manifest, motions, _ = scene.board(4)
    moves = scene.Moves("A-2-rapids.nc")
    wide, high = manifest.boards[0].size_mm
    for part in range(40):
        moves.rapid(0 if part % 2 else wide, high * part / 40, 5)
    motion, _ = moves.motion()
    more = replace(manifest, files=(*manifest.files, scene.file_of(motion.name, [scene.bit()])))
    board = more.boards[0]
    dowels = tuple(Dowel((x, high - 12.0), 6.35, 4.0) for x in (9.0, wide - 9.0))
    turned = replace(board, turning=ManifestTurning(by="dowels", tolerance_mm=0.2, dowels=dowels))
    drawing = plan_of(replace(more, boards=(turned,)), {**motions, motion.name: motion}, board_id="A")
    assert rapids_over_words(drawing) == []


def test_a_piece_that_a_problem_names_has_its_name_beside_its_number():
    manifest, motions, _ = scene.board(4)
    piece = manifest.pieces[2]
    told = Finding(
        code=Code.SHAPE_GOUGE, severity=Severity.WARNING, text="short", where=Where(board="A", piece=piece.id)
    )
    drawing = plan_of(manifest, motions, board_id="A", findings=[told])
    texts = [words.text for words in words_of(drawing.parts)]
    assert texts[texts.index(str(piece.order)) + 1] == piece.id
    assert not {other.id for other in manifest.pieces if other is not piece} & set(texts)


def test_problems_are_shown_whole():
    manifest, motions, _ = scene.board(4)
    text = " ".join(f"word{number}" for number in range(60)) + "."
    where = Where(board="A", point=(80.0, 30.0, -2.0))
    told = Finding(code=Code.SHAPE_GOUGE, severity=Severity.WARNING, text=text, where=where)
    drawing = plan_of(manifest, motions, board_id="A", findings=[told])
    said = [words.text for words in words_of(drawing.parts) if "word" in words.text]
    assert " ".join(said) == text
    sheet = shapely.box(*drawing.low, *drawing.high)
    assert [words for words, box in word_boxes(drawing.parts) if not sheet.covers(box)] == []


def under_board():
    """A board on its top face, with one piece grooved below, the file turned about its middle line."""
    manifest, motions, _ = scene.board(2, columns=1)
    high = manifest.boards[0].size_mm[1]
    first = manifest.pieces[0]
    groove = replace(first.grooves[0], face=BoardFace.BOTTOM)
    pieces = (replace(first, grooves=(*first.grooves, groove)), *manifest.pieces[1:])
    start, end = groove.path.start, groove.path.end
    moves = scene.Moves("A-0-bottom.nc")
    moves.rapid(start[0], high - start[1], 0.6)
    moves.line(start[0], high - start[1], -2)
    moves.line(end[0], high - end[1])
    motion, _ = moves.motion()
    under = scene.file_of(motion.name, [scene.bit()], face=BoardFace.BOTTOM, turn=high / 2)
    return (
        replace(manifest, pieces=pieces, files=(under, *manifest.files)),
        {**motions, motion.name: motion},
        (start, end, high),
    )


def test_the_bottom_plan_shows_what_lies_on_the_machine_and_only_what_its_file_cuts():
    """It was drawn as seen through the board, without its zero, with tabs and grooves of the other face."""
    manifest, motions, (start, end, high) = under_board()
    drawing = plan_of(manifest, motions, board_id="A", face=BoardFace.BOTTOM)
    shapes = shapes_of(drawing.parts)
    bands = [
        c for s in shapes if s.ink.is_round and s.ink.width_mm == pytest.approx(3.175, abs=0.01) for c in s.contours
    ]
    assert (start[0], high - start[1]) in [band.start for band in bands]
    assert (end[0], high - end[1]) in [band.end for band in bands]
    outlines = [c for s in shapes if s.ink.fill == palette.MAPLE for c in s.contours if len(c.segments) > 4]
    (piece,) = outlines
    designed = manifest.pieces[0].outline
    x0, y0, x1, y1 = bounds(designed)
    assert bounds(piece) == pytest.approx((x0, high - y1, x1, high - y0))
    assert signed_area_mm2(piece) == pytest.approx(signed_area_mm2(designed))
    assert not [s for s in shapes if s.ink.fill == palette.VERMILLION], "no tab, not in the legend either"
    zeros = [c for s in shapes if s.ink.fill == "#ffffff" for c in s.contours if math.dist(c.start, (0, 0)) < 9]
    assert zeros, "the zero stands at the near left corner of the board as it lies"
    assert not [s for s in shapes if s.ink.dash_mm == (4.0, 2.0) and s.contours], "no groove of the face that lies down"


def test_a_problem_of_the_bottom_file_is_marked_on_the_bottom_plan_where_it_lies():
    manifest, motions, (start, _, high) = under_board()
    where = Where(file="A-0-bottom.nc", board="A", point=(start[0], start[1], -10.0))
    told = Finding(code=Code.SHAPE_GOUGE, severity=Severity.WARNING, text="seen", where=where)
    bottom, top = (
        plan_of(manifest, motions, board_id="A", face=face, findings=[told])
        for face in (BoardFace.BOTTOM, BoardFace.TOP)
    )
    tips = [c.start for s in shapes_of(bottom.parts) for c in s.contours if len(c.segments) == 3]
    assert (start[0], high - start[1]) in tips
    assert "seen" not in [words.text for words in words_of(top.parts)]


def said_on(manifest, motions, face=BoardFace.TOP):
    seconds = dict.fromkeys(motions, 254 * 60.0)
    drawing = plan_of(manifest, motions, board_id="A", face=face, seconds=seconds)
    return {words.text for words in words_of(drawing.parts)}


def test_the_legend_tells_the_marks_that_stand_there_and_no_others():
    """A board held by a skin was told to have tabs, clamps and cuts right through; dashed grooves were not told."""
    manifest, motions, _ = under_board()
    tab, clamp, below = "tab: wood left, saw it by hand", "no-go: clamp, screw, knot", "groove in the lower face"
    assert {tab, clamp, below, "through"} <= said_on(manifest, motions)
    assert not {tab, below, "through"} & said_on(manifest, motions, BoardFace.BOTTOM)
    bare = replace(
        manifest,
        boards=tuple(replace(board, no_go=()) for board in manifest.boards),
        pieces=tuple(replace(piece, tabs=(), grooves=piece.grooves[:2]) for piece in manifest.pieces),
    )
    assert not {tab, clamp, below} & said_on(bare, motions)


def test_a_file_has_its_number_among_all_and_hours_where_it_takes_hours():
    manifest, motions, _ = under_board()
    top, bottom = said_on(manifest, motions), said_on(manifest, motions, BoardFace.BOTTOM)
    assert ("1.  A-0-bottom.nc" in bottom, "2.  A-1-flat-3.175.nc" in top) == (True, True)
    assert any(words.endswith("· 4 h 14 min") for words in top)
