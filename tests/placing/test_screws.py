"""Screws stand in the waste near corners, off the person's own no-go areas, and nothing is laid onto them."""

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import LONG, made
from placing.distances import framed
from platelayer.errors import CannotCut
from platelayer.geometry.contours import circle, distance_mm, polygon
from platelayer.geometry.placing import place_piece
from platelayer.placing.rows import place_rows
from platelayer.placing.screws import FROM_EDGE_MM, screw_places, with_screws
from platelayer.values.tooling import Board, Holding, HoldingKind, NoGo, StockBy

HEAD = 10.0
BOARD = Board(
    id="A", width_mm=700.0, height_mm=150.0, thickness_mm=12.7, scatter_mm=0.2, thickness_is_measured=True,
    zero="top", margin_mm=3.0,
)  # fmt: skip
SCREWS = Holding(
    kind=HoldingKind.TABS, tab_width_mm=6.0, tab_height_mm=2.0, tab_count=0, skin_mm=0.0, stock=StockBy.SCREWS,
    screw_head_mm=HEAD, screw_rise_mm=2.5,
)  # fmt: skip


def test_a_long_board_gets_one_at_each_corner_and_more_along_its_long_edges():
    # worked by hand: 5 + 4 mm from every edge, long edges of 700 mm in three, row by row from the zero corner
    assert screw_places(BOARD, head_mm=HEAD, span_mm=300.0) == (
        (9.0, 9.0), (pytest.approx(700 / 3), 9.0), (pytest.approx(1400 / 3), 9.0), (691.0, 9.0),
        (9.0, 141.0), (pytest.approx(700 / 3), 141.0), (pytest.approx(1400 / 3), 141.0), (691.0, 141.0),
    )  # fmt: skip


@given(st.floats(100, 1000), st.floats(100, 800), st.floats(150, 500))
def test_no_place_of_a_board_is_further_from_a_screw_than_the_middle_of_a_square_of_the_span(wide, high, span):
    places = screw_places(replace(BOARD, width_mm=wide, height_mm=high), head_mm=HEAD, span_mm=span)
    for x, y in itertools.product(range(0, int(wide), 20), range(0, int(high), 20)):
        assert min(math.dist((x, y), place) for place in places) <= span / math.sqrt(2) + HEAD / 2 + FROM_EDGE_MM


@given(
    st.floats(100, 900), st.floats(40, 400), st.floats(0, 60), st.floats(0, 40),
    st.lists(st.tuples(st.floats(0, 900), st.floats(0, 400), st.floats(2, 60)), max_size=3),
)  # fmt: skip
def test_heads_lie_in_the_wood_and_on_nothing_else(wide, high, cut_x, cut_y, knots):
    outline = polygon([(0.0, 0.0), (wide - cut_x, 0.0), (wide, high - cut_y - 1), (wide, high), (0.0, high)])
    no_go = tuple(NoGo(circle((x, y), r), 0.0) for x, y, r in knots)
    board = replace(BOARD, width_mm=wide, height_mm=high, outline=outline, no_go=no_go)
    for place in screw_places(board, head_mm=HEAD, span_mm=300.0):
        assert distance_mm(outline, place) >= HEAD / 2 + FROM_EDGE_MM - 0.01
        assert all(((place[0] - x) ** 2 + (place[1] - y) ** 2) ** 0.5 >= r + HEAD / 2 - 0.05 for x, y, r in knots)


def test_pieces_keep_their_room_from_screws():
    (board,) = with_screws([BOARD], SCREWS)
    assert [(area.title, area.height_mm) for area in board.no_go] == [(f"screw {n}", 2.5) for n in range(1, 9)]
    pieces = [replace(made(LONG), id=f"long-{n}") for n in range(5)]
    for placement in place_rows(pieces, [board], apart=framed(5.0, 4.0)):
        outline = place_piece(pieces[placement.index], placement.pose).outline
        assert all(
            distance_mm(outline, at) >= HEAD / 2 + 5.0 for at in screw_places(BOARD, head_mm=HEAD, span_mm=300.0)
        )


def test_without_screws_boards_stay_as_they_are():
    assert with_screws([BOARD], replace(SCREWS, stock=StockBy.CLAMPS)) == (BOARD,)


def test_a_board_without_room_for_two_screws_is_refused():
    with pytest.raises(CannotCut) as error:
        with_screws([replace(BOARD, height_mm=17.0)], SCREWS)
    assert str(error.value) == (
        "[holding] stock = screws: board A has no room for two screws with heads of ~25/64 in (10.000 mm) beside its "
        'no-go areas. Use smaller screws, or hold it otherwise: stock = "clamps", "tape" or "vacuum".'
    )
