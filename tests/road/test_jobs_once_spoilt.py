"""Small jobs that came out spoilt once, each the least that showed a fault; found by random jobs (test_any_job.py)."""

from functools import cache

import pytest

from platelayer.job import load_job, load_profiles
from platelayer.road.making import contents_of
from platelayer.road.planning import plan_job
from platelayer.road.proving import prove
from platelayer.values.findings import Severity
from referees.wood_left import slivers


@cache
def profiles():
    return load_profiles(())


def proof_of(text):
    job = load_job(text, file="job.toml", profiles=profiles())
    plan, noticed = plan_job(job)
    return prove(contents_of(plan, job, (*job.warnings, *noticed)))


def errors(proof):
    return [finding.text for finding in proof.report.findings if finding.severity is Severity.ERROR]


WIDE_MOUTHS = """
[job]
units = "mm"
machine = "bench-top"
material = "pine"
placing = "rows"
[joint]
mouth_width = "9.4 mm"
neck_width = "7.5 mm"
head_diameter = "11.6 mm"
head_setback = "3.5 mm"
hole_diameter = "13.7 mm"
hole_setback = "2.0 mm"
[bits]
joints = "flat-3.175-long"
[holding]
kind = "skin"
skin = "1 mm"
[[board]]
width = 200
height = 110
thickness = 12.7
thickness_measured = true
margin = "1 mm"
[[piece]]
name = "wide"
length = "72 mm"
end = "socket"
count = 2
"""

HIGH_STRIP = """
[job]
units = "mm"
machine = "mid-screw"
material = "beech"
[bits]
joints = "flat-3.175-down"
groove_edges = "vee-90"
[edges]
groove = "0.5 mm"
[[board]]
kind = "strip"
width = 220
thickness = 15
zero = "spoilboard"
[[piece]]
name = "high"
length = "91 mm"
"""
TAPED = """
[job]
units = "mm"
machine = "mid-screw"
material = "pine"
[bits]
joints = "flat-4.763"
grooves = "flat-3.175-down"
[holding]
kind = "tape"
[[board]]
width = 160
height = 130
thickness = 12.7
[[piece]]
name = "taped"
length = "131 mm"
start = "plain"
end = "plain"
count = 2
"""

EVEN = """
[job]
units = "mm"
machine = "mid-screw"
material = "mdf"
[bits]
joints = "flat-3.175-down"
[[board]]
width = 200
height = 90
thickness = "10.434 mm"
thickness_measured = true
scatter = "0 mm"
zero = "spoilboard"
[[piece]]
name = "even"
length = "111 mm"
start = "plain"
end = "plain"
"""
THIN = """
[job]
units = "mm"
machine = "bench-top"
material = "birch"
[bits]
joints = "flat-3.175-long"
outlines = "flat-6.35-compression"
[holding]
kind = "skin"
skin = "1 mm"
[track]
groove_depth = "1 mm"
[[board]]
width = 200
height = 90
thickness = "{thickness}"
thickness_measured = true
zero = "spoilboard"
[[piece]]
name = "thin"
length = "130 mm"
start = "plain"
end = "plain"
"""
TIP_ON_A_NECK = """
[job]
units = "mm"
machine = "bench-top"
material = "mdf"
placing = "nest"
[bits]
joints = "flat-3.175-long"
edges = "round-over-1.588"
[edges]
outer = "1/16 in"
[holding]
kind = "tape"
tab_width = 4
[[board]]
width = 338
height = "194/16 in"
thickness = 13.962
thickness_measured = true
zero = "spoilboard"
grain = "across"
[[piece]]
name = "both"
length = 59
start = "peg"
end = "peg"
count = 2
turns = "quarters"
[[piece]]
name = "long"
length = 293.03
end = "socket"
turns = "eighths"
[[piece]]
name = "bend"
kind = "curve"
radius = 68
angle = 177.95
hand = "right"
start = "plain"
end = "socket"
"""
BLOCK_AT_A_NOTCH = """
[job]
units = "mm"
machine = "bench-top"
material = "hard-maple"
placing = "nest"
[bits]
joints = "flat-3.175-long"
outlines = "flat-3.175-down"
[holding]
kind = "tape"
tab_width = 2
[[board]]
width = 374
height = 398.4625
thickness = 12
scatter = 0.22
zero = "spoilboard"
grain = "across"
margin = 6
[[piece]]
name = "long"
length = 196.44
end = "plain"
count = 3
turns = "quarters"
[[piece]]
name = "bend"
kind = "curve"
radius = 129.12
angle = 57.12
hand = "right"
start = "socket"
count = 2
"""
ACROSS_A_STRIP = """
[job]
units = "mm"
machine = "bench-top"
material = "birch"
[bits]
joints = "flat-3.175-down"
outlines = "flat-6.35-down"
[cutting]
derive_finish_feeds = true
[[board]]
kind = "strip"
width = 360
thickness = 9
thickness_measured = true
scatter = 0.1
[[piece]]
name = "end"
length = 241
end = "plain"
"""
SHORT_ON_A_PAD = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
[bits]
joints = "flat-3.175-down"
[holding]
kind = "vacuum"
stock = "clamps"
[[board]]
width = 613
height = 218
thickness = 12.7
[[piece]]
name = "short"
length = 48.55
start = "plain"
[[piece]]
name = "long"
length = 224
count = 3
"""
SOUND = {
    "short on a pad": SHORT_ON_A_PAD,
    "a tip on a neck": TIP_ON_A_NECK,
    "a block at a notch": BLOCK_AT_A_NOTCH,
    "across a strip": ACROSS_A_STRIP,
    "thinner than a step": THIN.format(thickness="4 mm"),
    "thinner than two steps": THIN.format(thickness="7.3 mm"),
    "wide mouths": WIDE_MOUTHS,
    "high strip": HIGH_STRIP,
    "taped": TAPED,
    "even": EVEN,
}


@pytest.mark.parametrize("text", SOUND.values(), ids=SOUND)
def test_a_sound_job_is_proved(text):
    """Ten that were refused or not even planned.

    A tip of waste hung by a neck thinner than holds anything, and came loose. Of a block that is milled the last corner
    stood alone for a while, between the stroke before it and the notch of a peg. A step of float noise in a finish
    pass, where its feed changes, was swept with a notch. A short piece with tabs was finished on them alone, on a
    vacuum that holds the others but not its board.

    Rings out in front of a wide mouth went into the neighbour, with which a slot is shared. Above the clamps of a strip
    there was no room for what is wider than the bit. On tape a piece already free was passed at the narrowest slot's
    width when its neighbour was parted. A floor just as thick as holds, in a board without scatter, did not count.
    In thin boards one last turn takes all that there is, and nothing was left to be finished before it.
    """
    assert errors(proof_of(text)) == []


SHARP_TIP = """
[job]
units = "mm"
machine = "small-belt"
material = "beech"
[bits]
joints = "flat-3.175-long"
[holding]
kind = "skin"
skin = "0.85 mm"
[[board]]
width = 250
height = 110
thickness = 12.7
zero = "spoilboard"
[[piece]]
name = "bend"
kind = "curve"
radius = 60
angle = 40
hand = "right"
start = "plain"
end = "plain"
count = 2
"""
THIN_WEB = """
[job]
units = "mm"
machine = "mid-screw"
material = "birch"
[bits]
joints = "flat-3.175-long"
[[board]]
kind = "strip"
width = 400
thickness = 9
[[piece]]
name = "end"
length = "126 mm"
start = "plain"
end = "plain"
count = 2
"""
WIDENED_MOUTHS = """
[job]
units = "mm"
machine = "small-belt"
material = "hard-maple"
[bits]
joints = "own"
grooves = "flat-3.175-long"
[[bit]]
id = "own"
kind = "flat"
diameter = 2.19
cutting_length = 27
shank = 6
overall = 70
[holding]
kind = "vacuum"
[[board]]
width = 361
height = 180.58
thickness = 12.7
[[piece]]
name = "row"
length = 119
start = "plain"
end = "socket"
count = 6
"""
WEB_WIDENED_ON_BOTH_SIDES = WIDENED_MOUTHS.replace(
    "count = 6",
    """count = 4
[[piece]]
name = "end"
length = 100.88
count = 2
""",
)


@pytest.mark.parametrize(
    "text",
    [SHARP_TIP, THIN_WEB, WIDENED_MOUTHS, WEB_WIDENED_ON_BOTH_SIDES],
    ids=[
        "the tip between two curves",
        "the web across a strip",
        "the web beside mouths wide in their upper half",
        "the web where wide lanes end on both sides",
    ],
)
def test_no_waste_is_left_too_thin_to_stand(text):
    """Waste that came to a tip stood, between ends on a strip was what two rooms chanced to leave, upper tracks of
    sockets took half a millimetre of a web just thick enough, and wide lanes ended where such a web begins."""
    proof = proof_of(text)
    (board,) = proof.manifest.boards
    assert errors(proof) == []
    assert slivers(proof.manifest, proof.read.motions, board) == []
