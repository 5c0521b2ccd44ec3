"""The least time of a job: volume by removal rate and walls by feed, against figures worked by hand."""

import math
from dataclasses import replace

import pytest

from job.sample_jobs import JOB, changed, job_of
from odd_pieces import block
from platelayer.geometry.placing import place_piece
from platelayer.offset.bound import bound_of
from platelayer.pieces.kind import Making
from platelayer.road.piece_making import made_pieces
from platelayer.values.minutes import Operation
from platelayer.values.pieces import Role
from platelayer.values.shapes import Pose

JOB_12 = job_of(changed(JOB, ("height = 120\n", 'height = 120\nthickness = "12 mm"\n')))
RATE = 3.175 * 1.0 * 1200  # mm3/min: width, stepdown and feed of the 1/8 in bit in the sample profile
LEFT, FAR = 0.2, 0.2 + 3.175  # roughing leaves the allowance on a wall and takes one bit's width beside it
DEPTH = 12.0 + 0.3  # the board and the spoilboard's usual allowance
FLOOR = 12.0 - 0.4 - 0.2  # least skin and scatter
AROUND = 90 + 30 + 15 * math.sqrt(2) + 75 + 45  # of the block


def grown(by):
    """Steiner: what a disc adds to the area of the block, which is convex."""
    return AROUND * by + math.pi * by**2


RING = grown(FAR) - grown(LEFT)


def bound(*poses, job=JOB_12, made=block):
    """Rows by operation of as many blocks on the first board."""
    piece = made(Making(track=job.track, joint=job.joint))
    rows = bound_of(job, job.boards, {job.boards[0].id: [place_piece(piece, pose) for pose in poses]})
    assert [row.bit for row in rows] == [job.joints_bit] * len(rows)
    return {row.operation: row for row in rows}


def test_a_slot_is_timed_by_its_volume_and_its_wall_by_its_length():
    rows = bound(Pose(100.0, 50.0))
    assert rows.keys() == {Operation.SLOTS, Operation.FINISH, Operation.PARTING}
    assert rows[Operation.SLOTS].volume_mm3 == pytest.approx(RING * FLOOR, rel=1e-3)
    assert rows[Operation.SLOTS].seconds_s == pytest.approx(60 * RING * FLOOR / RATE, rel=1e-3)
    assert rows[Operation.PARTING].finish_mm == pytest.approx(AROUND)
    turns = rows[Operation.FINISH].finish_mm / AROUND
    assert turns == pytest.approx(round(turns)) and turns >= 1
    assert rows[Operation.FINISH].seconds_s == pytest.approx(60 * turns * AROUND / 1200)


def test_neighbours_share_one_slot():
    rows = bound(Pose(100.0, 60.0), Pose(190.0, 60.0 - FAR, math.pi))  # long edges so far apart as either's lane goes
    # worked by hand: the strip between them, and at either end half the lens of two circles a radius apart; within the
    # strip the other's allowance is spared as well
    shared = 90 * FAR + 2 * FAR**2 * (math.pi / 3 - math.sqrt(3) / 4)
    spared = 2 * grown(LEFT)
    assert rows[Operation.SLOTS].volume_mm3 == pytest.approx((2 * grown(FAR) - shared - spared) * FLOOR, rel=1e-3)


def test_beyond_the_edge_of_the_board_there_is_no_wood():
    rows = bound(Pose(100.0, 0.0))
    lost = 90 * (FAR - LEFT) + math.pi * (FAR**2 - LEFT**2) / 2  # below its near edge, which is the board's
    assert rows[Operation.SLOTS].volume_mm3 == pytest.approx((RING - lost) * FLOOR, rel=1e-3)


def test_no_piece_takes_no_time():
    assert bound() == {}


def test_grooves_and_sockets_count_and_every_wall_once():
    job = JOB_12
    (piece,) = made_pieces(job)[0]
    placed = place_piece(piece, Pose(100.0, 60.0))
    rows = {row.operation: row for row in bound_of(job, job.boards, {job.boards[0].id: [placed]})}
    track = job.track
    assert rows[Operation.GROOVES].volume_mm3 == pytest.approx(2 * 150 * track.groove_width_mm * track.groove_depth_mm)
    hole = math.pi * job.joint.hole_diameter_mm**2 / 4
    mouth = job.joint.mouth_width_mm * (job.joint.hole_setback_mm + job.joint.hole_diameter_mm)
    assert hole * DEPTH < rows[Operation.SOCKETS].volume_mm3 < (hole + mouth) * DEPTH
    socket = sum(
        segment.length_mm
        for segment, label in zip(piece.outline.segments, piece.labels, strict=True)
        if label.role in (Role.SOCKET, Role.EASE)
    )
    turns = rows[Operation.SOCKETS].finish_mm / socket
    assert turns == pytest.approx(round(turns))
    assert rows[Operation.PARTING].finish_mm + socket == pytest.approx(piece.outline.length_mm)


def test_what_a_strip_is_fed_for_counts_as_often():
    board = JOB_12.boards[0]
    twice = replace(JOB_12, boards=(replace(board, feeds=("one", "two")),))
    for operation, row in bound(Pose(100.0, 50.0), job=twice).items():
        assert row.seconds_s == pytest.approx(2 * bound(Pose(100.0, 50.0))[operation].seconds_s)


def test_an_outlines_bit_of_its_own_leaves_the_pegs_to_the_joints_bit():
    text = changed(
        JOB,
        ("[[board]]\n", '[bits]\njoints = "flat-3.175"\noutlines = "flat-6.35-up"\n[[board]]\n'),
        ("height = 120\n", 'height = 120\nthickness = "12 mm"\n'),
    )
    job = job_of(text)
    (piece,) = made_pieces(job)[0]
    placed = place_piece(piece, Pose(100.0, 60.0))
    rows = {(row.operation, row.bit): row for row in bound_of(job, job.boards, {job.boards[0].id: [placed]})}
    assert rows[Operation.NOTCHES, "flat-3.175"].volume_mm3 > 0
    assert (Operation.SLOTS, "flat-3.175") not in rows
    assert (Operation.NOTCHES, "flat-6.35-up") not in rows
    assert rows[Operation.NOTCHES, "flat-3.175"].finish_mm > 0
    assert rows[Operation.FINISH, "flat-6.35-up"].finish_mm > 0
