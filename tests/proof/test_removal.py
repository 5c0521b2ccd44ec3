"""Sweeps against closed forms: bands and discs of single moves, ramps cut off, bits that are not flat."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from broken_files.small_job import small_job
from gcode.motions import motion_of
from platelayer.gcode.moves import moves_on
from platelayer.proof.removal import runs_at, swept
from platelayer.values.bit_shape import radius_at
from platelayer.values.motion import MoveKind
from platelayer.values.tooling import BitKind

JOB = small_job(pieces=1)
BIT = JOB.manifest.files[0].bits[0]
LINE, CW, CCW = MoveKind.LINE, MoveKind.ARC_CW, MoveKind.ARC_CCW


def tracks_of(moves, **bit):
    file = replace(JOB.manifest.files[0], bits=(replace(BIT, **bit),))
    return moves_on(JOB.manifest.boards[0], (file,), {file.name: motion_of(moves, name=file.name)})


def area_at(tracks, depth):
    return swept((runs_at(tracks, np.arange(len(tracks)), depth),)).area


@given(st.floats(0.5, 60), st.floats(-3, 3), st.floats(0.5, 5))
def test_a_line_sweeps_a_band_and_a_disc(length, heading, radius):
    end = (length * math.cos(heading), length * math.sin(heading), -2.0)
    tracks = tracks_of([(LINE, (0.0, 0.0, -2.0), 900.0), (LINE, end, 900.0)], diameter_mm=2 * radius)
    # Minkowski-Steiner: 2 r L + pi r^2
    assert area_at(tracks, 1.5) == pytest.approx(2 * radius * length + math.pi * radius**2, rel=4e-4)
    assert area_at(tracks, 2.5) == 0


@given(st.floats(4, 40), st.floats(0.05, 1.95), st.booleans(), st.floats(0.5, 3))
def test_an_arc_sweeps_an_annular_sector_and_a_disc(bend, share, is_ccw, radius):
    turn = math.pi * share if is_ccw else -math.pi * share
    end = (bend * math.cos(turn) - bend, bend * math.sin(turn), -1.0)
    if math.dist(end[:2], (0, 0)) < 2 * radius and share > 1:
        return
    moves = [(LINE, (0.0, 0.0, -1.0), 900.0), (CCW if is_ccw else CW, end, 900.0, (-bend, 0.0))]
    tracks = tracks_of(moves, diameter_mm=2 * radius)
    assert area_at(tracks, 0.5) == pytest.approx(2 * radius * bend * abs(turn) + math.pi * radius**2, rel=5e-4)


def test_a_full_circle_leaves_its_island():
    moves = [(LINE, (10.0, 10.0, -1.0), 900.0), (CCW, (10.0, 10.0, -1.0), 900.0, (5.0, 10.0))]
    tracks = tracks_of(moves)
    rest = runs_at(tracks, np.array([1]), 0.5)
    assert swept((rest,)).area == pytest.approx(2 * math.pi * 5 * 2 * 1.5875, rel=4e-4)


@pytest.mark.parametrize("depth", [0.5, 1.0, 3.0, 3.9])
def test_a_ramp_counts_only_where_it_is_deep_enough(depth):
    tracks = tracks_of([(LINE, (0.0, 0.0, 0.0), 900.0), (LINE, (40.0, 0.0, -4.0), 900.0)])
    along = 40 * (1 - depth / 4)
    assert area_at(tracks, depth) == pytest.approx(3.175 * along + math.pi * 1.5875**2, rel=4e-4)


def test_passes_over_the_same_plan_count_once_and_a_ramp_within_them_not_at_all():
    one = [(LINE, (0.0, 0.0, -1.0), 900.0), (LINE, (40.0, 0.0, -1.0), 900.0)]
    again = [
        (LINE, (0.0, 0.0, -1.0), 900.0),
        (LINE, (40.0, 0.0, -2.0), 900.0),
        (LINE, (0.0, 0.0, -2.0), 900.0),
        (LINE, (40.0, 0.0, -2.0), 900.0),
    ]
    tracks = tracks_of(one + again)
    runs = runs_at(tracks, np.arange(len(tracks)), 0.5)
    assert sum(len(rows) for rows in runs.moves) < len(tracks)
    assert swept((runs,)).area == pytest.approx(40 * 3.175 + math.pi * 1.5875**2, rel=4e-4)


def test_the_order_of_the_moves_does_not_change_the_sweep():
    rng = np.random.default_rng(3)
    places = [(float(x), float(y), -1.0) for x, y in rng.uniform(10, 60, (12, 2))]
    there = tracks_of([(LINE, place, 900.0) for place in places])
    back = tracks_of([(LINE, place, 900.0) for place in reversed(places)])
    inner = slice(1, None)
    one, two = (swept((runs_at(tracks, np.arange(len(tracks))[inner], 0.5),)) for tracks in (there, back))
    assert one.symmetric_difference(two).area < 1e-6 * one.area


@pytest.mark.parametrize(
    ("kind", "height", "radius"),
    [
        # worked by hand: 6 mm bits; ball sqrt(9 - (3 - h)^2), vee of 90 degrees h, round-over of 2 mm
        (BitKind.FLAT, 0.0, 3.0),
        (BitKind.BALL, 0.0, 0.0),
        (BitKind.BALL, 1.0, math.sqrt(5)),
        (BitKind.BALL, 4.0, 3.0),
        (BitKind.VEE, 1.0, 1.0),
        (BitKind.VEE, 5.0, 3.0),
        (BitKind.ROUND_OVER, 0.0, 1.0),
        (BitKind.ROUND_OVER, 2.0, 3.0),
        (BitKind.FLAT, -0.1, 0.0),
    ],
)
def test_the_width_of_a_bit_above_its_tip(kind, height, radius):
    bit = replace(BIT, kind=kind, diameter_mm=6.0, included_rad=math.pi / 2, corner_radius_mm=2.0)
    assert radius_at(bit, height) == pytest.approx(radius)


def test_a_vee_sweeps_as_wide_as_it_is_deep():
    tracks = tracks_of(
        [(LINE, (0.0, 0.0, -2.0), 900.0), (LINE, (40.0, 0.0, -2.0), 900.0)],
        kind=BitKind.VEE,
        diameter_mm=10.0,
        included_rad=math.pi / 2,
    )
    assert area_at(tracks, 0.5) == pytest.approx(40 * 3 + math.pi * 1.5**2, rel=5e-4)
