"""Questions about a job's joints: picture, spread, seasons, strength and small parts."""

from pathlib import Path

import pytest

from cli.fit_jobs import HALLWAY, MATE, RECORD, shop_file, tuned_job
from cli.jobs import run, small_job


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


def test_faces_that_stay_apart_are_told(tmp_path: Path) -> None:
    """Plays alone once made a joint that jams look as if it went together."""
    job = tmp_path / "job.toml"
    job.write_text(small_job(joint='peg_root = "none"\nmouth = "none"'), encoding="utf-8")
    drawn = run("fit", "picture", job, "--out", tmp_path / "joint.svg")
    assert drawn.stdout.endswith("pull-out play 0.002 in (0.062 mm). The faces stay 0.008 in (0.213 mm) apart.\n")
    seasons = run("fit", "wood", job)
    assert all(line.endswith(", faces 0.008 in (0.213 mm) apart") for line in seasons.stdout.splitlines()[1:3])


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
    job.write_text(f'{small_job()}\n[fit]\npart = "both"\n{MATE}', encoding="utf-8")
    own = run("fit", "spread", job, "--draws", 300)
    assert "mate 0.000 mm, growth 0.00%" in own.stdout  # our own parts with each other: no bought set has a part in it


def test_what_a_caliper_said_of_a_set_is_how_it_scatters(tmp_path: Path) -> None:
    job, bought = tmp_path / "job.toml", tmp_path / "bought.toml"
    sizes = (
        "neck = [6.1, 6.3]\nhead = [10.9, 11.1]\npeg_length = [18.2]\n"
        "mouth = [8.0, 8.2]\nhole = [12.8, 12.9, 13.0]\nsocket_depth = [19.7, 20.1]\n"
    )
    bought.write_text(sizes, encoding="utf-8")
    for part, said in (("peg", "mate 0.141, 0.100, 0.283 mm"), ("socket", "mate 0.141, 0.020 mm")):
        job.write_text(f'{small_job()}\n[fit]\npart = "{part}"\n{MATE}', encoding="utf-8")
        done = run("fit", "spread", job, "--draws", 300, "--bought", bought)
        assert done.exit_code == 0, done.output
        assert said in done.stdout.splitlines()[0]
    both = run("fit", "spread", job, "--bought", bought, "--mate", "0.1 mm")
    assert both.exit_code == 2
    assert both.stderr == "--mate: the scatter of the mate is written too. Leave one of the two out.\n"
    none = run("fit", "spread", HALLWAY, "--bought", bought)
    assert none.exit_code == 2
    assert none.stderr == (
        "--bought: joints of this job go with no bought set."
        " Put its [mate] table into the job, and let part be peg or socket.\n"
    )


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


def test_air_in_which_the_table_of_movements_does_not_hold_is_said_so() -> None:
    # source: FPL-GTR-190, chapter 13: coefficients between 6 and 14 % of moisture; 85 % humidity gives 17.9 %
    done = run("fit", "wood", HALLWAY, "--damp", "85")
    assert done.stdout.splitlines()[-1] == (
        "  Coefficients are tabulated from 6% to 14% of moisture; beyond, they are a guess."
    )


def test_strength_and_small_parts_caution_and_certify_nothing() -> None:
    done = run("fit", "strength", HALLWAY)
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0] == "Neck 1/4 in (6.350 mm) wide, in hard-maple:"
    assert lines[2].endswith("Let the grain run along the peg.")
    assert lines[4] == (
        "  A head broken off: goes into the small-parts cylinder of toy rules. Not for children under three. This"
        " is a caution, not a certificate."
    )
    assert lines[6] == (
        # 2 3/8 in and the peg: 9/32 in to the head and 7/16 in of it
        "  straight 2 3/8 in, 3 3/32 in (78.581 mm) over all, its peg counted: longer than the cylinder across its"
        " corners, ~2 37/64 in (65.377 mm); it never goes in."
    )


def test_a_short_plain_piece_and_an_unlisted_wood(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    plain = '\n[[piece]]\nname = "stub"\nlength = "22 mm"\nstart = "plain"\nend = "plain"\n'
    job.write_text(small_job().replace("hard-maple", "pine") + plain, encoding="utf-8")
    lines = run("fit", "strength", job).stdout.splitlines()
    assert lines[0] == "No strength of pine is known here; known: hard-maple, birch, cherry, beech, red-oak."
    assert lines[-1].startswith(
        "  straight 0.86614 in, 1 9/16 in (39.688 mm) over all: goes into the small-parts cylinder of toy rules."
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("wood", "--dry", "0"), "--dry = 0: relative humidity is more than 0 and less than 100 %"),
        (("wood", "--dry", "70"), "--dry = 70: no drier than --damp"),
        (("wood", "--celsius", "90"), "--celsius = 90: a room is between 0 and 60 degrees Celsius"),
        (
            ("wood", "--mate-wood", "beach"),
            "--mate-wood = beach: no movement is tabulated for it. Did you mean beech?",
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


@pytest.mark.parametrize("command", ["picture", "spread", "wood", "strength"])
def test_what_is_wrong_with_a_job_is_told_with_its_place(command: str, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(tuned_job('feel = "easy"', shop='shop = "none.toml"'), encoding="utf-8")
    line = job.read_text(encoding="utf-8").splitlines().index('shop = "none.toml"') + 1
    done = run("fit", command, job)
    assert done.exit_code == 2
    assert done.stderr == (
        f"{job}:{line} [job] shop = none.toml: no such file beside the job. Leave it out, or make it:"
        " platelayer fit card, then platelayer fit read.\n"
    )
