"""What holds pieces and boards: choices of the job, and what is said to be weighed."""

import pytest

from job.sample_jobs import JOB, changed, job_of, said_of
from platelayer.units import worded
from platelayer.values.findings import Code
from platelayer.values.tooling import HoldingKind, StockBy


def held(words, job=JOB):
    return job_of(job + f"[holding]\n{words}\n")


@pytest.mark.parametrize(
    ("words", "kind", "stock"),
    [
        ("", HoldingKind.TABS, StockBy.CLAMPS),
        ('stock = "screws"', HoldingKind.TABS, StockBy.SCREWS),
        ('kind = "tape"', HoldingKind.TAPE, StockBy.TAPE),
        ('kind = "vacuum"\nstock = "clamps"', HoldingKind.VACUUM, StockBy.CLAMPS),
    ],
    ids=["as usual", "screws", "tape for both", "clamps besides a vacuum"],
)
def test_pieces_and_boards_are_held_as_said(words, kind, stock):
    holding = held(words).holding
    assert (holding.kind, holding.stock) == (kind, stock)


def test_what_does_not_hold_is_refused():
    assert said_of(JOB + '[holding]\nkind = "nails"\n') == [
        "job.toml:11 [holding] kind = nails: must be tabs, skin, tape or vacuum"
    ]


def test_an_up_cut_bit_is_warned_of_on_tape_and_nowhere_else():
    said = [one for one in held('kind = "tape"').warnings if one.code is Code.CUTTING_LIFT]
    assert [one.text for one in said] == ["flat-3.175-long is an up-cut bit and pulls at what only tape holds."]
    assert not [one for one in held("").warnings if one.code is Code.CUTTING_LIFT]
    down = held('kind = "tape"\n[bits]\njoints = "flat-3.175-down"')
    assert not [one for one in down.warnings if one.code is Code.CUTTING_LIFT]


def test_a_board_more_uneven_than_the_bit_goes_deep_may_not_be_cut_through():
    uneven = changed(JOB, ("height = 120\n", "height = 120\nscatter = 0.4\n"))
    (warning,) = job_of(uneven).warnings
    assert (warning.code, warning.measured, warning.limit) == (Code.CUTTING_NOT_THROUGH, 0.4, 0.3)
    assert worded(warning.text, "mm") == (
        "board A may be thicker than stated by 0.400 mm (0.016 in), and with its zero on top the bit goes only "
        "0.300 mm (0.012 in) further: cuts may not go through."
    )
    below = changed(uneven, ("scatter", 'zero = "spoilboard"\nscatter'))
    assert job_of(below).warnings == ()
    assert job_of(changed(JOB, ("height = 120\n", "height = 120\nscatter = 0.3\n"))).warnings == ()
