"""Seat of peg in socket, from solids made by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import box

from fit.hand_made import USUAL, WIDTH_MM, closed_by, peg_solid, socket_solid
from platelayer.fit.seat import seat
from platelayer.tolerances import FLATTEN_CHORD_MM

MICROMETRE = 1e-3


def test_sharp_corners_give_the_figures_worked_by_hand():
    found = seat(peg_solid(), socket_solid())
    # worked by hand: lip corner at x = 13.49375 - sqrt(6.35^2 - 3.96875^2) = 8.53671 meets the head's circle
    lip = 13.49375 - math.sqrt(6.35**2 - 3.96875**2)
    pull_out = 12.7 - math.sqrt(5.55625**2 - 3.96875**2) - lip
    side = 3.96875 - math.sqrt(5.55625**2 - (12.7 - lip) ** 2)
    assert pull_out == pytest.approx(0.2747, abs=5e-5)
    assert side == pytest.approx(0.289, abs=5e-4)
    assert found.couples
    assert found.opening_mm == pytest.approx(0, abs=1e-9)
    assert found.pull_out_mm == pytest.approx(pull_out, abs=MICROMETRE)
    assert found.side_mm == pytest.approx(side, abs=MICROMETRE)


def test_a_face_that_is_level_but_for_a_last_digit_takes_no_side_play():
    # regression: a step of 0.2 micrometre, which an inch program's rounding leaves, was met sideways: 0.19 for 0.29 mm
    step = 2e-4
    peg = peg_solid() | box(-1.0, 15.0, step, 16.0)
    socket = socket_solid() | box(-1.0, -19.0, step, -16.1)  # mated, its step lies 0.1 mm beside the peg's
    found = seat(peg, socket)
    assert found.opening_mm == pytest.approx(step, abs=1e-6)
    assert found.side_mm == pytest.approx(seat(peg_solid(), socket_solid()).side_mm, abs=MICROMETRE)


@pytest.mark.parametrize(
    ("bit_in", "opening", "couples"),
    # worked by hand: r - sqrt(r^2 - (r - g)^2), r = bit radius, g = (7.9375 - 6.35) / 2
    [(1 / 8, 0.2127, True), (1 / 4, 1.0749, False)],
    ids=["eighth couples on paper", "quarter does not go together"],
)
def test_unrelieved_root_holds_the_faces_apart(bit_in, opening, couples):
    radius = bit_in * 25.4 / 2
    gap = (USUAL.mouth_width_mm - USUAL.neck_width_mm) / 2
    exact = radius - math.sqrt(radius**2 - (radius - gap) ** 2)
    assert exact == pytest.approx(opening, abs=5e-5)
    # a quarter-inch bit also leaves a fillet where neck meets head, wide enough to touch the lip's corner first
    beside_head = (5.55625 + radius) ** 2 - (3.175 + radius) ** 2
    fillet_x = 12.7 - math.sqrt(beside_head) + math.sqrt(radius**2 - (radius - gap) ** 2)
    as_cut = min(0.27465, fillet_x - 8.53671) if bit_in == 1 / 4 else 0.27465
    for peg, pull_out in ((peg_solid(root_radius=radius), 0.27465), (closed_by(peg_solid(chord=1e-4), radius), as_cut)):
        found = seat(peg, socket_solid())
        assert found.couples is couples
        assert found.forced_mm == pytest.approx(exact, abs=MICROMETRE)
        assert found.pull_out_mm == pytest.approx(pull_out, abs=MICROMETRE)
        assert found.opening_mm == (pytest.approx(exact, abs=MICROMETRE) if couples else math.inf)


@pytest.mark.parametrize("bit_mm", [2.0, 3.175, 6.35], ids=str)
def test_relief_and_ease_each_close_the_faces_and_keep_the_hold(bit_mm):
    relieved = peg_solid(root_radius=bit_mm / 2, relieved=True)
    filleted = peg_solid(root_radius=bit_mm / 2)
    eased = socket_solid(ease_radius=bit_mm / 2 + 0.1)
    for peg, socket in ((relieved, socket_solid()), (filleted, eased), (relieved, eased)):
        found = seat(peg, socket)
        assert found.opening_mm == pytest.approx(0, abs=MICROMETRE)
        assert found.pull_out_mm == pytest.approx(0.2747, abs=5e-5)


def test_head_narrower_than_mouth_is_not_held():
    found = seat(peg_solid(replace(USUAL, head_diameter_mm=7.9, head_setback_mm=8.75)), socket_solid())
    assert not found.couples
    assert found.pull_out_mm == math.inf
    assert found.opening_mm == pytest.approx(0, abs=1e-9)


def test_head_that_meets_the_lips_before_the_faces_close_has_no_position():
    found = seat(peg_solid(replace(USUAL, head_setback_mm=6.8)), socket_solid())
    assert not found.couples
    assert found.opening_mm == math.inf
    assert found.pull_out_mm == pytest.approx(0.2747 - (7.14375 - 6.8), abs=1e-4)


def test_head_that_meets_the_bottom_of_the_hole_holds_the_faces_apart():
    found = seat(peg_solid(replace(USUAL, head_setback_mm=9.0)), socket_solid())
    # worked by hand: head's far side 9.0 + 11.1125, hole's bottom 7.14375 + 12.7
    assert found.couples
    assert found.opening_mm == pytest.approx(9.0 + 11.1125 - 7.14375 - 12.7, abs=MICROMETRE)


def test_mirrored_parts_and_short_pieces_seat_alike():
    peg, socket = peg_solid(root_radius=1.5875), socket_solid()
    askew = affinity.translate(peg, 0, 0.05)
    plain = seat(askew, socket)
    mirrored = seat(affinity.scale(askew, 1, -1, origin=(0, 0)), socket)
    assert mirrored.opening_mm == pytest.approx(plain.opening_mm, abs=1e-9)
    assert mirrored.side_mm == pytest.approx(plain.side_mm, abs=1e-9)
    longer = socket.union(box(-42, -WIDTH_MM / 2, -29, WIDTH_MM / 2))
    short = longer.intersection(affinity.rotate(longer, 180, origin=(-21.0, 0)))
    assert seat(peg, short).pull_out_mm == pytest.approx(seat(peg, socket).pull_out_mm, abs=1e-9)


def test_pieces_moved_as_found_neither_overlap_nor_leave_room():
    peg, socket = peg_solid(root_radius=1.5875), socket_solid()
    found = seat(peg, socket)
    mated = affinity.rotate(peg, 180, origin=(0, 0))
    for opening, overlaps in (
        (found.opening_mm + 1e-4, False),
        (found.opening_mm - 1e-4, True),
        (found.pull_out_mm - 1e-4, False),
        (found.pull_out_mm + 1e-4, True),
    ):
        area = affinity.translate(mated, opening, 0).intersection(socket).area
        assert bool(area > 1e-12) is overlaps
    at = found.opening_mm + FLATTEN_CHORD_MM
    for way in (1, -1):
        assert affinity.translate(mated, at, way * max(found.side_mm - 1e-4, 0)).intersection(socket).area < 1e-12
        assert affinity.translate(mated, at, way * (found.side_mm + 1e-4)).intersection(socket).area > 1e-12


def test_shifts_of_two_boxes_are_those_of_their_sides():
    from platelayer.fit.slabs import blocked_shifts

    moved = (np.array([(0, 0), (2, 0), (2, 1), (0, 1)], float),)
    fixed = (np.array([(5, 0.5), (6, 0.5), (6, 3), (5, 3)], float),)
    blocked = blocked_shifts(moved, fixed)
    assert (blocked.low.min(), blocked.high.max()) == (3.0, 6.0)
    above = (fixed[0] + np.array([0, 0.5]),)
    assert blocked_shifts(moved, above).low.size == 0
