"""``platelayer floor close`` and ``count``: from a gap to proved G-code, answers placed again by other arithmetic."""

import cmath
import json
import math
import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.test_floor import run
from floor.floors import CROSS, stretch
from platelayer.cli import main
from platelayer.errors import PlatelayerError
from platelayer.floor_road.checking import check
from platelayer.floor_road.ground import ground_of
from platelayer.floor_road.looking import view_of

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "hallway-floor" / "floor.toml"

SET = """
[floor]
title = "Test floor"
units = "mm"

[[owned]]
name = "bend"
kind = "curve"
radius = 200
angle = 45
count = 8
grooves = "both"

[[owned]]
name = "flat"
length = 150
count = 8
"""


@pytest.fixture
def floor(tmp_path):
    def written(*stretches, head=SET):
        path = tmp_path / "floor.toml"
        path.write_text(head + "".join(stretches), encoding="utf-8")
        return path

    return written


OWNED = {"flat": {"length": 150.0}, "long": {"length": 150.8125}, "short": {"length": 60.325}}


def placed_again(words, new):
    """Where pieces come to from zero, by complex numbers: ``3 flat, bend left`` and new ones by their job."""
    z, turn = 0j, 1 + 0j
    for part in words.split(", "):
        count, name, *hand = part.split() if part[0].isdigit() else ["1", *part.split()]
        for _ in range(int(count)):
            curve = {"radius": 200.0, "angle": 45.0, "hand": (hand or ["left"])[0]}
            piece = new.get(name) or OWNED.get(name, curve)
            if "length" in piece:
                z += turn * float(str(piece["length"]).removesuffix(" mm"))
                continue
            radius, angle = float(str(piece["radius"]).removesuffix(" mm")), math.radians(piece["angle"])
            side = 1 if piece["hand"] == "left" else -1
            z += turn * complex(radius * math.sin(angle), side * radius * (1 - math.cos(angle)))
            turn *= cmath.exp(1j * side * angle)
    return z, math.degrees(cmath.phase(turn))


def first_of(said):
    """The first answer in words."""
    return next(line for line in said.splitlines() if line.startswith("1. ")).removeprefix("1. ")


def best_of(path, *args, tmp_path, code=0):
    """First answer in words, the new pieces of the job it wrote, and all that was said."""
    job = tmp_path / "answer.toml"
    said = run("close", path, *args, "--seconds", "20", "--job", job, "--force", code=code).output
    first = first_of(said)
    pieces = tomllib.loads(job.read_text(encoding="utf-8"))["piece"] if job.exists() else []
    return first, {one["name"]: one for one in pieces}, said


def test_a_hallway_of_13_ft_4_in_from_an_owned_set_to_proved_code(tmp_path):
    words, new, said = best_of(EXAMPLE, "--draw", tmp_path / "closed.svg", tmp_path=tmp_path)
    z, turned = placed_again("20 long, " + words, new)
    assert z == pytest.approx(160 * 25.4, abs=0.01)
    assert turned == pytest.approx(0)
    assert "so a longer one takes that piece's place" in said
    assert (tmp_path / "closed.svg").read_text() == (EXAMPLE.parent / "closed.svg").read_text(), "README shows it"
    made = CliRunner().invoke(main, ["make", str(tmp_path / "answer.toml"), "--out", str(tmp_path / "build")])
    assert made.exit_code == 0, made.output
    assert "Dry run passed." in made.output


def test_a_sidestep_between_parallel_lines(floor, tmp_path):
    siding = stretch("flat", name="siding", begins="[0, 0, 0]", more="meets = [450, 90, 0]")
    path = floor(siding, head=SET.replace("8\n", "1\n"))
    words, new, _ = best_of(path, tmp_path=tmp_path)
    z, turned = placed_again("flat, " + words, new)
    assert z == pytest.approx(complex(450, 90), abs=0.01)
    assert turned == pytest.approx(0, abs=1e-6)
    assert [one["hand"] for one in new.values()] == ["left", "right"]
    assert list(new) == ["siding-2", "siding-3"]


def test_an_oval_is_closed_by_what_is_owned(floor, tmp_path):
    path = floor(stretch("2 flat", "4 bend", "flat", name="oval", more='meets = "oval.start"'))
    said = run("close", path, "--seconds", "20").output
    words = first_of(said)
    z, turned = placed_again("2 flat, 4 bend, flat, " + words, {})
    assert abs(z) < 1e-6
    assert turned == pytest.approx(0, abs=1e-6)
    assert "Owned pieces alone." in said


def test_a_loop_that_misses_by_7_mm_and_2_degrees(floor, tmp_path):
    # worked by hand: eight curves of 44.75 degrees turn by 358; the place they miss is 7 mm off by choice of it
    head = SET.replace("angle = 45", "angle = 44.75")
    pieces = ["2 flat", "4 bend", "2 flat", "4 bend"]
    z, turn = 0j, 1 + 0j
    for name in ("flat", "flat", *["bend"] * 4, "flat", "flat", *["bend"] * 4):
        angle = math.radians(44.75)
        arc = complex(200 * math.sin(angle), 200 * (1 - math.cos(angle)))
        z += turn * (150 if name == "flat" else arc)
        turn *= 1 if name == "flat" else cmath.exp(1j * angle)
    z += 4.2 - 5.6j  # 7 mm
    loop = stretch(*pieces, name="loop", begins="[0, 0, 0]", more=f"meets = [{z.real!r}, {z.imag!r}, 0]")
    path = floor(loop, head=head)
    said = run("check", path).output
    assert "misses its place by 7.000 mm (0.276 in) and 2.00 degrees" in said
    share = int(re.search(r"11 joints give that with (\d+)%", said)[1])
    assert 0 < share < 100


def test_a_figure_with_a_crossing_is_closed_through_it(floor, tmp_path):
    # worked by hand: arms of 125 mm from faces 75 mm off the middle reach the ends of a three-quarter circle of R 200
    pieces = ["cross a b as middle", "flat", "6 bend right"]
    half = stretch(*pieces, name="eight", begins="[1000, 1000, 0]", more='meets = "middle.c"')
    path = floor(half, head=SET.replace("length = 150", "length = 125") + CROSS)
    said = run("close", path, "--seconds", "20").output
    words = first_of(said)
    z, turned = placed_again("flat, 6 bend right, " + words, {"flat": {"length": "125 mm"}})
    assert z == pytest.approx(complex(-75, -75), abs=1e-6)
    assert turned == pytest.approx(90)


def test_an_answer_is_added_to_a_job_and_nothing_else_of_it_changes(floor, tmp_path):
    job = tmp_path / "job.toml"
    run_new = CliRunner().invoke(main, ["new", str(job)])
    assert run_new.exit_code == 0
    before = job.read_text(encoding="utf-8")
    said = run("close", floor(DOOR), "door", "--add", job).output
    assert "by tape, give or take" in said
    after = job.read_text(encoding="utf-8")
    assert after.startswith(before.rstrip())
    added = tomllib.loads(after)["piece"][-1]
    assert added == {"name": "door-2", "kind": "straight", "length": "50.000 mm"}


def test_pieces_laid_beyond_what_is_owned_are_counted_and_made(floor, tmp_path):
    path = floor(stretch("10 flat", "bend"))
    said = run("count", path, "--job", tmp_path / "count.toml").output
    assert re.search(r"flat +10 +8 +2", said)
    assert "To make: 2 pieces" in said
    (piece,) = tomllib.loads((tmp_path / "count.toml").read_text(encoding="utf-8"))["piece"]
    assert (piece["name"], piece["count"], piece["length"]) == ("flat", 2, "150.000 mm")
    assert "To make: 1 piece, " in run("count", floor(stretch("9 flat"))).output


DOOR = '\n[[gap]]\nname = "door"\nleft = 200\nright = 200\ndiagonal = 250\nbase = 150\n'


def test_a_gap_by_tape_begins_at_the_end_of_a_stretch_or_of_a_piece(floor):
    for begins in ("line.end", "line-2.end"):
        path = floor(stretch("2 flat"), DOOR + f'begins = "{begins}"\n')
        assert "1. flat, door-2" in run("close", path, "--seconds", "20").output


@pytest.mark.parametrize("command", ["check", "close"])
@pytest.mark.parametrize(
    ("gap", "told"),
    [
        (
            DOOR + 'begins = "line-3.end"\n',
            "31 [[gap]] door begins = line-3.end: no such end is laid. Ends are named by piece and end: line-1.start, "
            "line-2.end.",
        ),
        (
            DOOR + 'begins = "line-1.end"\n',
            "31 [[gap]] door begins = line-1.end: this end is joined to another already. Begin at an end that is open.",
        ),
        (
            DOOR + 'begins = "line.start"\n',
            '25 [[gap]] door here = peg: line.start is a socket. Write here = "socket", or begin at another end.',
        ),
        (
            DOOR.replace("250", "20"),
            "29 [[gap]] door diagonal: the three readings make no figure. Take them again: both edges, and the "
            "diagonal from the left mark here to the right mark there.",
        ),
    ],
    ids=["nowhere", "joined", "another kind", "no figure"],
)
def test_a_gap_that_cannot_lie_so_is_refused_at_its_line(floor, command, gap, told):
    """Only close refused them, without file and line, and never an end that was joined or of another kind."""
    said = run(command, floor(stretch("2 flat"), gap), code=2).output
    assert f"floor.toml:{told}\n" in said


def test_no_job_is_written_where_nothing_is_to_be_made(floor, tmp_path):
    for command in ("count", "close"):
        path = floor(stretch("flat", begins="[0, 0, 0]", more="length = 450" if command == "close" else ""))
        said = run(command, path, "--job", tmp_path / "none.toml", code=2).output
        assert "none.toml: nothing to write: owned pieces do, and none is to be made." in said
        assert not (tmp_path / "none.toml").exists()


def test_a_gap_that_lies_nowhere_is_in_no_wall_of_the_room(floor):
    path = floor(DOOR, head=SET.replace("[floor]", "[floor]\nsize = [3000, 2000]"))
    assert "1. flat, door-2" in run("close", path, "--seconds", "20").output


def test_what_lies_in_the_way_of_an_answer_is_told_and_nothing_that_lay_so_before(floor):
    lies_on = stretch("flat", name="one"), stretch("flat", name="other", begins="[580, 430, 90]")
    blocked = stretch("flat", name="row", begins="[500, 900, 0]", more="length = 600")
    across = stretch("2 flat", name="across", begins="[800, 800, 90]")
    said = run("close", floor(*lies_on, blocked, across), "row", "--seconds", "20", code=1).output
    reasons = [line for line in said.splitlines() if "Left out" in line]
    assert reasons
    assert all(re.search(r"lies in the way: row-\d lies on across-1$", line) for line in reasons), said
    free = run("close", floor(*lies_on, blocked), "row", "--seconds", "20").output
    assert "1. 3 flat" in free


def test_a_gap_that_is_not_there_and_one_of_several(floor):
    other = stretch("flat", name="other", begins="[0, 900, 0]", more="length = 450")
    path = floor(stretch("flat", more="length = 400"), other)
    assert "floor.toml the gap to close: several gaps. Name one: line, other." in run("close", path, code=2).output
    assert (
        "floor.toml the gap to close = lime: no such gap. Did you mean line?"
        in run("close", path, "lime", code=2).output
    )


def test_answers_as_plain_data_carry_what_is_new_and_a_drawing(floor):
    path = floor(stretch("8 flat", begins="[0, 0, 0]", more="length = 1260"))
    seen = json.loads(run("close", path, "--seconds", "20", "--json").output)
    (first, *_) = seen["answers"]
    assert first["new"] == [{"name": "line-9", "kind": "straight", "length": "60.000 mm"}]
    assert first["svg"].startswith("<svg ")
    assert first["boards"] == 1


ENDS = """
[[owned]]
name = "stop"
length = 80
end = "plain"
count = 1

[[stretch]]
name = "buffer"
begins = [0, 0, 0]
pieces = ["flat", "stop"]
meets = [500, 0, 0]
"""


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (
            ENDS,
            "floor.toml:25 [[stretch]] buffer: the gap to close has a plain end, which couples with nothing. "
            "Lay a peg or a socket there.",
        ),
        (
            '[[gap]]\nname = "door"\nleft = 300\nright = 300\ndiagonal = 335\nhere = "plain"\n',
            "floor.toml:23 [[gap]] door here = plain: must be peg or socket",
        ),
        (
            '[[owned]]\nname = "knot"\nkind = "curve"\nradius = 15\n[[stretch]]\npieces = ["knot"]\n',
            "floor.toml:21 [[owned]] knot radius = 15.000 mm (~19/32 in): tighter than half the track's width, "
            "19.844 mm (25/32 in). Measure the radius of the centre line.",
        ),
    ],
    ids=["a plain end", "a plain side of a gap", "a curve that is no curve"],
)
def test_what_cannot_be_closed_or_laid_is_said(floor, more, sentence):
    assert sentence in run("close", floor(more), code=2).output


LINES = EXAMPLE.read_text(encoding="utf-8").splitlines()
EDITS = [
    pytest.param(number, edit, id=f"line {number + 1} {name}")
    for number, line in enumerate(LINES)
    if line and not line.startswith("#")
    for name, edit in {
        "left out": lambda line: "",
        "its value a list": lambda line: re.sub(r"=.*", "= []", line),
        "its value a word": lambda line: re.sub(r"=.*", '= "word"', line),
        "its numbers huge": lambda line: re.sub(r"\d+", "9" * 30, line),
        "its numbers nothing": lambda line: re.sub(r"\d+", "0", line),
    }.items()
    if edit(line) != line
]


@pytest.mark.parametrize(("number", "edit"), EDITS)
def test_no_edit_of_a_floor_brings_anything_but_faults_in_words(number, edit):
    text = "\n".join([*LINES[:number], edit(LINES[number]), *LINES[number + 1 :]])
    try:
        view_of(check(ground_of(text, file=str(EXAMPLE))))
    except PlatelayerError as error:
        assert all(line.startswith(str(EXAMPLE.parent)) for line in str(error).splitlines()), str(error)
