"""What a wheel needs on a curve, and what cut grooves give it, held against rectangles moved about on circles.

SOURCE: worked by hand, beside each number; the rectangles are moved by shapely, a general-purpose geometry library.
"""

import math

import numpy as np
import pytest
from shapely import Point, Polygon, box
from shapely.affinity import rotate, translate

from cli.jobs import small_job
from platelayer.geometry.contours import point_along
from platelayer.geometry.grooves import walls
from platelayer.manifest.read import parse_manifest
from platelayer.pieces.wheels import needed_width_mm
from platelayer.units import inches
from platelayer.values.pieces import Wheel
from proved import MANIFEST, refusals, written

WHEEL = Wheel(thickness_mm=4.0, diameter_mm=20.0, wheelbase_mm=40.0)
DEPTH_MM = 25.4 * 9 / 64
GROOVE_MM = 25.4 * (26 - 11) / 64
"""Usual sizes: common practice, no source."""
OFFSET_MM = 12.5015625
"""worked by hand: (1 9/16 - 13/32 - 11/64) / 2 in, from the track's middle to that of a groove."""
# worked by hand: t cos(yaw) + c sin(yaw) with c = 2 sqrt(h (D - h)), yaw = asin(B / 2r), r that of the inner groove.
NEEDED = {8.0: 5.585, 6.5: 5.973, 4.0: 7.337, 3.5: 7.871}


def across(radius_mm):
    """Width between concentric circles that a waggon's wheel takes up, tried place by place; no formula in it."""
    chord = 2 * math.sqrt((WHEEL.diameter_mm / 2) ** 2 - (WHEEL.diameter_mm / 2 - DEPTH_MM) ** 2)
    heading = math.asin(WHEEL.wheelbase_mm / 2 / radius_mm)
    print_ = box(-WHEEL.thickness_mm / 2, -chord / 2, WHEEL.thickness_mm / 2, chord / 2)
    wheel = translate(rotate(print_, heading, use_radians=True, origin=(0, 0)), radius_mm, 0.0)
    corners = [math.hypot(*corner) for corner in wheel.exterior.coords]
    return max(corners) - Point(0, 0).distance(wheel)


@pytest.mark.parametrize("radius_in", NEEDED)
def test_what_a_wheel_needs_is_what_its_footprint_takes_up_between_two_circles(radius_in):
    radius = radius_in * 25.4 - OFFSET_MM
    needed = needed_width_mm(WHEEL, depth_mm=DEPTH_MM, radius_mm=radius)
    assert needed == pytest.approx(NEEDED[radius_in], abs=1e-3)
    assert 0 <= needed - across(radius) < 0.04  # what the formula leaves out is on the safe side


def test_a_wheel_on_a_straight_needs_its_thickness_and_one_up_to_its_axle_its_diameter_across():
    assert needed_width_mm(WHEEL, depth_mm=DEPTH_MM, radius_mm=math.inf) == WHEEL.thickness_mm
    square = Wheel(thickness_mm=4.0, diameter_mm=20.0, wheelbase_mm=40.0)
    assert needed_width_mm(square, depth_mm=30.0, radius_mm=20.0) == pytest.approx(20.0)  # yaw of a quarter turn


def curve_job(radius_in, more=""):
    text = small_job().replace("radius = 8", f"radius = {radius_in}")
    return text.replace("[joint]", f"{more}\n[joint]")


def curved(contents):
    manifest = parse_manifest(contents[MANIFEST])
    return next(piece for piece in manifest.pieces if piece.kind == "curve"), manifest


def area_between(groove):
    both = walls(groove)
    left, right = (
        [point_along(wall, along) for along in np.arange(0.0, wall.length_mm, 0.2)] + [wall.end]
        for wall in (both.left, both.right)
    )
    return Polygon([*left, *right[::-1]])


@pytest.mark.parametrize("radius_in", [4.0, 3.5])
def test_a_wheel_runs_in_the_widened_part_of_a_tight_curve_and_the_dry_run_passes_it(radius_in):
    """The footprint of each of the four wheels, turned by its yaw, fits into the groove as the manifest has it."""
    contents = written(curve_job(radius_in))
    assert refusals(contents) == []
    piece, _ = curved(contents)
    radii = [groove.path.segments[0].radius_mm for groove in piece.grooves]
    chord = 2 * math.sqrt(DEPTH_MM * (WHEEL.diameter_mm - DEPTH_MM))
    for groove in piece.grooves:
        (arc,) = groove.path.segments
        assert groove.widest_mm == pytest.approx(NEEDED[radius_in], abs=1e-3)
        area = area_between(groove)
        yaw = math.asin(WHEEL.wheelbase_mm / 2 / arc.radius_mm)
        reach = chord / 2 + WHEEL.thickness_mm
        for along in np.linspace(groove.widening_mm[1][0] + reach, groove.widening_mm[2][0] - reach, 7):
            x, y = point_along(groove.path, along)
            tangent = math.atan2(y - arc.centre[1], x - arc.centre[0]) + (math.pi / 2 if arc.is_ccw else -math.pi / 2)
            for way in (yaw, -yaw):
                print_ = box(-chord / 2, -WHEEL.thickness_mm / 2, chord / 2, WHEEL.thickness_mm / 2)
                wheel = translate(rotate(print_, tangent + way, use_radians=True, origin=(0, 0)), x, y)
                assert best_fit(wheel, area, arc.centre) < 0.02
    assert abs(radii[0] - radii[1]) == pytest.approx(2 * OFFSET_MM)


def best_fit(wheel, area, centre):
    """How far a wheel still stands into a wall when it is moved across the groove to where it fits best."""
    x, y = wheel.centroid.x - centre[0], wheel.centroid.y - centre[1]
    length = math.hypot(x, y)
    moves = (translate(wheel, x / length * d, y / length * d) for d in np.arange(-0.5, 0.501, 0.02))
    return min(max(area.distance(Point(corner)) for corner in move.exterior.coords) for move in moves)


@pytest.mark.parametrize("radius_in", [8.0, 6.5])
def test_a_curve_whose_grooves_do_keeps_them(radius_in):
    contents = written(curve_job(radius_in))
    piece, manifest = curved(contents)
    assert [groove.widening_mm for groove in piece.grooves] == [(), ()]
    assert b"widening" not in contents[MANIFEST]
    assert not any("wheel" in words for words in manifest.noticed)


def test_grooves_come_to_both_end_faces_as_wide_as_a_straight_s_with_land_beside_them():
    piece, manifest = curved(written(curve_job(3.5)))
    straight = next(piece for piece in manifest.pieces if piece.kind == "straight")
    for groove in piece.grooves:
        assert (groove.width_mm, groove.flare) == (straight.grooves[0].width_mm, straight.grooves[0].flare)
        both = walls(groove)
        for left, right in ((both.left.start, both.right.start), (both.left.end, both.right.end)):
            assert math.dist(left, right) == pytest.approx(GROOVE_MM + 2 * groove.flare[0].extra_mm)
    outline = Polygon([point_along(piece.outline, d) for d in np.arange(0.0, piece.outline.length_mm, 0.05)])
    side = [segment for segment in piece.outline.segments if segment.length_mm > 40]
    assert len(side) == 2
    for groove in piece.grooves:
        inner = [along for along, _ in groove.widening_mm]
        low = min(
            Point(point_along(wall, along)).distance(outline.exterior)
            for wall in (walls(groove).left, walls(groove).right)
            for along in np.arange(inner[0] + 1.0, wall.length_mm - 12.0, 0.25)
        )
        assert low >= 1.5 - 0.01  # land


def test_what_a_wheel_still_lacks_is_a_warning_that_names_the_table_and_never_a_refusal():
    contents = written(curve_job(3.5))
    _, manifest = curved(contents)
    (words,) = [words for words in manifest.noticed if "wheel" in words]
    assert "(7.871 mm) wide on this curve" in words
    assert "lacks ~5/64 in (1.918 mm) there." in words
    assert "measure yours and write [wheel]" in words
    assert refusals(contents) == []


def test_a_wheel_too_thick_for_the_lands_lacks_all_along():
    contents = written(curve_job(4, '[wheel]\nthickness = "8 mm"\ndiameter = "24 mm"\nwheelbase = "50 mm"\n'))
    piece, manifest = curved(contents)
    (words,) = [words for words in manifest.noticed if "wheel" in words]
    assert "all along" in words
    assert "assumed" not in words
    assert max(groove.widest_mm for groove in piece.grooves) == pytest.approx(GROOVE_MM + 2 * (25.4 * 11 / 64 - 1.5))
    assert refusals(contents) == []


def test_a_wheel_as_thin_as_its_groove_is_wide_leaves_even_a_tight_curve_alone():
    contents = written(curve_job(4, '[wheel]\nthickness = "2.5 mm"\ndiameter = "12 mm"\nwheelbase = "30 mm"\n'))
    piece, manifest = curved(contents)
    assert [groove.widening_mm for groove in piece.grooves] == [(), ()]
    assert not any("wheel" in words for words in manifest.noticed)


def test_two_stiff_pairs_of_wheels_need_little_more_than_both_grooves_have():
    """Wheels of one axle stand square to it: what that takes beyond one wheel alone, in both grooves together.

    worked by hand: at 4 in the centre line's yaw is asin(20 / 101.6) = 0.1981; wheels 25.0 mm apart along the axle
    stand 25.0 (1 - cos) = 0.49 mm nearer across the curve than grooves 25.0 mm apart.
    """
    radius = inches(4.0)
    nearer = 2 * OFFSET_MM * (1 - math.cos(math.asin(20 / radius)))
    assert nearer == pytest.approx(0.49, abs=0.01)
    alone = [needed_width_mm(WHEEL, depth_mm=DEPTH_MM, radius_mm=radius + side) for side in (-OFFSET_MM, OFFSET_MM)]
    assert sum(alone) / 2 + nearer - NEEDED[4.0] < 0.15  # both grooves get what the inner one needs
