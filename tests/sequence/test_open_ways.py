"""What is said to be open is open: held against the exact area that earlier passes sweep."""

import math
from dataclasses import replace

import pytest
from shapely import LineString, Point, union_all

from platelayer.geometry.contours import segment_point
from platelayer.sequence.open_ways import with_open_ways
from platelayer.tolerances import OPEN_MM
from platelayer.values.cuts import Cut, CutKind, Pass, Section, Step
from platelayer.values.shapes import Line
from platelayer.values.tooling import BitKind
from strategies_offset import bit_of, data_of

BIT = bit_of(3.0)
LANE = Line((0.0, 0.0), (30.0, 0.0))


def lane(y, z, *, first=0.0, last=30.0):
    return Pass((Step(Line((first, y), (last, y)), z, z),))


def section_of(*passes, bit=BIT):
    cut = Cut(piece_id="p", kind=CutKind.OUTLINE, bit_id=bit.id, passes=passes)
    return Section(bit=bit, data=data_of(bit), cuts=(cut,))


def come_to(*passes):
    """The last pass with how it is come to."""
    (section,) = with_open_ways((section_of(*passes),))
    return section.cuts[0].passes[-1]


@pytest.mark.parametrize(
    ("beside_mm", "is_open"), [(0.0, False), (0.15, False), (0.3, True), (2.0, True), (3.4, False)]
)
def test_a_place_is_open_where_two_lanes_leave_the_bit_clear_to_both_sides(beside_mm, is_open):
    last = come_to(lane(0.0, -2.0), lane(0.0, -4.0), lane(beside_mm, -4.0), lane(beside_mm / 2, -6.0, first=15.0))
    assert last.clear_z_mm == (-4.0 if is_open else 0.0)


def test_a_place_is_open_no_deeper_than_the_shallower_of_what_opens_it():
    last = come_to(lane(0.0, -4.0), lane(0.4, -2.0), lane(0.2, -6.0, first=15.0))
    assert last.clear_z_mm == -2.0


def test_a_ramp_opens_a_place_down_to_its_higher_end_only():
    ramp = Pass((Step(LANE, -1.0, -4.0),))
    last = come_to(ramp, lane(0.4, -4.0), lane(0.2, -6.0, first=15.0))
    assert last.clear_z_mm == -1.0


def test_what_comes_later_or_by_another_kind_of_bit_opens_nothing():
    vee = replace(BIT, id="vee", kind=BitKind.VEE)
    asked = lane(0.2, -6.0, first=15.0)
    sections = with_open_ways((
        section_of(lane(0.0, -4.0), lane(0.4, -4.0), bit=vee),
        section_of(asked, lane(0.4, -4.0)),
    ))
    assert sections[1].cuts[0].passes[0].clear_z_mm == 0.0


def test_back_along_a_slot_of_its_own_breadth_the_bit_goes_without_lifting_but_no_faster_than_it_cuts():
    last = come_to(lane(0.0, -4.0), lane(0.0, -6.0))
    assert (last.way_z_mm, last.is_way_open) == (-4.0, False)


def test_in_a_wide_slot_the_way_is_open_and_across_wood_there_is_none():
    wide = come_to(lane(0.0, -4.0), lane(0.6, -4.0), lane(0.3, -4.0, first=1.0, last=29.0), lane(0.3, -6.0, first=5.0))
    assert (wide.way_z_mm, wide.is_way_open) == (-4.0, True)
    assert come_to(lane(0.0, -4.0), lane(8.0, -6.0)).way_z_mm == math.inf


def test_a_way_goes_over_a_lip_at_the_height_that_is_cut_there():
    first, lip = lane(0.0, -4.0, first=0.0, last=10.0), lane(0.0, -1.0, first=10.0, last=20.0)
    last = come_to(first, lip, lane(0.0, -4.0, first=30.0, last=20.0), lane(0.0, -6.0, first=5.0, last=0.0))
    assert last.way_z_mm == -1.0


@pytest.mark.parametrize("turn", range(24))
def test_nothing_that_stands_is_said_to_be_gone(turn):
    """Three lanes through one place at odd angles: what is open is covered by their exact sweeps."""
    lanes = []
    for number in range(3):
        angle, off = 0.4 * turn + 1.9 * number, 0.23 * number * (turn % 5)
        ux, uy = math.cos(angle), math.sin(angle)
        ends = [(along * ux - off * uy, along * uy + off * ux) for along in (-6.0 + turn % 3, 8.0)]
        lanes.append(Pass((Step(Line(*ends), -4.0, -4.0),)))
    last = come_to(*lanes, Pass((Step(Line((0.1, 0.2), (9.0, 0.0)), -6.0, -6.0),)))
    lines = [LineString([segment_point(one.steps[0].segment, at) for at in (0.0, 1.0)]) for one in lanes]
    swept = union_all([line.buffer(BIT.radius_mm, quad_segs=200) for line in lines])
    wanted = Point(0.1, 0.2).buffer(BIT.radius_mm + OPEN_MM, quad_segs=50)
    if last.clear_z_mm < 0:
        assert wanted.difference(swept).area < 1e-6
