"""Small invented jobs to be cut off and gone on with: each machine's ways, one bit and two, tabs and skin, arcs."""

from pathlib import Path

from platelayer.job import load_profiles
from platelayer.job.profiles import profile_folders
from platelayer.road.making import make

PIECES = """
[[piece]]
name = "short"
length = "60 mm"
start = "plain"

[[piece]]
name = "bend"
kind = "curve"
radius = "160 mm"
angle = 30
hand = "left"
end = "plain"
"""
JOBS = {
    # a dial turned by hand, millimetres, tabs
    "dial": """
[job]
machine = "mid-screw"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
[holding]
kind = "tabs"
[[board]]
width = "200 mm"
height = "150 mm"
thickness = "1/2 in"
scatter = "0.2 mm"
""",
    # two bits in one file, changed by a tool word; inches, dwell in milliseconds, speed word
    "two-bits": """
[job]
machine = "bench-top"
material = "cherry"
[bits]
joints = "flat-3.175-long"
outlines = "flat-6.35-compression"
[cutting]
one_file = true
[[board]]
width = "200 mm"
height = "150 mm"
thickness = "1/2 in"
scatter = "0.2 mm"
""",
    # the same two, changed in a plain pause; a switch, zero on the spoilboard, a skin, other comments
    "pause": """
[job]
machine = "pausing"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
outlines = "flat-6.35-compression"
[cutting]
one_file = true
[holding]
kind = "skin"
[[board]]
width = "200 mm"
height = "150 mm"
thickness = "1/2 in"
scatter = "0.2 mm"
zero = "spoilboard"
""",
    # grooves on both faces, the board turned on dowels
    "both-faces": """
[job]
machine = "mid-screw"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
[turning]
by = "dowels"
dowel_diameter = "1/4 in"
[[piece]]
name = "long"
length = "70 mm"
grooves = "both"
[[board]]
width = "320 mm"
height = "150 mm"
thickness = "1/2 in"
scatter = "0.2 mm"
""",
}
ONE_FILE = ("dial", "two-bits", "pause")


def make_job(name: str, out: Path) -> Path:
    """The folder of a job, made."""
    own = out.parent / f"{name}-profiles"
    own.mkdir()
    text = (profile_folders()[-1] / "small-belt.toml").read_text("utf-8")
    for old, new in (
        ('manner = "files" ', 'manner = "pause" '),
        ("can_zero_in_pause = false", "can_zero_in_pause = true"),
        ('comments = "brackets"', 'comments = "semicolon"'),
    ):
        assert old in text
        text = text.replace(old, new)
    (own / "pausing.toml").write_text(text, "utf-8")
    made = make(JOBS[name] + PIECES, file="job.toml", out=out, profiles=load_profiles((own,)))
    assert made.proof.report.passed, made.proof.report.findings
    return out
