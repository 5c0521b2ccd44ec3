"""Anyone's file by the command line: what comments cannot hide, what a slip of the pen comes to, what is said of it."""

import json
from pathlib import Path

import pytest

from cli.jobs import run
from platelayer.road.foreign import dry_run_file

STRANGE = "G21 G90\nG0 Z10\nM3 S12000\nG0 X10 Y10\nG1 Z-3 F300\nG1 X50 F900\nG2 X70 Y30 I0 J20\nG0 Z10\nM5\nM30\n"
BOARD = ("--board", "4 x 4 x 1/2 in")


def judged(tmp_path: Path, text: str) -> tuple[int, list[dict[str, object]]]:
    file = tmp_path / "strange.nc"
    file.write_text(text, encoding="utf-8")
    done = run("dryrun", file, "--bit", "1/8 in", *BOARD, "--json")
    return done.exit_code, json.loads(done.stdout)["findings"]


@pytest.mark.parametrize("comment", ["(BIT 0 mine)", "(BIT 3 mm end mill)", "(BIT 7 seven)"])
def test_a_comment_that_looks_like_a_bit_does_not_hide_the_cuts(comment: str, tmp_path: Path) -> None:
    code, findings = judged(tmp_path, f"{comment}\n{STRANGE.replace('M3 S12000', 'S12000')}")
    assert code == 1
    assert [finding["code"] for finding in findings] == ["cutting-spindle-off"]


def test_cuts_before_a_comment_that_looks_like_a_bit_count_too(tmp_path: Path) -> None:
    text = STRANGE.replace("M3 S12000\n", "").replace("G2 X70", "(BIT 1 late)\nM3 S12000\nG2 X70")
    code, findings = judged(tmp_path, text)
    assert code == 1
    assert (findings[0]["code"], findings[0]["where"]["line"]) == ("cutting-spindle-off", 4)


def test_a_stranger_is_not_told_to_make_a_job_again(tmp_path: Path) -> None:
    wrong = (
        STRANGE.replace("M3 S12000\n", "").replace("Z-3", "Z-15").replace("G21 ", "").replace("M30\n", "M30\nG4 P1\n")
    )
    code, findings = judged(tmp_path, wrong)
    assert code == 1
    assert {finding["code"]: finding["advice"] for finding in findings} == {
        "reading-cut-short": "Take the rest out, or make the file again.",
        "reading-units": "Put G21 or G20 before its first move.",
        "travel-too-deep": "Check thickness and zero of the board.",
        "cutting-spindle-off": "The file must start the spindle and wait for it before it cuts.",
    }


def test_what_stands_after_the_end_is_not_called_cut_short(tmp_path: Path) -> None:
    _, findings = judged(tmp_path, STRANGE + "G0 X5\n")
    assert [(finding["text"], finding["where"]["line"]) for finding in findings] == [
        ("strange.nc goes on after M30 in line 10, which ends the program: what follows is never run.", 10)
    ]


@pytest.mark.parametrize("text", ["", "\n \n", "(nothing)\n"], ids=["empty", "blank", "a comment"])
def test_a_file_without_moves_is_cut_short_and_no_more(text: str, tmp_path: Path) -> None:
    code, findings = judged(tmp_path, text)
    assert (code, [finding["code"] for finding in findings]) == (1, ["reading-cut-short"])


def test_a_dwell_in_the_wood_is_told_and_no_bend_of_a_bit_whose_length_nobody_knows(tmp_path: Path) -> None:
    code, findings = judged(tmp_path, STRANGE.replace("G2 X70", "G4 P9\nG2 X70").replace("Z-3", "Z-12"))
    assert (code, [(one["code"], one["where"]["line"]) for one in findings]) == (0, [("cutting-dwell", 7)])


def test_a_program_lost_in_increments_says_so_once(tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE.replace("G0 Z10\nM5", "G91\n" + "G1 X60000\n" * 50 + "M5"), encoding="ascii")
    done = run("dryrun", file, "--bit", "1/8 in", *BOARD)
    assert (done.exit_code, done.stderr) == (2, "strange.nc:10:4: a place or a centre more than 100 m off\n")


@pytest.mark.parametrize(("board", "units"), [("4 x 4 x 1/2 in", "in"), ("100 x 100 x 12 mm", "mm")])
def test_the_page_opens_in_the_units_of_the_board(board: str, units: str, tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE, encoding="ascii")
    proof = dry_run_file(file, bit="1/8 in", board=board, zero="top")
    assert proof.manifest.units == units


OUT_OF_LINE = (
    "parts of a program that are called from elsewhere are not read. Write all moves out, one after the other."
)
PLACES = "machine places are not read. Write the place in the board's coordinates."
ZERO = "moving the zero is not read. Set the zero by hand before the run."
LENGTHS = "tool length offsets are not read. Zero each bit by hand and use one file a bit."


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("O100 sub", f"1 O100: {OUT_OF_LINE}"),
        ("o<groove> call", f"1 O: {OUT_OF_LINE}"),
        ("M98 P100", f"1 M98: {OUT_OF_LINE}"),
        ("G28", f"1 G28: {PLACES}"),
        ("G91 G28.1 Z0", f"5 G28.1: {PLACES}"),
        ("G53 G0 Z0", f"1 G53: {PLACES}"),
        ("G92 X0 Y0", f"1 G92: {ZERO}"),
        ("G52 X0", f"1 G52: {ZERO}"),
        ("G10 L20 P1 X0", f"1 G10: {ZERO}"),
        ("G0 L3", "4: the letter L is not read; known are F, G, I, J, M, N, P, R, S, T, X, Y, Z"),
        ("G43.1 Z-5", f"1 G43.1: {LENGTHS}"),
        ("G43 H1", f"5 H1: {LENGTHS}"),
        ("G81 X5 Y5 Z-3 R1", "1 G81: drilling cycles are not read. Write their moves out, one after the other."),
        ("G1 A90", "4 A90: only the axes X, Y and Z are read. Write the program for three axes."),
    ],
)
def test_words_that_other_hands_write_are_named_for_what_they_are(line: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(f"{line}\n{STRANGE}", encoding="ascii")
    done = run("dryrun", file, "--bit", "1/8 in", *BOARD)
    assert (done.exit_code, done.stderr) == (2, f"strange.nc:1:{said}\n")


@pytest.mark.parametrize("number", ["O1234", "o7 (straights)", "N10 O1234"])
def test_the_number_of_a_program_is_read_and_changes_nothing(number: str, tmp_path: Path) -> None:
    assert judged(tmp_path, f"%\n{number}\n{STRANGE}%\n") == judged(tmp_path, STRANGE)


def test_the_summary_says_what_is_known(tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE, encoding="ascii")
    lines = run("dryrun", file, "--bit", "1/8 in", *BOARD).stdout.splitlines()
    assert lines[0] == "Job strange: no pieces are known"
    assert lines[3].startswith("  strange.nc: bit flat, 1/8 in (3.175 mm), 12000 rev/min; ")
    assert lines[4].endswith(", at the feeds alone since the machine is not known, pauses not counted.")


@pytest.mark.parametrize(
    ("bit", "board", "said"),
    [
        ("1/8", "4 x 4 x 1/2 in", '--bit = 1/8: a fraction without its unit. Write "1/8 in".'),
        ("1/8 in", "4 x 4 x 1/2", '--board = 1/2: a fraction without its unit. Write "1/2 in".'),
        ("1/8 in", "4 in x 4 1/2 x 12", '--board = 4 1/2: a fraction without its unit. Write "4 1/2 in".'),
        ("3.175", "4 x 4 x 1/2 in", '--bit = 3.175: has no unit. Write mm or in, as in "5 15/16 in".'),
        (
            "1/8 in",
            "36 x 11 x 0.5",
            "--board = 36 x 11 x 0.5: has no unit. "
            'Write width x depth x thickness, as in "36 x 11 x 1/2 in" or "900 x 140 x 12.7 mm".',
        ),
        (
            "1/8 in",
            "36 x 11 in",
            "--board = 36 x 11 in: says nothing of the thickness: measure it. "
            'Write width x depth x thickness, as in "36 x 11 x 1/2 in" or "900 x 140 x 12.7 mm".',
        ),
    ],
)
def test_a_number_without_a_unit_is_not_taken_for_millimetres(bit: str, board: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE, encoding="ascii")
    done = run("dryrun", file, "--bit", bit, "--board", board)
    assert (done.exit_code, done.stderr.strip()) == (2, said)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("G1 X99999999999", "strange.nc:8:4: a place or a centre more than 100 m off"),
        ("G2 X70 Y30 I99999999999", "strange.nc:8:4: a place or a centre more than 100 m off"),
        ("\ufeffG1 X5", "strange.nc:8:1 U+FEFF: this character is not read. Save the file without a byte order mark."),
    ],
    ids=["a place", "a centre", "a byte order mark"],
)
@pytest.mark.parametrize("padding", [0, 40], ids=["alone", "among plain lines"])
def test_a_slip_of_the_pen_is_a_fault_with_its_line(line: str, said: str, padding: int, tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE.replace("G0 Z10\nM5", f"{line}\n" + "G1 X50\n" * padding + "G0 Z10\nM5"), encoding="utf-8")
    done = run("dryrun", file, "--bit", "1/8 in", *BOARD)
    assert (done.exit_code, done.stderr.strip()) == (2, said)
