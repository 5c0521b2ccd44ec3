"""Offcuts by the corners of their outline, and the choice of how pieces are laid."""

import pytest

from job.sample_jobs import JOB, changed, job_of, said_of
from platelayer.geometry.contours import area_mm2
from platelayer.values.tooling import Placing

OFFCUT = changed(JOB, ("width = 400\nheight = 120\n", "outline = [[0, 120], [400, 120], [300, 0], [0, 0]]\n"))


def test_an_offcut_is_as_large_as_its_outline_and_runs_counter_clockwise():
    (board,) = job_of(OFFCUT).boards
    assert (board.width_mm, board.height_mm) == (400.0, 120.0)
    assert area_mm2(board.outline) == pytest.approx(42_000.0)  # worked by hand: (400 + 300) / 2 x 120
    assert job_of(JOB).boards[0].outline is None


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        (
            "[[0, 0], [400, 120], [400, 0], [0, 120]]",
            "job.toml:6 [[board]] A outline: an outline has three corners or more, not all in line, and does not cross "
            "itself. List the corners in order round it.",
        ),
        (
            "[[0, 0], [400, 0]]",
            "job.toml:6 [[board]] A outline: an outline has three corners or more, not all in line, and does not cross "
            "itself. List the corners in order round it.",
        ),
        (
            "[[10, 0], [400, 0], [400, 120]]",
            "job.toml:6 [[board]] A outline = 10.000 mm (~25/64 in) and 0.000 mm (0 in): its least x and least y must "
            "be 0, as the machine's zero is set on them. Count from there.",
        ),
    ],
    ids=["crosses itself", "two corners", "not from zero"],
)
def test_an_outline_that_is_none_is_refused(outline, said):
    text = changed(JOB, ("width = 400\nheight = 120\n", f"outline = {outline}\n"))
    assert said_of(text) == [said]


def test_width_beside_an_outline_is_of_no_use():
    said = said_of(changed(OFFCUT, ("outline", "width = 400\noutline")))
    assert said == [
        "job.toml:6 [[board]] A width: of no use beside an outline, which says how large the board is. "
        "Leave one of the two out."
    ]


def test_an_offcut_is_not_turned_over():
    said = said_of(OFFCUT + 'grooves = "both"\n')
    assert said == [
        "job.toml:6 [[board]] A outline: a board with grooves on both faces is turned over on its long middle line, "
        "so it must be a rectangle. Give width and height of a rectangle in it."
    ]


def test_pieces_are_laid_as_needs_fewest_boards_unless_said():
    assert job_of(JOB).placing is Placing.FEWEST
    assert job_of(changed(JOB, ("units", 'placing = "nest"\nunits'))).placing is Placing.NEST
    assert said_of(changed(JOB, ("units", 'placing = "pile"\nunits'))) == [
        "job.toml:2 [job] placing = pile: must be rows, nest or fewest"
    ]
