"""Single edits of written files, the manifest's hash mended: what a referee finds harmful is refused, the rest passes."""

import json
import random
import re
from collections import Counter
from dataclasses import replace
from functools import cache
from hashlib import sha256
from pathlib import Path

import pytest

from broken_files.single_edits import edits
from broken_files.small_job import polygon_of
from cli.jobs import KEPT, ROOT, make
from platelayer.proof.dry_run import dry_run
from referees.person_and_machine import Facts, Judge
from two_faces import read_made

JOB = """
[job]
units = "mm"
machine = "{machine}"
material = "hard-maple"

[bits]
joints = "flat-3.175-long"
{bits}

[cutting]
one_file = {one_file}

[[board]]
width = 170
height = 75

[[piece]]
name = "bit"
length = "3 1/8 in"
{piece}
"""
TWO = 'outlines = "flat-6.35-compression"'


def _profile(like, **changes):
    text = (ROOT / "machine_profiles" / f"{like}.toml").read_text(encoding="utf-8")
    for old, new in changes.values():
        assert old in text, old
        text = text.replace(old, new)
    return text


PROFILES = {
    "words": _profile("bench-top", manner=('manner = "tool_word"', 'manner = "pause"')),
    "hands": _profile("mid-screw", zero=("can_zero_in_pause = false", "can_zero_in_pause = true")),
}
JOBS = {
    "tool words, inch": {"machine": "bench-top", "bits": TWO, "one_file": "true", "piece": ""},
    "spindle by word, pauses": {"machine": "words", "bits": TWO, "one_file": "true", "piece": ""},
    "switched by hand": {"machine": "hands", "bits": TWO, "one_file": "true", "piece": ""},
    "two faces": {"machine": "mid-screw", "bits": "", "one_file": "false", "piece": 'grooves = "both"'},
}


@cache
def job(name):
    """The job as made, and a judge for each of its files."""
    folder = Path(KEPT.name) / sha256(name.encode()).hexdigest()
    (folder / "profiles").mkdir(parents=True)
    for profile, text in PROFILES.items():
        (folder / "profiles" / f"{profile}.toml").write_text(text, encoding="utf-8")
    done = make(folder, JOB.format(**JOBS[name]), "--profiles", folder / "profiles")
    assert done.exit_code == 0, done.output
    made = read_made(folder / "out")
    data = json.loads((folder / "out" / "manifest.json").read_text(encoding="ascii"))
    return made, {file["name"]: Judge(made.texts[file["name"]], _facts(data, made, file)) for file in data["files"]}


def _facts(data, made, file):
    (board,), machine = data["boards"], data["machine"]
    text = made.texts[file["name"]]
    put_in = re.findall(r"\(Put in ([\w.-]+),[^T]*\nT(\d+)", text)
    return Facts(
        is_by_word=machine["spindle"] == "speed_word",
        dwell_s=machine.get("dwell", 3.0),
        dwell_unit_s=0.001 if machine["dwell_unit"] == "ms" else 1.0,
        travel_mm=machine["travel"],
        top_mm=board["thickness"] if board["zero"] == "spoilboard" else 0.0,
        thick_mm=board["thickness"],
        first_bit=file["bits"][0]["id"],
        tools={int(number): bit for bit, number in put_in},
        radii={bit["id"]: bit["diameter"] / 2 for bit in file["bits"]},
        pieces=tuple(polygon_of(piece.outline, chord=0.05) for piece in made.manifest.pieces),
        size_mm=board["size"],
        turn_y=file["turn"]["at"] if "turn" in file else None,
    )


def tried(made, name, text):
    """The sentences with which the dry run refuses the file, none when it passes."""
    files = tuple(
        replace(file, sha256=sha256(text.encode()).hexdigest()) if file.name == name else file
        for file in made.manifest.files
    )
    report = dry_run(replace(made.manifest, files=files), made.texts | {name: text})
    return [one.text for one in report.findings if one.severity == "error"]


def judged(which, *, each, most=None):
    """(what, verdict, why, sentences) of edits of a job's files; of ``most`` kinds of edit one of each, at random.

    What is odd and need not hurt is the dry run's to refuse or pass, so it is not tried.
    """
    made, judges = job(which)
    found = [(name, *edit) for name in made.texts for edit in edits(made.texts[name], each=each)]
    if most is not None:
        random.Random(7).shuffle(found)
        found = list({kind: one for one in found for kind in [one[1]]}.values())[:most]
    for name, kind, where, text in found:
        if text == made.texts[name]:
            continue
        verdict, why = judges[name].verdict(text)
        yield f"{name}:{where}: {kind}", verdict, why, None if verdict == "either" else tried(made, name, text)


def _told(found):
    return [(what, why, *(sentences or ())) for what, _, why, sentences in found]


def _hold(found):
    escaped = [one for one in found if one[1] == "harm" and not one[3]]
    false = [one for one in found if one[1] == "harmless" and one[3]]
    assert not _told(escaped), Counter(why for _, _, why, _ in escaped)
    assert not _told(false)


@pytest.mark.parametrize("which", JOBS)
def test_good_files_pass(which):
    made, judges = job(which)
    for name, judge in judges.items():
        assert tried(made, name, made.texts[name]) == []
        assert judge.verdict(made.texts[name]) == ("harmless", "")


@pytest.mark.parametrize("which", JOBS)
def test_some_edits_that_harm_are_refused_and_that_do_not_pass(which):
    _hold(list(judged(which, each=1, most=30)))


@pytest.mark.fuzz
@pytest.mark.parametrize("which", JOBS)
def test_edits_that_harm_are_refused_and_that_do_not_pass(which):
    _hold(list(judged(which, each=3)))
