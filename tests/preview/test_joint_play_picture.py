"""The page of a joint: it says what the numbers say, to the scale it states."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from fit.hand_made import USUAL, WIDTH_MM
from platelayer.fit.free_play import free_play, play_region
from platelayer.fit.shapes import as_cut
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.joint_play import Panel, joint_page
from platelayer.units import worded
from platelayer.values.pieces import CornerRadii

BEFORE = as_cut(USUAL, width_mm=WIDTH_MM, corners=CornerRadii(), bit_radius_mm=1.5875)
AFTER = as_cut(
    USUAL,
    width_mm=WIDTH_MM,
    corners=CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875),
    bit_radius_mm=1.5875,
)
JAMMED = as_cut(USUAL, width_mm=WIDTH_MM, corners=CornerRadii(), bit_radius_mm=3.175)
SVG = "{http://www.w3.org/2000/svg}"


def page(*shapes):
    return joint_page("A joint & its play", tuple(Panel(f"panel {k}", shape) for k, shape in enumerate(shapes)))


def test_one_page_with_both_joints_their_numbers_and_contacts():
    text = page(BEFORE, AFTER)
    root = ET.fromstring(worded(text, "in"))
    words = [element.text for element in root.iter(f"{SVG}text")]
    assert "Pull-out play 0.002 in (0.062 mm)" in words
    assert "Pull-out play 0.011 in (0.275 mm)" in words
    assert [word for word in words if "faces" in word] == ["The faces stay 0.008 in (0.213 mm) apart"]
    assert "root of the peg against the corner of the mouth: 0.000 in (0.000 mm)" in words
    assert root.get("width") == "297mm"
    rings = [one for one in root.iter(f"{SVG}path") if one.get("stroke") == palette.VERMILLION]
    assert sum(one.get("d").count("M") for one in rings) >= 8
    assert page(BEFORE, AFTER) == text


def test_a_joint_alone_takes_half_a_page_and_all_of_it_lies_there():
    """Half of the page stayed white, so that words on the working page were too small to read."""
    long = joint_page("A joint whose name goes on and on: " * 3, (Panel("alone", AFTER),))
    root = ET.fromstring(worded(long, "in"))
    assert root.get("width") == "148.5mm"
    title = next(one for one in root.iter(f"{SVG}text") if one.text.startswith("A joint whose"))
    assert float(title.get("x")) + 0.6 * float(title.get("font-size")) * len(title.text) <= 148.5 - 10
    map_ends = [max(_xs(one.get("d"))) for one in root.iter(f"{SVG}path") if one.get("stroke") == palette.FAINT_INK]
    assert max(map_ends) + 98 + 12 <= 148.5 - 4  # the map begins 98 mm right of the margin


def _xs(path):
    return [float(number) for number in re.findall(r"-?[\d.]+(?:e-?\d+)?", path)][::2]


def test_free_play_is_drawn_to_scale():
    root = ET.fromstring(page(AFTER))
    (map_in_line,) = [one for one in root.iter(f"{SVG}path") if one.get("fill") == palette.GREEN]
    numbers = [float(number) for number in re.findall(r"-?[\d.]+(?:e-?\d+)?", map_in_line.get("d"))]
    found = free_play(AFTER)
    assert max(numbers[::2]) == pytest.approx(50 * found.pull_out_mm, abs=0.1)
    assert max(numbers[1::2]) == pytest.approx(50 * found.side_mm[1], abs=0.1)


def test_a_joint_that_does_not_go_together_says_so():
    words = [element.text for element in ET.fromstring(page(JAMMED)).iter(f"{SVG}text")]
    assert "Does not go together: the faces do not close." in words
    assert play_region(JAMMED) == ()


def test_region_is_symmetric_and_widest_in_line():
    region = play_region(AFTER, slices=9)
    areas = [np.trapezoid(one.high_mm - one.low_mm, one.shift_mm) for one in region]
    assert areas == pytest.approx(areas[::-1])
    assert max(areas) == areas[4]
    assert min(areas) < 0.02 * areas[4]
    # worked by hand: nearly a triangle of play by side play, both ways
    found = free_play(AFTER)
    assert areas[4] == pytest.approx(found.pull_out_mm * found.side_mm[0], rel=0.1)
