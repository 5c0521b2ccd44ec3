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
joints = "{bit}"
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
    "thin bit": {"machine": "mid-screw", "bit": "flat-3.175-long", "length": 45, "tab": 2.0},
    "thick bit": {"machine": "mid-screw", "bit": "flat-4.763", "length": 53, "tab": 2.0},
    "highest tabs": {"machine": "small-belt", "bit": "flat-3.175-long", "length": 53, "tab": 3.175},
}
LEFT = "shape-wood-left"
OVERLAP_MM = 1.5
"""The parting goes on so far where it began."""


@cache
def outline(name):
    """What was made, its last file, its moves, and the rows of the finish to the floor and of the parting."""
    contents = written(JOB.format(**JOBS[name]))
    assert refusals(contents) == []
    file = data_of(contents)["files"][-1]["name"]
    text = text_of(contents, file)
    motion = read_program(text, name=file)
    lines = text.split("\n")
    finish, parting = (lines.index(f"(short-01 {words})") + 1 for words in ("outline finish", "parting"))
    is_cut = motion.kind != MoveKind.RAPID
    walls = np.flatnonzero(is_cut & (motion.line > finish) & (motion.line < parting))
    floor = motion.end[walls, 2].min()
    to_floor = walls[int(np.argmax(motion.end[walls, 2] < floor + 1e-6)) :]
    through = np.flatnonzero(is_cut & (motion.line > parting))
    assert motion.end[through, 2].min() < floor - 0.5
    return contents, file, motion, to_floor.tolist(), through.tolist()


def level_rows(name):
    """The straight moves of the parting at its depth."""
    _, _, motion, _, through = outline(name)
    lowest = motion.end[through, 2].min()
    return [
        row
        for row in through
        if motion.kind[row] == MoveKind.LINE and max(motion.start[row][2], motion.end[row][2]) < lowest + 1e-6
    ]


def raised(name, row, begin_mm, end_mm, *, finish=True):
    """The file with the bit raised to the tabs' tops between two places along a straight move of the parting.

    Whatever else goes there is raised as well: the ramp, what overlaps, and unless told otherwise the finish.
    """
    contents, file, motion, to_floor, through = outline(name)
    lines = text_of(contents, file).split("\n")
    a, b = motion.start[row], motion.end[row]
    high = b[2] + JOBS[name]["tab"] + 0.3  # the parting goes 0.3 mm into the spoilboard
    along = (b - a)[:2] / np.hypot(*(b - a)[:2])
    plunge = data_of(contents)["files"][-1]["bits"][-1]["plunge"]
    left_out = 0
    for other in reversed([*(to_floor if finish else ()), *through]):
        start, end = motion.start[other], motion.end[other]
        (first, last), aside = (
            (np.array([start, end])[:, :2] - a[:2]) @ axis for axis in (along, np.array([-along[1], along[0]]))
        )
        low, up = max(begin_mm, min(first, last)), min(end_mm, max(first, last))
        is_there = motion.kind[other] == MoveKind.LINE and np.abs(aside).max() < 1e-3 and up - low > 1e-3
        if not is_there or min(start[2], end[2]) >= high:
            continue
        shares = sorted((at - first) / (last - first) for at in (low, up))
        leaves, comes = (start + (end - start) * share for share in shares)
        feed, at = f"F{motion.feed[other]:.0f}", int(motion.line[other]) - 1
        lines[at : at + 1] = [
            f"G1 X{leaves[0]:.4f} Y{leaves[1]:.4f} Z{leaves[2]:.4f} {feed}",
            f"G1 Z{high:.4f}",
            f"G1 X{comes[0]:.4f} Y{comes[1]:.4f}",
            f"G1 Z{comes[2]:.4f} F{plunge:.0f}",
            f"G1 X{end[0]:.4f} Y{end[1]:.4f} Z{end[2]:.4f} {feed}",
        ]
        left_out += 1
    assert left_out >= 1 + finish
    return spoilt(contents, file, "\n".join(lines))


def along_faces(name):
    """The moves of the parting along end faces: each with where it begins and ends along the face."""
    contents, _, motion, *_ = outline(name)
    (piece,) = data_of(contents)["pieces"]
    radius = data_of(contents)["files"][-1]["bits"][-1]["diameter"] / 2
    for x, y, degrees in (end["pose"] for end in piece["ends"]):
        out = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
        for row in level_rows(name):
            ends = np.array([motion.start[row][:2], motion.end[row][:2]]) - (x, y)
            apart = np.hypot(*(ends[1] - ends[0]))
            if np.allclose(ends @ out, radius, atol=1e-3) and apart > OVERLAP_MM:
                yield row, *(ends @ (-out[1], out[0])).tolist()


@pytest.mark.parametrize("name", JOBS)
def test_a_last_pass_left_out_on_an_end_face_is_refused(name):
    """A face on which 0.2 mm of wood stand as high as the tabs keeps two pieces apart, and so does a floor's rest."""
    faces = list(along_faces(name))
    assert len(faces) == 3  # all across the socket's end, and either side of the peg
    for row, first, last in faces:
        assert set(errors(raised(name, row, 0, abs(last - first)))) == {LEFT}
        assert set(errors(raised(name, row, 0, abs(last - first), finish=False))) == {LEFT}


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
    motion, rows = outline(name)[2], level_rows(name)
    long = {row: float(np.hypot(*(motion.end[row] - motion.start[row])[:2])) for row in rows}
    tried = {row: length for row, length in long.items() if length > 6}
    assert len(tried) >= 3
    for row, length in tried.items():
        middle = 0.3 * length if length > 20 else length / 2  # in the middle of a face is the mouth
        assert LEFT in errors(raised(name, row, middle - 2.5, middle + 2.5)), motion.line[row]
