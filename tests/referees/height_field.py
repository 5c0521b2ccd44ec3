"""The height field of a board from its files alone: how high the wood still stands over every small square.

A referee of the exact levels, of the page's field and of what moves take: another way to the same wood. It is exact at
the middles of its cells only, but for arcs, ramps and round bits, which capsules and their rings follow within a cell.

How it is done: every capsule gives one run of cells a row, and a run asks that its cells be no higher than its tip. All
runs are laid down at once by halving: a run of n cells is two overlapping runs of the largest power of two in n, noted
at their first cells; then, from the longest power down, each noted height is handed to the two halves.
"""

import math
from dataclasses import dataclass

import numpy as np

from platelayer.forces.capsules import capsules_in_order
from platelayer.forces.field import runs_of
from platelayer.gcode.board_frame import files_of, on_board
from platelayer.values.pieces import BoardFace


@dataclass(frozen=True)
class HeightField:
    """Heights (rows, columns) float32 in mm; row 0 is nearest, cell (i, j) has its middle at (j + .5, i + .5) cells."""

    cell_mm: float
    z: np.ndarray

    def at(self, x, y):
        """Height of the wood in the cell that holds the point; 0 off the board."""
        row, column = math.floor(y / self.cell_mm), math.floor(x / self.cell_mm)
        inside = 0 <= row < self.z.shape[0] and 0 <= column < self.z.shape[1]
        return float(self.z[row, column]) if inside else 0.0


def board_field(manifest, motions, *, cell_mm, face=BoardFace.TOP):
    """The field of one face of the manifest's only board after all its files."""
    (board,) = manifest.boards
    cut = [(on_board(motions[file.name], file, board), file) for file in files_of(manifest, board.id, face)]
    return height_field(cut, size_mm=board.size_mm, cell_mm=cell_mm)


def height_field(cut, *, size_mm, cell_mm):
    """The field after these (moves in board coordinates, file); rapids cut too where they go below z 0."""
    field = np.zeros([max(math.ceil(side / cell_mm - 1 / 1000), 1) for side in reversed(size_mm)], np.float32)
    for motion, file in cut:
        for number, bit in enumerate(file.bits):
            mine = motion.bit == number if number else motion.bit <= 0
            for capsules, _ in capsules_in_order(motion, bit, mine, cell_mm=cell_mm):
                for radius, rise in capsules.rings:
                    _lay(field, *runs_of(capsules.ends, capsules.tip + rise, radius, field.shape, cell_mm)[:3])
    return HeightField(cell_mm, field)


def _lay(field, first, after, z):
    """Lowers the cells from first to before after, numbered row by row, to z where they stand higher."""
    if not len(first):
        return
    flat = field.reshape(-1)
    power = np.frexp((after - first).astype(np.float64))[1] - 1
    noted = np.zeros_like(flat)
    for size in range(int(power.max()), -1, -1):
        half = 1 << size
        if size < power.max():
            spare = noted.copy()
            np.minimum(noted[half:], spare[:-half], out=noted[half:])
        mine = power == size
        np.minimum.at(noted, first[mine], z[mine])
        np.minimum.at(noted, after[mine] - half, z[mine])
    np.minimum(flat, noted, out=flat)
