"""Wood left low down beside tabs: what a tab excuses is itself and its flanks, never the end face round the corner.

Wherever the last pass is raised to the tabs' tops although no tab stands there, the wood below must be refused.
"""

from functools import cache

import numpy as np
import pytest

from platelayer.gcode.reader import read_program
from platelayer.values.motion import MoveKind
from proved import data_of, errors, refusals, spoilt, text_of, written

JOB = """\
[job]
units = "mm"
machine = "{machine}"
material = "hard-maple"
[bits]
joints = "flat-3.175-long"
outlines = "{outlines}"
[[board]]
width = 200
height = 90
thickness = 12.7
[[piece]]
name = "short"
length = {length}
[holding]
tab_height = {tab}
"""
JOBS = {
    # shortest pieces with room for their four tabs, so that tabs stand as near to the end faces as they may
    "thin bit": {"machine": "mid-screw", "outlines": "flat-3.175-long", "length": 44, "tab": 2.0},
    "thick bit": {"machine": "mid-screw", "outlines": "flat-6.35-up", "length": 58, "tab": 2.0},
    "highest tabs": {"machine": "small-belt", "outlines": "flat-3.175-long", "length": 52, "tab": 3.175},
}
LEFT = "shape-wood-left"


@cache
def outline(name):
    """What was made, its last file, and the straight moves of the last loop: index, line, start, end, feed."""
    contents = written(JOB.format(**JOBS[name]))
    assert refusals(contents) == []
    file = data_of(contents)["files"][-1]["name"]
    motion = read_program(text_of(contents, file), name=file)
    first = (
        int(np.flatnonzero(motion.kind == MoveKind.RAPID)[-3]) + 1
    )  # lift, park; the loop begins after the one before
    lowest = motion.end[:, 2].min()
    flat = (
        (motion.kind == MoveKind.LINE)
        & (np.abs(motion.end[:, 2] - lowest) < 1e-6)
        & (motion.start[:, 2] == motion.end[:, 2])
    )
    rows = [row for row in np.flatnonzero(flat).tolist() if row >= first]
    return contents, file, motion, rows


def raised(name, row, begin_mm, end_mm):
    """The file with the bit raised to the tabs' tops between two places along a straight move."""
    contents, file, motion, _ = outline(name)
    lines = text_of(contents, file).split("\n")
    a, b = motion.start[row], motion.end[row]
    low, high = a[2], a[2] + JOBS[name]["tab"] + 0.3  # the last pass goes 0.3 mm into the spoilboard
    at = int(motion.line[row]) - 1
    along = (b - a) / np.hypot(*(b - a)[:2])
    words = [f"G1 X{x:.4f} Y{y:.4f}" for x, y, _ in (a + along * begin_mm, a + along * end_mm, b)]
    plunge = data_of(contents)["files"][-1]["bits"][-1]["plunge"]
    lines[at : at + 1] = [
        words[0],
        f"G1 Z{high:.4f}",
        words[1],
        f"G1 Z{low:.4f} F{plunge:.0f}",
        f"{words[2]} F{motion.feed[row]:.0f}",
    ]
    if not lines[at + 5].count("F"):
        lines[at + 5] += f" F{motion.feed[row + 1]:.0f}"
    return spoilt(contents, file, "\n".join(lines))


def along_faces(name):
    """The straight moves of the last loop along end faces: each with where it begins and ends along the face."""
    contents, _, motion, rows = outline(name)
    (piece,) = data_of(contents)["pieces"]
    radius = data_of(contents)["files"][-1]["bits"][-1]["diameter"] / 2
    for x, y, degrees in (end["pose"] for end in piece["ends"]):
        out = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
        for row in rows:
            ends = np.array([motion.start[row][:2], motion.end[row][:2]]) - (x, y)
            if np.allclose(ends @ out, radius, atol=1e-3):
                yield row, *(ends @ (-out[1], out[0])).tolist()


@pytest.mark.parametrize("name", JOBS)
def test_a_last_pass_left_out_on_an_end_face_is_refused(name):
    """A face on which 0.2 mm of wood stand as high as the tabs keeps two pieces apart."""
    faces = list(along_faces(name))
    assert len(faces) == 3  # all across the socket's end, and either side of the peg
    for row, first, last in faces:
        assert set(errors(raised(name, row, 0, abs(last - first)))) == {LEFT}


@pytest.mark.parametrize("name", JOBS)
def test_the_last_millimetres_of_an_end_face_are_no_tab_s_either(name):
    """The corner is what comes nearest to a tab. Round one 13.6 mm were once excused, wood on the face with them."""
    tried = 0
    for row, first, last in along_faces(name):
        length = abs(last - first)
        corners = [(0, 6)] * (abs(first) > 15) + [(length - 6, length)] * (abs(last) > 15)
        for begin, end in corners:
            assert set(errors(raised(name, row, begin, end))) == {LEFT}
            tried += 1
    assert tried == 4


@pytest.mark.parametrize("name", JOBS)
def test_a_few_millimetres_of_a_last_pass_left_out_between_tabs_are_refused(name):
    """Wherever the last loop runs at its depth for 6 mm on end: 5 mm of it raised leave wood that no tab excuses."""
    _, _, motion, rows = outline(name)
    long = {row: float(np.hypot(*(motion.end[row] - motion.start[row])[:2])) for row in rows}
    tried = {row: length for row, length in long.items() if length > 6}
    assert len(tried) >= 3
    for row, length in tried.items():
        middle = 0.3 * length if length > 20 else length / 2  # in the middle of a face is the mouth
        assert LEFT in errors(raised(name, row, middle - 2.5, middle + 2.5)), motion.line[row]
