"""The height field of a board from its files alone: how high the wood still stands over every small square.

Glossary:
    field: z of what is left over a grid of cells, 0 at the up face, negative downwards. Not the exact levels: those
        are areas with true edges; the field is exact only at the middles of its cells.
    cell: a square of the grid; its z is that of the wood at its middle.
    run: the cells of one row that one capsule covers; always one run, because a capsule is convex.

How it is done: every capsule gives one run a row, and a run asks that its cells be no higher than its tip. All runs
are laid down at once by halving: a run of n cells is two overlapping runs of the largest power of two in n, noted at
their first cells; then, from the longest power down, each noted height is handed to the two halves. So the work is a
handful of whole-array minimums, whatever the number of moves.
"""

import importlib.util
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from platelayer.forces.capsules import Capsules, capsules_of
from platelayer.gcode.board_frame import board_of, files_of, on_board
from platelayer.manifest.schema import Manifest, ManifestFile
from platelayer.values.motion import Floats, Ints, Motion
from platelayer.values.pieces import BoardFace

CELLS_MOST = 64_000_000
"""Never more cells than this: 256 MB for the field."""
BAND_CELLS = 2_000_000
"""Rows are laid down so many cells at a time: 16 MB of working arrays that stay in a cache."""
RUNS_AT_ONCE = 3_000_000
"""Runs held before they are laid down, 16 bytes each with what sorting them takes: about 150 MB at the peak."""
FAST_FROM_MOVES = 60_000
"""From here on compiling pays for itself (about 0.5 s from its cache)."""

Heights = npt.NDArray[np.float32]


class Ask(Enum):
    """What is being asked of the field, which sets its cell: (cell as a share of the smallest bit, cells at most)."""

    PICTURE = (1 / 8, 1_000_000)
    CHECK = (1 / 16, 16_000_000)
    MEASURE = (1 / 32, CELLS_MOST)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightField:
    """Heights (rows, columns) float32 in mm; row 0 is nearest, cell (i, j) has its middle at (j + .5, i + .5) cells."""

    cell_mm: float
    z: Heights

    def at(self, x: float, y: float) -> float:
        """Height of the wood in the cell that holds the point; 0 off the board."""
        row, column = math.floor(y / self.cell_mm), math.floor(x / self.cell_mm)
        inside = 0 <= row < self.z.shape[0] and 0 <= column < self.z.shape[1]
        return float(self.z[row, column]) if inside else 0.0


def cell_size_mm(size_mm: tuple[float, float], *, smallest_bit_mm: float, ask: Ask) -> float:
    """The cell that answers what is asked without more cells than that may take."""
    ratio, most = ask.value
    return max(smallest_bit_mm * ratio, math.sqrt(size_mm[0] * size_mm[1] / most))


def board_field(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    *,
    board_id: str,
    face: BoardFace = BoardFace.TOP,
    ask: Ask = Ask.PICTURE,
) -> HeightField:
    """The field of one face of one board after all its files.

    Raises:
        KeyError: the manifest has no such board.
    """
    board = board_of(manifest, board_id)
    cut = [
        (on_board(motions[file.name], file, board), file)
        for file in files_of(manifest, board_id, face)
        if file.name in motions
    ]
    smallest = min((bit.diameter_mm for _, file in cut for bit in file.bits), default=board.thickness_mm)
    return height_field(
        cut, size_mm=board.size_mm, cell_mm=cell_size_mm(board.size_mm, smallest_bit_mm=smallest, ask=ask)
    )


def height_field(
    cut: Sequence[tuple[Motion, ManifestFile]],
    *,
    size_mm: tuple[float, float],
    cell_mm: float,
    is_fast: bool | None = None,
) -> HeightField:
    """The field after these files, from their moves alone; rapids cut too where they go below z 0.

    Memory: 4 bytes a cell, and about 250 MB for runs in the plain version, 50 MB in the fast.

    Args:
        cut: moves in board coordinates with z 0 at the up face, and the file that names their bits.
        size_mm: the board's width and height.
        cell_mm: edge of a cell.
        is_fast: compiled or plain; None chooses by the number of moves and by what is installed. Both give the same.

    Raises:
        ValueError: more than CELLS_MOST cells asked for; or the fast version asked for where it is not installed.
    """
    rows, columns = (max(math.ceil(side / cell_mm - 1 / 1000), 1) for side in reversed(size_mm))
    if rows * columns > CELLS_MOST:
        raise ValueError(f"{rows} x {columns} cells of {cell_mm} mm are more than {CELLS_MOST}; ask for larger cells")
    if is_fast is None:
        is_fast = sum(len(motion) for motion, _ in cut) >= FAST_FROM_MOVES and is_fast_installed()
    if is_fast and not is_fast_installed():
        raise ValueError("the fast field needs numba: pip install 'platelayer[fast]'")
    field = np.zeros((rows, columns), dtype=np.float32)
    each = _capsules(cut, cell_mm=cell_mm)
    if is_fast:
        from platelayer.forces.field_fast import lay

        for capsules in each:
            lay(field, capsules.ends, capsules.tip, capsules.rings, cell_mm)
    else:
        _lay(field, _runs(each, field.shape, cell_mm=cell_mm))
    field.flags.writeable = False
    return HeightField(cell_mm=cell_mm, z=field)


def is_fast_installed() -> bool:
    """The ``fast`` extra is there."""
    return importlib.util.find_spec("numba") is not None


def _capsules(cut: Sequence[tuple[Motion, ManifestFile]], *, cell_mm: float) -> Iterator[Capsules]:
    for motion, file in cut:
        for number, bit in enumerate(file.bits):
            mine = motion.bit == number if number else motion.bit <= 0
            yield from capsules_of(motion, bit, mine, cell_mm=cell_mm)


Runs = tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], Heights]


def _runs(each: Iterator[Capsules], shape: tuple[int, ...], *, cell_mm: float) -> Iterator[Runs]:
    """Runs as (first cell, cell after the last, z), cells numbered row by row."""
    for capsules in each:
        for radius, rise in capsules.rings:
            reach = np.abs(capsules.ends[:, 3] - capsules.ends[:, 1]) + 2 * radius
            rows_before = np.cumsum(reach / cell_mm + 1)
            first = 0
            while first < len(reach):
                so_far = rows_before[first - 1] if first else 0.0
                last = max(int(np.searchsorted(rows_before, so_far + RUNS_AT_ONCE / 8)), first + 1)
                part = slice(first, last)
                yield runs_of(capsules.ends[part], capsules.tip[part] + rise, radius, shape, cell_mm)[:3]
                first = last


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


def _lay(field: Heights, runs: Iterator[Runs]) -> None:
    """Lays runs down in lots of at most RUNS_AT_ONCE and a bit."""
    held: list[Runs] = []
    for run in runs:
        held.append(run)
        if sum(len(first) for first, _, _ in held) >= RUNS_AT_ONCE:
            _lay_lot(field, held)
            held = []
    if held:
        _lay_lot(field, held)


def _lay_lot(field: Heights, held: Sequence[Runs]) -> None:
    """Lays one lot down band by band of rows; no run reaches from one row to the next."""
    first, after, z = (np.concatenate(parts) for parts in zip(*held, strict=True))
    band = max(BAND_CELLS // field.shape[1], 1) * field.shape[1]
    flat = field.reshape(-1)
    if band < len(flat):
        number = (first // band).astype(np.int16)
        order = np.argsort(number, kind="stable")
        first, after, z, number = first[order], after[order], z[order], number[order]
    else:
        number = np.zeros(len(first), dtype=np.int16)
    for each in np.unique(number).tolist():
        part = slice(*np.searchsorted(number, [each, each + 1]).tolist())
        start = each * band
        _lay_band(flat[start : start + band], first[part] - start, after[part] - start, z[part])


def _lay_band(flat: Heights, first: npt.NDArray[np.int64], after: npt.NDArray[np.int64], z: Heights) -> None:
    power = (np.frexp((after - first).astype(np.float64))[1] - 1).astype(np.int8)
    order = np.argsort(power, kind="stable")
    first, after, z = first[order], after[order], z[order]
    most = int(power.max())
    bounds = np.searchsorted(power[order], np.arange(most + 2)).tolist()
    noted, spare = np.zeros_like(flat), np.empty_like(flat)
    for size in range(most, -1, -1):
        half = 1 << size
        if size < most:
            np.copyto(spare, noted)
            np.minimum(noted[half:], spare[:-half], out=noted[half:])
        part = slice(bounds[size], bounds[size + 1])
        np.minimum.at(noted, first[part], z[part])
        np.minimum.at(noted, after[part] - half, z[part])
    np.minimum(flat, noted, out=flat)
