"""Wood before the bit's front: a wall's strip beside it is none, what stands in its way is. Lanes made by hand."""

import numpy as np
import pytest

from broken_files.small_job import small_job
from platelayer.gcode.moves import moves_on
from platelayer.gcode.reader import read_program
from platelayer.proof.thin_cuts import is_clear_above, is_clear_ahead

JOB = small_job(pieces=1)
BOARD, FILE = JOB.manifest.boards[0], JOB.manifest.files[0]
RADIUS = FILE.bits[0].diameter_mm / 2
SIDE = 0.2


def last_move(*lines):
    """The moves of a program without any other cut, and the row of its last one at feed."""
    text = "\n".join(["(BIT 1 flat)", "G17 G21 G90 G94", "G0 Z5", "M3 S18000", *lines, "G0 Z5", "M5", "M2", ""])
    moves = moves_on(BOARD, (FILE,), {FILE.name: read_program(text, name=FILE.name)})
    return moves, np.flatnonzero(moves.kind > 0)[-1:]


LANE = "G0 X20 Y20", "G1 Z-3 F300", "G1 X60 F1000", "G1 Y50", "G1 Z1"
"""A lane along y = 20 as far as x = 60, and on along x = 60: the walls stand a radius beyond it."""


def share_of(side_mm):
    """The front's place for a strip so wide, from the formula of the chip: worked by hand, 0.486 for 0.2 mm."""
    part = side_mm / (2 * RADIUS)
    return 2 * np.sqrt(part * (1 - part))


@pytest.mark.parametrize(
    ("to_x", "part", "is_clear"),
    [
        (40.0, 1.02, True),  # along the wall: the strip lies just beside the front
        (40.0, 0.85, False),  # a chip that is said to be thinner
        (58.0, 1.02, True),
        (60.2, 1.02, False),  # into the corner: the other wall's strip stands before the bit
        (65.0, 1.02, False),  # into the full
    ],
)
def test_a_straight_wall_and_a_corner(to_x, part, is_clear):
    moves, row = last_move(*LANE, f"G0 X22 Y{20 - SIDE}", "G1 Z-3 F300", f"G1 X{to_x} F1500")
    assert is_clear_ahead(moves, row, np.array([part * share_of(SIDE)])).tolist() == [is_clear]


@pytest.mark.parametrize(("part", "is_clear"), [(1.02, True), (0.9, False)])
def test_a_hollow_by_its_own_angle(part, is_clear):
    """Round a hole of 6.35 mm radius: the share is the sine of the angle at which two circles meet."""
    bend = 6.35 - RADIUS
    cos = ((6.35 - SIDE) ** 2 - bend**2 - RADIUS**2) / (2 * bend * RADIUS)
    near = bend - SIDE
    lane = f"G0 X{50 + near} Y30", "G1 Z-3 F300", f"G3 X{50 + near} Y30 I{-near} J0 F1000", "G1 Z1"
    round_it = f"G0 X{50 + bend} Y30", "G1 Z-3 F300", f"G3 X{50 - bend} Y30 I{-bend} J0 F1500"
    moves, row = last_move(*lane, *round_it)
    share = np.array([part * np.sqrt(1 - cos**2)])
    assert is_clear_ahead(moves, row, share).tolist() == [is_clear]


@pytest.mark.parametrize(("deep_mm", "is_clear"), [(6.0, True), (2.0, True), (1.9, False)])
def test_what_stands_above_a_depth_of_cut(deep_mm, is_clear):
    """A wall finished to 4 deep before it is finished to 6: two are taken at once."""
    upper = f"G0 X22 Y{20 - SIDE}", "G1 Z-4 F300", "G1 X40 F1500", "G1 Z1"
    moves, row = last_move(*LANE, *upper, f"G0 X22 Y{20 - SIDE}", "G1 Z-6 F300", "G1 X40 F1500")
    assert is_clear_above(moves, row, np.array([deep_mm])).tolist() == [is_clear]
