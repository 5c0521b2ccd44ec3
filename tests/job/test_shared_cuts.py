"""Shared cuts: what goes with them, and a whole sentence for everything that does not."""

import pytest

from job.sample_jobs import JOB, changed, job_of, said_of

TWO = changed(JOB, ("length = 150", "length = 150\ncount = 2"))
SHARED = "[cutting]\nshared_cuts = true\n"
TAPE = '[holding]\nkind = "tape"\n'


def test_nothing_is_shared_unless_asked_for():
    assert not job_of(TWO).shared_cuts
    assert job_of(f"{TWO}{TAPE}{SHARED}").shared_cuts
    assert not job_of(f"{TWO}{TAPE}[cutting]\nshared_cuts = false\n").shared_cuts


def test_two_lines_of_the_cut_list_may_be_of_one_length():
    assert job_of(f"{JOB}[[piece]]\nlength = 150\nname = 'other'\n{TAPE}{SHARED}").shared_cuts


REFUSED = {
    "tabs": (
        f"{TWO}{SHARED}",
        "job.toml:12 [cutting] shared_cuts = true: tabs would stand in the very cut that is to part two pieces. "
        'Hold the pieces otherwise: kind = "skin", "tape" or "vacuum" in [holding].',
    ),
    "rounded outer edges": (
        f'{TWO}{TAPE}[bits]\nedges = "round-over-1.588"\n[edges]\nouter = "1/16 in"\n{SHARED}',
        "job.toml:18 [cutting] shared_cuts = true: no bit rounds outer edges by 1.587 mm (1/16 in) in a kerf that is "
        "one bit wide. Leave outer out of [edges] and round them by hand, or cut pieces apart.",
    ),
    "strips": (
        changed(TWO, ("width = 400\nheight = 120", 'kind = "strip"\nwidth = 400\nheight = "1 9/16 in"')) + SHARED,
        "job.toml:13 [cutting] shared_cuts = true: pieces on strips lie end to end and share no long edge. Leave it "
        "out.",
    ),
    "one straight": (
        f"{JOB}{TAPE}{SHARED}",
        "job.toml:13 [cutting] shared_cuts = true: of no use: no two straights of one length can share a cut; on tape "
        "those shorter than 100.000 mm (~3 15/16 in) have tabs and cannot. Leave it out.",
    ),
    "short ones on tape": (
        f"{changed(TWO, ('length = 150', 'length = 90'))}{TAPE}{SHARED}",
        "job.toml:14 [cutting] shared_cuts = true: of no use: no two straights of one length can share a cut; on tape "
        "those shorter than 100.000 mm (~3 15/16 in) have tabs and cannot. Leave it out.",
    ),
    "one straight on a skin": (
        changed(JOB, ("height = 120", "height = 120\nthickness_measured = true"))
        + '[holding]\nkind = "skin"\n'
        + SHARED,
        "job.toml:14 [cutting] shared_cuts = true: of no use: no two straights of one length can share a cut. Leave it "
        "out.",
    ),
    "not true or false": (
        f'{TWO}{TAPE}[cutting]\nshared_cuts = "yes"\n',
        "job.toml:14 [cutting] shared_cuts = yes: neither true nor false. Write true or false, without quotes.",
    ),
}


@pytest.mark.parametrize(("text", "sentence"), REFUSED.values(), ids=REFUSED.keys())
def test_what_does_not_go_with_shared_cuts_is_said(text, sentence):
    assert "\n".join(said_of(text)) == sentence


def test_a_holding_that_cannot_be_read_is_not_taken_for_tabs():
    assert said_of(f'{TWO}[holding]\nkind = "glue"\n{SHARED}') == [
        "job.toml:12 [holding] kind = glue: must be tabs, skin, tape or vacuum"
    ]
