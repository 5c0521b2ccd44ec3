"""Stops for strips of track width: every piece comes from whole wood, and a stub that cannot be held is not used."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made
from platelayer.board.strips import strip_stops
from platelayer.errors import CannotCut
from platelayer.geometry.contours import bounds
from platelayer.values.pieces import EndKind

PEG_LAST = made(replace(LONG, length_mm=100.0, ends=(EndKind.SOCKET, EndKind.PEG)))
PEG_FIRST = made(replace(LONG, length_mm=100.0, ends=(EndKind.PEG, EndKind.SOCKET)))
PEG_MM = 18.25625  # worked by hand: setback 7.14375 + head 11.1125


def test_stops_by_hand():
    """Room 4: the stop is the peg's reach and the room beyond; a strip of 400 gives two pieces and keeps 50 to hold."""
    first, second = strip_stops([PEG_LAST, PEG_LAST], [400.0], room_mm=4.0, held_mm=50.0)
    assert first.stop_mm == second.stop_mm == pytest.approx(100.0 + PEG_MM + 4.0)
    assert first.used_mm == pytest.approx(100.0 + PEG_MM + 8.0)
    assert second.left_mm == pytest.approx(400.0 - 2 * (100.0 + PEG_MM + 8.0))


def test_wood_beside_a_peg_is_trimmed_with_the_next_piece():
    first, second = strip_stops([PEG_FIRST, PEG_FIRST], [400.0], room_mm=4.0, held_mm=50.0)
    assert first.stop_mm == pytest.approx(104.0)
    assert second.stop_mm == pytest.approx(104.0 + PEG_MM)
    assert second.used_mm == pytest.approx(first.used_mm + PEG_MM)


@given(st.lists(st.sampled_from([PEG_LAST, PEG_FIRST]), max_size=12), st.integers(0, 5))
def test_strips_hold_what_is_taken_from_them(pieces, spare):
    strips = [300.0 + 100.0 * (i % 3) for i in range(len(pieces) + spare)]
    stops = strip_stops(pieces, strips, room_mm=4.0, held_mm=60.0)
    assert [stop.piece_id for stop in stops] == [piece.id for piece in pieces]
    for index, length in enumerate(strips):
        taken = [stop for stop in stops if stop.strip == index]
        assert sum(stop.used_mm for stop in taken) + (taken[-1].left_mm if taken else length) == pytest.approx(length)
        assert all(stop.left_mm >= 60.0 for stop in taken)
    assert all(stop.stop_mm >= bounds(piece.outline)[2] + 4.0 for stop, piece in zip(stops, pieces, strict=True))


def test_strips_that_end_too_soon_and_curves_are_refused():
    with pytest.raises(CannotCut) as caught:
        strip_stops([PEG_LAST, PEG_LAST], [200.0], room_mm=4.0, held_mm=50.0)
    assert str(caught.value) == (
        "[[board]]: the strips end before long-01; long-01 needs ~6 15/16 in (176.256 mm) of strip. "
        "Give more strips, or longer ones."
    )
    with pytest.raises(CannotCut) as caught:
        strip_stops([made(BEND)], [900.0], room_mm=4.0, held_mm=50.0)
    assert str(caught.value) == "[[piece]] bend-01: only straights come from strips of track width. Put it on a board."
