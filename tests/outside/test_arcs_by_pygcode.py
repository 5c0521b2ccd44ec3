"""Arcs as this project reads them, held against the points an unrelated library puts on the same arcs.

SOURCE: pygcode 0.2.1 (Peter Boin, 2017, GPL-3), transform.linearize_arc: chords of an arc given by I and J, by R, by a
negative R, or with a change of height, with their ends on the arc.
"""

import math

import pytest
from pygcode import Line as LibraryLine
from pygcode import Machine
from pygcode.transform import ArcLinearizeInside, linearize_arc

from platelayer.gcode.reader import read_program
from platelayer.values.motion import MoveKind
from platelayer.values.shapes import Arc

ARCS = {
    "quarter, I and J": ("X10 Y0", "G3 X0 Y10 I-10 J0"),
    "three quarters, I and J": ("X10 Y0", "G2 X0 Y10 I-10 J0"),
    "centre form of the standard": ("X7 Y7 Z9", "G2 X10 Y16 I3 J4 Z9"),
    "helix": ("X2 Y3 Z1", "G3 X-4 Y5 I-4 J-2 Z-3"),
    "short by R": ("X64 Y4", "G2 X69 R4"),
    "long by R": ("X64 Y4", "G2 X69 Y4 R-4"),
    "short by R, other way": ("X0 Y0", "G3 X3 Y4 R6"),
    "long by R, other way": ("X0 Y0", "G3 X3 Y4 R-6"),
}


@pytest.mark.parametrize(("start", "words"), ARCS.values(), ids=ARCS)
def test_points_of_the_library_lie_on_the_arc_in_order(start, words):
    motion = read_program(f"G0 {start}\n{words}\nM2\n", name="a.nc")
    row = 1
    arc = Arc(
        tuple(motion.start[row, :2]),
        tuple(motion.end[row, :2]),
        tuple(motion.centre[row]),
        motion.kind[row] == MoveKind.ARC_CCW,
    )
    machine = Machine()
    machine.process_str(f"G0 {start}")
    (code,) = LibraryLine(words).block.gcodes
    turned, points = 0.0, []
    for chord in linearize_arc(code, machine.pos, method_class=ArcLinearizeInside, max_error=0.01, decimal_places=9):
        machine.process_gcodes(chord)
        points.append((machine.pos.X, machine.pos.Y, machine.pos.Z))
    assert len(points) > 3
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    for x, y, z in points[:-1]:
        assert math.dist((x, y), arc.centre) == pytest.approx(arc.radius_mm, abs=1e-6)
        angle = math.atan2(y - arc.centre[1], x - arc.centre[0])
        turn = (angle - first if arc.is_ccw else first - angle) % math.tau
        assert turned < turn < arc.sweep_rad
        rise = (motion.end[row, 2] - motion.start[row, 2]) * turn / arc.sweep_rad
        assert z == pytest.approx(motion.start[row, 2] + rise, abs=1e-6)
        turned = turn
    assert points[-1] == pytest.approx(tuple(motion.end[row]), abs=1e-6)
