"""Tabs of a piece that has not just two long sides: on those with room, on two of them at least."""

import math

import pytest

from odd_pieces import block
from platelayer.errors import CannotCut
from platelayer.geometry.contours import distance_to_segment_mm
from platelayer.pieces.kind import Making
from platelayer.values.tooling import Holding, HoldingKind
from strategies_offset import bit_of, cut_alone, job_of

EIGHTH = bit_of(3.175)


def tabs_of(width_mm):
    """The tabs of the plain block, and the side, by index, that each stands on."""
    holding = Holding(kind=HoldingKind.TABS, tab_width_mm=width_mm, tab_height_mm=2.0, tab_count=0, skin_mm=0.0)
    job = job_of(joints=EIGHTH, holding=holding)
    piece = block(Making(track=job.track, joint=job.joint))
    made, _ = cut_alone(piece, job=job)
    sides = piece.outline.segments
    return made.tabs, [
        min(range(len(sides)), key=lambda at: distance_to_segment_mm(sides[at], tab.at)) for tab in made.tabs
    ]


@pytest.mark.parametrize("width_mm", [2.0, 4.0, 6.0, 10.0])
def test_tabs_stand_on_sides_with_room_and_hold_at_least_two(width_mm):
    tabs, on = tabs_of(width_mm)
    assert len(tabs) >= 4  # shorter than 100 mm: common practice, no source
    assert len(set(on)) >= 2
    for tab, other in ((one, two) for at, one in enumerate(tabs) for two in tabs[:at]):
        assert math.dist(tab.at, other.at) > width_mm


def test_wider_tabs_stand_on_fewer_sides():
    kept = [len(set(tabs_of(width_mm)[1])) for width_mm in (2.0, 6.0, 10.0)]
    assert kept == sorted(kept, reverse=True)
    assert kept[0] > kept[-1]


def test_tabs_too_wide_for_the_two_longest_sides_are_refused():
    with pytest.raises(CannotCut, match="too few find room"):
        tabs_of(40.0)
