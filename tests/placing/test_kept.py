"""Places kept in a file: read back to the last digit, and never trusted."""

import json
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.usual import LONG, made
from placing.distances import framed
from platelayer.errors import JobError
from platelayer.geometry.contours import circle, polygon
from platelayer.placing.kept import check_kept, kept_text, read_kept, settled
from platelayer.placing.rows import place_rows
from platelayer.values.cuts import PlacedPiece
from platelayer.values.shapes import Pose
from platelayer.values.tooling import Board, NoGo

BOARD = Board(
    id="A", width_mm=500.0, height_mm=120.0, thickness_mm=12.7, scatter_mm=0.2, thickness_is_measured=True,
    zero="top", margin_mm=3.0,
)  # fmt: skip
PIECES = [replace(made(LONG), id=f"long-{n}") for n in (1, 2)]
ROOM = 5.0


def placed(piece, board, pose):
    return PlacedPiece(piece=piece, pose=pose, board_id=board, tabs=(), skin_mm=0.0, unreached=(), order=1)


def text_of(*poses):
    return kept_text([placed(piece, "A", settled(pose)) for piece, pose in zip(PIECES, poses, strict=True)])


def said(text, *, board=BOARD):
    with pytest.raises(JobError) as error:
        check_kept(read_kept(text, file="p.json"), PIECES, [board], apart=framed(ROOM, 4.0))
    return str(error.value).splitlines()


@given(st.floats(-900, 900), st.floats(-900, 900), st.floats(-7, 7))
def test_what_is_settled_comes_back_to_the_last_bit(x, y, heading_rad):
    pose = settled(Pose(x, y, heading_rad))
    assert settled(pose) == pose
    kept = read_kept(kept_text([placed(PIECES[0], "A", pose)]), file="p.json")
    assert kept.places["long-1"] == ("A", pose)
    assert math.isclose(math.cos(pose.heading_rad - heading_rad), 1.0, abs_tol=1e-12)


def test_rows_kept_are_rows():
    rows = place_rows(PIECES, [BOARD], apart=framed(ROOM, 4.0))
    kept = read_kept(text_of(*(placement.pose for placement in rows)), file="p.json")
    found = check_kept(kept, PIECES, [BOARD], apart=framed(ROOM, 4.0))
    assert [one.pose for one in found] == [settled(one.pose) for one in rows]


def test_each_thing_too_near_is_named():
    near = said(text_of(Pose(60.0, 30.0), Pose(60.0, 70.0)))
    assert near == [
        "p.json long-1: lies 0.012 in (0.313 mm) from long-2, and the bit and the margin take "
        "~13/64 in (5.000 mm). Move it."
    ]
    edge = said(text_of(Pose(60.0, 26.0), Pose(290.0, 90.0)))
    assert edge == [
        "p.json long-1: lies ~1/4 in (6.156 mm) from the edge of board A, and the bit and the margin take "
        "~5/16 in (8.000 mm). Move it."
    ]
    clamp = replace(BOARD, no_go=(NoGo(circle((60.0, 60.0), 10.0), 20.0, "clamp"),))
    assert said(text_of(Pose(60.0, 28.0), Pose(290.0, 90.0)), board=clamp) == [
        "p.json long-1: lies ~5/64 in (2.156 mm) from clamp, and the bit and the margin take "
        "~13/64 in (5.000 mm). Move it."
    ]
    offcut = replace(BOARD, outline=polygon([(0.0, 0.0), (500.0, 0.0), (300.0, 120.0), (0.0, 120.0)]))
    assert any("long-2" in line and "edge of board A" in line for line in said(text_of(
        Pose(60.0, 28.0), Pose(300.0, 90.0)), board=offcut))  # fmt: skip


def test_pieces_and_boards_that_the_file_does_not_know():
    assert said(kept_text([placed(PIECES[0], "B", Pose(60.0, 28.0))])) == [
        "p.json long-1: lies on board B, which the job has not. "
        "Leave --placement out, or give the placement.json that make wrote.",
        "p.json long-2: has no place in it. Leave --placement out to have all pieces laid anew, or give "
        "this one a place.",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ("[]", 'no placement file: it begins with "placement": 1 and "units": "mm"'),
        ('{"placement": 2, "units": "mm"}', "no placement file"),
        ('{"placement": 1, "units": "mm", "pieces": [7]}', "p.json pieces 1: is an id, a board and a pose"),
        (json.dumps({"placement": 1, "units": "mm", "pieces": [{"id": "a", "board": "A", "pose": [0, 0, True]}]}),
         "p.json pieces 1: is an id, a board and a pose"),
        (json.dumps({"placement": 1, "units": "mm", "pieces": 2 * [{"id": "a", "board": "A", "pose": [0, 0, 0]}]}),
         "p.json pieces 2 = a: stands there twice"),
    ],
    ids=["not json", "brackets without end", "a list", "another version", "a number", "true is no number", "twice"],
)  # fmt: skip
def test_what_is_no_placement_file_is_refused(text, said):
    with pytest.raises(JobError) as error:
        read_kept(text, file="p.json")
    assert said in str(error.value)
