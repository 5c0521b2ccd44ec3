"""Pieces on boards: never an overlap, never off the board, nothing lost, always the same."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings

import strategies_nesting as some
from geometry.usual import BEND, LONG, made, sized
from platelayer.errors import JobError
from platelayer.geometry.contours import circle, polygon, rectangle, transform_contour
from platelayer.geometry.regions import to_area
from platelayer.placing.nesting import NestBoard, NestItem, nest
from platelayer.tolerances import FLATTEN_CHORD_MM

SLACK_MM = 3 * FLATTEN_CHORD_MM
"""Outlines are flattened to that chord for measuring, two at a time."""

ALONG_RAD = -math.radians(45) / 2
LONG_ITEM = NestItem(name="long", outline=made(LONG).outline, count=3)
BEND_ITEM = NestItem(name="bend", outline=made(BEND).outline, turns_rad=(ALONG_RAD, ALONG_RAD + math.pi), count=4)


def upright(width, height, *, id="A"):
    return NestBoard(id=id, outline=rectangle((0.0, 0.0), (width, height)))


def placed_areas(items, result, board_id):
    outlines = {item.name: item.outline for item in items}
    return [
        to_area(transform_contour(outlines[p.name], p.pose), chord_mm=FLATTEN_CHORD_MM)
        for p in result.placements
        if p.board_id == board_id
    ]


def assert_lies_well(items, boards, result, *, gap_mm, margin_mm, no_go_gap_mm):
    for board in boards:
        areas = placed_areas(items, result, board.id)
        wood = to_area(board.outline, chord_mm=FLATTEN_CHORD_MM)
        for index, area in enumerate(areas):
            assert area.difference(wood.buffer(SLACK_MM)).is_empty
            assert area.distance(wood.boundary) >= margin_mm - SLACK_MM
            for no_go in board.no_go:
                assert area.distance(to_area(no_go, chord_mm=FLATTEN_CHORD_MM)) >= no_go_gap_mm - SLACK_MM
            for other in areas[:index]:
                assert area.distance(other) >= gap_mm - SLACK_MM
                assert not area.intersects(other)


@settings(max_examples=8)
@given(some.nest_items(), some.nest_boards())
def test_pieces_keep_their_gap_and_stay_on_the_wood(items, boards):
    result = nest(items, boards, gap_mm=3.175, margin_mm=2.0, no_go_gap_mm=1.5, tries=3)
    assert_lies_well(items, boards, result, gap_mm=3.175, margin_mm=2.0, no_go_gap_mm=1.5)


@settings(max_examples=8)
@given(some.nest_items(), some.nest_boards())
def test_every_copy_lies_somewhere_or_is_left_and_only_at_its_turns(items, boards):
    result = nest(items, boards, gap_mm=0.0, margin_mm=0.0, tries=3)
    told = sorted([(p.name, p.copy) for p in result.placements] + list(result.left))
    assert told == sorted((item.name, copy) for item in items for copy in range(item.count))
    turns = {item.name: [turn % math.tau for turn in item.turns_rad] for item in items}
    assert all(p.pose.heading_rad in turns[p.name] for p in result.placements)


@settings(max_examples=3)
@given(some.nest_items(), some.nest_boards())
def test_the_same_again_is_the_same(items, boards):
    once = nest(items, boards, gap_mm=4.0, margin_mm=1.0, tries=8)
    assert nest(items, boards, gap_mm=4.0, margin_mm=1.0, tries=8) == once


def test_a_piece_fits_a_board_of_its_own_size():
    plain = NestItem(name="bar", outline=rectangle((0.0, 0.0), (100.0, 39.6875)))
    result = nest([plain], [upright(100.0, 39.6875)], gap_mm=4.0, margin_mm=0.0)
    assert not result.left
    result = nest([plain], [upright(100.0, 39.68)], gap_mm=4.0, margin_mm=0.0)
    assert result.left == (("bar", 0),)


def test_neighbours_lie_at_the_gap_and_hardly_more():
    result = nest([replace(LONG_ITEM, count=2)], [upright(200.0, 90.0)], gap_mm=4.0, margin_mm=3.0)
    first, second = placed_areas([LONG_ITEM], result, "A")
    assert 4.0 <= first.distance(second) < 4.1


def test_curves_lie_in_one_another():
    """Boxes of two curves stacked need 2 x 53 mm and the gap; nested they need a good deal less."""
    result = nest([replace(BEND_ITEM, count=2)], [upright(200.0, 106.0)], gap_mm=4.0, margin_mm=0.0)
    assert not result.left


def test_pegs_lie_side_by_side_where_rows_may_shift():
    """Two pieces peg to peg: in line they need two pegs and the gap between faces, side by side one peg and the gap."""
    peg_mm = 18.25625  # worked by hand: setback 7.14375 + head 11.1125
    length = 2 * LONG.sizes["length"] + peg_mm + 4.5
    fits = nest([replace(LONG_ITEM, count=2)], [upright(length, 39.6875 + 16.0)], gap_mm=4.0, margin_mm=0.0)
    assert not fits.left


def test_a_knot_is_kept_clear():
    board = NestBoard(id="A", outline=rectangle((0.0, 0.0), (400.0, 60.0)), no_go=(circle((60.0, 30.0), 8.0),))
    result = nest([replace(LONG_ITEM, count=1)], [board], gap_mm=4.0, margin_mm=2.0, no_go_gap_mm=3.0)
    (area,) = placed_areas([LONG_ITEM], result, "A")
    clear = area.distance(to_area(board.no_go[0], chord_mm=FLATTEN_CHORD_MM))
    assert 3.0 - SLACK_MM <= clear < 3.5


def test_an_offcut_without_right_angles_is_used():
    wedge = NestBoard(id="A", outline=polygon(((0, 0), (420, 0), (300, 120), (60, 120))))
    result = nest([LONG_ITEM], [wedge], gap_mm=4.0, margin_mm=2.0)
    assert len(result.placements) >= 2
    assert_lies_well([LONG_ITEM], [wedge], result, gap_mm=4.0, margin_mm=2.0, no_go_gap_mm=0.0)


def test_no_go_in_a_ring_round_nothing_leaves_room_inside_it():
    """A board larger than its no-go areas takes pieces on every side of them."""
    knots = (circle((210.0, 60.0), 12.0), circle((210.0, 140.0), 12.0))
    board = NestBoard(id="A", outline=rectangle((0.0, 0.0), (420.0, 200.0)), no_go=knots)
    result = nest([replace(LONG_ITEM, count=8)], [board], gap_mm=4.0, margin_mm=2.0, no_go_gap_mm=2.0)
    assert len(result.placements) == 8


def test_sixty_mixed_pieces_need_no_more_than_five_boards():
    """Forty straights of 150, eight of 100, twelve curves; 900 x 140 boards, gap 4. Boxes need six, by area three."""
    items = [
        NestItem(name="long", outline=made(sized(LONG, length=150.0)).outline, count=40),
        NestItem(name="short", outline=made(sized(LONG, length=100.0)).outline, count=8),
        NestItem(
            name="bend",
            outline=made(sized(BEND, radius=200.0)).outline,
            turns_rad=(ALONG_RAD, ALONG_RAD + math.pi),
            count=12,
        ),
    ]
    boards = [upright(900.0, 140.0, id=name) for name in "ABCDEF"]
    result = nest(items, boards, gap_mm=4.0, margin_mm=0.0, tries=20)
    assert not result.left
    assert len({placement.board_id for placement in result.placements}) <= 5
    assert_lies_well(items, boards, result, gap_mm=4.0, margin_mm=0.0, no_go_gap_mm=0.0)


def test_what_cannot_be_is_refused_in_words():
    twin = replace(LONG_ITEM, turns_rad=())
    with pytest.raises(JobError) as caught:
        nest([LONG_ITEM, twin], [upright(400.0, 60.0)], gap_mm=-1.0, margin_mm=2.0)
    assert str(caught.value) == (
        "gap = -1 mm: a distance cannot be negative. Use 0 or more.\n"
        "long: two items of this name. Give each a name of its own.\n"
        "long: may not lie at any turn. Allow at least one."
    )


def test_nothing_to_lay_and_nothing_to_lay_it_on():
    assert nest([], [upright(400.0, 60.0)], gap_mm=4.0, margin_mm=2.0).placements == ()
    result = nest([LONG_ITEM], [], gap_mm=4.0, margin_mm=2.0)
    assert len(result.left) == 3
