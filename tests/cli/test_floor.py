"""``platelayer floor``, end to end: check, draw, set out, and files that cannot be used."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from floor.floors import SET, stretch
from platelayer.cli import main


def run(*args, code=0):
    found = CliRunner().invoke(main, ["floor", *map(str, args)])
    assert found.exit_code == code, found.output
    return found


@pytest.fixture
def floor(tmp_path):
    def written(*stretches, head=SET):
        path = tmp_path / "floor.toml"
        path.write_text(head + "".join(stretches), encoding="utf-8")
        return path

    return written


def test_the_starter_closes(tmp_path):
    path = tmp_path / "floor.toml"
    run("new", path)
    assert "loop meets loop.start." in run("check", path).output
    assert "exists already" in run("new", path, code=2).output


def test_a_loop_that_misses_is_closed_by_its_joints(floor):
    loop = stretch("2 flat", "4 bend", "flat", "2 short", "4 bend", name="loop", more='meets = "loop.start"')
    play = '[play]\npull = "3 mm"\nside = "2 mm"\nkink = 2\n'
    path = floor(loop, head=SET + play)
    said = run("check", path).output.splitlines()
    assert said[0] == "floor: 13 pieces laid"
    assert said[1] == "  loop misses loop.start by 30.000 mm (1.181 in) too long."
    assert re.fullmatch(r"  Its 13 joints give that with \d+% of their play\.", said[2])


def test_what_no_play_reaches_is_told_apart_from_what_was_not_found(floor):
    loop = stretch("7 bend", name="loop", more='meets = "loop.start"')
    said = run("check", floor(loop), code=1).output
    assert "It cannot be closed by play: no poses of its joints reach so far." in said
    short = stretch("20 flat", more='length = "2.99 m"', begins="[0, 0, 0]")
    assert "None found that closes it by play" in run("check", floor(short), code=1).output


def test_a_floor_is_drawn_with_every_piece(floor, tmp_path):
    path = floor(stretch("flat", "points toe branch as yard", "bend", begins="[0, 0, 30]", more="length = 900"))
    run("draw", path)
    svg = path.with_suffix(".svg").read_text(encoding="utf-8")
    assert ">yard<" in svg
    assert ">3<" in svg
    assert "orange dashes: a miss" in svg
    assert "exists already" in run("draw", path, code=2).output
    run("draw", path, "--out", tmp_path / "floor.png")
    assert (tmp_path / "floor.png").read_bytes()[:4] == b"\x89PNG"


def test_joints_are_set_out_from_two_corners(floor):
    # worked by hand: 3 m wide; (900, 1200) is 1500 mm from one corner, sqrt(2100^2 + 1200^2) from the other
    head = SET.replace('units = "mm"', 'units = "mm"\nsize = [3000, 2000]')
    said = run("setout", floor(stretch("flat", begins="[750, 1200, 0]"), head=head)).output
    row = next(line for line in said.splitlines() if line.startswith("line-1.end"))
    assert "1500.000 mm" in row
    assert "2418.677 mm" in row


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[floor\n", "floor.toml:1:7: not TOML: expected"),
        ('[floor]\nunits = "mm"\n', "floor.toml [[stretch]]: missing: nothing is laid and no gap is measured."),
        (SET + stretch("flat", "bend right"), "does not turn right from here"),
        (SET.replace("units", 'job = "no.toml"\nunits') + stretch("bend"), "no.toml: no such file"),
    ],
)
def test_a_file_that_cannot_be_used(tmp_path, text, sentence):
    path = tmp_path / "floor.toml"
    path.write_text(text, encoding="utf-8")
    found = run("check", path, code=2)
    assert sentence in found.output
    assert "Traceback" not in found.output
    assert not Path(path.with_suffix(".svg")).exists()


def test_a_view_of_a_floor_is_plain_data(floor):
    path = floor(stretch("flat", "points toe branch as yard", begins="[0, 0, 0]", more="length = 900"))
    seen = json.loads(run("check", path, "--json", code=1).output)
    assert seen["gaps"] == ["line"]
    assert seen["svg"].startswith("<svg ")
    ends = {end["name"]: end for end in seen["ends"]}
    assert (ends["yard.through"]["x"], ends["yard.through"]["is_open"]) == (320.0, True)
    assert not ends["yard.toe"]["is_open"]
    assert ends["yard.branch"]["heading_deg"] == pytest.approx(45)
