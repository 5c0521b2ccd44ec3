"""Curves that close into circles, and the lengths by which straights and curves of a set match.

SOURCE: D. Barber, "Observations on Track for Toy Trains: Where trig meets track" (tamivox.org, 2006-2017), pages on
45, 60, 36 and 30 degree sets; values as printed there, for centre-line radius 200 mm and track 40 mm wide.
"""

import math
from dataclasses import replace

import pytest

from geometry.usual import BEND, SHARP, TRACK, made, sized
from platelayer.geometry.contours import bounds, distance_mm, transform_pose
from platelayer.geometry.placing import facing, place_piece, pose_to_join
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.pieces import EndKind, Role
from platelayer.values.shapes import Contour, Pose

PLAIN = (EndKind.PLAIN, EndKind.PLAIN)
WIDE_40 = replace(TRACK, width_mm=40.0)


def bend(degrees, *, radius=200.0, is_left=True, ends=BEND.ends):
    order = sized(BEND, radius=radius, angle=math.radians(degrees), hand="left" if is_left else "right", ends=ends)
    return made(order, track=WIDE_40, corners=SHARP)


def laid(pieces):
    """The pieces laid one after the other from the origin, each closed on the one before."""
    at, placed = Pose(0.0, 0.0, math.pi), []
    open_end = facing(at)
    for piece in pieces:
        placed.append(place_piece(piece, pose_to_join(piece.ends[0].pose, open_end)))
        open_end = placed[-1].ends[1].pose
    return placed, open_end


# source: Barber, as above: 8 of 45, 10 of 36, 6 of 60 and 12 of 30 degrees close
@pytest.mark.parametrize(("count", "degrees"), [(8, 45), (10, 36), (6, 60), (12, 30)])
@pytest.mark.parametrize("is_left", [True, False], ids=["left", "right"])
def test_circles_close(count, degrees, is_left):
    placed, last = laid([bend(degrees, is_left=is_left)] * count)
    assert math.hypot(last.x, last.y) < COINCIDENT_MM
    assert abs(math.remainder(last.heading_rad, math.tau)) < 1e-9
    boxes = [bounds(piece.outline) for piece in placed]
    assert max(box[2] for box in boxes) - min(box[0] for box in boxes) >= 440 - COINCIDENT_MM


def test_one_too_few_does_not_close():
    _, last = laid([bend(45)] * 7)
    assert math.hypot(last.x, last.y) > 100


@pytest.mark.parametrize(("degrees", "length"), [(45, 157.08), (60, 209.44)])
def test_lengths_of_curves(degrees, length):
    # source: Barber: 157.08 mm (50 pi) for 45 degrees, 209.44 mm for 60 degrees, at radius 200 mm
    assert bend(degrees).length_mm == pytest.approx(length, abs=5e-3)


def test_inner_and_outer_radius():
    # source: Barber: radius 200 at the centre line and width 40: inner 180, outer 220
    piece = bend(45)
    sides = [s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role is Role.SIDE]
    assert sorted(side.radius_mm for side in sides) == pytest.approx([180, 220])


# A straight matches a curve when both cross the same cell: their ends lie on the same pair of lines, so the straight's
# middle is where the curve's end headings cross, and its half length is the way there: R tan(angle / 2).
# source: Barber: 230.94 (60), 129.97, 290.62 and 550.55 (36, 72 and 108) at radius 200 mm
@pytest.mark.parametrize(
    ("count", "degrees", "straight"), [(1, 60, 230.94), (1, 36, 129.97), (2, 36, 290.62), (3, 36, 550.55)]
)
def test_matching_straights(count, degrees, straight):
    _, last = laid([bend(degrees)] * count)
    middle = (straight / 2, 0.0)
    back = transform_pose(Pose(-straight / 2, 0.0), last)
    assert (back.x, back.y) == pytest.approx(middle, abs=0.01)


def test_crossing_of_a_36_degree_set():
    # source: Barber: the crossing lies 210.29 mm from the curve's centre, 200 / cos 18
    _, last = laid([bend(36)])
    crossing = transform_pose(Pose(-200 * math.tan(math.radians(18)), 0.0), last)
    assert math.dist((crossing.x, crossing.y), (0.0, 200.0)) == pytest.approx(210.29, abs=5e-3)


def test_edge_of_a_hexagonal_cell():
    # source: Barber: the cell of a 60 degree set has an edge of 133.33 mm; a hexagon is sqrt 3 edges wide
    _, last = laid([bend(60)])
    centre = (133.33 * math.sqrt(3) / 2, 0.0)
    assert math.dist((last.x, last.y), centre) == pytest.approx(133.33 * math.sqrt(3) / 2, abs=0.01)


def test_least_radius_of_a_30_degree_branch():
    # source: Barber: 278.56 mm, for the curve's outer corner to clear a straight 40 mm wide
    for radius, is_clear in ((278.50, False), (278.62, True)):
        piece = bend(30, radius=radius, ends=PLAIN)
        end = piece.ends[1].pose
        corner_y = end.y - 20 * math.cos(end.heading_rad)
        assert (corner_y > 20) == is_clear
        assert distance_mm(piece.outline, (end.x + 20 * math.sin(end.heading_rad), corner_y)) < COINCIDENT_MM


def test_least_straight_beside_a_branch_of_radius_300():
    # source: Barber: 154.92 mm, where the curve's outer side leaves the straight's edge
    piece = bend(45, radius=300.0, ends=PLAIN)
    outer = max(
        (s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role is Role.SIDE),
        key=lambda side: side.radius_mm,
    )
    assert distance_mm(Contour((outer,), is_closed=False), (154.92, 20.0)) < 5e-3
