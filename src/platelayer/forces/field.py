"""Cells of a grid that capsules cover, row by row.

Glossary:
    cell: a square of the grid, told by its middle.
    run: the cells of one row that one capsule covers; always one run, because a capsule is convex.
"""

import numpy as np
import numpy.typing as npt

from platelayer.values.motion import Floats, Ints

Heights = npt.NDArray[np.float32]


def runs_of(
    ends: Floats, tip: Floats, radius_mm: float, shape: tuple[int, ...], cell_mm: float
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], Heights, npt.NDArray[np.intp]]:
    """Runs of these capsules under one disc: first cell, cell after the last, z, and the capsule's row."""
    rows, columns = shape
    wet = np.flatnonzero(tip < 0)
    ends, tip = ends[wet] / cell_mm - 0.5, tip[wet]
    radius = radius_mm / cell_mm
    low = np.maximum(np.ceil(np.minimum(ends[:, 1], ends[:, 3]) - radius), 0).astype(np.int64)
    high = np.minimum(np.floor(np.maximum(ends[:, 1], ends[:, 3]) + radius), rows - 1).astype(np.int64)
    count = np.maximum(high - low + 1, 0)
    which = np.repeat(np.arange(len(count)), count)
    row = np.arange(len(which)) - np.repeat(np.cumsum(count) - count - low, count)
    left, right = spans(ends, radius, which, row)
    first = np.clip(np.ceil(left), 0, columns).astype(np.int64)
    after = np.clip(np.floor(right) + 1, 0, columns).astype(np.int64)
    some = after > first
    base = row[some] * columns
    return base + first[some], base + after[some], tip[which[some]].astype(np.float32), wet[which[some]]


def spans(ends: Floats, radius_cells: float, which: npt.NDArray[np.intp], row: Ints) -> tuple[Floats, Floats]:
    """Where a row enters and leaves each capsule, all in cells: the outermost of two discs and two edges.

    Every one of those places lies on the capsule, and one of them is where the row crosses its rim.
    """
    x0, y0, x1, y1 = (ends[:, column][which] for column in range(4))
    up0, up1 = row - y0, row - y1
    half0, half1 = radius_cells**2 - up0**2, radius_cells**2 - up1**2
    wide0, wide1 = np.sqrt(np.maximum(half0, 0.0)), np.sqrt(np.maximum(half1, 0.0))
    left = np.minimum(np.where(half0 >= 0, x0 - wide0, np.inf), np.where(half1 >= 0, x1 - wide1, np.inf))
    right = np.maximum(np.where(half0 >= 0, x0 + wide0, -np.inf), np.where(half1 >= 0, x1 + wide1, -np.inf))
    dx, dy = ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]
    length = np.hypot(dx, dy)
    steep = np.abs(dy) > 0
    slope = np.divide(dx, dy, out=np.zeros_like(dx), where=steep)
    out_x = np.divide(dy * radius_cells, length, out=np.zeros_like(dx), where=length > 0)
    out_y = np.divide(-dx * radius_cells, length, out=np.zeros_like(dx), where=length > 0)
    for side in (1.0, -1.0):
        above, below = up0 - side * out_y[which], up1 - side * out_y[which]
        on_edge = steep[which] & (above * below <= 0)
        x = x0 + side * out_x[which] + above * slope[which]
        left = np.where(on_edge, np.minimum(left, x), left)
        right = np.where(on_edge, np.maximum(right, x), right)
    return left, right
