"""``platelayer fit`` as a person uses it: from a wish, over a card and a caliper, to joints cut as wished."""

import json
import tomllib
from pathlib import Path

import pytest

from cli.jobs import ROOT, run

HALLWAY = ROOT / "examples/hallway/job.toml"


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
    assert done.stdout.splitlines()[-3:] == [
        "Our peg in our socket, for side play 0.012 in (0.300 mm) each way and pull-out play 0.012 in (0.300 mm):",
        "  head -0.300 mm, drawn 10.812 mm",
        "  head's distance from the face -0.042 mm, drawn 7.102 mm",
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
            "The wish: This cannot be had; the nearest is side play 0.000 in (0.000 mm) and pull-out play 0.050 in"
            " (1.270 mm), which will jam in use\n"
            "The wish: Head, hole and lips leave no such pair of plays: ask for less of one of them\n",
        ),
    ],
    ids=["a near word", "both", "one figure", "no unit", "nought", "not to be had"],
)
def test_wishes_that_cannot_be(words: tuple[str, ...], code: int, said: str) -> None:
    done = run("fit", "wish", HALLWAY, *words)
    assert done.exit_code == code
    assert done.stderr == said


@pytest.fixture(scope="module")
def card(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("card") / "card"
    done = run("fit", "card", HALLWAY, "--out", out, "--feel", "easy", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines()[-5:] == [
        f"Written to {out}. Preview to open: {out}/preview.html",
        "Next: 1. Cut A-1-flat-3.175-long.nc with flat-3.175-long alone, the sticks along the machine's x: 14 min.",
        "      2. Saw the tabs, rest the wood an hour, and try each peg in the socket (heads each side: 1 pip -0.06 mm,"
        " 2 pips +0.00 mm, 3 pips +0.06 mm, 4 pips +0.12 mm).",
        f"      3. Write what the caliper says into {out}/readings.toml; each line tells what to measure.",
        f"      4. platelayer fit read {out}/readings.toml --shop {HALLWAY.parent}/shop.toml",
    ]
    return out


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
    assert "1 pip +0.00 mm, 2 pips +0.06 mm, 3 pips +0.12 mm, 4 pips +0.18 mm" in done.stdout


@pytest.mark.parametrize(
    ("job", "words", "code", "said"),
    [
        (
            "strip",
            (),
            1,
            "[[board]]: strips of track width have no edge to spare for the card's notches."
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
            ("--board", "0 x 6 in"),
            2,
            "--board = 0 x 6 in: lengths of a board are above nought."
            ' Write width x depth, as in "14 x 6 in" or "360 x 150 mm".\n',
        ),
    ],
    ids=["strips", "three lengths", "nought"],
)
def test_cards_that_cannot_be_laid(job: str, words: tuple[str, ...], code: int, said: str, tmp_path: Path) -> None:
    done = run("fit", "card", ROOT / "examples" / job / "job.toml", "--out", tmp_path / "card", *words)
    assert done.exit_code == code
    assert done.stderr == said
    assert not (tmp_path / "card").exists()


def test_a_card_for_strips_is_cut_from_a_scrap(tmp_path: Path) -> None:
    done = run("fit", "card", ROOT / "examples/strip/job.toml", "--out", tmp_path / "card", "--board", "360 x 180 mm")
    assert done.exit_code == 0, done.output
