"""``platelayer fit read``: what a caliper says of a card becomes a dated record of the shop."""

import json
import re
import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from cli.fit_jobs import HALLWAY, HIDDEN, README, RECORD
from cli.jobs import make, run
from cli.read_card import readings_of
from fit.simulated_shop import Shop
from platelayer.fit_road.readings import correction_of, read_card, result_lines
from platelayer.job.measurements import read_records, with_record
from platelayer.units import worded


def test_readings_become_a_record_with_its_date_and_uncertainties(filled: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("# my shop, since 1998\n", encoding="utf-8")
    done = run("fit", "read", filled, "--shop", shop, "--date", "2026-11-25", "--note", "damp day")
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0] == "Bit flat-3.175-long in hard-maple on mid-screw; paths were made for 1/8 in (3.175 mm):"
    assert [line.split()[:3] for line in lines[1:8]] == [
        ["the", "bit", "cuts"],
        ["heads", "come", "out"],
        ["lips", "come", "out"],
        ["slack", "along", "x"],
        ["scale", "along", "x"],
        ["grooves", "0.001", "in"],
        ["readings", "scatter", "by"],
    ]
    assert lines[8].startswith("  best by hand: the peg with ")
    assert lines[9].endswith('; feel = "best" asks for that')
    assert lines[10:] == [
        f"Added to {shop} as the record of 2026-11-25.",
        f'From now on: platelayer make JOB --out FOLDER --shop {shop}, or shop = "shop.toml" under [job]'
        " of a job beside it.",
    ]
    text = shop.read_text(encoding="utf-8")
    assert text.startswith("# my shop, since 1998\n")
    (record,) = read_records(text)
    assert (record.date, record.bit_id, record.note) == ("2026-11-25", "flat-3.175-long", "damp day")
    assert abs(record.bit_diameter_mm - (3.175 + HIDDEN["bit"])) < 3 * record.bit_spread_mm
    assert all(line in README for line in lines[:10])
    one_of_each = re.sub(r"count = \d+", "count = 1", HALLWAY.read_text(encoding="utf-8"))
    job = one_of_each + '\n[fit]\nfeel = "easy"\npart = "both"\n'
    made = json.loads(make(tmp_path, job, "--shop", shop, "--json").stdout)
    assert [line for line in made["fit"] if f"  {line}\n" not in README] == []
    again = run("fit", "read", filled, "--shop", shop, "--date", "2026-11-25", "--note", "damp day")
    assert again.stdout.splitlines()[10] == f"{shop} says so already; nothing added."
    assert shop.read_text(encoding="utf-8") == text


def test_no_slack_is_told_as_less_than_none(card: Path) -> None:
    """A machine without any was told to have -0.009 mm of it, give or take 0.007."""
    found = []
    for seed in range(4):
        readings = readings_of(Shop(seed, slack=(0.0, 0.0)), card / "readings.toml")
        read = replace(read_card(card / "readings.toml"), readings=readings)
        found.append((correction := correction_of(read)).slack_x_mm.value_mm)
        (line,) = (worded(line, "in") for line in result_lines(read, correction) if "slack along x" in line)
        assert " -0.0" not in line
        assert "(-0.0" not in line
    assert min(found) < 0


ODD = "slot_x, reading 3: 10.400 mm, but the others say 9.940 mm. Read it again, or leave it out."


@pytest.fixture
def odd(filled: Path) -> Path:
    """The readings with one of them misread."""
    lines = filled.read_text(encoding="utf-8").splitlines()
    at = next(index for index, line in enumerate(lines) if line.startswith("slot_x"))
    lines[at] = "slot_x = [9.94, 9.93, 10.4]"
    filled.write_text("\n".join(lines), encoding="utf-8")
    return filled


@pytest.mark.parametrize(
    ("words", "typed", "is_left_out"),
    [((), "y\n", True), ((), "n\n", False), (("--odd", "drop"), "", True), (("--odd", "keep"), "", False)],
    ids=["asked, yes", "asked, no", "dropped", "kept"],
)
def test_an_odd_reading_is_asked_about(
    words: tuple[str, ...], typed: str, is_left_out: bool, odd: Path, tmp_path: Path
) -> None:
    done = run("fit", "read", odd, "--shop", tmp_path / "shop.toml", *words, typed=typed)
    assert done.exit_code == 0, done.output
    assert done.stderr.startswith(ODD)
    (record,) = read_records((tmp_path / "shop.toml").read_text(encoding="utf-8"))
    assert (record.bit_diameter_mm < 3.16) is is_left_out
    assert ("  left out: slot_x, reading 3, 10.400 mm\n" in done.stdout) is is_left_out


def with_line(file: Path, key: str, value: str, *, number: int = 0) -> None:
    """The readings with another value in one of the lines of that key."""
    lines = file.read_text(encoding="utf-8").splitlines()
    at = [index for index, line in enumerate(lines) if line.startswith(f"{key} = ")][number]
    lines[at] = f"{key} = {value}"
    file.write_text("\n".join(lines), encoding="utf-8")


def test_all_questions_are_listed_at_once_where_nobody_answers(odd: Path, tmp_path: Path) -> None:
    with_line(odd, "boss_x", "[50.0, 50.02, 50.9]")
    done = run("fit", "read", odd, "--shop", tmp_path / "shop.toml")
    assert done.exit_code == 2
    assert ODD in done.stderr
    assert "boss_x, reading 3: 50.900 mm, but the others say 50.020 mm. Read it again, or leave it out." in done.stderr


def test_readings_that_do_not_go_together_are_not_stored(filled: Path, tmp_path: Path) -> None:
    """A prong read 0.65 mm short once gave a slack of less than nothing, and make blamed the wish."""
    shop = tmp_path / "shop.toml"
    with_line(filled, "prong_x", "[24.3, 24.31, 24.3]")
    done = run("fit", "read", filled, "--shop", shop)
    assert done.exit_code == 1
    doubt, verdict = done.stderr.splitlines()
    assert "prong_x" in doubt
    assert "from what all other sizes say of it. Read " in doubt
    assert verdict == (
        f"Nothing added to {shop}: these readings do not go together."
        " Where they are right all the same, give --odd keep."
    )
    assert not shop.exists()
    kept = run("fit", "read", filled, "--shop", shop, "--odd", "keep")
    assert kept.exit_code == 0, kept.output
    assert kept.stderr == f"{doubt} Kept.\n"


def test_spans_that_stand_swapped_are_recognised_and_never_kept(filled: Path, tmp_path: Path) -> None:
    read = {peg.pips: peg for peg in read_card(filled).readings.pegs}
    pips = max(read)
    with_line(filled, "span_shut", str(list(read[pips].span_open_mm)), number=pips - 1)
    with_line(filled, "span_open", str(list(read[pips].span_shut_mm)), number=pips - 1)
    done = run("fit", "read", filled, "--shop", tmp_path / "shop.toml", "--odd", "keep")
    assert done.exit_code == 1
    assert done.stderr.startswith(f"peg {pips}: pushed shut it is ")
    assert "span_shut and span_open stand swapped: change them over, or read both again." in done.stderr
    assert not (tmp_path / "shop.toml").exists()


def test_without_an_answer_nothing_is_stored(odd: Path, tmp_path: Path) -> None:
    done = run("fit", "read", odd, "--shop", tmp_path / "shop.toml")
    assert done.exit_code == 2
    assert "say what is done about odd readings: --odd keep or --odd drop." in done.stderr
    assert not (tmp_path / "shop.toml").exists()


def test_readings_may_be_typed_when_asked_for(card: Path, filled: Path, tmp_path: Path) -> None:
    data = tomllib.loads(filled.read_text(encoding="utf-8"))
    typed = [" ".join(map(str, data["sizes"][key])) for key in data["sizes"]]
    typed.insert(1, "fifty")  # not a length: asked for again
    for peg in data["peg"]:
        values = [" ".join(map(str, peg[key])) for key in ("span_shut", "span_open", "over_left", "over_right")]
        typed += ["y", *values] if values[0] else ["n"]
    typed.append(str(data["best_peg"]))
    file, shop = tmp_path / "typed.toml", tmp_path / "shop.toml"
    shutil.copy(card / "readings.toml", file)
    done = run("fit", "read", file, "--shop", shop, "--prompt", "--odd", "keep", typed="\n".join(typed) + "\n")
    assert done.exit_code == 0, done.output
    assert "fifty: not a length." in done.stderr
    assert tomllib.loads(file.read_text(encoding="utf-8")) == data


def test_a_hand_that_is_called_away_loses_nothing(card: Path, tmp_path: Path) -> None:
    file, shop = tmp_path / "typed.toml", tmp_path / "shop.toml"
    file.write_bytes((card / "readings.toml").read_bytes().replace(b"\n", b"\r\n"))
    done = run("fit", "read", file, "--shop", shop, "--prompt", typed="9.94 9.95 9.94\n50.05 50.06 50.05\n")
    assert done.exit_code == 1
    assert done.stderr.splitlines()[-2:] == [
        f"What was typed is in {file}; the same command asks for the rest.",
        "Aborted!",
    ]
    text = file.read_bytes()
    assert b"boss_x = [50.05, 50.06, 50.05]\r\n" in text
    assert text.count(b"\n") == text.count(b"\r\n")
    done = run("fit", "read", file, "--shop", shop, "--prompt", typed="\n" * 7 + "n\n" * 4 + "0\n")
    assert done.exit_code == 0, done.output
    assert "width of the slot next to the socket" not in done.stderr  # it stands in the file
    assert file.read_bytes() == text


def test_inches_and_slips_may_be_typed(card: Path, tmp_path: Path) -> None:
    """Once a unit after a space was no length, and a slip of the pen was found at the very end, all typed lost."""
    file = tmp_path / "readings.toml"
    shutil.copy(card / "readings.toml", file)
    slots, bosses = "0.392 in 0.3925 in, 9.96", '1 31/32 in 1.97 in 1 31/32"'
    typed = f"{slots}\n501.2\n{bosses}\n" + "\n" * 7 + "n\n" * 4 + "0\n"
    done = run("fit", "read", file, "--shop", tmp_path / "shop.toml", "--prompt", typed=typed)
    assert done.exit_code == 0, done.output
    assert (
        "501.200 mm: drawn 50.000 mm, and nothing is off by more than 2.000 mm on a card."
        " Measure again, or write the unit.\n" in done.stderr
    )
    # nothing was read that feels a slack, nor anything along y
    assert done.stdout.splitlines()[4] == "  slack along x not read, along y not read; in the two lines above"
    assert done.stdout.splitlines()[5].endswith("along y not read; for the machine's own setting")
    sizes = tomllib.loads(file.read_text(encoding="utf-8"))["sizes"]
    assert sizes["slot_x"] == pytest.approx([0.392 * 25.4, 0.3925 * 25.4, 9.96])
    assert sizes["boss_x"] == pytest.approx([63 / 32 * 25.4, 1.97 * 25.4, 63 / 32 * 25.4])


def test_readings_typed_for_a_file_that_was_changed_are_not_put_in(card: Path, tmp_path: Path) -> None:
    file = tmp_path / "readings.toml"
    text = (card / "readings.toml").read_text(encoding="utf-8")
    file.write_text(text.replace("slot_x = []", ""), encoding="utf-8")
    typed = "10.0\n50.0\n" + "\n" * 7 + "n\n" * 4 + "0\n"
    done = run("fit", "read", file, "--shop", tmp_path / "shop.toml", "--prompt", typed=typed)
    assert done.exit_code == 2
    assert done.stderr.endswith(
        f"{file}: was changed so that readings cannot be put in. Write them in by hand, and leave --prompt out.\n"
    )


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "slot_x = []",
            "slot_x = [50.1]",
            "[sizes] slot_x = 50.100 mm: drawn 10.000 mm, and nothing is off by more than 2.000 mm on a card."
            " Measure again, or write the unit.",
        ),
        (
            "best_peg = 0",
            "best_peg = 7",
            "best_peg = 7: no such peg on the card. Write one of 1, 2, 3, 4, or 0 when nobody tried.",
        ),
        (
            "pips = 4",
            "pips = 5",
            "[[peg]] 4 pips = 5: no such peg on the card. Pegs have 1, 2, 3, 4 pips, and one table each.",
        ),
        ("pips = 4", "pips = 3", "[[peg]] 4 pips = 3: stands twice. Pegs have 1, 2, 3, 4 pips, and one table each."),
        ("best_peg = 0", 'best_peg = "two"', "best_peg = two: not a whole number. Write it without quotes."),
        ("boss_x = []", "bos_x = []", "[sizes] bos_x: no such size on a fit card. Did you mean boss_x?"),
        ("[sizes]", "[size]", "size: unknown key. Did you mean sizes?"),
        (
            "[card]",
            "[crad]",
            "crad: unknown key. Did you mean card?",
        ),
        (
            'bit = "flat-3.175-long"',
            "",
            "[card] bit: missing."
            " Copy the [card] table from a readings.toml that fit card wrote, or cut the card again.",
        ),
        (
            'neck_width = "6.350000 mm"',
            'neck_width = "narrow"',
            '[card] neck_width = narrow: not a length. Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".',
        ),
        (
            "rungs = [-0.060, ",
            "rungs = [",
            "[card] rungs: not an even number of offsets in mm, one for each peg."
            " Copy the [card] table from a readings.toml that fit card wrote, or cut the card again.",
        ),
        (
            "best_peg = 0",
            "best_peg = 1",
            "[sizes]: a boss and a slot must both be read, or bit error and slack cannot be told apart."
            " Read at least boss_x and slot_x, three times each.",
        ),
    ],
)
def test_readings_that_cannot_be(old: str, new: str, said: str, card: Path, tmp_path: Path) -> None:
    file = tmp_path / "readings.toml"
    text = (card / "readings.toml").read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    lines = file.read_text(encoding="utf-8").splitlines()
    at = max(number for number, line in enumerate(lines, start=1) if line.startswith(new or "[card]"))
    done = run("fit", "read", file, "--shop", tmp_path / "shop.toml")
    assert done.exit_code == 2
    place = file if said.startswith("[sizes]:") else f"{file}:{at}"
    assert done.stderr == f"{place} {said}\n"
    assert not (tmp_path / "shop.toml").exists()


def test_a_shop_file_with_faults_is_left_alone(filled: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("record = 3\n", encoding="utf-8")
    done = run("fit", "read", filled, "--shop", shop)
    assert done.exit_code == 2
    assert done.stderr == f"{shop}:1 [[record]]: not a list of tables. Begin each with [[record]].\n"
    assert shop.read_text(encoding="utf-8") == "record = 3\n"


def test_a_record_without_a_day_is_refused(tmp_path: Path) -> None:
    """A date in words once came after all days, so that its record counted for ever."""
    shop = tmp_path / "shop.toml"
    shop.write_text(with_record("", RECORD).replace('"2026-11-25"', '"last autumn"'), encoding="utf-8")
    done = run("fit", "strength", HALLWAY, "--shop", shop)
    assert done.exit_code == 2
    assert done.stderr == (
        f"{shop}:5 [[record]] 1 date = last autumn: not a day, so that nobody knows which record is the newest."
        ' Write it as in "2026-11-25".\n'
    )
    shop.write_text(with_record("", RECORD).replace('"2026-11-25"', "2026-11-25"), encoding="utf-8")
    assert run("fit", "strength", HALLWAY, "--shop", shop).exit_code == 0
