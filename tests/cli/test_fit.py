"""``platelayer fit`` as a person uses it: from a wish, over a card and a caliper, to joints cut as wished."""

import json
import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from shapely import affinity

from cli.jobs import ROOT, make, run, small_job
from cli.read_card import readings_of, write_down
from fit.simulated_shop import Shop, end_of, hand_plays
from platelayer.fit.shop import ShopRecord
from platelayer.fit.wish import PRESETS
from platelayer.job.measurements import read_records, with_record
from platelayer.preview.manifest import parse_manifest

HALLWAY = ROOT / "examples/hallway/job.toml"
README = (ROOT / "README.md").read_text(encoding="utf-8")
"""Shows what these commands print, for readings that the shop of these tests made."""


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


HIDDEN = {"bit": -0.06, "slack": (0.08, 0.05), "scale": (0.001, -0.001)}
"""What the shop of these tests does wrong; the program sees its caliper only."""


@pytest.fixture
def filled(card: Path, tmp_path: Path) -> Path:
    """The card's readings file with what the caliper said."""
    file = tmp_path / "readings.toml"
    shutil.copy(card / "readings.toml", file)
    write_down(readings_of(Shop(3, **HIDDEN), file), file)
    return file


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
        ["grooves", "-0.025", "+/-"],
        ["readings", "scatter", "by"],
    ]
    assert lines[8].startswith("  best by hand: the peg with ")
    assert lines[9:] == [
        f"Added to {shop} as the record of 2026-11-25.",
        f'From now on: platelayer make JOB --out FOLDER --shop {shop}, or shop = "shop.toml" under [job].',
    ]
    text = shop.read_text(encoding="utf-8")
    assert text.startswith("# my shop, since 1998\n")
    (record,) = read_records(text)
    assert (record.date, record.bit_id, record.note) == ("2026-11-25", "flat-3.175-long", "damp day")
    assert abs(record.bit_diameter_mm - (3.175 + HIDDEN["bit"])) < 3 * record.bit_spread_mm
    assert all(line in README for line in lines[:9])
    again = run("fit", "read", filled, "--shop", shop, "--date", "2026-11-25", "--note", "damp day")
    assert again.stdout.splitlines()[9] == f"{shop} says so already; nothing added."
    assert shop.read_text(encoding="utf-8") == text


ODD = "slot_x, reading 3: 10.500 mm, but the others say 10.040 mm. Read it again, or leave it out."


@pytest.fixture
def odd(filled: Path) -> Path:
    """The readings with one of them misread."""
    lines = filled.read_text(encoding="utf-8").splitlines()
    at = next(index for index, line in enumerate(lines) if line.startswith("slot_x"))
    lines[at] = "slot_x = [10.04, 10.03, 10.5]"
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
    again = run("fit", "read", file, "--shop", shop, "--prompt", typed="\n".join(typed) + "\n")
    assert again.exit_code == 2
    assert again.stderr == f"{file}: has readings already. Leave --prompt out to read them as they are.\n"


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


RECORD = ShopRecord(
    date="2026-11-25",
    bit_id="flat-3.175-long",
    material_id="hard-maple",
    machine_id="mid-screw",
    bit_diameter_mm=3.11,
    bit_spread_mm=0.008,
    reach_bias_mm=0.06,
    lip_bias_mm=0.02,
    bias_spread_mm=0.02,
)
"""What the tests of make have learnt."""


def shop_file(folder: Path, record: ShopRecord) -> Path:
    file = folder / "shop.toml"
    file.write_text(with_record("", record), encoding="utf-8")
    return file


def tuned_job(fit: str, *, shop: str = "") -> str:
    return small_job().replace("[job]", f"[job]\n{shop}") + f"\n[fit]\n{fit}\n"


@pytest.mark.parametrize("seed", [3, 11])
def test_from_a_card_to_joints_that_slide_as_wished(seed: int, card: Path, tmp_path: Path) -> None:
    """Card, caliper, shop file, make: what the same machine then cuts has the plays asked for."""
    machine, readings = Shop(seed), tmp_path / "readings.toml"
    shutil.copy(card / "readings.toml", readings)
    write_down(readings_of(machine, readings), readings)
    assert run("fit", "read", readings, "--shop", tmp_path / "shop.toml", "--odd", "keep").exit_code == 0
    done = make(tmp_path, tuned_job('feel = "easy"\npart = "both"', shop='shop = "shop.toml"'))
    assert done.exit_code == 0, done.output
    manifest = parse_manifest((tmp_path / "out/manifest.json").read_text(encoding="ascii"))
    assumed = manifest.files[0].bits[0].diameter_mm
    piece = next(one for one in manifest.pieces if one.kind == "straight")
    cut = affinity.translate(
        machine.cut(piece.outline, nominal_mm=3.175, assumed_mm=assumed), -piece.pose.x, -piece.pose.y
    )
    shut, opened, side = hand_plays(end_of(cut, 1, piece.length_mm), end_of(cut, 0))
    wish = PRESETS["easy"]
    assert opened - shut == pytest.approx(wish.pull_out_mm, abs=0.03)
    assert side == pytest.approx(wish.side_mm, abs=0.03)


def test_make_tells_where_every_change_came_from(tmp_path: Path) -> None:
    shop = shop_file(tmp_path, RECORD)
    done = make(tmp_path, small_job(), "--shop", shop, "--json")
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)["fit"]
    assert said[:2] == [
        "Bit flat-3.175-long: cuts ~1/8 in (3.110 mm) wide, -0.065 mm from nominal, by the fit card of 2026-11-25 in"
        " hard-maple on mid-screw.",
        "Beyond that, heads came out +0.060 mm from their face and lips +0.020 mm from the middle; joints are drawn to"
        " make up for it.",
    ]
    assert [line.split(" mm")[0][:14] for line in said[2:4]] == ["Joint: head +0", "Joint: head's "]
    assert said[4] == (
        "Joints are drawn to go with each other on mid-screw with side play 0.011 in (0.289 mm) each way and pull-out"
        " play 0.011 in (0.275 mm); the dry run's own figures leave its slack out."
    )
    summary = (tmp_path / "out/summary.txt").read_text(encoding="utf-8")
    assert "Fit, as tuned\n" + "".join(f"  {line}\n" for line in said) in summary
    assert run("sheet", tmp_path / "out").exit_code == 0
    sheet = (tmp_path / "out/sheet.html").read_text(encoding="utf-8")
    assert "by the fit card of 2026-11-25 in hard-maple on mid-screw" in sheet
    data = json.loads((tmp_path / "out/manifest.json").read_text(encoding="ascii"))["tuning"]
    off = data["drawn"]["head_diameter_mm"] - data["design"]["head_diameter_mm"]
    assert f"{off:+.3f} mm" in sheet


@pytest.mark.parametrize(
    ("diameter", "reach", "lip", "is_redrawn"),
    [(3.11, 0.0, 0.0, False), (3.175, 0.06, 0.02, True)],
    ids=["a bit that is wrong", "a machine with slack"],
)
def test_bit_error_lives_in_the_diameter_and_offsets_in_the_outline(
    diameter: float, reach: float, lip: float, is_redrawn: bool, tmp_path: Path
) -> None:
    record = replace(RECORD, bit_diameter_mm=diameter, reach_bias_mm=reach, lip_bias_mm=lip)
    done = make(tmp_path, small_job(), "--shop", shop_file(tmp_path, record))
    assert done.exit_code == 0, done.output
    data = json.loads((tmp_path / "out/manifest.json").read_text(encoding="ascii"))
    assert {bit["diameter"] for file in data["files"] for bit in file["bits"]} == {diameter}
    assert (data["tuning"]["drawn"] != data["tuning"]["design"]) is is_redrawn
    assert data["joint"] == data["tuning"]["design"]  # what they must couple with stays nominal


def test_a_joint_is_judged_as_this_machine_leaves_it(tmp_path: Path) -> None:
    """Heads that come out far are drawn so near that a machine without slack would jam them; this one does not."""
    far = replace(RECORD, reach_bias_mm=0.22, lip_bias_mm=0.0)
    done = make(tmp_path, small_job(), "--shop", shop_file(tmp_path, far), "--json")
    assert done.exit_code == 0, done.output
    seats = [one["seat"] for one in json.loads(done.stdout)["joints"] if one["mate"] == "a socket of this job"]
    assert max(seat["pull_out_mm"] - seat["opening_mm"] for seat in seats) < 0.1
    folder = tmp_path / "out"
    data = json.loads((folder / "manifest.json").read_text(encoding="ascii"))
    data["tuning"]["play_change"] = {"peg": 0.01, "socket": 0.01, "own": 0.01}
    (folder / "manifest.json").write_text(json.dumps(data), encoding="ascii")
    refused = run("dryrun", folder)
    assert refused.exit_code == 1
    assert "the faces close, but on this machine, by its fit card, only 0.0" in refused.stdout


MATE = """
[mate]
neck_width = "6.2 mm"
head_diameter = "11.0 mm"
head_setback = "7.2 mm"
mouth_width = "8.1 mm"
hole_diameter = "12.9 mm"
hole_setback = "7.0 mm"
"""


def test_a_bought_set_is_what_joints_must_couple_with(tmp_path: Path) -> None:
    done = make(tmp_path, tuned_job('feel = "easy"') + MATE, "--json")
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["fit"][-1] == (
        "Joints are drawn to go with the bought set with side play 0.012 in (0.300 mm) each way and pull-out play"
        " 0.012 in (0.300 mm)."
    )
    data = json.loads((tmp_path / "out/manifest.json").read_text(encoding="ascii"))
    assert data["joint"]["mouth_width_mm"] == 8.1
    assert data["tuning"]["drawn"]["mouth_width_mm"] == data["tuning"]["design"]["mouth_width_mm"]


def test_a_shop_file_without_a_card_for_this_wood_says_so(tmp_path: Path) -> None:
    shop = shop_file(tmp_path, replace(RECORD, material_id="pine"))
    done = make(tmp_path, small_job(), "--shop", shop, "--json")
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["fit"] == [
        "shop.toml has no fit card of bit flat-3.175-long in hard-maple on mid-screw: nothing was learnt of it."
        " platelayer fit card makes one."
    ]


@pytest.mark.parametrize(
    ("fit", "shop", "key", "code", "said"),
    [
        ('feel = "esy"', "", "feel", 2, "[fit] feel = esy: no such word for a feel. Did you mean easy?"),
        (
            'feel = "easy"\nside = "1 mm"',
            "",
            "feel",
            2,
            "[fit] feel = easy: a word and figures were given. Leave one of the two out.",
        ),
        (
            'side = "0.3 mm"',
            "",
            "[fit]",
            2,
            "[fit] pull: missing; a feel is side play and pull-out play. Write both, or feel.",
        ),
        (
            'side = 0.3\npull = "0.3 mm"',
            "",
            "side",
            2,
            "[fit] side = ~19/64 in (7.620 mm): more play than a joint has; the limit is ~1/8 in (3.000 mm)."
            ' Write the unit, as in "0.3 mm".',
        ),
        ('part = "neck"', "", "part", 2, "[fit] part = neck: must be peg, socket or both"),
        (
            "",
            'shop = "shp.toml"',
            "shop",
            2,
            "[job] shop = shp.toml: no such file beside the job."
            " Leave it out, or make it: platelayer fit card, then platelayer fit read.",
        ),
        (
            MATE.replace('hole_setback = "7.0 mm"', ""),
            "",
            "[mate]",
            2,
            "[mate] hole_setback: missing. platelayer fit bought makes the whole table from what a caliper says.",
        ),
        (
            MATE.replace('"11.0 mm"', '"8.0 mm"'),
            "",
            "mouth_width",
            2,
            "[mate] mouth_width = ~5/16 in (8.100 mm): wider than the head, ~5/16 in (8.000 mm), so a peg falls out."
            " Use less than ~5/16 in (8.000 mm), or a wider head.",
        ),
    ],
)
def test_jobs_that_cannot_be_tuned(fit: str, shop: str, key: str, code: int, said: str, tmp_path: Path) -> None:
    done = make(tmp_path, tuned_job(fit, shop=shop))
    lines = (tmp_path / "job.toml").read_text(encoding="utf-8").splitlines()
    at = next(number for number, line in enumerate(lines, start=1) if line.startswith(key))
    assert done.exit_code == code
    assert done.stderr == f"{tmp_path}/job.toml:{at} {said}\n"


@pytest.mark.parametrize(
    ("fit", "joint", "said"),
    [
        (
            'side = "0.9 mm"\npull = "0.3 mm"',
            "",
            [
                "[fit] feel: This cannot be had; the nearest is side play 0.024 in (0.614 mm) and pull-out play"
                " 0.022 in (0.566 mm)",
                "[fit] feel: Head, hole and lips leave no such pair of plays: ask for less of one of them",
            ],
        ),
        (
            "",
            'peg_root = "none"\nmouth = "none"',
            [
                "[joint]: the design does not go together, so that no fit can be tuned. Relieve the peg's root and ease"
                " the mouth, change the sizes, or say in [fit] how it should feel."
            ],
        ),
    ],
    ids=["a wish too far", "a design that jams"],
)
def test_plays_that_cannot_be_had_are_refused(fit: str, joint: str, said: list[str], tmp_path: Path) -> None:
    text = small_job(joint=joint) + f"\n[fit]\n{fit}\n"
    done = make(tmp_path, text, "--shop", shop_file(tmp_path, RECORD))
    assert done.exit_code == 1
    assert [line.split(" ", 1)[1] for line in done.stderr.splitlines()] == said
    assert not (tmp_path / "out").exists()


def test_the_picture_shows_a_joint_before_and_after(tmp_path: Path) -> None:
    out = tmp_path / "joint.svg"
    done = run("fit", "picture", HALLWAY, "--out", out, "--shop", shop_file(tmp_path, RECORD))
    assert done.exit_code == 0, done.output
    assert done.stdout == (
        f"Written to {out}. Side play 0.011 in (0.289 mm) each way, pull-out play 0.011 in (0.275 mm).\n"
    )
    text = out.read_text(encoding="utf-8")
    assert "before the correction" in text
    assert "after the correction" in text
    again = run("fit", "picture", HALLWAY, "--out", out)
    assert again.exit_code == 2
    assert again.stderr == f"{out}: exists already. Name another, or give --force.\n"
    assert run("fit", "picture", HALLWAY, "--out", out, "--force").exit_code == 0
    assert "as it comes off the machine" in out.read_text(encoding="utf-8")


def test_spread_is_the_same_for_the_same_seed_and_names_what_to_measure(tmp_path: Path) -> None:
    words = ("fit", "spread", HALLWAY, "--draws", 300, "--shop", shop_file(tmp_path, RECORD), "--mate", "0.1 mm")
    first, second, other = run(*words, "--seed", 4), run(*words, "--seed", 4), run(*words, "--seed", 5)
    assert first.exit_code == 0, first.output
    lines = first.stdout.splitlines()
    assert lines[0] == "300 joints, seed 4: bit 0.008 mm, machine 0.020 mm, mate 0.100 mm, growth 0.00%"
    assert lines[1].endswith("are as wished")
    assert lines[-1].endswith("comes from the mate's sizes: measure that next.")
    assert first.stdout == second.stdout
    assert first.stdout != other.stdout


def test_a_bought_set_scatters_and_swells_apart(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(small_job() + MATE, encoding="utf-8")
    done = run("fit", "spread", job, "--draws", 300)
    assert done.exit_code == 0, done.output
    assert "bit 0.030 mm, machine 0.050 mm, mate 0.080 mm, growth 1.02%" in done.stdout
    assert "moisture of the wood" in done.stdout


def test_wood_shows_the_play_at_both_seasons() -> None:
    done = run("fit", "wood", HALLWAY, "--mate-wood", "beech")
    assert done.exit_code == 0, done.output
    # source: FPL table as copied at woodworkerssource.com: 6.2, 8.5 and 12.0 % at 30, 45 and 65 % humidity, 70 F
    assert done.stdout.splitlines() == [
        "hard-maple with beech, flat-sawn, cut at 8.5% of moisture (45 % humidity, 21 C):",
        "  at 30% humidity the wood comes to 6.2%: side play 0.011 in (0.278 mm), pull-out play 0.011 in (0.267 mm)",
        "  at 65% humidity the wood comes to 12.0%: side play 0.012 in (0.302 mm), pull-out play 0.011 in (0.285 mm)",
        "  Moisture moves widths only: grain runs along the peg, and along the grain wood hardly moves.",
    ]


def test_strength_and_small_parts_caution_and_certify_nothing() -> None:
    done = run("fit", "strength", HALLWAY)
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0] == "Neck 1/4 in (6.350 mm) wide, in hard-maple:"
    assert lines[2].endswith("Let the grain run along the peg.")
    assert lines[4] == (
        "  A head broken off: goes into the small-parts cylinder of 16 CFR 1501.4. Not for children under three. This"
        " is a caution, not a certificate."
    )
    assert lines[6] == (
        "  straight 2 3/8 in: longer than the cylinder across its corners, ~2 37/64 in (65.377 mm); it never goes in."
    )


def test_a_short_plain_piece_and_an_unlisted_wood(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    plain = '\n[[piece]]\nname = "stub"\nlength = "22 mm"\nstart = "plain"\nend = "plain"\n'
    job.write_text(small_job().replace("hard-maple", "pine") + plain, encoding="utf-8")
    lines = run("fit", "strength", job).stdout.splitlines()
    assert lines[0] == "No strength of pine is known here; known: hard-maple, birch, cherry, beech, red-oak."
    assert lines[-1].startswith("  straight 22 mm: goes into the small-parts cylinder of 16 CFR 1501.4.")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("wood", "--dry", "0"), "--dry = 0: relative humidity is more than 0 and less than 100 %"),
        (("wood", "--celsius", "90"), "--celsius = 90: a room is between 0 and 60 degrees Celsius"),
        (
            ("wood", "--mate-wood", "beach"),
            "--mate-wood = beach: no movement is tabulated for it (Wood Handbook, FPL-GTR-190, table 13-5)."
            " Did you mean beech?",
        ),
        (("spread", "--bit", "-1 mm"), "--bit = -1 mm: a scatter is not less than nothing"),
        (("spread", "--bit", "1"), '--bit = 1: has no unit. Write mm or in, as in "5 15/16 in".'),
        (("strength", "--shop", "none.toml"), "none.toml: no such file"),
    ],
)
def test_questions_that_cannot_be_answered(words: tuple[str, ...], said: str) -> None:
    done = run("fit", words[0], HALLWAY, *words[1:])
    assert done.exit_code == 2
    assert done.stderr == f"{said}\n"


def test_a_second_card_is_cut_by_what_the_first_one_found(tmp_path: Path) -> None:
    """Paths for the effective bit, joints without offsets: so that the record it gives stands by itself."""
    out = tmp_path / "card"
    done = run("fit", "card", HALLWAY, "--out", out, "--shop", shop_file(tmp_path, RECORD))
    assert done.exit_code == 0, done.output
    assert "Bit flat-3.175-long: cuts ~1/8 in (3.110 mm) wide" in done.stdout
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
    assert wished.stdout.splitlines()[-2] == "  head -0.300 mm, drawn 10.812 mm"
    done = run("fit", "card", job, "--out", tmp_path / "card", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines()[-1].endswith(f"--shop {tmp_path}/shop.toml")
    table = tomllib.loads((tmp_path / "card/readings.toml").read_text(encoding="utf-8"))["card"]
    assert table["head_diameter"].startswith("10.812")


BOUGHT = {
    "neck": [6.2, 6.3, 6.1],
    "head": [11.0, 11.1, 10.9],
    "peg_length": [18.2, 18.3, 18.1],
    "mouth": [8.1, 8.2, 8.0],
    "hole": [12.9],
    "socket_depth": ["19.9 mm", 19.9],
}


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
    assert list(tomllib.loads(file.read_text(encoding="utf-8"))) == [*BOUGHT, "width"]
    text = drawing.read_text(encoding="utf-8")
    assert all(f">{letter}</text>" in text for letter in "ABCDEFG")
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
        "  Their peg in our socket: side play 0.015 in (0.373 mm), pull-out play 0.014 in (0.355 mm).",
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


def test_a_tuning_that_cannot_be_read_is_refused_with_its_keys(card: Path, tmp_path: Path) -> None:
    folder = tmp_path / "card"
    shutil.copytree(card, folder)
    data = json.loads((folder / "manifest.json").read_text(encoding="ascii"))
    sizes = dict.fromkeys(data["joint"], 1.0)
    data["tuning"] = {"design": sizes, "drawn": {}, "play_change": {"peg": 0, "socket": 0, "own": "x"}, "words": [1]}
    (folder / "manifest.json").write_text(json.dumps(data), encoding="ascii")
    done = run("dryrun", folder)
    assert done.exit_code == 2
    lines = done.stderr.splitlines()
    assert lines[-1] == "tuning.words = [1]: is a list of strings"
    assert "tuning.play_change.own = 'x': is a number" in lines
    assert sum(line.startswith("tuning.drawn.") and line.endswith(": is missing") for line in lines) == 6
