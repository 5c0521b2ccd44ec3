"""The shop sheet: says what the files say, cites what it must, and looks the same every time."""

import math
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

import preview_scene as scene
from fit.hand_made import USUAL
from platelayer.geometry.contours import polygon
from platelayer.manifest.schema import ManifestTurning, TurnLine
from platelayer.preview.paper.cautions import join_wood, shop_cautions
from platelayer.preview.paper.content import shop_sheet
from platelayer.preview.paper.sheet_html import sheet_html
from platelayer.preview.paper.sheet_pdf import sheet_pdf
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Group
from platelayer.preview.pictures.plan import ALONE, ON_A_SHEET, plan
from platelayer.preview.pictures.plan_marks import grain
from platelayer.units import minutes
from platelayer.values.cuts import Dowel
from platelayer.values.findings import Code, FileReport, Finding, JointReport, Report, Seat, Severity
from platelayer.values.motion import Event, EventKind, MoveKind
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import NoGo, StripFeed
from platelayer.values.tuning import Tuning
from referees.drawings import shapes_of, words_of


@pytest.fixture(scope="module")
def made():
    manifest, motions, _ = scene.board(4)
    return replace(manifest, joint=USUAL, units="in"), motions


def plans(manifest, motions):
    return {board.id: plan(manifest, motions, board_id=board.id, look=ON_A_SHEET) for board in manifest.boards}


def report_of(manifest, *findings, joints=()):
    files = tuple(
        FileReport(
            name=file.name,
            board=file.board,
            lines=900,
            seconds_s=1500.0,
            cutting_mm=12_345.0,
            rapid_mm=800.0,
            bits=tuple(bit.id for bit in file.bits),
            spindle_rpm=(18000.0,),
        )
        for file in manifest.files
    )
    return Report(files=files, pieces=(), joints=joints, findings=findings)


def section(sheet, title):
    return next(one for one in (*sheet.first, *sheet.after) if one.title == title)


def words(sheet):
    parts = [sheet.title, sheet.verdict, *(f"{name} {value}" for name, value in sheet.facts)]
    for one in (*sheet.first, *sheet.after):
        parts += [one.title, *one.sentences, *one.checks]
        if one.table:
            parts += [*one.table.head, *(cell for row in one.table.rows for cell in row)]
    return "\n".join(parts)


def test_every_file_and_piece_is_on_it(made):
    manifest, motions = made
    sheet = shop_sheet(manifest, report_of(manifest), motions)
    assert [row[1] for row in section(sheet, "Files, in the order they are cut").table.rows] == [
        file.name for file in manifest.files
    ]
    rows = section(sheet, "Cut list").table.rows
    assert sum(int(row[0]) for row in rows) == len(manifest.pieces)
    numbers = [int(number) for row in rows for number in row[-1].split(", ")]
    assert sorted(numbers) == sorted(piece.order for piece in manifest.pieces)
    assert rows[0][2:4] == ("150.813 mm", "5 15/16 in")


def test_feeds_are_those_of_the_file(made):
    manifest, motions = made
    (row,) = section(shop_sheet(manifest, report_of(manifest), motions), "Bits").table.rows
    assert row[0] == "flat-3.175"
    assert row[2] == "18000 rev/min"
    assert row[3] == "47 in/min\n1200 mm/min"
    assert row[5] == "~1/16 in (1.600 mm)"


def test_a_move_through_air_is_no_feed_of_a_bit(made):
    """The feed at which an axis comes down over the wood stood there as the bit's plunge: 900 for 350 mm/min."""
    manifest, motions = made
    (file,) = manifest.files
    bit = replace(file.bits[0], feed_mm_min=1200.0, plunge_mm_min=350.0)
    manifest = replace(manifest, files=(replace(file, bits=(bit,)),))
    motion = motions[file.name]
    across, above, down, *_ = np.flatnonzero(motion.kind != MoveKind.RAPID)
    end, feed = motion.end.copy(), motion.feed.copy()
    end[[above, down]] = motion.start[[above, down]] - (0.0, 0.0, 1.0)
    feed[[across, above, down]] = 6000.0, 900.0, 350.0
    flown = {file.name: replace(motion, end=end, feed=feed)}
    (row,) = section(shop_sheet(manifest, report_of(manifest), flown), "Bits").table.rows
    assert row[3:5] == ("47 in/min\n1200 mm/min", "14 in/min\n350 mm/min")


def test_a_dial_named_in_a_pause_is_shown_with_its_speed(made):
    manifest, motions = made
    name = manifest.files[0].name
    pause = Event(EventKind.PAUSE, 3, 0, 0.0, "switch the router on at dial 2, then resume")
    motion = replace(motions[name], events=(*motions[name].events, pause))
    dialled = replace(manifest, machine=replace(manifest.machine, dial=(("1", 9000.0), ("2", 13000.0))))
    silent = replace(report_of(manifest), files=tuple(replace(f, spindle_rpm=()) for f in report_of(manifest).files))
    (row,) = section(shop_sheet(dialled, silent, {name: motion}), "Bits").table.rows
    assert row[2] == "dial at 2\n13000 rev/min"
    (row,) = section(shop_sheet(manifest, silent, motions), "Bits").table.rows
    assert row[2] == "set by hand"


def test_errors_come_first_and_notes_stay_away(made):
    manifest, motions = made
    found = [
        Finding(code=Code.CUTTING_LIFT, severity=Severity.WARNING, text="lifts short pieces"),
        Finding(code=Code.SHAPE_GOUGE, severity=Severity.ERROR, text="gouged"),
        Finding(code=Code.CUTTING_DWELL, severity=Severity.NOTE, text="dwells"),
    ]
    sheet = shop_sheet(manifest, report_of(manifest, *found), motions)
    assert section(sheet, "To note").sentences == (
        "error: gouged",
        "warning: lifts short pieces",
    )
    assert (sheet.passed, sheet.verdict) == (False, "Dry run refused: 1 error.")


def test_what_was_noticed_before_there_were_files_is_told_too(made):
    """Warnings of feeds, grain and holding stood in the summary only: the files alone do not show them."""
    manifest, motions = made
    told = replace(manifest, noticed=("warning: try the feeds in scrap.",))
    sheet = shop_sheet(told, report_of(told), motions)
    assert section(sheet, "To note").sentences == ("warning: try the feeds in scrap.",)


def test_time_counts_every_run_of_a_strips_files(made):
    """The sheet said the time of one run of each file, the summary that of all."""
    manifest, motions = made
    feed = StripFeed(piece_id="straight-01", strip="A", stop_mm=200.0, used_mm=180.0, left_mm=20.0)
    fed = replace(manifest, boards=(replace(manifest.boards[0], is_strip=True, feeds=(feed,) * 7),))
    once, often = (dict(shop_sheet(m, report_of(m), motions).facts)["Time"] for m in (manifest, fed))
    (row,) = section(shop_sheet(fed, report_of(fed), motions), "Files, in the order they are cut").table.rows
    assert row[4].startswith("7 x ")
    seconds = 7 * sum(file.seconds_s for file in report_of(manifest).files)
    assert often == f"{minutes(seconds)}, give or take 15 %, pauses not counted" != once
    assert f"{minutes(seconds)} of these files" in words(shop_sheet(fed, report_of(fed), motions))


def test_a_board_that_is_turned_shows_its_dowels_and_how_it_is_turned(made):
    """The sheet named pins or a fence, whichever, and its drawing had no dowels."""
    manifest, motions = made
    dowels = (Dowel((10.0, 88.9), 6.35, 4.0), Dowel((190.0, 88.9), 6.35, 4.0))
    board = replace(manifest.boards[0], turning=ManifestTurning(by="dowels", tolerance_mm=0.2, dowels=dowels))
    below = replace(manifest.files[0], name="below.nc", face=BoardFace.BOTTOM, turn=TurnLine(at_mm=88.9))
    turned = replace(manifest, boards=(board,), files=(below, *manifest.files))
    checks = section(shop_sheet(turned, report_of(turned), motions), "Before you start").checks
    (turning,) = [check for check in checks if "long middle line" in check]
    assert turning.startswith(
        "Before A-1-flat-3.175.nc: turn board A over about its long middle line, left stays left, on 2 "
    )
    assert "dowels of 1/4 in (6.350 mm)" in turning
    drawn = [
        plan(each, motions, board_id="A", look=ON_A_SHEET) for each in (manifest, replace(manifest, boards=(board,)))
    ]
    assert [sum(word.text == "dowel" for word in words_of(one.parts)) for one in drawn] == [0, 2]


@pytest.mark.parametrize("look", [ALONE, ON_A_SHEET])
@pytest.mark.parametrize("grain_deg", [0, 30, 90])
def test_the_drawings_arrow_lies_along_the_grain(made, grain_deg, look):
    manifest, _ = made
    board = replace(manifest.boards[0], grain_rad=math.radians(grain_deg))
    drawing = plan(replace(manifest, boards=(board,)), {}, board_id="A", look=look)
    pointer = grain(board, step_mm=5.0)
    line = shapes_of(pointer.parts)[0].contours[0]
    slope = math.degrees(math.atan2(line.end[1] - line.start[1], line.end[0] - line.start[0]))
    assert slope == pytest.approx(grain_deg)
    (word,) = [word for word in words_of(drawing.parts) if word.text == "grain"]
    assert word.at[1] + word.size_mm <= drawing.high[1]


def test_no_line_of_grain_is_drawn_beside_an_offcut(made):
    manifest, _ = made
    edge = polygon([(0.0, 0.0), (200.0, 0.0), (0.0, 177.8)])
    offcut = replace(manifest.boards[0], outline=edge)
    drawing = plan(replace(manifest, boards=(offcut,)), {}, board_id="A")
    groups = [part for part in drawing.parts if isinstance(part, Group)]
    lines = [one for one in groups if any(shape.ink.stroke == palette.GRAIN for shape in shapes_of(one.parts))]
    assert [one.clip for one in lines] == [edge]


def test_the_shops_offsets_are_shown_beside_the_plain_sizes(made):
    manifest, motions = made
    tuned = replace(manifest, tuning=Tuning(design=USUAL, drawn=replace(USUAL, mouth_width_mm=8.0375)))
    rows = section(shop_sheet(tuned, report_of(tuned), motions), "Joints").table.rows
    assert rows[3] == ("socket: mouth width", "5/16 in (7.938 mm)", "~5/16 in (8.038 mm)", "+0.004 in (+0.100 mm)")
    assert {row[3] for row in rows} == {"none", "+0.004 in (+0.100 mm)"}


def test_joints_that_sit_alike_are_told_once(made):
    manifest, motions = made
    seat = Seat(couples=True, opening_mm=0.0, pull_out_mm=1.5, side_mm=0.79, forced_mm=0.0)
    joints = [JointReport(piece=f"straight-0{i}", end=i % 2, mate="a plain peg", seat=seat) for i in range(4)]
    stuck = replace(joints[0], seat=replace(seat, couples=False), mate="a plain socket")
    sheet = shop_sheet(manifest, report_of(manifest, joints=(*joints, stuck)), motions)
    assert section(sheet, "Joints").sentences == (
        "4 ends with a plain peg: faces close, 0.059 in (1.500 mm) of pull-out play, 0.031 in (0.790 mm) to each side.",
        "1 end with a plain socket: does not go together.",
    )


def test_workholding_counts_tabs_and_names_what_nothing_holds(made):
    manifest, motions = made
    clamp = NoGo(scene.rectangle(0, 0, 20, 20), 30.0, "clamp")
    boards = tuple(replace(board, no_go=(clamp,)) for board in manifest.boards)
    loose = (replace(manifest.pieces[0], tabs=()), *manifest.pieces[1:])
    held = replace(manifest, boards=boards, pieces=loose)
    said = section(shop_sheet(held, report_of(held), motions), "Holding").sentences
    assert said == (
        "Tabs hold 3 pieces at 12 places, ~15/64 in (6.000 mm) along the edge and ~3/32 in (2.500 mm) high, marked in "
        "the drawing; one between two pieces holds both. Saw them flush once the board is off the machine.",
        "Held by nothing in the wood: straight-01. Tape or suction must hold them to the end.",
        "Board A is held by tape under the whole of it: double-sided, or masking tape on both faces and glue between.",
        "  clamp at x 0.39 y 0.39 in (x 10.0 y 10.0 mm), ~25/32 in (20.000 mm) wide, up to ~1 3/16 in (30.000 mm) high",
    )


@pytest.mark.parametrize(
    "needed",
    [
        "15 mg/m3 total and 5 mg/m3 respirable (29 CFR 1910.1000, Table Z-1)",
        "NIOSH 1 mg/m3",
        "Group 1 carcinogen (IARC, vol. 62 and 100C)",
        "29 CFR 1910.133",
        "85 dBA over 8 h",
        "Never leave it running alone",
        "before the bit stands still",
        "Never push wood or a scrap with a brad",
        "sawn through flush",
        "the cylinder that toys are tested with (1.25 in, 31.7 mm wide)",
        "safe for toys put into mouths",
        "break the edges of the grooves",
        "come before this sheet",
    ],
)
def test_each_caution_is_there(made, needed):
    manifest, motions = made
    assert needed in words(shop_sheet(manifest, report_of(manifest), motions))


def test_beech_and_oak_are_called_what_they_are():
    said = shop_cautions(material="European beech", total_s=60.0, has_tabs=False, has_skin=True)
    assert any("oak and beech dust as A1" in one for one in said)
    assert any("skin is cut or sanded off" in one for one in said)
    assert not any("Tabs" in one for one in said)
    said = shop_cautions(material="yellow birch", total_s=60.0, has_tabs=True, has_skin=False)
    assert any("A2, suspected" in one for one in said)


@pytest.mark.parametrize(
    ("names", "joined"), [([], ""), (["A"], "A"), (["A", "B"], "A and B"), (["A", "B", "C"], "A, B and C")]
)
def test_names_in_a_sentence(names, joined):
    assert join_wood(names) == joined


class _Balance(HTMLParser):
    """Follows tags that open and close; void ones apart."""

    def __init__(self):
        super().__init__()
        self.open, self.links = [], []

    def handle_starttag(self, tag, attrs):
        self.links += [value for name, value in attrs if name in ("src", "href")]
        if tag not in ("meta", "br", "input"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_page_is_whole_and_needs_nothing_from_elsewhere(made):
    manifest, motions = made
    manifest = replace(manifest, title="Loop <1> & 'friends'")
    sheet = shop_sheet(manifest, report_of(manifest), motions)
    page = sheet_html(sheet, {"A": '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"></svg>'})
    parser = _Balance()
    parser.feed(page)
    assert parser.open == []
    assert parser.links == []
    assert "<title>Shop sheet: Loop &lt;1&gt; &amp; &#x27;friends&#x27;</title>" in page
    assert "<?xml" not in page
    assert page.count('type="checkbox"') == len(section(sheet, "Before you start").checks)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_is_the_same_bytes_every_time(made, paper):
    manifest, motions = made
    sheet = shop_sheet(manifest, report_of(manifest), motions)
    once = sheet_pdf(sheet, manifest, plans(manifest, motions), paper=paper)
    assert once.startswith(b"%PDF-")
    assert once == sheet_pdf(sheet, manifest, plans(manifest, motions), paper=paper)
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", once)
    # source: ISO 216, A4 is 210 x 297 mm; ANSI letter is 8.5 x 11 in; a point is 1/72 in
    wanted = (210 / 25.4 * 72, 297 / 25.4 * 72) if paper == "a4" else (612.0, 792.0)
    assert tuple(float(side) for side in box.groups()) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize(("title", "is_kept"), [("Schöne Straße – 2 m", True), ("鉄道", False)])
def test_a_title_the_papers_font_has_no_letters_for_gives_way_to_the_jobs_name(made, title, is_kept):
    """It was printed as black boxes."""
    manifest, motions = replace(made[0], title=title), made[1]
    sheet = shop_sheet(manifest, report_of(manifest), motions)
    named = replace(sheet, title=manifest.job)
    assert (sheet_pdf(sheet, manifest, {}) == sheet_pdf(named, manifest, {})) is not is_kept


def test_a_sheet_of_many_pieces_goes_over_several_pages(made):
    pieces = [replace(scene.straight(i, 100.0 + i, 30.0, 40.0), title=f"straight {i}") for i in range(1, 90)]
    manifest = replace(made[0], pieces=tuple(pieces))
    sheet = shop_sheet(manifest, report_of(manifest), made[1])
    assert sheet_pdf(sheet, manifest, plans(manifest, made[1])).count(b"/Type /Page\n") >= 4
