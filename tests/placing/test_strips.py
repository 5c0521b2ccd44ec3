"""Stops for strips of track width: every piece comes from whole wood, and a stub that cannot be held is not used."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made, sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import bounds
from platelayer.placing.strips import place_end_to_end, strip_stops, windows, with_clamps
from platelayer.tolerances import LEAST_STANDING_MM
from platelayer.values.pieces import EndKind
from platelayer.values.tooling import Board

PEG_LAST = made(sized(LONG, length=100.0, ends=(EndKind.SOCKET, EndKind.PEG)))
PEG_FIRST = made(sized(LONG, length=100.0, ends=(EndKind.PEG, EndKind.SOCKET)))
PEG_MM = 18.25625  # worked by hand: setback 7.14375 + head 11.1125


def test_stops_by_hand():
    """Room 4: the stop is the peg's reach and the room beyond; a strip of 400 gives two pieces and keeps 50 to hold."""
    first, second = strip_stops([PEG_LAST, PEG_LAST], [400.0], clearance_mm=4.0, held_mm=50.0)
    assert first.stop_mm == second.stop_mm == pytest.approx(100.0 + PEG_MM + 4.0)
    assert first.used_mm == pytest.approx(100.0 + PEG_MM + 8.0)
    assert second.left_mm == pytest.approx(400.0 - 2 * (100.0 + PEG_MM + 8.0))


def test_wood_beside_a_peg_is_trimmed_with_the_next_piece():
    first, second = strip_stops([PEG_FIRST, PEG_FIRST], [400.0], clearance_mm=4.0, held_mm=50.0)
    assert first.stop_mm == pytest.approx(104.0)
    assert second.stop_mm == pytest.approx(104.0 + PEG_MM)
    assert second.used_mm == pytest.approx(first.used_mm + PEG_MM)


@given(st.lists(st.sampled_from([PEG_LAST, PEG_FIRST]), max_size=12), st.integers(0, 5))
def test_strips_hold_what_is_taken_from_them(pieces, spare):
    strips = [300.0 + 100.0 * (i % 3) for i in range(len(pieces) + spare)]
    stops = strip_stops(pieces, strips, clearance_mm=4.0, held_mm=60.0)
    assert len(stops) == len(pieces)
    for index, length in enumerate(strips):
        taken = [stop for stop in stops if stop.strip == index]
        assert sum(stop.used_mm for stop in taken) + (taken[-1].left_mm if taken else length) == pytest.approx(length)
        assert all(stop.left_mm >= 60.0 for stop in taken)
    assert all(stop.stop_mm >= bounds(piece.outline)[2] + 4.0 for stop, piece in zip(stops, pieces, strict=True))


def test_strips_that_end_too_soon_and_curves_are_refused():
    with pytest.raises(CannotCut) as caught:
        strip_stops([PEG_LAST, PEG_LAST], [200.0], clearance_mm=4.0, held_mm=50.0)
    assert str(caught.value) == (
        "[[board]]: the strips end before long-01; long-01 needs ~6 15/16 in (176.256 mm) of strip. "
        "Give more strips, or longer ones."
    )
    with pytest.raises(CannotCut) as caught:
        strip_stops([made(BEND)], [900.0], clearance_mm=4.0, held_mm=50.0)
    assert str(caught.value) == "[[piece]] bend-01: only straights come from strips of track width. Put it on a board."


STRIP = Board(
    id="A", width_mm=900.0, height_mm=39.6875, thickness_mm=12.7, scatter_mm=0.2, thickness_is_measured=True,
    zero="top", margin_mm=25.0, is_strip=True,
)  # fmt: skip


@given(st.lists(st.sampled_from([PEG_LAST, PEG_FIRST]), min_size=1, max_size=14), st.floats(3.0, 8.0))
def test_pieces_end_to_end_keep_two_rooms_and_a_web_and_the_clamps(pieces, room):
    strips = [replace(STRIP, id=name) for name in "ABC"]
    placements = place_end_to_end(pieces, strips, clearance_mm=room)
    assert [placement.index for placement in placements] == list(range(len(pieces)))
    for strip in strips:
        spans = sorted(
            (one.pose.x + bounds(pieces[one.index].outline)[0], one.pose.x + bounds(pieces[one.index].outline)[2])
            for one in placements
            if one.board_id == strip.id
        )
        assert all(after[0] - before[1] - 2 * room >= LEAST_STANDING_MM for before, after in pairwise(spans))
        assert all(low >= 25.0 + room - 1e-9 and high <= 875.0 - room + 1e-9 for low, high in spans)
        assert all(one.pose.y == 39.6875 / 2 for one in placements)


def test_strips_too_short_for_their_pieces_are_refused():
    with pytest.raises(CannotCut) as caught:
        place_end_to_end([PEG_LAST] * 3, [replace(STRIP, width_mm=320.0)], clearance_mm=4.0)
    assert str(caught.value) == (
        "[[board]]: the strips hold 2 of 3 pieces; no room for long-01. Give more strips, or longer ones."
    )


def test_a_window_by_hand():
    """Clamp 25, room 4 and 5 before an end: the face at 34, the far end past its peg at 152.26, the stop 9 beyond."""
    boards, placements = windows([PEG_LAST] * 3, [STRIP], clearance_mm=4.0, travel_mm=300.0)
    (window,), (placement,) = boards, placements
    assert placement.pose.x == pytest.approx(34.0)
    assert window.width_mm == pytest.approx(34.0 + 100.0 + PEG_MM + 9.0)
    assert [(feed.strip, feed.stop_mm) for feed in window.feeds] == [("A", pytest.approx(window.width_mm))] * 3
    assert window.feeds[-1].left_mm == pytest.approx(900.0 - 3 * (100.0 + PEG_MM + 18.0))
    assert [area.height_mm for area in with_clamps(boards, both_ends=False)[0].no_go] == [10.0]


def test_a_piece_longer_than_the_machine_is_refused():
    with pytest.raises(CannotCut) as caught:
        windows([PEG_LAST], [STRIP], clearance_mm=4.0, travel_mm=150.0)
    assert str(caught.value.in_unit("mm")) == (
        "[[piece]] long-01: with the bit's room and a clamp behind it takes 161.256 mm (~6 11/32 in) of x, and the "
        "machine "
        "travels 150.000 mm (~5 29/32 in). Make it shorter, or clamp less: margin in [[board]]."
    )
