"""Floor files: what is wrong with one is told all at once, each with its line and a way to mend it."""

import math

import pytest

from platelayer.errors import JobError
from platelayer.job.layout_load import load_floor
from platelayer.job.layout_starter import sizes_of, starter_floor
from platelayer.values.layout import Ahead, EndName, WallName
from platelayer.values.shapes import Pose


def faults(text):
    with pytest.raises(JobError) as caught:
        load_floor(text, file="floor.toml")
    return str(caught.value).splitlines()


def test_the_starter_loads():
    floor = load_floor(starter_floor(), file="floor.toml")
    assert [one.name for one in floor.stock] == ["long", "bend"]
    assert len(floor.stretches[0].asked) == 12
    assert floor.stretches[0].goal == EndName("loop", "start")
    assert [wall.name for wall in floor.walls] == ["near", "right", "far", "left"]


def test_every_fault_is_told_with_its_line():
    text = """\
[floor]
units = "in"
sise = ["8 ft", "6 ft"]

[[owned]]
name = "long"
length = "5 15/16"
radius = 3
count = -1

[[owned]]
name = "bend"
kind = "curve"

[[stretch]]
name = "loop"
begins = [0, 0]
pieces = ["2 long", "2 bent", "long sideways"]
meets = "loop"
"""
    assert faults(text) == [
        "floor.toml:3 [floor] sise: unknown key. Did you mean size?",
        'floor.toml:8 [[owned]] long radius: a straight has no radius. Write kind = "curve", or leave it out.',
        "floor.toml:9 [[owned]] long count = -1: must be a whole number, 0 to 1000. 0 is for a piece still to be made.",
        "floor.toml:11 [[owned]] bend radius: missing. Write that of the centre line.",
        "floor.toml:17 [[stretch]] loop begins = [0, 0]: neither a place nor the name of an end. "
        'Write [x, y, degrees], as in ["4 ft", "10 in", 90], or the name of an end, as in "loop.start".',
    ]


GOOD = """\
[floor]
units = "mm"
size = [3000, 2000]

[[owned]]
name = "long"
length = 150

[[stretch]]
name = "line"
"""


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ('pieces = ["2 lung"]', "pieces 1 = lung: not owned. Did you mean long?"),
        (
            'pieces = ["3"]',
            'pieces 1 = 3: names no piece. Write a count and the name of what is owned, as in "3 bend left".',
        ),
        (
            'pieces = ["long sideways"]',
            "pieces 1 = sideways: long has no end of that name. Known: start, end, left, right, turned, as.",
        ),
        (
            'pieces = ["2 long as first"]',
            "pieces 1 = 2 long as first: gives one name to several pieces. Write the named one by itself.",
        ),
        (
            'pieces = ["long as"]',
            "pieces 1 = long as: as wants a name. Write one word after as, without a point, at the end.",
        ),
        (
            'pieces = ["long left right"]',
            "pieces 1 = long left right: says too much. Write one hand, and the end it is left by, or the two it is "
            "entered and left by.",
        ),
        (
            'meets = "sofa"',
            "meets = sofa: neither a wall nor the name of an end. Known: near, right, far, left.",
        ),
        ('meets = "far"\nlength = "3 m"', "length: says in another way what meets says. Leave one of the two out."),
        (
            'begins = "line"',
            'begins = line: not the name of an end. Write the piece and its end, as in "points.branch".',
        ),
    ],
)
def test_a_stretch_that_cannot_be_understood(line, sentence):
    (said,) = faults(GOOD + line + "\n")
    number = 11 if "length" not in line else 12
    assert said == f"floor.toml:{number} [[stretch]] line {sentence}"


def test_goals_of_every_sort():
    def goal(line):
        return load_floor(GOOD + line, file="floor.toml").stretches[0].goal

    assert goal('meets = "far"') == WallName("far")
    assert goal('meets = [1, "1 cm", 90]') == Pose(1.0, 10.0, math.pi / 2)
    assert goal('length = "1 m"') == Ahead(1000.0)
    assert goal("") is None


def test_a_gap_wants_three_readings():
    said = faults('[floor]\nunits = "mm"\n[[gap]]\nname = "door"\nleft = 100\nright = 101\n')
    assert said == [
        "floor.toml:3 [[gap]] door diagonal: missing. "
        "Write the distance from the left mark here to the right mark there."
    ]


RECIPE = """\
[floor]
units = "mm"

[[owned]]
name = "points"
ends = { toe = "socket", through = "peg", branch = "peg" }
[[owned.route]]
enters = "toe"
leaves = "through"
run = [{ length = 170 }]
[[owned.route]]
enters = "toe"
leaves = "branch"
run = [{ along = 141.4213562, across = 58.5786438 }]

[[stretch]]
pieces = ["points"]
"""


def test_a_branch_by_how_far_it_comes_along_and_across():
    # worked by hand: an arc of R 200 and 45 degrees comes R sin 45 along and R (1 - cos 45) across
    (stock,) = load_floor(RECIPE, file="floor.toml").stock
    arc = stock.routes[1].path.segments[0]
    assert (arc.radius_mm, math.degrees(arc.sweep_rad)) == pytest.approx((200, 45), abs=1e-5)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('leaves = "branch"', 'leaves = "brunch"', "route 2 = brunch: no end of this piece. Did you mean branch?"),
        ("{ length = 170 }", "{ length = 170, radius = 3 }", "route 1 run 1: neither a line nor an arc."),
        ('leaves = "branch"', 'leaves = "through"', "route 2 = through: another route puts this end"),
        ("run = [{ length = 170 }]", "", "route 1 run: missing."),
        ('branch = "peg" }', 'branch = "peg", spare = "peg" }', "ends = spare: no route goes there."),
    ],
)
def test_a_recipe_that_does_not_hold_together(old, new, sentence):
    text = RECIPE.replace(old, new)
    said = faults(text)
    assert any(sentence in one and one.startswith("floor.toml:") for one in said), said


def test_sizes_to_take_are_told_and_load():
    snippet = "\n".join(line.strip() for line in sizes_of("") if line.startswith("  ") and not line[2].isupper())
    kept = [line for line in snippet.splitlines() if "=" in line or line.startswith("[")]
    text = '[floor]\nunits = "in"\n' + "\n".join(kept) + '\n[[stretch]]\npieces = ["long", "bend", "cross"]\n'
    assert len(load_floor(text, file="floor.toml").stock) == 5
    with pytest.raises(JobError, match=r"nothing is known of what to measure there\. Did you mean crossing\?"):
        sizes_of("crosing")
