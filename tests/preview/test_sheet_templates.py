"""Template pages measured from the PDF, and outlines for other hands read back."""

import math
import re
import shutil
import subprocess
import zlib
from base64 import a85decode
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

import preview_scene as scene
from cli.jobs import made, small_job
from platelayer.manifest.read import parse_manifest
from platelayer.preview.paper.pdf import curves
from platelayer.preview.paper.templates import template_pdf, tiles
from platelayer.preview.pictures.outlines import board_layers, bulge, outlines_dxf, outlines_svg, piece_layers
from platelayer.values.shapes import Arc, Line

POINT_MM = 25.4 / 72
LENGTH = 150.8125


@pytest.fixture(scope="module")
def manifest():
    return scene.board(2, length=LENGTH)[0]


def streams(pdf):
    """Page contents in order, unpacked."""
    found = re.findall(rb"/Filter \[ /ASCII85Decode /FlateDecode \].*?stream\n(.*?)endstream", pdf, re.DOTALL)
    return [zlib.decompress(a85decode(b"<~" + stream.strip(), adobe=True)).decode("latin-1") for stream in found]


NUMBERS = {"q": 0, "Q": 0, "cm": 6, "m": 2, "l": 2, "c": 6}


def points(page):
    """Ends of all lines and curves on a page, mm on paper, by following the transformations."""
    matrix, stack, found = np.eye(3), [], []
    for match in re.finditer(r"(?:^|(?<=\s))((?:[-+.\d]+ )*)(cm|q|Q|m|l|c)(?=\s|$)", page):
        numbers = [float(number) for number in match[1].split()]
        if len(numbers) != NUMBERS[match[2]]:
            continue
        match match[2]:
            case "q":
                stack.append(matrix)
            case "Q":
                matrix = stack.pop()
            case "cm":
                a, b, c, d, e, f = numbers
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            case _:
                found.append(np.array([*numbers[-2:], 1.0]) @ matrix)
    return np.array(found)[:, :2] * POINT_MM


def holds_pair(on_page, along_mm):
    """Two points lie level and so far apart, within a thousandth of a millimetre."""
    apart = on_page[np.newaxis, :, :] - on_page[:, np.newaxis, :]
    return bool(np.any((np.abs(apart[..., 0] - along_mm) < 1e-3) & (np.abs(apart[..., 1]) < 1e-3)))


def test_outline_and_ruler_measure_true_in_the_file(manifest):
    """Read from the PDF's own operators: ends of the ruler 150 mm apart, end faces of the piece its length apart."""
    on_page = points(streams(template_pdf(manifest, paper="a4"))[0])
    assert holds_pair(on_page, 150.0)
    assert holds_pair(on_page, 152.4)
    assert holds_pair(on_page, LENGTH)
    assert not holds_pair(on_page, LENGTH + 0.05)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs pdftoppm (Debian's poppler-utils)")
def test_the_ruler_measures_true_when_rendered(manifest, tmp_path):
    """Rendered by another program at 600 dots an inch: from the first to the last long tick 150 mm within 0.1."""
    from PIL import Image

    (tmp_path / "page.pdf").write_bytes(template_pdf(manifest, paper="a4"))
    command = ["pdftoppm", "-r", "600", "-f", "1", "-l", "1", "-gray", "page.pdf", "page"]
    subprocess.run(command, cwd=tmp_path, check=True)
    image = Image.open(next(tmp_path.glob("page*.pgm")))
    dots = 600 / 25.4
    # the row 5 mm above the ruler's line is met by the long ticks alone; the line is 22 mm above the paper's edge
    row = image.height - round((22 + 5.2) * dots)
    dark = [x for x in range(round(5 * dots), round(170 * dots)) if image.getpixel((x, row)) < 128]
    groups = [[dark[0]]]
    for x in dark[1:]:
        groups[-1].append(x) if x - groups[-1][-1] <= 2 else groups.append([x])
    ticks = [sum(group) / len(group) / dots for group in groups]
    assert len(ticks) == 16
    assert ticks[-1] - ticks[0] == pytest.approx(150.0, abs=0.1)
    assert [b - a for a, b in pairwise(ticks)] == pytest.approx([10.0] * 15, abs=0.1)


def test_printers_are_asked_not_to_scale(manifest):
    assert b"/PrintScaling /None" in template_pdf(manifest)


def test_each_kind_has_a_page_and_pages_are_the_same_every_time(manifest):
    twice = replace(manifest, pieces=(manifest.pieces[0], replace(manifest.pieces[1], title="other")))
    assert template_pdf(manifest).count(b"/Type /Page\n") == 1
    assert template_pdf(twice).count(b"/Type /Page\n") == 2
    assert template_pdf(twice) == template_pdf(twice)


def test_a_long_piece_is_tiled_with_overlap_and_shown_whole():
    manifest = scene.board(1, length=500.0, columns=1)[0]
    assert template_pdf(manifest, paper="a4").count(b"/Type /Page\n") == 2
    lows = tiles((0.0, 0.0, 518.0, 40.0), (270.0, 130.0))
    assert [x for x, _ in lows] == pytest.approx([0.0, 248.0])
    assert all(y == pytest.approx(-45.0) for _, y in lows)
    assert tiles((0.0, 0.0, 100.0, 40.0), (270.0, 130.0)) == [(-85.0, -45.0)]


def test_curves_of_the_paper_stay_on_the_arc():
    """An eighth of a turn as a cubic strays from the circle by less than 1e-5 of its radius."""
    arc = Arc((200.0, 0.0), (0.0, -200.0), (0.0, 0.0), True)
    at = arc.start
    for a, b, end in curves(arc):
        for t in (0.1, 0.25, 0.5, 0.75, 0.9):
            x, y = (
                at[k] * (1 - t) ** 3 + 3 * a[k] * t * (1 - t) ** 2 + 3 * b[k] * t * t * (1 - t) + end[k] * t**3
                for k in (0, 1)
            )
            assert math.hypot(x, y) == pytest.approx(200.0, abs=2e-3)
        at = end
    assert at == arc.end
    assert list(curves(Line((0.0, 0.0), (1.0, 0.0)))) == [((1.0, 0.0),)]


def test_bulges_by_hand():
    # worked by hand: half a turn has bulge 1, a quarter turn tan(22.5 degrees) = 0.414214; clockwise is negative
    assert bulge(Arc((1.0, 0.0), (-1.0, 0.0), (0.0, 0.0), True)) == pytest.approx(1.0)
    assert bulge(Arc((0.0, 1.0), (1.0, 0.0), (0.0, 0.0), False)) == pytest.approx(-0.41421356)
    assert bulge(Line((0.0, 0.0), (1.0, 0.0))) == 0.0


def test_dxf_pairs_and_layers(manifest):
    lines = outlines_dxf(board_layers(manifest, "A")).splitlines()
    assert len(lines) % 2 == 0
    pairs = list(zip(lines[::2], lines[1::2], strict=True))
    assert all(code.isdigit() for code, _ in pairs)
    assert pairs[-1] == ("0", "EOF")
    assert sum(pair == ("0", "POLYLINE") for pair in pairs) == sum(pair == ("0", "SEQEND") for pair in pairs) == 6
    assert {value for code, value in pairs if code == "8"} == {"OUTLINE", "GROOVE"}


def test_svg_is_full_size_and_keeps_arcs(manifest):
    text = outlines_svg(piece_layers(manifest.pieces[0]), title="a & b")
    size = re.search(r'viewBox="([-\d. ]+)" width="([\d.]+)mm" height="([\d.]+)mm"', text)
    assert size[1].split()[2:] == [size[2], size[3]]
    # worked by hand: face to face, peg 18.25625, 5 mm of room on either side
    assert float(size[2]) == pytest.approx(LENGTH + 18.25625 + 10, abs=0.01)
    assert float(size[3]) == pytest.approx(39.6875 + 10, abs=0.01)
    arcs = sum(isinstance(segment, Arc) for segment in manifest.pieces[0].outline.segments)
    assert len(re.findall(r"A[\d.]+ ", text)) == arcs
    assert "<title>a &amp; b</title>" in text


def test_nothing_to_draw_is_an_empty_picture():
    svg = outlines_svg((), title="")
    assert svg.startswith('<svg xmlns="http://www.w3.org/2000/svg"')
    assert "<path" not in svg


def test_a_template_has_the_sharp_joint_without_what_a_round_bit_needs(tmp_path):
    """The usual mouth is 5/16 in wide; eased for a 1/8 in bit it meets the face 5/16 in and 3.375 mm apart."""
    made(tmp_path, small_job())
    manifest = parse_manifest((tmp_path / "out/manifest.json").read_text(encoding="ascii"))
    straight = next(page for page in streams(template_pdf(manifest)) if "straight" in page)
    across = points(straight)[:, ::-1]
    assert holds_pair(across, 7.9375)
    assert not holds_pair(across, 7.9375 + 2 * 1.6875)
    cured = np.array([segment.start for piece in manifest.pieces for segment in piece.outline.segments])[:, ::-1]
    assert holds_pair(cured, 7.9375 + 2 * 1.6875)
