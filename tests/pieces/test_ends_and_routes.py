"""A piece has any number of ends and of routes between them; neither is guessed from the other."""

import math
from dataclasses import replace

import pytest

from geometry.usual import BEND, EIGHTH, JOINT, LONG, TRACK, made, sized, some_order
from odd_pieces import ODD
from platelayer.geometry.contours import heading_along, signed_area_mm2, wrapped
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import is_simple
from platelayer.pieces import CATALOGUE
from platelayer.pieces.kind import Making
from platelayer.pieces.routes import routes_through
from platelayer.values.pieces import Role
from platelayer.values.shapes import Pose
from referees.contours import is_chained

MAKING = Making(track=TRACK, joint=JOINT, corners=EIGHTH)
BY_HAND = {name: build(MAKING) for name, build in ODD.items()}
PIECES = BY_HAND | {
    "straight": made(LONG),
    "left curve": made(BEND),
    "right curve": made(sized(BEND, hand="right")),
    "grooves on both faces": made(replace(BEND, grooves_bottom=True)),
}
PLACE = Pose(310.0, -45.0, 0.7)


@pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)
def test_an_outline_is_one_simple_contour_counter_clockwise(piece):
    assert is_chained(piece.outline)
    assert is_simple(piece.outline)
    assert signed_area_mm2(piece.outline) > 0
    assert len(piece.labels) == len(piece.outline.segments)
    assert {label.end for label in piece.labels if label.role is not Role.SIDE} == set(range(len(piece.ends)))


@pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)
def test_a_route_leads_in_at_one_end_and_out_at_another(piece):
    placed = place_piece(piece, PLACE)
    for route in placed.routes:
        first, last = (placed.ends[index].pose for index in route.ends)
        assert math.dist(route.path.start, (first.x, first.y)) < 1e-9
        assert math.dist(route.path.end, (last.x, last.y)) < 1e-9
        assert wrapped(heading_along(route.path, 0.0) - first.heading_rad) % math.tau == pytest.approx(math.pi)
        assert math.cos(heading_along(route.path, route.length_mm) - last.heading_rad) == pytest.approx(1.0)


@pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)
def test_ends_and_grooves_alone_tell_the_same_routes(piece):
    """What a manifest says of a piece is enough, whatever the piece is and wherever it lies."""
    placed = place_piece(piece, PLACE)
    found = routes_through(placed.ends, placed.grooves)
    assert [route.ends for route in found] == [route.ends for route in placed.routes]
    for one, other in zip(found, placed.routes, strict=True):
        assert one.length_mm == pytest.approx(other.length_mm, abs=1e-9)
        assert one.is_straight == other.is_straight
        for a, b in zip(one.path.segments, other.path.segments, strict=True):
            assert math.dist(a.start, b.start) < 1e-9
            assert math.dist(a.end, b.end) < 1e-9


def test_a_groove_that_ends_inside_the_piece_is_no_route():
    piece = made(LONG)
    short = place_piece(made(sized(LONG, length=60.0)), Pose(20.0, 0.0))
    assert routes_through(piece.ends[:1], piece.grooves) == ()
    assert routes_through((), piece.grooves) == ()
    assert routes_through(piece.ends, short.grooves) == ()


def test_lengths_are_those_of_the_longest_route_or_of_the_piece():
    assert BY_HAND["turnout"].length_mm == 200.0
    assert BY_HAND["wye"].length_mm == pytest.approx(200.0 * math.pi / 4)
    assert BY_HAND["crossing"].length_mm == 150.0
    assert BY_HAND["block"].length_mm == 90.0


def test_only_a_straight_runs_straight_between_two_plain_sides():
    assert [name for name, piece in PIECES.items() if piece.is_straight] == ["straight"]


def test_a_kind_has_a_key_for_each_of_its_ends():
    for kind in CATALOGUE:
        order = some_order(kind)
        piece = made(order)
        assert [end.kind for end in piece.ends] == [usual for _, usual in kind.ends]
        assert [route.length_mm for route in piece.routes] == [r.length_mm for r in kind.routes(order.sizes)]


def test_keys_that_kinds_share_mean_the_same():
    known = {}
    for key in (key for kind in CATALOGUE for key in kind.keys):
        assert known.setdefault(key.name, (key.measure, key.choices)) == (key.measure, key.choices)
