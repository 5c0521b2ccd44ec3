"""``platelayer fit wish`` and ``fit card``: from a feel to sizes, and to a card cut as any job."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from cli.fit_jobs import HALLWAY, HIDDEN, README, RECORD, shop_file, tuned_job
from cli.jobs import ROOT, run, small_job
from cli.read_card import readings_of, write_down
from fit.simulated_shop import Shop
from platelayer.fit.card import rung_sizes
from platelayer.fit_road.readings import read_card
from platelayer.job.measurements import read_records


def test_words_for_a_feel_are_shown_with_their_numbers() -> None:
    done = run("fit", "wish")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines() == [
        "A word stands for two plays:",
        "  snug: side play 0.006 in (0.150 mm) each way and pull-out play 0.008 in (0.200 mm)",
        "  easy: side play 0.012 in (0.300 mm) each way and pull-out play 0.012 in (0.300 mm)",
        "  loose: side play 0.018 in (0.450 mm) each way and pull-out play 0.020 in (0.500 mm)",
        "Ask for one of them with --feel, or for other figures with --side and --pull.",
    ]


def test_a_wish_becomes_sizes() -> None:
    done = run("fit", "wish", HALLWAY, "--feel", "easy", "--part", "both")
    assert done.exit_code == 0, done.output
    assert done.stdout in README
    assert done.stdout.splitlines()[-3:] == [
        "Our peg in our socket, for side play 0.012 in (0.300 mm) each way and pull-out play 0.012 in (0.300 mm):",
        "  head -0.012 in (-0.300 mm), drawn 0.426 in (10.812 mm)",
        "  head's distance from the face -0.002 in (-0.042 mm), drawn 0.280 in (7.102 mm)",
    ]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--feel", "easi"), 2, "--feel = easi: no such word for a feel. Did you mean easy?\n"),
        (
            ("--feel", "easy", "--side", "1 mm"),
            2,
            "--feel = easy: a word and figures were given. Leave one of the two out.\n",
        ),
        (
            ("--side", "0.3 mm"),
            2,
            "--pull: missing; a feel is side play and pull-out play. Give both, as in"
            ' --side "0.3 mm" --pull "0.3 mm".\n',
        ),
        (("--side", "0.3", "--pull", "0.3"), 2, '--side = 0.3: has no unit. Write mm or in, as in "5 15/16 in".\n'),
        (("--side", "0 mm", "--pull", "1 mm"), 2, "--side = 0 mm: a play asked for must be more than nothing\n"),
        (
            ("--side", "0.3 mm", "--pull", "0.05 in"),
            1,
            "The target play: This cannot be had; the nearest is side play 0.000 in (0.000 mm) and pull-out play"
            " 0.050 in (1.270 mm), which will jam in use\n"
            "The target play: Head, hole and lips leave no such pair of plays: ask for less of one of them\n",
        ),
        (
            ("--side", "0.05 mm", "--pull", "0.05 mm"),
            1,
            "The target play = 0.002 in (0.050 mm): a joint with less pull-out play than 0.004 in (0.100 mm) jams in"
            " use, and the dry run refuses it. Ask for more.\n",
        ),
    ],
    ids=["a near word", "both", "one figure", "no unit", "zero", "not to be had", "a jam"],
)
def test_wishes_that_cannot_be(words: tuple[str, ...], code: int, said: str) -> None:
    done = run("fit", "wish", HALLWAY, *words)
    assert done.exit_code == code
    assert done.stderr == said
    assert ("as near as it comes to" in done.stdout) is ("the nearest is" in said)


def test_a_card_is_cut_with_one_bit_and_its_sticks_lie_along_x(card: Path) -> None:
    data = json.loads((card / "manifest.json").read_text(encoding="ascii"))
    assert [[bit["id"] for bit in file["bits"]] for file in data["files"]] == [["flat-3.175-long"]]
    assert [piece["kind"] for piece in data["pieces"]] == ["card"] * 3
    assert {piece["pose"][2] % 180 for piece in data["pieces"]} == {0.0}
    assert min(piece["length"] for piece in data["pieces"]) >= 100


def test_a_card_passes_the_dry_run_from_its_files_alone(card: Path) -> None:
    done = run("dryrun", card, "--json")
    data = json.loads(done.stdout)
    assert data["passed"]
    assert max(piece["gouge_mm"] for piece in data["pieces"]) <= 0.005
    assert max(piece["leftover_mm"] for piece in data["pieces"]) <= 0.02


def test_readings_tell_what_the_card_was_cut_as(card: Path) -> None:
    data = tomllib.loads((card / "readings.toml").read_text(encoding="utf-8"))
    assert [peg["pips"] for peg in data["peg"]] == [1, 2, 3, 4]
    assert data["card"]["bit"] == "flat-3.175-long"
    assert data["card"]["path_diameter"] == "3.175000 mm"
    assert data["card"]["head_diameter"].startswith("10.812")


def test_readings_that_were_written_in_are_not_written_over(card: Path) -> None:
    text = (card / "readings.toml").read_text(encoding="utf-8")
    (card / "readings.toml").write_text(text.replace("slot_x = []", "slot_x = [10.0]"), encoding="utf-8")
    done = run("fit", "card", HALLWAY, "--out", card)
    (card / "readings.toml").write_text(text, encoding="utf-8")
    assert done.exit_code == 2
    assert done.stderr.startswith(f"{card}: edited since it was written: readings.toml.")


def test_the_ladder_begins_looser_where_its_tightest_peg_would_jam_by_design(tmp_path: Path) -> None:
    done = run("fit", "card", HALLWAY, "--out", tmp_path / "card", "--feel", "snug")
    assert done.exit_code == 0, done.output
    assert "1 pip +0.00 mm, 2 pips -0.06 mm, 3 pips -0.12 mm, 4 pips -0.18 mm" in done.stdout


@pytest.mark.parametrize(
    ("job", "words", "code", "said"),
    [
        (
            "strip",
            (),
            1,
            f"{ROOT}/examples/strip/job.toml:18 [[board]]: strips of track width have no edge to spare for the card's"
            " notches."
            ' Name a scrap: --board "14 x 6 in".\n',
        ),
        (
            "strip",
            ("--board", "14 x 6 x 1 in"),
            2,
            '--board = 14 x 6 x 1 in: not two lengths. Write width x depth, as in "14 x 6 in" or "360 x 150 mm".\n',
        ),
        (
            "hallway",
            ("--board", "6 x 6 in"),
            1,
            "".join(
                f"The fit card: card-pegs-{stick} needs {needed} by ~2 31/64 in"
                " (63.278 mm) of board with the room for the bit and the margin; board A is 6 in (152.400 mm) by 6 in"
                ' (152.400 mm). Name a larger scrap: --board "14 x 7 in".\n'
                for stick, needed in ((1, "~7 3/32 in (180.163 mm)"), (2, "~7 5/64 in (179.923 mm)"))
            ),
        ),
        (
            "hallway",
            ("--board", "0 x 6 in"),
            2,
            "--board = 0 x 6 in: lengths of a board are above zero."
            ' Write width x depth, as in "14 x 6 in" or "360 x 150 mm".\n',
        ),
    ],
    ids=["strips", "three lengths", "too small", "zero"],
)
def test_cards_that_cannot_be_laid(job: str, words: tuple[str, ...], code: int, said: str, tmp_path: Path) -> None:
    done = run("fit", "card", ROOT / "examples" / job / "job.toml", "--out", tmp_path / "card", *words)
    assert done.exit_code == code
    assert done.stderr == said
    assert not (tmp_path / "card").exists()


def test_a_card_for_strips_is_cut_from_a_scrap(tmp_path: Path) -> None:
    done = run("fit", "card", ROOT / "examples/strip/job.toml", "--out", tmp_path / "card", "--board", "360 x 180 mm")
    assert done.exit_code == 0, done.output


def test_a_second_card_is_cut_by_what_the_first_one_found(tmp_path: Path) -> None:
    """Paths for the effective bit, joints without offsets: so that the record it gives stands by itself."""
    out = tmp_path / "card"
    done = run("fit", "card", HALLWAY, "--out", out, "--shop", shop_file(tmp_path, RECORD))
    assert done.exit_code == 0, done.output
    assert "Bit flat-3.175-long: cuts 0.122 in (3.110 mm) wide" in done.stdout
    readings = out / "readings.toml"
    table = tomllib.loads(readings.read_text(encoding="utf-8"))["card"]
    assert table["path_diameter"] == "3.110000 mm"
    assert table["head_diameter"] == "11.112500 mm"
    shop = Shop(3, **HIDDEN)
    write_down(readings_of(shop, readings), readings)
    assert run("fit", "read", readings, "--shop", tmp_path / "shop.toml", "--date", "2026-11-26").exit_code == 0
    first, second = read_records((tmp_path / "shop.toml").read_text(encoding="utf-8"))
    assert first == RECORD
    assert abs(second.bit_diameter_mm - (3.175 + HIDDEN["bit"])) < 3 * second.bit_spread_mm


def test_a_job_that_asks_for_a_feel_gets_it_on_its_card_too(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(tuned_job('feel = "easy"', shop='shop = "shop.toml"'), encoding="utf-8")
    wished = run("fit", "wish", job)
    assert wished.stdout.splitlines()[-2] == "  head -0.012 in (-0.300 mm), drawn 0.426 in (10.812 mm)"
    done = run("fit", "card", job, "--out", tmp_path / "card", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines()[-1].endswith(f"--shop {tmp_path}/shop.toml")
    table = tomllib.loads((tmp_path / "card/readings.toml").read_text(encoding="utf-8"))["card"]
    assert table["head_diameter"].startswith("10.812")


def test_a_card_that_no_bit_can_cut_is_refused(card: Path, tmp_path: Path) -> None:
    file = tmp_path / "readings.toml"
    text = (card / "readings.toml").read_text(encoding="utf-8")
    file.write_text(text.replace('width = "39.687500 mm"', 'width = "29 mm"'), encoding="utf-8")
    done = run("fit", "read", file, "--shop", tmp_path / "shop.toml")
    assert done.exit_code == 1
    assert done.stderr == "The fit card: the track is too narrow for the card's slots\n"


def test_a_card_is_cut_with_one_bit_where_another_would_finish_the_corners(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    finish = small_job(bits='finish = "flat-1.588"\ngrooves = "flat-6.35-up"', joint='peg_root = "finish"')
    job.write_text(finish, encoding="utf-8")
    done = run("fit", "card", job, "--out", tmp_path / "card", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    data = json.loads((tmp_path / "card/manifest.json").read_text(encoding="ascii"))
    assert [[bit["id"] for bit in file["bits"]] for file in data["files"]] == [["flat-3.175-long"]]


@pytest.mark.parametrize(
    ("kind", "said"), [("tape", "Lift the sticks off"), ("skin", "Cut the skin away")], ids=["tape", "skin"]
)
def test_a_card_says_how_its_sticks_come_off(kind: str, said: str, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    text = small_job().replace("[[board]]", '[[board]]\nzero = "spoilboard"')
    job.write_text(f'{text}\n[holding]\nkind = "{kind}"\n', encoding="utf-8")
    done = run("fit", "card", job, "--out", tmp_path / "card", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    assert f"2. {said}, rest the wood an hour" in done.stdout


def test_what_is_told_of_a_head_is_how_it_is_drawn(card: Path) -> None:
    """Signs once told how loose a peg is, under words about its head, so that the largest head was told as smaller."""
    drawn = read_card(card / "readings.toml").card
    told = dict(re.findall(r"(\d) pips? ([+-]\d\.\d\d) mm", README))
    for rung in drawn.rungs:
        head_mm = rung_sizes(drawn.sizes, offset_mm=rung.peg_offset_mm).head_diameter_mm
        assert (head_mm - drawn.sizes.head_diameter_mm) / 2 == pytest.approx(float(told[str(rung.pips)]), abs=1e-9)
