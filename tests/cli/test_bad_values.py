"""Names and numbers that nobody should give: one sentence, the right exit code, and never a traceback."""

import pytest

from cli.jobs import run, small_job

LONG = "x" * 300
DEEP = "a = " + "[" * 5000 + "]" * 5000

BAD = {
    "a name that is too long": (("make", f"{LONG}.toml", "--out", "out"), "File name too long"),
    "a folder whose name is too long": (("make", "job.toml", "--out", LONG), "File name too long"),
    "a page whose name is too long": (("keys", "--page", LONG), "File name too long"),
    "a new file where no folder can be": (("new", "job.toml/new.toml"), "job.toml/new.toml: cannot be written"),
    "a new floor where no folder can be": (("floor", "new", "/proc/none/f.toml"), "/proc/none/f.toml: cannot be"),
    "lists within lists": (
        ("make", "deep.toml", "--out", "out"),
        "deep.toml: not TOML: lists within one another, too deep to be read",
    ),
    "lists within lists of a floor": (("floor", "check", "deep.toml"), "deep.toml: not TOML: lists within one another"),
    "a link to itself": (
        ("rehearse", "loop", "--out", "air"),
        "loop: no such folder. Name the folder that make wrote, or",
    ),
    "a file in place of the folder": (
        ("sheet", "job.toml"),
        "job.toml: a file, where a folder is wanted. Name the folder that make wrote.",
    ),
    "a folder in which nothing was made": (("sheet", "."), ".: nothing that was made and passed lies in it. Name the"),
    "a folder in place of the job": (("make", "."), ".: a folder, where a file is wanted"),
    "a name nearly right": (("make", "jo.toml", "--out", "out"), "jo.toml: no such file. Did you mean job.toml?"),
    "a job in place of G-code": (
        ("dryrun", "job.toml"),
        "job.toml: no G-code. To make the job and dry-run it: platelayer make job.toml.",
    ),
    "a job in place of the shop's own file": (
        ("make", "job.toml", "--out", "out", "--shop", "job.toml"),
        "job.toml: holds job, bits, joint, board, piece, where a shop's own file has [[record]] tables alone.",
    ),
    "a decimal comma": (
        ("make", "comma.toml", "--out", "out"),
        "comma.toml:1:11: not TOML: expected newline or end of document after a statement. Decimals go with a point",
    ),
    "a decimal comma in a list": (
        ("make", "commas.toml", "--out", "out"),
        "commas.toml:1:15: not TOML: unclosed array. Decimals go with a point, as in 10.02.",
    ),
    "a folder in place of a file to fill in": (("fit", "bought", "--new", "."), ".: a folder, where a file is wanted"),
    "the root": (("fit", "bought", "--new", "/"), "/: a folder, where a file is wanted"),
    "draws before the first": (("fit", "spread", "job.toml", "--seed", "-1"), "-1 is not in the range x>=0"),
    "an answer before the first": (("floor", "close", "f.toml", "--pick", "0"), "0 is not in the range 1<=x<=20"),
    "time that ran out": (("floor", "close", "f.toml", "--seconds", "-1"), "-1.0 is not in the range 0<=x<=3600"),
    "no time": (("timing", "--took", "nan"), "--took = nan s: more than any axis takes for these moves."),
    "time without end": (("timing", "--took", "inf"), "--took = inf s: more than any axis takes for these moves."),
    "years": (("timing", "--took", "1e30"), "--took = 1e+30 s: more than any axis takes for these moves."),
    "a bit that nobody has": (("quicker", "job.toml", "--own", "0"), "--own = 0: no such bit."),
}


@pytest.mark.parametrize(("args", "sentence"), BAD.values(), ids=BAD)
def test_a_bad_value_is_told_in_a_sentence(tmp_path, monkeypatch, args, sentence):
    """Each but the last ended in a traceback, or in an acceleration of 0 or nan; the last after a whole dry run."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "job.toml").write_text(small_job(), encoding="utf-8")
    (tmp_path / "deep.toml").write_text(DEEP, encoding="utf-8")
    (tmp_path / "comma.toml").write_text("width = 18,5\n", encoding="utf-8")
    (tmp_path / "commas.toml").write_text("slot_x = [10,02, 10.01]\n", encoding="utf-8")
    (tmp_path / "loop").symlink_to("loop")
    done = run(*args)
    assert done.exit_code == 2
    assert sentence in done.stderr
    assert len([line for line in done.stderr.splitlines() if line and not line.startswith(("Usage:", "Try "))]) == 1
