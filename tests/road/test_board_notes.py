"""Where a board could be saved, the summary says how."""

from dataclasses import replace

from placing.test_gap import one_slot, twelve
from platelayer.placing.rows import place_rows
from platelayer.road import board_notes as notes
from platelayer.road.piece_making import made_pieces
from platelayer.units import worded


def said(job):
    pieces, _ = made_pieces(job)
    apart = one_slot(job)
    placements = place_rows(pieces, job.boards, apart=apart)
    found = notes.board_notes(job, pieces, job.boards, placements, apart=apart)
    return [worded(f"{one.text} {one.advice}".strip(), "in") for one in found]


def two(job):
    return replace(job, boards=(job.boards[0], replace(job.boards[0], id="B")))


def test_a_row_that_just_fails_is_told_where_it_costs_a_board():
    lines = said(two(twelve(height='"5 1/2"')))
    assert lines[0] == (
        "a third row needs ~5 45/64 in (144.828 mm), and board A is 5 1/2 in (139.700 mm) high: so high, 1 board would "
        "do. A greater height in [[board]] saves 1."
    )


def test_nothing_is_said_where_one_board_does_or_no_board_is_saved():
    assert said(twelve()) == []
    assert said(two(twelve(height='"4 1/4"'))) == []


def test_the_bit_that_asks_for_the_gap_is_named_where_the_gap_costs_a_board(monkeypatch):
    row, gap = said(two(twelve(height="5.65")))  # worked by hand: three rows take 5.702 in, 5.609 in 3.575 mm apart
    assert row.startswith("a third row needs ")
    assert gap == (
        "pieces lie 3/16 in (4.763 mm) apart, for bit flat-3.175-long, which goes ~33/64 in (13.000 mm) deep; "
        "~9/64 in (3.575 mm) apart, the least, 1 board would do. "
        'Give gap = "3.58 mm" in [cutting], and mind that chips pack in so narrow a slot.'
    )


def test_all_boards_that_a_little_more_height_saves_are_counted():
    job = twelve(width=14, height='"3.6"')
    (line,) = said(replace(job, boards=tuple(replace(job.boards[0], id=id_) for id_ in "ABCDEFGHIJKL")))
    # worked by hand: all twelve boards are used, and in two rows six do
    assert line.endswith("so high, 6 boards would do. A greater height in [[board]] saves 6.")
