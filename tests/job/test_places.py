"""A place in words leads to the line it is written on, whoever named it."""

import pytest

from platelayer.errors import CannotCut, Fault
from platelayer.job import locate, placed

TEXT = """\
[job]
units = "in"

[joint]
mouth_width = "5/16 in"

[[board]]
width = 20
[[board.no_go]]
x = 1
rise = 2

[[board]]
id = "oak"
count = 2

[[piece]]
name = "long"
length = 6
[[piece]]
length = 3
[[piece]]
name = "long.er"
count = 7
[[piece]]
length = 4
"""


@pytest.mark.parametrize(
    ("where", "line"),
    [
        ("[joint] mouth_width", 5),
        ("[joint] neck_width", 4),  # not written: the table's own line
        ("[joint]", 4),
        ("[track] width", 0),  # neither key nor table is written
        ("[[board]] A width", 8),
        ("[[board]] A no_go 1 rise", 11),
        ("[[board]] oak-2", 13),
        ("[[board]] oak-2 count", 15),
        ("[[board]]", 7),
        ("[[piece]] long length", 19),
        ("[[piece]] long.length", 19),
        ("[[piece]] long-03", 17),
        ("[[piece]] long.er", 22),
        ("[[piece]] long.er.count", 24),
        ("[[piece]] long.er-07 count", 24),
        ("[[piece]] straight length", 21),
        ("[[piece]] straight-b length", 26),
        ("[[piece]] 4 length", 26),
        ("[[piece]] nobody length", 17),
        ("job", 1),
        ("anything at all", 0),
        ("", 0),
    ],
)
def test_places_worked_by_hand(where, line):
    assert locate(TEXT, where) == line


def test_one_board_needs_no_name():
    text = "[[board]]\nwidth = 20\nthickness = 3\n"
    assert locate(text, "[[board]] thickness") == 3


def test_a_text_that_is_no_toml_has_no_places():
    assert locate("[joint\n", "[joint]") == 0


def test_an_error_of_another_room_gets_file_and_line_and_stays_what_it_is():
    faults = (
        Fault(where="[[piece]] long.length", problem="too short"),
        Fault(where="[joint] mouth_width", problem="too wide"),
        Fault(where="[axis.x] travel", problem="too small", file="mine.toml", line=4),
    )
    error = placed(CannotCut(*faults), TEXT, file="job.toml")
    assert isinstance(error, CannotCut)
    assert str(error) == (
        "job.toml:5 [joint] mouth_width: too wide\n"
        "job.toml:19 [[piece]] long.length: too short\n"
        "mine.toml:4 [axis.x] travel: too small"
    )
