"""One piece of wood cut from both sides: faces in line, dowel holes as said, and wood enough between them at worst."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cli.jobs import make
from platelayer.gcode.moves import moves_on
from platelayer.gcode.reader import read_program
from platelayer.proof.as_cut import piece_as_cut
from platelayer.proof.design import design_of
from platelayer.proof.dowels import hole_of
from platelayer.proof.faces import shift_of, thinnest_land, thinnest_web
from platelayer.units import worded
from platelayer.values.cuts import Dowel
from platelayer.values.findings import Code, Severity, worded_findings
from two_faces import BOTH, BOTTOM, TOP, Made, read_made, shifted, without

GROOVE, THICK = 3.571875, 12.7
WEB = THICK - 2 * GROOVE
LAND = 39.6875 / 2 - 10.31875 - 12.7 / 2


@pytest.fixture(scope="module")
def good(tmp_path_factory) -> Made:
    folder = tmp_path_factory.mktemp("both")
    done = make(folder, BOTH)
    assert done.exit_code == 0, done.output
    return read_made(folder / "out")


@pytest.fixture(scope="module")
def woods_of_good(good):
    return seen(good)[1]


def seen(made):
    """Tracks and wood of its only board."""
    (board,) = made.manifest.boards
    motions = {name: read_program(text, name=name) for name, text in made.texts.items()}
    tracks = moves_on(board, made.manifest.files, motions)
    return tracks, [piece_as_cut(design_of(piece, board), tracks) for piece in made.manifest.pieces]


def codes(made):
    return {finding.code for finding in made.errors()}


def said(made, code):
    return worded_findings((finding for finding in made.errors() if finding.code is code), "mm")


def test_the_lower_face_is_cut_before_the_upper(good):
    turned = replace(good, manifest=replace(good.manifest, files=tuple(reversed(good.manifest.files))))
    (finding,) = said(turned, Code.HOLDING_DOWEL)
    assert (finding.where.file, finding.text) == (
        BOTTOM,
        f"{BOTTOM} cuts the lower face after {TOP} has cut the upper one; what holds the turned board is not there "
        "before the lower face is cut.",
    )


def test_a_good_job_passes_and_its_web_is_told(good):
    report = good.report()
    assert report.passed
    (note,) = [one for one in report.findings if one.severity is Severity.NOTE and one.code is Code.SHAPE_WEB]
    assert note.measured == pytest.approx(WEB - 0.2, abs=2e-4)
    assert worded(note.text, "mm") == (
        "between the grooves on both faces of board A at least 5.556 mm (0.219 in) of wood stays, 5.356 mm (0.211 "
        "in) in a board 0.200 mm (0.008 in) thinner; the turned board may lie 0.200 mm (0.008 in) off."
    )


def test_files_that_are_cut_as_meant_are_in_line(good):
    tracks, woods = seen(good)
    assert math.hypot(*shift_of(woods, tracks)) < 0.001


@pytest.mark.parametrize("words", ["", "groove"])
def test_a_lower_face_half_a_millimetre_out_of_line_is_caught_for_that_reason(good, words):
    bad = good.with_text(BOTTOM, shifted(good.texts[BOTTOM], 0.0, 0.5, only=words))
    (finding,) = said(bad, Code.SHAPE_FACES_APART)
    assert finding.measured == pytest.approx(0.5, abs=0.002)
    assert finding.text.startswith("the lower face of board A is cut 0.5")
    assert "out of line with the upper one, x " in finding.text
    assert "y -0." in finding.text  # what goes up in the file goes down as seen from above
    assert finding.where.file == BOTTOM
    holes = said(bad, Code.HOLDING_DOWEL)
    assert len(holes) == (0 if words else 2)
    for hole in holes:
        assert hole.measured == pytest.approx(0.5, abs=0.002)
        assert "is bored 0.5" in hole.text
        assert "beside its place" in hole.text


@pytest.mark.parametrize("turned_by", ["dowels", "fence"])
def test_a_turn_line_a_quarter_millimetre_off_puts_the_faces_half_a_millimetre_apart(good, turned_by):
    if turned_by == "fence":
        good = good.with_turning(by="fence", dowels=())
    bad = good.with_turn_at(63.75)
    found = said(bad, Code.SHAPE_FACES_APART)
    assert [one.measured for one in found] == pytest.approx([0.5, 0.5], abs=0.002)
    what = "the board's middle, about which a fence turns it," if turned_by == "fence" else (
        "a dowel, on which the board is turned,"
    )  # fmt: skip
    assert worded(found[0].text, "mm") == (
        f"{BOTTOM} is mirrored in the line y 63.750 mm, but {what} lies 0.250 mm (0.010 in) off it: the lower face "
        "comes to lie 0.500 mm (0.020 in) out of line with the upper one."
    )


@settings(max_examples=8)
@given(st.floats(-1, 1), st.floats(-1, 1))
def test_the_shift_is_found_whichever_way_it_goes(good, woods_of_good, dx, dy):
    if math.hypot(dx, dy) < 0.01:
        return
    bad = good.with_text(BOTTOM, shifted(good.texts[BOTTOM], dx, dy, only="groove") + "\n")
    motions = {name: read_program(text, name=name) for name, text in bad.texts.items()}
    tracks = moves_on(bad.manifest.boards[0], bad.manifest.files, motions)
    x, y = shift_of(woods_of_good, tracks)
    assert (x, y) == pytest.approx((dx, -dy), abs=0.01)


def test_webs_and_lands_are_measured_as_cut(good):
    tracks, woods = seen(good)
    for wood in woods:
        web = thinnest_web(wood, tracks, tolerance_mm=0.2)
        assert web.as_cut_mm == pytest.approx(WEB, abs=2e-4)
        assert web.worst_mm == pytest.approx(WEB - 0.2, abs=2e-4)
        land = thinnest_land(wood, tracks, tolerance_mm=0.2)
        # a straight's thinnest wood stands beside the socket's hole: wall at 9.525, hole of 6.35 about the middle
        if wood.design.piece.kind == "straight":
            assert land.as_cut_mm == pytest.approx(LAND, abs=5e-4)
        assert 1.5 < land.as_cut_mm < LAND + 5e-4
        assert land.worst_mm == pytest.approx(land.as_cut_mm - 0.2, abs=1e-12)


def test_a_web_too_thin_at_worst_is_refused(good):
    (first, *_) = said(good.with_board(scatter_mm=4.2), Code.SHAPE_WEB)
    assert first.measured == pytest.approx(WEB - 4.2, abs=2e-4)
    assert first.text.startswith("only 5.556 mm (0.219 in) of wood stays between the grooves on the two faces of ")
    assert first.text.endswith(
        " with a board 4.200 mm (0.165 in) thinner 1.356 mm (0.053 in); at least 1.500 mm (0.059 in) must."
    )
    assert first.advice == "Cut the grooves less deep, or take a thicker or more even board."


def test_a_lower_groove_cut_too_deep_leaves_too_little_web(good):
    bad = good.with_text(BOTTOM, good.texts[BOTTOM].replace("Z-3.5718", "Z-8"))
    assert {Code.SHAPE_WEB, Code.SHAPE_DEPTH} <= codes(bad)
    worst = min(one.measured for one in said(bad, Code.SHAPE_WEB))
    assert worst == pytest.approx(THICK - GROOVE - 8 - 0.2, abs=2e-4)


def test_a_groove_through_into_the_other_leaves_nothing(good):
    bad = good.with_text(BOTTOM, good.texts[BOTTOM].replace("Z-3.5718", "Z-10"))
    (first, *_) = said(bad, Code.SHAPE_WEB)
    assert first.measured < 0
    assert first.text.startswith("no wood at all stays between the grooves")
    assert "thinner 0.000 mm" in first.text


def test_a_land_that_a_board_out_of_line_would_thin_too_far_is_refused(good):
    found = said(good.with_turning(tolerance_mm=2.6), Code.SHAPE_LAND)
    assert {one.where.piece for one in found} == {"long-01", "curve-01"}
    assert found[0].measured == pytest.approx(LAND - 2.6, abs=5e-4)
    assert " of wood stays beside a groove in its lower face of " in found[0].text
    assert ", with the turned board 2.600 mm (0.102 in) off " in found[0].text
    assert found[0].advice == (
        "Turn the board more truly (a smaller tolerance in [turning]), or move the grooves inwards."
    )


def test_holes_are_as_wide_and_deep_as_the_dowels(good):
    tracks, _ = seen(good)
    for dowel in good.manifest.boards[0].turning.dowels:
        hole = hole_of(tracks, dowel)
        assert math.dist(hole.middle, dowel.at) < 0.001
        assert hole.wide_mm < 0.002
        assert hole.left_mm < 0.002
        assert hole.deep_mm == pytest.approx(4.3, abs=1e-4)


def resized(good, **changes):
    first, second = good.manifest.boards[0].turning.dowels
    return good.with_turning(dowels=(replace(first, **changes), second))


def test_only_a_dowel_hole_may_go_so_deep_and_no_deeper_than_its_dowel(good):
    (finding,) = said(resized(good, depth_mm=3.0), Code.TRAVEL_TOO_DEEP)
    assert finding.measured == pytest.approx(4.3, abs=1e-4)
    assert finding.where.file == BOTTOM
    (finding,) = said(good.with_board(turning=None), Code.TRAVEL_TOO_DEEP)
    assert finding.measured == pytest.approx(4.3, abs=1e-4)
    assert finding.limit == 0.3


WRONG_HOLES = {
    "narrow": ({"diameter_mm": 7.0}, "is not cleared: wood stands 0.32"),
    "wide": ({"diameter_mm": 6.0}, "is 0.17"),
    "shallow": ({"depth_mm": 6.0}, "goes 4.300 mm (0.169 in) into the spoilboard instead of 6.000 mm (0.236 in)."),
    "beside": ({"at": (9.625, 63.5)}, "is bored 0.100 mm (0.004 in) beside its place."),
    "elsewhere": ({"at": (40.0, 63.5)}, "is not bored through."),
}


@pytest.mark.parametrize("name", WRONG_HOLES)
def test_a_hole_that_is_not_its_dowels_is_refused(good, name):
    changes, words = WRONG_HOLES[name]
    (finding,) = said(resized(good, **changes), Code.HOLDING_DOWEL)
    assert words in finding.text
    assert finding.text.startswith("the hole of dowel 1 at x ")


def test_a_hole_left_out_is_missed(good):
    bad = good.with_text(BOTTOM, without(good.texts[BOTTOM], "dowel-2 dowel"))
    (finding,) = said(bad, Code.HOLDING_DOWEL)
    assert finding.text == "the hole of dowel 2 at x 650.9 y 63.5 mm is not bored through."


def test_a_board_on_one_dowel_swings(good):
    one = good.with_turning(dowels=good.manifest.boards[0].turning.dowels[:1])
    (finding,) = said(one, Code.HOLDING_DOWEL)
    assert finding.text == "board A is turned on 1 dowels; on fewer than two it swings."


def test_no_bit_goes_into_a_dowel_that_stands(good):
    end = good.manifest.pieces[0].ends[0].pose
    bad = good.with_turning(dowels=(*good.manifest.boards[0].turning.dowels, Dowel((end.x, end.y), 6.35, 4.3)))
    (finding,) = said(bad, Code.TRAVEL_NO_GO)
    assert finding.text.startswith("the bit goes into dowel 3 at x ")
    assert finding.where.file == TOP


def hand_bored(good, *rings):
    """The lower face with nothing but a dowel of 12.7 mm bored by hand: full circles of these radii, at full depth."""
    lines = ["G17", "G21", "G90", "G94", "G54", "(BIT 1 flat-3.175-long)", "G0 Z15", "S13000", "M3", "G4 P4"]
    for radius in rings:
        lines += [f"G0 X{100 + radius} Y63.5", "G0 Z4", "G1 Z0 F300"]
        lines += [f"G3 X{100 + radius} Y63.5 Z{-z} I{-radius} J0" for z in range(1, 17)]
        lines += [f"G3 X{100 + radius} Y63.5 I{-radius} J0", "G0 Z15"]
    text = "\n".join([*lines, "G0 X0 Y0", "M5", "M2"]) + "\n"
    made = good.with_text(BOTTOM, text).with_turning(
        dowels=(Dowel((100.0, 63.5), 12.7, 3.3), Dowel((100.0, 63.5), 12.7, 3.3))
    )
    manifest = replace(made.manifest, pieces=(), files=made.manifest.files[:1])
    return replace(made, manifest=manifest, texts={BOTTOM: text})


def test_a_slug_left_in_a_dowel_hole_is_found_and_one_cut_away_later_too(good):
    stays = hand_bored(good, 4.7625)
    assert Code.HOLDING_SLUG in codes(stays)
    assert Code.HOLDING_DOWEL in codes(stays)
    passes = hand_bored(good, 4.7625, 1.6, 0.5)
    slugs = [one.text for one in said(passes, Code.HOLDING_SLUG)]
    assert slugs
    assert "comes loose in the hole of a dowel at x 100.0 y 63.5 mm before it is cut away." in slugs[0]
    inside_out = hand_bored(good, 0.5, 1.6, 3.2, 4.7625)
    assert not codes(inside_out) & {Code.HOLDING_SLUG, Code.HOLDING_DOWEL}


def test_wood_cut_from_below_is_gone_when_the_top_is_cut(good):
    only_top = replace(
        good,
        manifest=replace(good.manifest, files=good.manifest.files[1:]),
        texts={TOP: good.texts[TOP]},
    )
    missing = said(only_top, Code.SHAPE_GROOVE_MISSING)
    assert {one.where.piece for one in missing} == {"long-01", "curve-01"}


def test_pieces_are_held_by_their_tabs_though_grooves_below_part_their_undersides(good):
    _, woods = seen(good)
    assert all(wood.design.piece.tabs for wood in woods)
    assert not codes(good) & {Code.HOLDING_PIECE_FREED, Code.HOLDING_SLUG}
    sawn = good.texts[TOP].replace("Z-10.7", "Z-13")
    assert Code.HOLDING_TAB_MISSING in codes(good.with_text(TOP, sawn))
