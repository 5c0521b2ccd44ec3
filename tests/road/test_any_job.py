"""Whatever a job file asks for comes to files that are proved, or to sentences: never to a traceback.

Random jobs go all the way: read, laid, cut, written and proved. What was made of them is measured again here from the
moves as read (referees/wood_left.py).
"""

import math
import re
from collections import Counter
from functools import cache
from random import Random

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cli.jobs import small_job
from platelayer.errors import CannotCut, PlatelayerError
from platelayer.job import load_job, load_profiles
from platelayer.road.making import contents_of
from platelayer.road.planning import plan_job
from platelayer.road.proving import prove
from platelayer.values.findings import Code, Severity
from platelayer.values.pieces import EndKind
from proved import written
from random_jobs import random_job
from referees import wood_left
from referees.wood_left import ends_as_cut, loose, sharp_socket, side_play_mm, slivers, thin_parts

CHUNK, CHUNKS = 50, 40
NO_PLAY_MM = 0.002
"""Twice what the search for play is good for."""
MEASURES = {"loose": loose, "slivers": slivers}
"""Measures of a board that must find nothing, by name."""


@cache
def profiles():
    return load_profiles(())


def proof_of(text):
    """The proof of a job's files; None where it is refused in words, which may not be empty."""
    try:
        job = load_job(text, file="job.toml", profiles=profiles())
        plan, noticed = plan_job(job)
    except PlatelayerError as error:
        assert all(line.strip() for line in error.lines) and error.faults
        return None
    return prove(contents_of(plan, job, (*job.warnings, *noticed)))


AT_THE_BENCH = ("See that it holds under each piece", "Clamp it too")
"""What only a hand can do: no key of the job changes it."""


def tells_what_to_do(advice):
    """It names the table of a key to change, or is an act at the bench."""
    return bool(re.search(r"\[\[?\w+(\.\w+)?\]", advice)) or advice.startswith(AT_THE_BENCH)


def measured(proof):
    """What is wrong with files that are handed over, by measure and board or mate."""
    read = proof.read
    found = {
        (name, board.id): measure(read.manifest, read.motions, board)
        for name, measure in MEASURES.items()
        for board in read.manifest.boards
    }
    return {where: what for where, what in (found | without_play(proof)).items() if what}


def without_play(proof):
    """The side play of a peg as cut in ours and in a sharp mouth where there is none and no warning says so."""
    if any(one.code is Code.JOINT_DEAD_CENTRE for one in proof.report.told):
        return {}
    read = proof.read
    pegs, sockets = [], []
    for board in read.manifest.boards:
        ends = ends_as_cut(read.manifest, read.motions, board)
        pegs, sockets = pegs + ends[EndKind.PEG], sockets + ends[EndKind.SOCKET]
    mates = [("ours", socket) for socket in sockets[:1]] + [("sharp", sharp_socket(read.manifest.joint))]
    plays = {("play", mate): side_play_mm(peg, socket) for mate, socket in mates for peg in pegs[:1]}
    return {where: ("none", play) for where, play in plays.items() if play is None or play < NO_PLAY_MM}


@settings(max_examples=7)
@given(st.randoms(use_true_random=False))
def test_a_job_comes_to_files_or_to_words(chance):
    proof = proof_of(random_job(chance))
    if proof is not None and proof.report.passed:
        assert measured(proof) == {}
    if proof is not None:
        weighty = [one for one in proof.report.told if one.severity is Severity.WARNING]
        assert [one.advice for one in weighty if not tells_what_to_do(one.advice)] == []


TIGHT = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
[holding]
tab_width = {tab}
tab_count = {count}
[[board]]
width = 450
height = 300
thickness = 12.7
[[piece]]
name = "tight"
kind = "curve"
radius = {radius}
angle = {angle}
"""


@settings(max_examples=12)
@given(radius=st.floats(60, 130), angle=st.floats(25, 90), tab=st.floats(1, 8), count=st.integers(4, 8))
@example(radius=76.2, angle=45, tab=6.35, count=4)
def test_a_tight_curve_is_cut_or_refused_for_want_of_room(radius, angle, tab, count):
    """The inner side is where tabs and leads have least room: paths beside it are shorter than the wood."""
    job = load_job(TIGHT.format(radius=radius, angle=angle, tab=tab, count=count), file="t", profiles=profiles())
    try:
        plan, _ = plan_job(job)
    except CannotCut as refusal:
        assert [fault.where for fault in refusal.faults] == ["[holding] tab_width"]
    else:
        (piece,) = plan.pieces
        assert len(piece.tabs) == count


@pytest.mark.fuzz
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_two_thousand_jobs_come_to_files_or_to_words(chunk):
    counts, wrong = Counter(), {}
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        proof = proof_of(random_job(Random(seed)))
        counts[
            "refused in words" if proof is None else "made" if proof.report.passed else "refused by the dry run"
        ] += 1
        if proof is not None and proof.report.passed:
            wrong |= {(seed, *where): found for where, found in measured(proof).items()}
    print(dict(counts))
    assert wrong == {}
    assert counts["made"] >= CHUNK // 10


def test_the_measure_of_thin_waste_finds_strips_and_sharp_tips_and_leaves_corners_of_a_square():
    loose, stout = shapely.box(0, 0, 100, 1.65), shapely.box(0, 10, 100, 13.2)
    tip = shapely.Polygon([(0, 20), (100, 20), (100, 60)])
    bridge = shapely.union_all([shapely.box(0, 70, 20, 90), shapely.box(20, 75, 32, 77), shapely.box(32, 70, 50, 90)])
    found = thin_parts(shapely.union_all([loose, stout, tip, bridge]), 3.0)
    tip_mm = 1.5 / math.sin(math.atan2(40, 100) / 2) - 1.5
    assert [out for _, out in sorted(found, key=lambda one: one[0].centroid.y) if out > 3.175] == [
        pytest.approx(100.0),
        pytest.approx(tip_mm, abs=0.3),
        pytest.approx(12.0, abs=1.0),
    ]


@pytest.mark.parametrize(("neck", "mouth", "play"), [(6.0, 6.5, 0.25), (6.0, 6.0, 0.0), (6.0, 5.5, None)])
def test_the_measure_of_play_is_half_of_what_the_mouth_is_wider(neck, mouth, play):
    peg = shapely.box(0, -15, 25, 15).union(shapely.box(-8, -neck / 2, 0, neck / 2))
    socket = shapely.box(-25, -15, 0, 15).difference(shapely.box(-9, -mouth / 2, 0, mouth / 2))
    found = side_play_mm(peg, socket)
    assert found == (play if play is None else pytest.approx(play, abs=0.003))


def test_the_measure_of_what_is_loose_finds_a_piece_whose_tabs_are_cut(monkeypatch):
    read = prove(written(small_job())).read
    (board,) = read.manifest.boards
    assert loose(read.manifest, read.motions, board) == []
    tabs = read.manifest.pieces[0].tabs
    cut = [shapely.Point(tab.at).buffer(tab.width_mm) for tab in tabs]
    left = wood_left.left_at
    monkeypatch.setattr(wood_left, "left_at", lambda *where: left(*where).difference(shapely.union_all(cut)))
    assert loose(read.manifest, read.motions, board) == [read.manifest.pieces[0].id]
