"""Single edits of written files, the manifest's hash mended: what harms by a referee is refused, the rest passes."""

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
from platelayer.units import worded
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
thickness = 12.7

[[piece]]
name = "long"
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
    return [worded(one.text, "mm") for one in report.findings if one.severity == "error"]


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


WORD, HAND, TOOL = "spindle by word, pauses", "switched by hand", "tool words, inch"
NAMED = {
    "the second bit changed while the first still turns": (
        WORD,
        lambda text: _nth(text, "M5", 0, ""),
        "the spindle still turns: M5 is missing",
    ),
    "M5 before M6 taken out": (TOOL, lambda text: _nth(text, "M5", 0, ""), "the spindle still turns: M5 is missing"),
    "not switched off before the bit is changed": (
        HAND,
        lambda text: _pause_out(text, "switch the router off"),
        "for the router to be switched off after bit flat-3.175-long",
    ),
    "never switched on for the second bit": (
        HAND,
        lambda text: _pause_out(text, "switch the router on", last=True),
        "for the router to be switched on with bit flat-6.35-compression",
    ),
    "the second bit never put in": (
        HAND,
        lambda text: _pause_out(text, "Put in"),
        "nothing stops the machine for bit flat-6.35-compression to be put in",
    ),
    "M6 taken out": (TOOL, lambda text: _nth(text, "M6", 0, ""), "for bit flat-3.175-long to be put in"),
    "T2 turned into T1": (TOOL, lambda text: text.replace("\nT2\n", "\nT1\n"), "T1 M6 stands where T2 M6"),
    "left running at the end": (
        HAND,
        lambda text: _pause_out(text, "switch the router off", last=True),
        "for the router to be switched off after bit flat-6.35-compression",
    ),
    "left turning at the end": (WORD, lambda text: _nth(text, "M5", -1, ""), "the file ends with M30"),
    "a dwell cut to a tenth": (WORD, lambda text: text.replace("G4 P6000", "G4 P600"), "the file waits 0.6 s"),
    "M0 turned into M1": (HAND, lambda text: text.replace("\nM0\n", "\nM1\n", 1), "M1 does not stop every machine"),
    "M0 in the middle of a cut": (HAND, lambda text: _in_a_cut(text, "M0"), "in the middle of the cuts"),
    "the words of a pause replaced": (
        HAND,
        lambda text: text.replace("(PAUSE switch the router on at dial B, then resume)", "(PAUSE look at it)", 1),
        'does not say "PAUSE switch the router on at dial B',
    ),
    "the wrong dial in a pause": (HAND, lambda text: text.replace("on at dial B", "on at dial D"), "at dial B, then"),
    "another thickness in the head": (
        HAND,
        lambda text: text.replace("Thickness: 12.700 mm", "Thickness: 19.000 mm"),
        'does not say "Thickness: 12.700 mm',
    ),
    "a feed of a hundredth": (HAND, lambda text: _nth(text, " F1700", 3, " F17"), "creeps through wood at 17 mm/min"),
    "no G90": (WORD, lambda text: text.replace("G90\n", ""), "moves before the file says G90 at all"),
    "no G17 after a stop": (WORD, lambda text: _nth(text, "G17\n", 1, ""), "says G17 after the stop in line"),
    "G64": (WORD, lambda text: _in_a_cut(text, "G64"), "the machine rounds corners off"),
    "G91": (WORD, lambda text: text.replace("G90", "G91"), "G91 has every place count from where the bit stands"),
    "G55": (WORD, lambda text: text.replace("G54", "G55"), "only the first zero, G54, is read"),
    "no lift after a stop": (
        WORD,
        lambda text: re.sub(r"(M0\n(?:G[1-9].*\n)*)G0 Z[\d.]+\n", r"\1", text),
        "has to lift the bit clear of the wood, and nothing else",
    ),
    "the first height read as inches": (
        HAND,
        lambda text: text.replace("G21", "G20", 1).replace("\nG0 Z15\n", "\nG0 Z15\nG21\n", 1),
        "travels 105.000 mm",
    ),
}


def _nth(text, word, number, instead):
    places = [found.start() for found in re.finditer(re.escape(word), text)]
    at = places[number]
    return text[:at] + instead + text[at + len(word) :]


def _pause_out(text, words, *, last=False):
    """Without the stop after a comment with these words, and without the comment."""
    found = list(re.finditer(r"\([^()]*" + re.escape(words) + r"[^()]*\)\n(?:\([^()]*\)\n)*M0\n", text))
    at = found[-1 if last else 0]
    return text[: at.start()] + text[at.end() :]


def _in_a_cut(text, word):
    lines = text.splitlines()
    cuts = [number for number, line in enumerate(lines) if line.startswith("G1 X")]
    at = cuts[len(cuts) // 3]
    return "\n".join([*lines[:at], word, *lines[at:]]) + "\n"


@pytest.mark.parametrize("name", NAMED)
def test_what_a_machine_or_a_person_needs_is_asked_for(name):
    which, spoil, sentence = NAMED[name]
    made, _ = job(which)
    (file,) = made.texts
    spoilt = spoil(made.texts[file])
    assert spoilt != made.texts[file]
    assert any(sentence in told for told in tried(made, file, spoilt)), tried(made, file, spoilt)


HARMLESS = {
    "M3 again while it turns": lambda text: _in_a_cut(text, "M3"),
    "M30 doubled": lambda text: text + "M30\n",
    "a longer dwell": lambda text: text.replace("G4 P6000", "G4 P9000"),
    "a title left out": lambda text: text.replace("(long-01 outline)\n", ""),
    "too fast where the slot is empty": lambda text: _again(text, "F17000"),
}


def _again(text, feed):
    """The last move of the first pass there and back again, in the slot that is cut."""
    lines = text.splitlines()
    at = next(
        number
        for number, line in enumerate(lines)
        if re.fullmatch(r"G1 X[\d.]+", line) and re.fullmatch(r"G1 X[\d.]+ Y.*|G1 Y.*", lines[number + 1])
    )
    place = next(line for line in reversed(lines[:at]) if "X" in line)
    x = re.search(r"X([\d.]+)", place)[1]
    was = next(re.search(r"F[\d.]+", line)[0] for line in reversed(lines[:at]) if " F" in line)
    back = [f"G1 X{x} {feed}", lines[at], was]
    return "\n".join([*lines[: at + 1], *back, *lines[at + 1 :]]) + "\n"


@pytest.mark.parametrize("name", HARMLESS)
def test_what_harms_nobody_passes(name):
    made, _ = job(WORD)
    (file,) = made.texts
    spoilt = HARMLESS[name](made.texts[file])
    assert spoilt != made.texts[file]
    assert tried(made, file, spoilt) == []
