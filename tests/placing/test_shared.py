"""Who shares a cut: read off the placements alone, whichever way pieces and stacks lie."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import LONG, made, sized
from platelayer.geometry.contours import transform_pose
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import distance_between_mm, to_area
from platelayer.pieces.stacks import lain_in_stack
from platelayer.placing.kept import settled
from platelayer.placing.shared import Sharing, blocks_of, laid_apart, neighbours_of, stacks_of, tallest_stack
from platelayer.values.pieces import Placement
from platelayer.values.shapes import Pose
from platelayer.values.tooling import Board

KERF = 3.175
PITCH = 39.6875 + KERF
PIECE = made(LONG)
LENGTH = PIECE.length_mm
SHORTER = made(sized(LONG, length=120.0))
BOARD = Board(
    id="A", width_mm=600.0, height_mm=200.0, thickness_mm=12.7, scatter_mm=0.2, thickness_is_measured=True,
    zero="top", margin_mm=3.0,
)  # fmt: skip


def sharing(count, *, but=()):
    return Sharing(pitch_mm=PITCH, kerf_mm=KERF, members=frozenset(range(count)) - set(but))


def lain(*places):
    return [Placement(index, board, settled(pose)) for index, (board, pose) in enumerate(places)]


@given(
    x=st.floats(0, 500),
    y=st.floats(0, 500),
    heading_rad=st.floats(-7, 7),
    turned=st.lists(st.booleans(), min_size=2, max_size=5),
    order=st.randoms(use_true_random=False),
)
def test_a_stack_is_known_again_however_it_and_its_pieces_lie(x, y, heading_rad, turned, order):
    """Only to the last digit of a placement file; the frame found carries each piece to where it lies."""
    frame, indices = Pose(x, y, heading_rad), list(range(len(turned)))
    order.shuffle(indices)
    poses = {
        index: transform_pose(lain_in_stack(n, length_mm=LENGTH, pitch_mm=PITCH, is_turned=turned[n]), frame)
        for n, index in enumerate(indices)
    }
    placements = [Placement(index, "A", settled(poses[index])) for index in sorted(poses)]
    (stack,) = stacks_of([PIECE] * len(turned), placements, sharing(len(turned)))
    assert list(stack.indices) in (indices, indices[::-1])
    for number, (index, is_turned) in enumerate(stack.members):
        found = transform_pose(lain_in_stack(number, length_mm=LENGTH, pitch_mm=PITCH, is_turned=is_turned), stack.pose)
        assert math.dist((found.x, found.y), (poses[index].x, poses[index].y)) < 1e-4
        assert math.isclose(math.cos(found.heading_rad - poses[index].heading_rad), 1.0, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("second", "what"),
    [
        (("A", Pose(0.001, PITCH)), "slid along"),
        (("A", Pose(0.0, PITCH + 0.001)), "further apart"),
        (("B", Pose(0.0, PITCH)), "on another board"),
        (("A", Pose(0.0, PITCH, math.pi)), "turned about the wrong end"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_pieces_that_do_not_fit_share_nothing(second, what):
    assert stacks_of([PIECE, PIECE], lain(("A", Pose(0.0, 0.0)), second), sharing(2)) == (), what


def test_pieces_of_two_lengths_and_those_that_may_not_share_nothing():
    two = lain(("A", Pose(0.0, 0.0)), ("A", Pose(0.0, PITCH)))
    assert stacks_of([PIECE, SHORTER], two, sharing(2)) == ()
    assert stacks_of([PIECE, PIECE], two, sharing(2, but=[1])) == ()
    assert neighbours_of(stacks_of([PIECE, PIECE], two, sharing(2))) == {frozenset({0, 1})}


def test_blocks_hold_every_piece_once_in_evenly_filled_stacks():
    pieces = [PIECE, SHORTER, PIECE, PIECE, PIECE, SHORTER, PIECE]
    blocks = blocks_of(pieces, sharing(7, but=[6]), most=3)
    assert [block.members for block in blocks] == [(0, 2), (1, 5), (3, 4), (6,)]


def test_blocks_laid_apart_have_a_kerf_between_long_edges_and_no_more():
    pieces = [PIECE] * 4
    blocks = blocks_of(pieces, sharing(4), most=4)
    (block,) = blocks
    placements = laid_apart(blocks, [Placement(0, "A", Pose(200.0, 20.0, math.pi / 2))], sharing(4))
    assert [placement.index for placement in placements] == list(block.members)
    areas = [to_area(place_piece(PIECE, placement.pose).outline, chord_mm=1e-3) for placement in placements]
    gaps = [distance_between_mm(areas[n], areas[n + 1]) for n in range(3)]
    assert gaps == pytest.approx([KERF] * 3)


@pytest.mark.parametrize(("grain_rad", "count"), [(0.0, 4), (math.pi / 2, 13)], ids=["along", "across"])
def test_the_tallest_stack_fits_across_the_grain_and_one_more_does_not(grain_rad, count):
    # worked by hand: 4 x 39.6875 + 3 x 3.175 = 168.275, with 2 x (3 + 5) 184.275 of 200; 5 would take 227.1375
    board = replace(BOARD, grain_rad=grain_rad)
    assert tallest_stack(board, sharing(2), clearance_mm=5.0) == count
