"""No-fit areas: what they allow keeps the gap, what they forbid would not."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made
from platelayer.geometry.contours import circle, polygon, transform_contour
from platelayer.geometry.no_fit import convex_parts, corners, cover, filled, no_fit, room_for, shifted
from platelayer.geometry.regions import box, distance_between_mm, polygon_through, to_area, union_all
from platelayer.values.shapes import Pose

OUTLINES = [made(LONG).outline, made(BEND).outline]
STAR = polygon(
    [((8 if i % 2 else 20) * math.cos(i * 0.7), (8 if i % 2 else 20) * math.sin(i * 0.7)) for i in range(9)][:8]
)


@pytest.mark.parametrize("outline", OUTLINES, ids=["straight", "curve"])
def test_a_cover_holds_the_whole_outline_and_little_more(outline):
    exact, around = to_area(outline, chord_mm=1e-3), cover(outline, chord_mm=0.1)
    assert exact.difference(around.buffer(2e-3)).is_empty
    assert around.difference(exact.buffer(0.102)).is_empty


def test_straight_edges_of_a_cover_are_exact():
    square = polygon(((0, 0), (10, 0), (10, 5), (0, 5)))
    assert cover(square, chord_mm=0.1).equals(box((0, 0), (10, 5)))


def test_filling_closes_the_socket_and_leaves_the_peg():
    outline = made(LONG).outline
    whole = filled(cover(outline, chord_mm=0.1), 6.0, chord_mm=0.5)
    assert not whole.interiors
    gained = whole.area - to_area(outline, chord_mm=1e-3).area
    # worked by hand: hole pi 6.35^2 = 126.7 and mouth about 7.9 x 8.5 = 67 go; the rest is fillets beside the peg
    assert 160 < gained < 230


@pytest.mark.parametrize("outline", [*OUTLINES, STAR], ids=["straight", "curve", "star"])
def test_convex_parts_make_the_whole(outline):
    whole = (
        filled(cover(outline, chord_mm=0.1), 6.0, chord_mm=0.5) if outline is not STAR else cover(STAR, chord_mm=0.1)
    )
    parts = [polygon_through(part) for part in convex_parts(whole)]
    assert math.isclose(sum(part.area for part in parts), whole.area, rel_tol=1e-9)
    assert union_all(parts).symmetric_difference(whole).area < 1e-6
    assert all(math.isclose(part.convex_hull.area, part.area, rel_tol=1e-9) for part in parts)


def test_two_squares_by_hand():
    """A square of 10 and one of 4, gap 1: the origin is kept out of a square of 14 grown by 1, corners rounded."""
    area = no_fit(convex_parts(box((0, 0), (10, 10))), convex_parts(box((0, 0), (4, 4))), gap_mm=1.0, chord_mm=0.001)
    assert area.bounds == pytest.approx((-5.001, -5.001, 11.001, 11.001))
    assert area.area == pytest.approx(14 * 14 + 4 * 14 * 1.001 + math.pi * 1.001**2, abs=0.02)


@settings(max_examples=20)
@given(st.sampled_from(OUTLINES), st.sampled_from(OUTLINES), st.floats(0, 6.2), st.integers(0, 10_000), st.floats(0, 6))
def test_on_the_edge_of_the_no_fit_area_the_distance_is_the_gap(fixed, moving, turn, pick, gap):
    moving = transform_contour(moving, Pose(0.0, 0.0, turn))
    still, free = (cover(outline, chord_mm=0.1) for outline in (fixed, moving))
    places = corners(no_fit(convex_parts(still), convex_parts(free), gap_mm=gap, chord_mm=0.02))
    x, y = places[pick % len(places)]
    exact = to_area(fixed, chord_mm=1e-3), shifted(to_area(moving, chord_mm=1e-3), x, y)
    distance = distance_between_mm(*exact)
    assert gap - 0.003 <= distance <= gap + 0.05 + 2 * 0.1


def test_room_in_a_box_is_the_box_less_the_piece():
    room = room_for(box((0, 0), (100, 50)), convex_parts(box((-1, -2), (9, 8))))
    assert room.bounds == pytest.approx((1, 2, 91, 42), abs=1e-5)


def test_room_round_a_knot():
    wood = to_area(circle((0.0, 0.0), 50.0), chord_mm=0.01).difference(box((-5, -5), (5, 5)))
    room = room_for(wood, convex_parts(box((-1, -1), (1, 1))))
    assert not room.contains(box((5.5, 0), (5.6, 0.1)))
    assert room.contains(box((6.1, -1), (6.2, 1)))


def test_no_room_is_nothing():
    assert room_for(box((0, 0), (10, 10)), convex_parts(box((0, 0), (11, 2)))).is_empty
