"""One slot between neighbours: how wide, what a board takes then, and what is said of a row that just fails."""

from dataclasses import replace

import pytest

from cli.jobs import small_job
from platelayer.errors import CannotCut
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import to_area
from platelayer.job import load_job, load_profiles
from platelayer.offset.room import clearance_needed_mm, gap_asked, gap_mm, least_gap, rim_mm
from platelayer.placing.kept import check_kept, kept_text, read_kept, settled
from platelayer.placing.nesting_pieces import nest_pieces
from platelayer.placing.rows import Apart, place_rows
from platelayer.road.piece_making import made_pieces
from platelayer.road.planning import lay_job
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.units import inches, worded
from platelayer.values.cuts import PlacedPiece

EIGHTH = inches(1 / 8)
TWELVE = """
[job]
units = "in"
machine = "mid-screw"
material = "hard-maple"
{job}
[bits]
joints = "flat-3.175-long"
[holding]
kind = "tabs"
stock = "tape"
[[board]]
width = {width}
height = {height}
thickness = "1/2 in"
margin = {margin}
{pieces}
"""
LONGS = '[[piece]]\nname = "long"\nlength = "5 15/16"\ncount = 12\n'
TRAIN = LONGS + '[[piece]]\nname = "short"\nlength = "2 3/8"\ncount = {}\n'
EIGHTEEN = TRAIN.format(6)
BENDS = "".join(
    f'[[piece]]\nname = "curve-{hand}"\nkind = "curve"\nradius = 8\nangle = 45\nhand = "{hand}"\ncount = 2\n'
    for hand in ("left", "right")
)


def job_of(text):
    return load_job(text, file="job.toml", profiles=load_profiles(()))


def twelve(*, width=36, height='"5 3/4"', pieces=EIGHTEEN, job="", margin=0):
    return job_of(TWELVE.format(width=width, height=height, pieces=pieces, job=job, margin=margin))


def one_slot(job):
    """The distances of a job whose neighbours have one slot between them."""
    board = job.boards[0]
    gap, rim = gap_mm(job), rim_mm(job.holding, board.thickness_mm)
    return Apart(gap_mm=gap, along_mm=gap, clearance_mm=clearance_needed_mm(job, board), rim_mm=rim)


def assert_apart(job, pieces, placements):
    apart, board = one_slot(job), job.boards[0]
    areas = [to_area(place_piece(pieces[one.index], one.pose).outline, chord_mm=FLATTEN_CHORD_MM) for one in placements]
    edge = max(board.margin_mm, apart.rim_mm) + apart.clearance_mm
    for n, area in enumerate(areas):
        low_x, low_y, high_x, high_y = area.bounds
        assert min(low_x, low_y, board.width_mm - high_x, board.height_mm - high_y) >= edge - 0.002
        assert all(area.distance(other) >= apart.gap_mm - 0.002 for other in areas[:n])


def test_a_deep_slot_is_one_bit_and_a_half_and_a_shallow_one_a_bit_and_both_finishes():
    job = twelve()
    deep = gap_asked(job, job.boards[0])
    assert deep.width_mm == pytest.approx(1.5 * EIGHTH)
    assert worded(deep.asked_by, "in") == "bit flat-3.175-long, which goes ~33/64 in (13.000 mm) deep"
    thin = replace(job, boards=(replace(job.boards[0], thickness_mm=9.0),))
    assert gap_mm(thin) == pytest.approx(EIGHTH + 0.4)  # worked by hand: 0.2 mm of finish on either wall
    assert gap_mm(replace(job, gap_mm=9.0)) == 9.0


def test_no_gap_is_less_than_any_bit_needs():
    job = twelve()
    least = least_gap(job, job.boards[0])
    assert least.width_mm == pytest.approx(EIGHTH + 0.4)
    with pytest.raises(CannotCut) as refused:
        lay_job(replace(job, gap_mm=3.5))
    assert worded(str(refused.value), "in") == (
        "[cutting] gap = ~9/64 in (3.500 mm): the least is ~9/64 in (3.575 mm), for bit flat-3.175-long, which goes "
        "~33/64 in (13.000 mm) deep, and the finish of both walls. Use ~9/64 in (3.575 mm) or more, or leave it out."
    )
    wide = job_of(small_job(bits='outlines = "flat-6.35-compression"'))
    assert least_gap(wide, wide.boards[0]).bit.id == "flat-6.35-compression"


def test_the_key_is_read_as_a_length():
    assert job_of(TWELVE.format(width=36, height=6, pieces=EIGHTEEN, job="", margin=0)
                  + '[cutting]\ngap = "6 mm"\n').gap_mm == 6.0  # fmt: skip


def test_eighteen_straights_come_from_one_narrow_board():
    """Two slots and a web between rows once took two such boards, a third of them used."""
    job = twelve()
    pieces, _ = made_pieces(job)
    placements = place_rows(pieces, job.boards, apart=one_slot(job))
    assert len(placements) == 18
    assert_apart(job, pieces, placements)


def test_a_board_a_fifth_smaller_holds_twenty_mixed_pieces():
    job = twelve(height="8.8", pieces=TRAIN.format(4) + BENDS, margin='"1/4 in"')  # worked by hand: 11 in less a fifth
    pieces, _ = made_pieces(job)
    placements = nest_pieces(pieces, job.boards, apart=one_slot(job))
    assert len(placements) == 20
    assert_apart(job, pieces, placements)


def test_in_a_row_a_piece_reaches_into_the_empty_corner_of_its_neighbour():
    job = twelve(pieces=TRAIN.format(2) + BENDS, height=20)
    pieces, _ = made_pieces(job)
    placements = place_rows(pieces, job.boards, apart=one_slot(job))
    assert_apart(job, pieces, placements)
    boxes = [
        to_area(place_piece(pieces[one.index], one.pose).outline, chord_mm=FLATTEN_CHORD_MM).bounds
        for one in placements
    ]
    rows = {round(low_y, 3) for _, low_y, _, _ in boxes}
    near = [
        b[0] - a[2]
        for row in rows
        for a, b in zip(
            *(lambda some: (some, some[1:]))(sorted(box for box in boxes if round(box[1], 3) == row)), strict=False
        )
    ]
    assert min(near) < gap_mm(job) - 1.0


def test_a_row_that_just_fails_says_what_it_lacks():
    job = twelve(height='"5 1/2"')
    pieces, _ = made_pieces(job)
    with pytest.raises(CannotCut) as refused:
        place_rows(pieces, job.boards, apart=one_slot(job))
    # worked by hand: three rows of 39.6875 mm, two gaps of 4.7625 mm, and 8.12 mm at either edge
    assert "; a third row needs ~5 45/64 in (144.828 mm), and board A is 5 1/2 in (139.700 mm) high." in worded(
        str(refused.value), "in"
    )
    with pytest.raises(CannotCut) as refused:
        place_rows(pieces, twelve(height='"4 1/4"').boards, apart=one_slot(job))
    assert "row needs" not in str(refused.value)


def test_kept_places_may_lie_a_gap_apart():
    job = twelve(pieces=TRAIN.format(1))
    pieces, _ = made_pieces(job)
    placements = place_rows(pieces, job.boards, apart=one_slot(job))
    placed = [
        PlacedPiece(piece=pieces[one.index], pose=settled(one.pose), board_id=one.board_id, tabs=(), skin_mm=0.0,
                    unreached=(), order=1)
        for one in placements
    ]  # fmt: skip
    kept = read_kept(kept_text(placed), file="p.json")
    assert len(check_kept(kept, pieces, job.boards, apart=one_slot(job))) == len(pieces)
