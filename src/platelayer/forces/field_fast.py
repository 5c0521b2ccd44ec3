"""The height field laid down by compiled loops; only imported where the ``fast`` extra (numba) is installed.

The runs are those of the plain version, worked out by the same sums in the same order, so both give the same cells.
"""

import math

import numpy as np
import numpy.typing as npt
from numba import njit

from platelayer.values.motion import Floats


def lay(field: npt.NDArray[np.float32], ends: Floats, tip: Floats, rings: Floats, cell_mm: float) -> None:
    """Lowers the field to what these capsules leave, in place; ends (n, 4), tip (n,), rings (k, 2) in mm."""
    _lay(field, ends / cell_mm - 0.5, tip, rings[:, 0] / cell_mm, rings[:, 1].copy())


@njit(cache=True, nogil=True)
def _lay(
    field: npt.NDArray[np.float32], ends: Floats, tip: Floats, radius: Floats, rise: Floats
) -> None:  # pragma: no cover - compiled
    rows, columns = field.shape
    for n in range(len(tip)):
        x0, y0, x1, y1 = ends[n, 0], ends[n, 1], ends[n, 2], ends[n, 3]
        dx, dy = x1 - x0, y1 - y0
        length = math.hypot(dx, dy)
        slope = dx / dy if dy != 0.0 else 0.0
        for k in range(len(radius)):
            r = radius[k]
            z = np.float32(tip[n] + rise[k])
            if tip[n] + rise[k] >= 0.0:
                continue
            out_x = dy * r / length if length > 0.0 else 0.0
            out_y = -dx * r / length if length > 0.0 else 0.0
            low = max(math.ceil(min(y0, y1) - r), 0)
            high = min(math.floor(max(y0, y1) + r), rows - 1)
            for row in range(low, high + 1):
                up0, up1 = row - y0, row - y1
                half0, half1 = r**2 - up0**2, r**2 - up1**2
                left, right = np.inf, -np.inf
                if half0 >= 0.0:
                    wide = math.sqrt(half0)
                    left, right = x0 - wide, x0 + wide
                if half1 >= 0.0:
                    wide = math.sqrt(half1)
                    left, right = min(left, x1 - wide), max(right, x1 + wide)
                if dy != 0.0:
                    if (up0 - out_y) * (up1 - out_y) <= 0.0:
                        x = x0 + out_x + (up0 - out_y) * slope
                        left, right = min(left, x), max(right, x)
                    if (up0 + out_y) * (up1 + out_y) <= 0.0:
                        x = x0 - out_x + (up0 + out_y) * slope
                        left, right = min(left, x), max(right, x)
                if right < 0.0 or left > columns - 1:
                    continue
                first = max(math.ceil(left), 0)
                last = min(math.floor(right), columns - 1)
                line = field[row]
                for column in range(first, last + 1):
                    line[column] = min(line[column], z)
