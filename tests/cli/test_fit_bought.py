"""``platelayer fit bought``: a set by caliper becomes the mate of a job."""

import json
import tomllib
from pathlib import Path

import pytest

from cli.jobs import make, run, small_job

BOUGHT = {
    "neck": [6.2, 6.3, 6.1],
    "head": [11.0, 11.1, 10.9],
    "peg_length": [18.2, 18.3, 18.1],
    "mouth": [8.1, 8.2, 8.0],
    "hole": [12.9],
    "socket_depth": ["19.9 mm", 19.9],
}

HEIGHTS = {"thickness": [12.0], "floor_height": [8.2, 8.4], "groove_width": [6.0], "between_grooves": [20.0]}
"""Invented; ours have 12.7, 9.128, 5.953 and 19.05 mm."""


def bought_file(folder: Path, sizes: dict[str, list[object]], name: str = "bought.toml") -> Path:
    file = folder / name
    file.write_text("".join(f"{key} = {json.dumps(values)}\n" for key, values in sizes.items()), encoding="utf-8")
    return file


def test_a_bought_set_is_measured_by_a_drawing_and_a_list(tmp_path: Path) -> None:
    file = tmp_path / "bought.toml"
    done = run("fit", "bought", "--new", file)
    assert done.exit_code == 0, done.output
    drawing = tmp_path / "bought.svg"
    assert done.stdout == (f"Written to {file}; {drawing} shows where to measure. Then: platelayer fit bought {file}\n")
    assert list(tomllib.loads(file.read_text(encoding="utf-8"))) == [*BOUGHT, "width", *HEIGHTS]
    text = drawing.read_text(encoding="utf-8")
    assert all(f">{letter}</text>" in text for letter in "ABCDEFGHIJK")
    again = run("fit", "bought", "--new", file)
    assert again.exit_code == 2
    assert again.stderr == f"{file}: exists already. Name another, or give --force.\n"


def test_what_a_caliper_says_of_a_set_becomes_the_mate_of_a_job(tmp_path: Path) -> None:
    first = bought_file(tmp_path, {key: values[:2] for key, values in BOUGHT.items()}, "first.toml")
    second = bought_file(tmp_path, {key: values[2:] for key, values in BOUGHT.items() if values[2:]}, "second.toml")
    done = run("fit", "bought", first, second)
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[1] == "  A neck: ~1/4 in (6.200 mm), spread 0.100 mm, 3 readings"
    # worked by hand, head 12.700 from the face, their lip 8.430 long: 4.270 - sqrt(5.556^2 - 4.050^2) = 0.466 along,
    # 4.050 - sqrt(5.556^2 - 4.270^2) = 0.495 across, less the fillet that the bit leaves between neck and head
    assert lines[7:10] == [
        "With our own joint:",
        "  Our peg in their socket: side play 0.019 in (0.474 mm), pull-out play 0.018 in (0.466 mm).",
        "  Their peg in our socket: side play 0.015 in (0.375 mm), pull-out play 0.014 in (0.355 mm).",
    ]
    table = done.stdout[done.stdout.index("[mate]") :]
    made = make(tmp_path, f"{small_job()}\n{table}")
    assert made.exit_code == 0, made.output
    data = json.loads((tmp_path / "out/manifest.json").read_text(encoding="ascii"))
    assert data["joint"] == pytest.approx({
        "neck_width_mm": 6.2,
        "head_diameter_mm": 11.0,
        "head_setback_mm": 7.2,
        "mouth_width_mm": 8.1,
        "hole_diameter_mm": 12.9,
        "hole_setback_mm": 7.0,
    })


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            {"mouth": [6.2]},
            "  Our peg in their socket: the neck does not go between the lips, neck 1/4 in (6.350 mm) against mouth"
            " ~1/4 in (6.200 mm).",
        ),
        (
            {"head": [12.75], "peg_length": [19.95], "hole": [13.5], "socket_depth": [20.6]},
            "  Their peg in our socket: the head does not go into the hole, head ~1/2 in (12.750 mm) against hole"
            " 1/2 in (12.700 mm).",
        ),
        (
            {"width": [41.0]},
            "  Their track is ~1 39/64 in (41.000 mm) wide, ours 1 9/16 in (39.688 mm): say so as width under [track],"
            " or an edge stands out.",
        ),
    ],
    ids=["a narrow mouth", "a big head", "a wide track"],
)
def test_what_would_not_couple_is_named(change: dict[str, list[object]], said: str, tmp_path: Path) -> None:
    done = run("fit", "bought", bought_file(tmp_path, BOUGHT | change))
    assert done.exit_code == 0, done.output
    assert said in done.stdout.splitlines()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"neck": []}, ": not measured: neck. Measure it, or take it from another piece."),
        ({"nek": [6.2]}, ":7 nek: no such size of a bought piece. Did you mean neck?"),
        (
            {"neck": ["wide"]},
            ':1 neck = wide: not a length. Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".',
        ),
        ({"neck": [0]}, ":1 neck = [0]: a size is more than nothing"),
        (
            {"head": [7.0]},
            " [mate] mouth_width = ~5/16 in (8.100 mm): wider than the head, ~9/32 in (7.000 mm), so a peg falls out."
            " Use less than ~9/32 in (7.000 mm), or a wider head.",
        ),
        (
            {"peg_length": [7.2]},
            " peg_length: less than the head is wide. Measure from the end face, all the way.",
        ),
    ],
)
def test_bought_sets_that_cannot_be(change: dict[str, list[object]], said: str, tmp_path: Path) -> None:
    file = bought_file(tmp_path, BOUGHT | change)
    done = run("fit", "bought", file)
    assert done.exit_code == 2
    assert done.stderr == f"{file}{said}\n"


def test_bought_wants_either_files_or_a_new_one(tmp_path: Path) -> None:
    done = run("fit", "bought")
    assert done.exit_code == 2
    assert "name the files that were filled in, or one to begin with: --new bought.toml." in done.stderr


def test_a_set_read_before_there_were_heights_is_read_as_ever(tmp_path: Path) -> None:
    done = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, "width": [39.7]}))
    assert done.exit_code == 0, done.output
    assert "floor" not in done.stdout
    assert done.stdout.count("spread") == 7 + 6  # a line each, and a remark each in the table of the six


def test_a_floor_at_another_height_is_a_step_that_a_wheel_meets(tmp_path: Path) -> None:
    done = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, **HEIGHTS}))
    assert done.exit_code == 0, done.output
    # worked by hand: 12.7 - 25.4 * 9 / 64 = 9.128 less (8.2 + 8.4) / 2
    assert "a wheel meets a step of ~1/32 in (0.828 mm) at every joint" in done.stdout
    assert 'Write floor_height = "8.30 mm" in place of groove_depth under [track].' in done.stdout
    assert "Their track is ~15/32 in (12.000 mm) thick, ours 1/2 in (12.700 mm)" in done.stdout


@pytest.mark.parametrize(("floor", "is_said"), [(9.128 - 0.31, True), (9.128 - 0.29, False), (9.128 + 0.31, True)])
def test_a_step_of_the_floor_is_said_over_three_tenths(tmp_path: Path, floor: float, is_said: bool) -> None:
    done = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, "floor_height": [floor]}))
    assert ("a wheel meets a step" in done.stdout) == is_said


def test_the_same_depth_in_thicker_wood_is_a_step_all_the_same(tmp_path: Path) -> None:
    depth, thickness = 25.4 * 9 / 64, 13.5
    done = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, "floor_height": [thickness - depth]}))
    assert "a wheel meets a step" in done.stdout


def test_grooves_whose_walls_step_are_told_where_ours_should_stand(tmp_path: Path) -> None:
    set_ = {**BOUGHT, "groove_width": [6.5], "between_grooves": [21.0]}
    done = run("fit", "bought", bought_file(tmp_path, set_))
    # worked by hand: (39.6875 - 21) / 2 = 9.344, less 6.5 = 2.844; ours 4.366
    assert 'Write groove_outer = "2.84 mm" and groove_inner = "9.34 mm" under [track].' in done.stdout
    same = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, "groove_width": [5.95], "between_grooves": [19.05]}))
    assert "Their grooves" not in same.stdout


def test_a_floor_higher_than_its_track_is_refused(tmp_path: Path) -> None:
    done = run("fit", "bought", bought_file(tmp_path, {**BOUGHT, "thickness": [8.0], "floor_height": [9.0]}))
    assert done.exit_code == 2 or done.exit_code == 1
    assert "floor_height = " in done.stderr
    assert "no less than the track is thick" in done.stderr
