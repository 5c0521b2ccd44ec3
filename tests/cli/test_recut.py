"""What a person sees of recut and rehearse: what is asked and said, a sentence and an exit code for each fault."""

import re
import shutil

import pytest
from click.testing import CliRunner

from platelayer.cli import main
from recut_jobs import make_job

FILE = "A-1-flat-3.175-long.nc"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return make_job("dial", tmp_path_factory.mktemp("cli") / "build")


def run(*words, said=None):
    return CliRunner().invoke(main, [str(word) for word in words], input=said)


def test_a_recut_is_written_and_says_what_it_is(folder, tmp_path):
    out = tmp_path / "more.nc"
    done = run("recut", folder / FILE, "--piece", "short-01", "--zero", "kept", "--out", out)
    assert done.exit_code == 0, done.output
    assert done.stdout == ""
    assert done.stderr.startswith(f"RECUT: goes on with {FILE}.\nBegins with pass ")
    assert done.stderr.endswith(f"Dry run together with what was cut before: passed. Written to {out}.\n")
    assert out.read_text("ascii").startswith(f"(RECUT: goes on with {FILE})\n")
    again = run("recut", folder / FILE, "--pass", 3, "--zero", "kept", "--out", out)
    assert (again.exit_code, again.stderr) == (2, f"{out}: exists already. Name another, or give --force.\n")
    assert run("recut", folder / FILE, "--pass", 3, "--zero", "kept", "--out", out, "--force").exit_code == 0


@pytest.mark.parametrize(("said", "word"), [("lost\n", "ZERO LOST"), ("perhaps\nkept\n", "Zero kept: so you said")])
def test_zero_is_asked_for_and_never_taken_for_granted(folder, tmp_path, said, word):
    done = run("recut", folder / FILE, "--from-line", 300, "--out", tmp_path / "more.nc", said=said)
    assert done.exit_code == 0
    assert "Was zero kept or lost? Lost when power failed" in done.stderr
    assert word in done.stderr and word in (tmp_path / "more.nc").read_text("ascii")


def test_without_an_answer_nothing_is_written(folder, tmp_path):
    done = run("recut", folder / FILE, "--from-line", 300, "--out", tmp_path / "more.nc", said="")
    assert done.exit_code == 2
    assert done.stderr.endswith("Error: say whether zero was kept or lost: --zero kept or --zero lost.\n")
    assert not (tmp_path / "more.nc").exists()


FAULTS = {
    "beyond the end": (
        ("--from-line", 99999),
        "{file} --from-line = 99999: the file has lines 1 to {lines}. Give the last line that was surely cut; an"
        " earlier one costs time only.",
    ),
    "line zero": (
        ("--from-line", 0),
        "{file} --from-line = 0: the file has lines 1 to {lines}. Give the last line that was surely cut; an earlier"
        " one costs time only.",
    ),
    "before the first cut": (
        ("--from-line", 20),
        "{file} --from-line = 20: nothing is cut before that line, its first cut begins at line {first}. Run the whole"
        " file from its beginning.",
    ),
    "unknown piece, one near": (
        ("--piece", "shrt-01"),
        "{file} --piece = shrt-01: no such piece is cut in this file. Did you mean short-01?",
    ),
    "unknown piece, none near": (
        ("--piece", "xyz"),
        "{file} --piece = xyz: no such piece is cut in this file. Known: bend-01, short-01.",
    ),
    "no such pass": (("--pass", 4000), "{file} --pass = 4000: the file has passes 1 to {passes}"),
    "no such pass of a piece": (
        ("--pass", 4000, "--piece", "short-01"),
        "{file} --pass = 4000: short-01 has passes 1 to {of_short}",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_has_its_sentence(folder, tmp_path, name):
    words, sentence = FAULTS[name]
    lines = (folder / FILE).read_text("ascii").splitlines()
    begins = [n for n, line in enumerate(lines[1:], 2) if line.startswith("G1") and re.match("G0 (?!Z-)", lines[n - 2])]
    titles, last = [], ""
    for number, line in enumerate(lines, 1):
        last = (
            line[1:].split()[0]
            if line.startswith("(") and line.endswith(("groove)", "notch)", "socket)", "outline)"))
            else last
        )
        titles += [last] if number in begins else []
    done = run("recut", folder / FILE, *words, "--zero", "kept", "--out", tmp_path / "more.nc")
    wanted = sentence.format(
        file=FILE, lines=len(lines), first=begins[0], passes=len(begins), of_short=titles.count("short-01")
    )
    assert (done.exit_code, done.stderr, done.stdout) == (2, wanted + "\n", "")
    assert not (tmp_path / "more.nc").exists()


@pytest.mark.parametrize("words", [(), ("--from-line", 300, "--pass", 2), ("--from-line", 300, "--piece", "short-01")])
def test_one_place_to_go_on_from_is_wanted(folder, tmp_path, words):
    done = run("recut", folder / FILE, *words, "--zero", "kept", "--out", tmp_path / "more.nc")
    assert done.exit_code == 2
    assert done.stderr.endswith("Error: say where to go on: --from-line N, or --piece ID, --pass K or both.\n")


def test_a_file_that_is_not_ours_is_refused(folder, tmp_path):
    out = tmp_path / "more.nc"
    ask = ("--from-line", 300, "--zero", "kept", "--out", out)
    lone = tmp_path / "lone.nc"
    lone.write_text("G0 X1\n")
    done = run("recut", lone, *ask)
    wanted = (
        f"{lone}: no manifest.json beside it, so what the file means is not known. Give the file in the folder that"
    )
    assert (done.exit_code, done.stderr) == (2, wanted + " make wrote.\n")
    other = folder / "A-1-flat.nc"
    done = run("recut", other, *ask)
    wanted = f"{other}: not a file of {folder / 'manifest.json'}. Did you mean {FILE}?\n"
    assert (done.exit_code, done.stderr) == (2, wanted)
    done = run("recut", folder / FILE, *ask[:-1], tmp_path / FILE)
    assert (done.exit_code, done.stderr) == (
        2,
        f"--out = {tmp_path / FILE}: is the name of a file of this job. Name another.\n",
    )
    changed = tmp_path / "changed"
    shutil.copytree(folder, changed)
    text = (changed / FILE).read_text("ascii")
    (changed / FILE).write_text(text.replace("F1700", "F1900"), "ascii")
    done = run("recut", changed / FILE, *ask)
    wanted = (
        f"{changed / FILE}: changed since make wrote it, so its lines may mean something else. Put back the file as"
    )
    assert (done.exit_code, done.stderr) == (2, wanted + " it was made.\n")
    (changed / FILE).unlink()
    done = run("recut", changed / FILE, *ask)
    assert (done.exit_code, done.stderr) == (2, f"{changed / FILE}: no such file\n")
    assert not out.exists()


def test_a_recut_whose_job_fails_its_dry_run_is_not_handed_over(folder, tmp_path):
    # the manifest asks for a tab that the file cuts away: nothing may go on with that
    changed = tmp_path / "changed"
    shutil.copytree(folder, changed)
    text = (changed / "manifest.json").read_text("ascii")
    assert '"thickness": 12.7' in text
    (changed / "manifest.json").write_text(text.replace('"thickness": 12.7', '"thickness": 11.7'), "ascii")
    out = tmp_path / "more.nc"
    done = run("recut", changed / FILE, "--from-line", 300, "--zero", "kept", "--out", out)
    assert done.exit_code == 1
    assert "Dry run refused" in done.stdout and done.stderr == f"Nothing written to {out}.\n"
    assert not out.exists()


def test_a_rehearsal_is_written_to_a_folder_of_its_own(folder, tmp_path):
    out = tmp_path / "air"
    done = run("rehearse", folder, "--out", out)
    names = ["A-trace.nc", "A-1-flat-3.175-long-air.nc"]
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == "".join(f"Written {out / name}\n" for name in names)
    assert sorted(path.name for path in out.iterdir()) == sorted([*names, "written.json"])
    low = run("rehearse", folder, "--out", tmp_path / "low", "--lift", "1/8 in")
    assert low.exit_code == 1 and "comes too near the wood" in low.stderr
    bad = run("rehearse", folder, "--out", tmp_path / "low", "--lift", "high")
    assert bad.exit_code == 2 and bad.stderr.startswith("--lift = high: ")


def test_a_file_that_is_not_there_is_said_before_anything_is_asked(folder, tmp_path):
    done = run("recut", tmp_path / "gone.nc", "--from-line", 300, "--out", tmp_path / "more.nc", said="")
    assert done.exit_code == 2
    assert done.stderr == (
        f"{tmp_path / 'gone.nc'}: no manifest.json beside it, so what the file means is not known."
        " Give the file in the folder that make wrote.\n"
    )
