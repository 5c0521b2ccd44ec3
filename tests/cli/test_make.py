"""The main job from end to end, as a person runs it: what comes out, what is refused, and with which exit code."""

import json
import re
from pathlib import Path

import pytest

from cli.jobs import ROOT, has_marks, made, make, run, small_job

EXAMPLES = sorted(path.parent.name for path in (ROOT / "examples").glob("*/job.toml"))


def example(name: str) -> str:
    return (ROOT / "examples" / name / "job.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def hallway(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hallway")
    made(folder, example("hallway"), "--json")
    return folder / "out"


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_passes_its_dry_run_and_says_it_is_invented(name: str, tmp_path: Path) -> None:
    assert "invented" in example(name).split("\n\n")[0].lower()
    data = json.loads(made(tmp_path, example(name), "--json").stdout)
    assert data["passed"]
    assert max(piece["gouge_mm"] for piece in data["pieces"]) <= 0.005
    assert max(piece["leftover_mm"] for piece in data["pieces"]) <= 0.02
    assert all(joint["seat"]["couples"] for joint in data["joints"])
    assert all(joint["seat"]["opening_mm"] <= 0.01 for joint in data["joints"])


def test_there_are_twelve_long_four_short_and_four_curves_in_the_hallway(hallway: Path) -> None:
    pieces = json.loads((hallway / "manifest.json").read_text(encoding="ascii"))["pieces"]
    kinds = [(piece["kind"], round(piece["length"], 4)) for piece in pieces]
    # source: worked by hand, 5 15/16 in and 2 3/8 in; 8 in over 45 degrees is 8 x 25.4 x pi / 4
    assert kinds.count(("straight", 150.8125)) == 12
    assert kinds.count(("straight", 60.325)) == 4
    assert kinds.count(("curve", 159.5929)) == 4


def test_no_file_reaches_the_limit_of_the_second_reader_and_none_was_skipped(hallway: Path) -> None:
    done = run("dryrun", hallway, "--json")
    codes = [finding["code"] for finding in json.loads(done.stdout)["findings"]]
    assert "reading-second-reader-skipped" not in codes
    assert "reading-second-reader" not in codes


@pytest.mark.usefixtures("anew")
def test_same_job_same_bytes(tmp_path: Path) -> None:
    made(tmp_path / "first", example("two-bits"), "--json")
    first, again, job = tmp_path / "first" / "out", tmp_path / "out", tmp_path / "kept" / "job.toml"
    job.parent.mkdir()
    job.write_text(example("two-bits"), encoding="utf-8")
    done = run("make", job, "--out", again)
    assert done.exit_code == 0, done.output
    *_, preview, page = done.stdout.splitlines()
    assert preview.endswith(f"Preview to open: {again}/preview.html")
    assert page == f"To change it on a page in your browser: platelayer open {job.parent}"
    names = sorted(path.name for path in first.iterdir())
    assert names == sorted(path.name for path in again.iterdir())
    assert [name for name in names if (first / name).read_bytes() != (again / name).read_bytes()] == []


def test_every_length_in_what_is_handed_over_is_in_words(hallway: Path) -> None:
    texts = {path.name: path.read_text(encoding="utf-8") for path in hallway.iterdir()}
    assert [name for name, text in texts.items() if has_marks(text)] == []


def test_the_first_motion_is_z_alone_and_up_and_the_last_line_ends_the_program(hallway: Path) -> None:
    for path in hallway.glob("*.nc"):
        lines = path.read_text(encoding="ascii").splitlines()
        first = next(line for line in lines if re.match(r"G[0123] ", line))
        assert re.fullmatch(r"G0 Z\d+(\.\d+)?", first)
        assert lines[-1] in {"M2", "M30"}
        assert max(len(line) for line in lines) < 70


JAM = (
    "the peg's root holds the faces 0.008 in (0.213 mm) apart, and only 0.002 in (0.06",
    "is left before the head meets the lips: the joint will jam. Use relieve.",
)
APART = (
    "needs 0.042 in (1.075 mm) of opening but the head meets the lips at 0.011 in (0.27",
    "the joint does not go together. Use relieve, with [bits] joints = flat-4.763.",
)


@pytest.mark.parametrize(
    ("bit", "bits", "said"),
    [("flat-3.175-long", "", JAM), ("flat-6.35-up", 'grooves = "flat-3.175-long"', APART)],
    ids=["an eighth jams", "a quarter does not go together"],
)
def test_uncured_corners_are_told_with_their_figures(
    bit: str, bits: str, said: tuple[str, str], tmp_path: Path
) -> None:
    # source: worked by hand: r - sqrt(r^2 - (r - g)^2), g = 1/32 in: 0.2127 mm for r 1/16 in, 1.0749 mm for r 1/8 in
    done = make(tmp_path, small_job(bit=bit, bits=bits, joint='peg_root = "none"\nmouth = "none"'))
    assert done.exit_code == 1
    (line,) = (line for line in done.stderr.splitlines() if "[joint] peg_root = none: " in line)
    assert said[0] in line
    assert said[1] in line
    assert not list((tmp_path / "out").glob("*.nc"))


def test_an_edited_file_is_not_written_over_without_force(tmp_path: Path) -> None:
    made(tmp_path, small_job())
    file = next((tmp_path / "out").glob("*.nc"))
    file.write_text(file.read_text(encoding="ascii") + "(mine)\n", encoding="ascii")
    (tmp_path / "out" / "notes.txt").write_text("kept", encoding="utf-8")
    refused = make(tmp_path, small_job())
    assert refused.exit_code == 2
    assert refused.stderr == (
        f"{tmp_path}/out: edited since it was written: {file.name}."
        " Save it elsewhere, name another --out, or give --force.\n"
    )
    assert file.read_text(encoding="ascii").endswith("(mine)\n")
    assert make(tmp_path, small_job(), "--force").exit_code == 0
    assert not file.read_text(encoding="ascii").endswith("(mine)\n")
    assert (tmp_path / "out" / "notes.txt").read_text(encoding="utf-8") == "kept"


def test_a_folder_of_other_things_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "thesis.txt").write_text("years", encoding="utf-8")
    refused = make(tmp_path, small_job())
    assert refused.exit_code == 2
    assert refused.stderr == (
        f"{tmp_path}/out: holds files this program did not write. Name another --out, or give --force.\n"
    )


def test_all_faults_of_a_job_are_told_at_once_with_their_lines(tmp_path: Path) -> None:
    text = small_job().replace("width = 26", "widht = 26").replace("count = 1", "count = 0")
    done = make(tmp_path, text)
    assert done.exit_code == 2
    assert "[[board]] A widht: unknown key. Did you mean width?" in done.stderr
    assert "count = 0" in done.stderr
    assert all(re.match(rf"{tmp_path}/job.toml:\d+ ", line) for line in done.stderr.splitlines())


def test_a_mouth_wider_than_the_head_is_refused_with_value_limit_and_line(tmp_path: Path) -> None:
    done = make(tmp_path, small_job(joint='mouth_width = "15/32 in"'))
    assert done.exit_code == 2
    line = (tmp_path / "job.toml").read_text(encoding="utf-8").splitlines().index('mouth_width = "15/32 in"') + 1
    assert done.stderr.startswith(f"{tmp_path}/job.toml:{line} [joint] mouth_width = 15/32 in (11.906 mm): ")
    assert "7/16 in (11.113 mm)" in done.stderr


def test_too_many_pieces_says_how_many_boards_it_takes(tmp_path: Path) -> None:
    done = make(tmp_path, small_job(count=9))
    assert done.exit_code == 1
    assert re.search(r"Give \d more boards? like A, \d in all, or fewer pieces\.", done.stderr), done.stderr


def test_without_out_the_folder_is_named_after_the_job_and_lies_beside_it(tmp_path: Path) -> None:
    (tmp_path / "nursery.toml").write_text(small_job(), encoding="utf-8")
    done = run("make", tmp_path / "nursery.toml")
    assert done.exit_code == 0
    assert f"No --out given: the folder is {tmp_path / 'nursery'}.\n" in done.stderr
    summary = (tmp_path / "nursery" / "summary.txt").read_text(encoding="utf-8")
    assert summary.startswith("Job Small job for tests: 2 pieces")


def test_a_dry_run_of_the_folder_repeats_the_warnings_that_make_gave(tmp_path: Path) -> None:
    cherry = small_job().replace("hard-maple", "cherry").replace("mid-screw", "small-belt")
    first = make(tmp_path, cherry.replace("width = 26", "width = 15"))
    again = run("dryrun", tmp_path / "out")
    warnings = [line for line in first.stdout.splitlines() if line.startswith("  warning: ")]
    assert any("lists no feeds for flat-3.175-long in black cherry" in line for line in warnings)
    assert [line for line in again.stdout.splitlines() if line.startswith("  warning: ")] == warnings


def test_shop_papers_are_put_into_the_folder_and_a_second_make_keeps_them_up_to_date(tmp_path: Path) -> None:
    made(tmp_path, small_job())
    assert not (tmp_path / "out/sheet.html").exists()
    done = run("sheet", tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "out/sheet.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "out/templates.pdf").read_bytes().startswith(b"%PDF")
    outputs = {path.name for path in (tmp_path / "out").iterdir()}
    assert make(tmp_path, small_job().replace('"5 15/16"', '"4 1/8"')).exit_code == 0
    assert {path.name for path in (tmp_path / "out").iterdir()} == outputs
    sheet = (tmp_path / "out/sheet.html").read_text(encoding="utf-8")
    assert "4 1/8 in" in sheet
    assert "5 15/16 in" not in sheet


def test_a_job_of_curves_is_not_for_the_saw(tmp_path: Path) -> None:
    text = small_job().replace('name = "long"\nlength = "5 15/16"', 'kind = "curve"\nradius = 8\nangle = 30')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    done = run("saw", tmp_path / "job.toml")
    assert (done.exit_code, done.stdout) == (1, "")
    assert done.stderr.rstrip().endswith(
        ": a fence guides along a straight edge and cannot follow a curve."
        " A router cuts these grooves: platelayer make."
    )


def test_the_set_up_block_that_the_saw_asks_for_can_be_cut(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(small_job(), encoding="utf-8")
    said = run("saw", tmp_path / "job.toml").stdout
    table = "\n" + said[said.index("[[piece]]") :]
    assert make(tmp_path, small_job() + table).exit_code == 0
    pieces = json.loads((tmp_path / "out/manifest.json").read_text(encoding="utf-8"))["pieces"]
    (block,) = [piece for piece in pieces if piece["id"] == "set-up-block-01"]
    assert [end["kind"] for end in block["ends"]] == ["plain", "plain"]
    # the usual groove, 15/64 in wide and 9/64 in deep
    assert [(groove["width"], groove["depth"]) for groove in block["grooves"]] == [(5.953125, 3.571875)] * 2


def test_a_missing_job_is_two_and_without_traceback(tmp_path: Path) -> None:
    done = run("make", tmp_path / "none.toml", "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert done.stderr == f"{tmp_path}/none.toml: no such file\n"


def test_a_missing_file_of_the_shop_is_named_alone(tmp_path: Path) -> None:
    """The job's name stood before it, as if that were the place."""
    (tmp_path / "job.toml").write_text(small_job(), encoding="utf-8")
    done = run("make", tmp_path / "job.toml", "--out", tmp_path / "out", "--shop", tmp_path / "none.toml")
    assert (done.exit_code, done.stderr) == (2, f"{tmp_path}/none.toml: no such file\n")


def test_the_starter_job_is_a_job(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    assert run("new", job).exit_code == 0
    again = run("new", job)
    assert again.exit_code == 2
    assert again.stderr == f"{job}: exists already. Name another, or give --force.\n"
    assert run("make", job, "--out", tmp_path / "out").exit_code == 0


@pytest.mark.parametrize("name", ["machines", "bits", "materials", "pieces"])
def test_lists_have_a_head_and_rows(name: str) -> None:
    done = run(name)
    assert done.exit_code == 0
    assert len(done.stdout.splitlines()) > 2


STRANGE = "G21 G90\nG0 Z10\nM3 S12000\nG0 X10 Y10\nG1 Z-3 F300\nG1 X50 F900\nG2 X70 Y30 I0 J20\nG0 Z10\nM5\nM30\n"


def test_a_file_from_another_hand_is_dry_run_with_a_bit_and_a_board(tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE, encoding="ascii")
    good = run("dryrun", file, "--bit", "1/8 in", "--board", "4 x 4 x 1/2 in", "--page", tmp_path / "page.html")
    assert good.exit_code == 0, good.output
    assert (tmp_path / "page.html").read_text(encoding="utf-8").startswith("<!")
    file.write_text(STRANGE.replace("G0 X10 Y10", "G0 X10 Y10 Z-1"), encoding="ascii")
    bad = run("dryrun", file, "--bit", "1/8 in", "--board", "4 x 4 x 1/2 in", "--json")
    assert bad.exit_code == 1
    assert "travel-low-rapid" in [finding["code"] for finding in json.loads(bad.stdout)["findings"]]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "no manifest beside it names this file"),
        (("--bit", "flat-3.17", "--board", "4 x 4 x 1/2 in"), "did you mean flat-3.175?"),
        (("--bit", "1/8 in", "--board", "4 x 4 in"), "--board = 4 x 4 in: says nothing of the thickness: measure it. "),
    ],
    ids=["nothing given", "a near miss", "two lengths"],
)
def test_a_file_from_another_hand_needs_both(words: tuple[str, ...], said: str, tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE, encoding="ascii")
    done = run("dryrun", file, *words)
    assert done.exit_code == 2
    assert said.lower() in done.stderr.lower()


def test_a_word_the_reader_does_not_know_is_named_with_line_and_column(tmp_path: Path) -> None:
    file = tmp_path / "strange.nc"
    file.write_text(STRANGE.replace("G2 X70", "G5 X70"), encoding="ascii")
    done = run("dryrun", file, "--bit", "1/8 in", "--board", "4 x 4 x 1/2 in")
    assert done.exit_code == 2
    assert done.stderr.startswith("strange.nc:7:1")


def test_the_joint_is_drawn_between_two_pieces(hallway: Path) -> None:
    assert "short-01 into long-01: opening 0.000 in (0.000 mm)" in (hallway / "joint.svg").read_text(encoding="utf-8")


def test_the_saw_is_set_for_a_kerf_and_a_kerf_too_wide_is_refused() -> None:
    # worked by hand: groove from 11/64 in to 13/32 in, blade 1/8 in: fences 11/64 in and 13/32 - 1/8 = 9/32 in
    job = ROOT / "examples/hallway/job.toml"
    done = run("saw", job, "--kerf", "1/8 in")
    assert done.exit_code == 0
    assert "Setting 1: fence 11/64 in (4.366 mm)" in done.stdout
    assert "Setting 2: fence 9/32 in (7.144 mm)" in done.stdout
    assert "Not at the saw: curve-left and curve-right. There a fence guides along a straight edge" in done.stdout
    wide = run("saw", job, "--kerf", "1/4 in")
    assert wide.exit_code == 1
    assert wide.stderr.startswith("--kerf = 1/4 in (6.350 mm): must be more than nothing and no wider than a groove")
    nothing = run("saw", job, "--kerf", "-3 mm")
    assert nothing.exit_code == 2
    assert nothing.stderr == "--kerf = -3 mm: a blade leaves more than nothing. Measure the slot of a test cut.\n"


def test_a_curve_of_eight_inches_in_a_job_in_millimetres_is_titled_in_millimetres(tmp_path: Path) -> None:
    text = small_job().replace('units = "in"', 'units = "mm"').replace("radius = 8", "radius = 203.2")
    text = text.replace("width = 26\nheight = 5", "width = 660\nheight = 127").replace('"5 15/16"', '"5 15/16 in"')
    assert make(tmp_path, text).exit_code == 0
    titles = {piece["title"] for piece in json.loads((tmp_path / "out" / "manifest.json").read_text())["pieces"]}
    assert titles == {"curve 203.2 mm 45 degrees left", "straight 150.813 mm"}


def test_a_short_bit_is_no_collision_before_the_first_move(tmp_path: Path) -> None:
    """With zero under the wood the bit was once taken to begin there, holder and all; nobody knows where it is."""
    short = '[[bit]]\nid = "short"\nkind = "flat"\ndiameter = "1/8 in"\ncutting_length = "6 mm"\nstick_out = "10 mm"\n'
    text = small_job(bits='grooves = "short"\n').replace("[[board]]", f'{short}\n[[board]]\nzero = "spoilboard"\n')
    done = make(tmp_path, text)
    assert done.exit_code == 0, done.output


def test_a_finishing_bit_that_does_one_peg_is_no_mix_of_units(tmp_path: Path) -> None:
    """What it cuts is 25 times smaller than the row of pieces; that was once called inches read as millimetres."""
    tiny = '[[bit]]\nid = "tiny"\nkind = "flat"\ndiameter = "1.5 mm"\ncutting_length = "14 mm"\nshank = "1.5 mm"\n'
    piece = '[[piece]]\nname = "{}"\nlength = "{} mm"\ncount = {}\nstart = "plain"\nend = "{}"\n'
    text = small_job(bits='finish = "tiny"\n', joint='peg_root = "finish"').split("[[piece]]")[0]
    text += tiny + piece.format("one", 100, 1, "peg") + piece.format("rest", 85, 2, "plain")
    done = make(tmp_path, text)
    assert "inches and millimetres were swapped" not in done.output
    assert done.exit_code == 0, done.output
