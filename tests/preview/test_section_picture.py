import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

import preview_scene as scene
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.plan import plan_svg
from platelayer.preview.pictures.png import svg_to_png
from platelayer.preview.pictures.section import inside_on_axis, section_svg
from platelayer.values.findings import Seat

SVG = "{http://www.w3.org/2000/svg}"
SEATED = Seat(couples=True, opening_mm=0.0, pull_out_mm=0.27, side_mm=0.29)


@pytest.fixture(scope="module")
def board():
    return scene.board(2)


def words(svg):
    return [node.text for node in ET.fromstring(svg).iter(f"{SVG}text")]


def test_the_joint_is_drawn_with_the_sizes_it_was_made_with(board):
    said = words(section_svg(board[0], peg=("straight-01", 1), socket=("straight-02", 0), seat=SEATED))
    # sizes of the joint: common practice, no source
    for size in (
        "neck 1/4 in (6.350 mm)",
        "head dia. 7/16 in (11.113 mm)",
        "mouth 5/16 in (7.938 mm)",
        "hole dia. 1/2 in (12.700 mm)",
        "1 9/16 in (39.688 mm)",
        "1/2 in (12.700 mm)",
        "groove 15/64 in (5.953 mm)",
        "deep 9/64 in (3.572 mm)",
        "23/32 in (18.256 mm)",
    ):
        assert size in said
    assert (
        "straight-01 into straight-02: opening 0.000 in (0.000 mm), play along the track 0.011 in (0.270 mm), "
        "to each side 0.011 in (0.290 mm)" in said
    )


def test_an_opening_moves_the_socket_piece_off(board):
    open_joint = replace(SEATED, opening_mm=1.5)
    closed, apart = (
        section_svg(board[0], peg=("straight-01", 1), socket=("straight-02", 0), seat=seat)
        for seat in (SEATED, open_joint)
    )

    def far_wood(svg):
        """Where wood of the socket's colour begins in the last view that has some: the cut along the track."""
        ground = [n.get("d") for n in ET.fromstring(svg).iter(f"{SVG}path") if n.get("fill") == palette.WASTE][-1]
        return float(ground[1:].split()[0])

    assert far_wood(apart) - far_wood(closed) == pytest.approx(1.5, abs=0.011)


def test_a_joint_that_does_not_couple_says_so(board):
    seat = Seat(couples=False, opening_mm=math.inf, pull_out_mm=math.inf, side_mm=0.0)
    said = words(section_svg(board[0], peg=("straight-01", 1), socket=("straight-02", 0), seat=seat))
    assert "straight-01 into straight-02: does not go together" in said


def test_the_wrong_end_is_refused(board):
    with pytest.raises(ValueError) as caught:
        section_svg(board[0], peg=("straight-01", 0), socket=("straight-02", 0))
    assert str(caught.value) == "end 0 of straight-01 is a socket, not a peg"


def test_the_picture_is_the_same_however_the_pieces_lie(board):
    manifest = board[0]
    moved = replace(manifest, pieces=(manifest.pieces[0], scene.straight(2, 150.8125, 500.0, 300.0)))
    texts = [section_svg(m, peg=("straight-01", 1), socket=("straight-02", 0)) for m in (manifest, moved)]
    assert texts[0] == texts[1]


def test_where_the_centre_line_runs_inside_a_ring():
    ring = [(-5.0, -1.0), (5.0, -1.0), (5.0, 2.0), (2.0, 2.0), (2.0, -0.5), (1.0, -0.5), (1.0, 2.0), (-5.0, 2.0)]
    # worked by hand: a bar from -5 to 5 with a slot from 1 to 2
    assert inside_on_axis(ring) == [(-5.0, 1.0), (2.0, 5.0)]


def test_pictures_come_as_png_too(board):
    pytest.importorskip("resvg_py", reason="resvg-py is not installed")
    manifest, motions, _ = board
    for svg in (
        plan_svg(manifest, motions, board_id="A"),
        section_svg(manifest, peg=("straight-01", 1), socket=("straight-02", 0)),
    ):
        png = svg_to_png(svg, width_px=640)
        assert png.startswith(b"\x89PNG")
        assert int.from_bytes(png[16:20], "big") == 640


def test_an_opening_below_nought_is_drawn_as_closed(board):
    manifest = board[0]
    pulled = replace(SEATED, opening_mm=-1e-9)
    said = words(section_svg(manifest, peg=("straight-01", 1), socket=("straight-02", 0), seat=pulled))
    assert any("opening 0.000 in (0.000 mm)" in word for word in said)


def test_what_is_said_of_the_joint_ends_within_the_picture(board):
    """Its last words stood beyond the edge."""
    seat = replace(SEATED, opening_mm=0.213)
    long = replace(board[0].pieces[0], id="a-straight-with-a-long-name-01")
    svg = section_svg(
        replace(board[0], pieces=(long, *board[0].pieces[1:])), peg=(long.id, 1), socket=("straight-02", 0), seat=seat
    )
    root = ET.fromstring(svg)
    low, _, wide, _ = map(float, root.get("viewBox").split())
    (said,) = [node for node in root.iter(f"{SVG}text") if node.text.startswith(long.id)]
    ends = float(said.get("x")) + stringWidth(said.text, "Helvetica", float(said.get("font-size")))
    assert ends < low + wide
