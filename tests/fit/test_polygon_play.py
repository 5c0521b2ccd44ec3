"""Free play of polygons against the closed forms: two ways that share no formula."""

import math

import pytest
from shapely import affinity

from fit.test_free_play import random_joints
from platelayer.fit.contours import peg_contour, ring_of, socket_contour
from platelayer.fit.free_play import free_play, play_slice
from platelayer.geometry.contours import area_mm2
from platelayer.geometry.regions import to_area
from referees.contours import is_chained
from referees.polygon_play import Solids, area_play, openings_mm, solids_play


def solids_of(shape, chord_mm=1e-4):
    return Solids(
        ring_of(peg_contour(shape, body_mm=30.0), chord_mm=chord_mm),
        ring_of(socket_contour(shape, body_mm=30.0), chord_mm=chord_mm),
    )


@pytest.mark.parametrize("seed", range(4))
def test_polygons_and_closed_forms_agree(seed):
    for shape in random_joints(100 + seed, 5):
        closed, polygon = free_play(shape), solids_play(solids_of(shape), with_kinks=False)
        assert polygon.couples is closed.couples
        if not closed.couples:
            continue
        assert polygon.opening_mm == pytest.approx(closed.opening_mm, abs=0.002)
        assert polygon.pull_out_mm == pytest.approx(closed.pull_out_mm, abs=0.002)
        if closed.opening_mm < 1e-6:
            assert polygon.side_mm == pytest.approx(closed.side_mm, abs=0.003)
        assert polygon.hold_mm == pytest.approx(closed.hold_mm, abs=0.002)
        one = play_slice(shape, angle_rad=closed.kink_rad[0] / 2, count=7)
        for shift, low, high in list(zip(one.shift_mm, one.low_mm, one.high_mm, strict=True))[1:-1]:
            found = openings_mm(solids_of(shape), shift_mm=shift, angle_rad=closed.kink_rad[0] / 2)
            assert found == pytest.approx((low, high), abs=0.002)


def test_kinks_agree_both_ways_and_mirror():
    (shape,) = random_joints(7, 1)
    closed = free_play(shape)
    found = solids_play(solids_of(shape, chord_mm=5e-4))
    assert found.kink_rad == pytest.approx(closed.kink_rad, abs=math.radians(0.02))
    peg = to_area(peg_contour(shape, body_mm=30.0), chord_mm=5e-4)
    socket = to_area(socket_contour(shape, body_mm=30.0), chord_mm=5e-4)
    askew = affinity.translate(peg, 0, 0.03)
    one, other = area_play(askew, socket), area_play(affinity.scale(askew, 1, -1, origin=(0, 0)), socket)
    assert one.kink_rad == pytest.approx(other.kink_rad[::-1], abs=math.radians(0.02))
    assert one.side_mm == pytest.approx(other.side_mm[::-1], abs=1e-6)
    assert one.side_mm[0] != pytest.approx(one.side_mm[1], abs=0.01)


def test_contours_are_closed_and_hold_peg_and_body():
    for shape in random_joints(3, 5):
        peg, socket = peg_contour(shape, body_mm=30.0), socket_contour(shape, body_mm=30.0)
        assert is_chained(peg)
        assert is_chained(socket)
        solid = to_area(peg, chord_mm=1e-4)
        assert solid.is_valid
        assert area_mm2(peg) > 30 * shape.width_mm
        assert area_mm2(socket) < 30 * shape.width_mm
