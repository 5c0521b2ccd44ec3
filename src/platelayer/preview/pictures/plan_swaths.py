"""What the bit sweeps, drawn from the files alone: bands as wide as the bit, darker the deeper; rapids in dashes.

Glossary:
    band: all moves of one bit at one depth, drawn as one stroke. Not an exact area: removal works that out.
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from platelayer.manifest.schema import ManifestFile
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Group, Ink, Shape, polyline
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.bit_shape import radius_at
from platelayer.values.motion import Motion, MoveKind
from platelayer.values.shapes import Arc, Contour, Line, Segment
from platelayer.values.tooling import BitKind

DEPTH_STEP_MM = 0.1
"""Depths closer than this share a shade; finer than an eye tells shades apart."""
SHADES_MOST = 40
EDGE_OPACITY = 0.4
"""Bands of bits that break edges let the piece show through."""

_EDGE_KINDS = (BitKind.ROUND_OVER, BitKind.VEE)
SHORTEST_DRAWN_MM = 0.1
"""Moves shorter than this are joined to the next; a tenth of a millimetre is the width of a fine pen's line."""

CutFile = tuple[Motion, ManifestFile]


def swaths(cut: Sequence[CutFile], *, thickness_mm: float, within: Contour) -> Group:
    """Every band, shallow first so that deeper ones lie on top; those of bits that only break edges lightly."""
    bands: dict[tuple[float, float, bool], list[Contour]] = {}
    for motion, file in cut:
        for bit_index, bit in enumerate(file.bits):
            mine = (motion.kind != MoveKind.RAPID) & ((motion.bit == bit_index) | (motion.bit < 0))
            depth = -(motion.start[:, 2] + motion.end[:, 2]) / 2
            mine &= np.minimum(motion.start[:, 2], motion.end[:, 2]) < -COINCIDENT_MM
            step = max(DEPTH_STEP_MM, float(depth[mine].max(initial=0.0)) / SHADES_MOST)
            level = np.maximum(np.round(depth / step), 1).astype(np.int64)
            for each in np.unique(level[mine]):
                width = 2 * radius_at(bit, float(each) * step)
                runs = chains(motion, np.flatnonzero(mine & (level == each)))
                bands.setdefault((float(each) * step, width, bit.kind in _EDGE_KINDS), []).extend(runs)
    shapes = []
    for (depth_mm, width, is_light), runs in sorted(bands.items(), key=lambda band: band[0]):
        shade = palette.depth_colour(depth_mm / thickness_mm)
        ratio = EDGE_OPACITY if is_light else 1.0
        shapes.append(Shape(tuple(runs), Ink(stroke=shade, width_mm=width, stroke_ratio=ratio, is_round=True)))
    return Group(parts=tuple(shapes), clip=within)


def chains(motion: Motion, rows: npt.NDArray[np.intp]) -> list[Contour]:
    """These moves seen from above, each place once, moves that follow on chained; plunges are the shortest of lines."""
    key = np.round(np.hstack([motion.start[rows, :2], motion.end[rows, :2]]) / SHORTEST_DRAWN_MM)
    _, first = np.unique(np.hstack([key, motion.kind[rows, None]]), axis=0, return_index=True)
    kept = rows[np.sort(first)]
    runs: list[list[Segment]] = []
    pen = (math.nan, math.nan)
    columns = (motion.kind[kept].tolist(), motion.start[kept, :2].tolist(), motion.end[kept, :2].tolist())
    for kind, start, end, centre in zip(*columns, motion.centre[kept].tolist(), strict=True):
        if not math.dist(pen, start) <= SHORTEST_DRAWN_MM / 2:
            runs.append([])
            pen = (start[0], start[1])
        to = (end[0], end[1])
        if kind != MoveKind.LINE:
            runs[-1].append(Arc((start[0], start[1]), to, (centre[0], centre[1]), kind == MoveKind.ARC_CCW))
        elif runs[-1] and isinstance(runs[-1][-1], Line) and math.dist(pen, to) < SHORTEST_DRAWN_MM:
            continue
        else:
            runs[-1].append(Line(pen, to))
        pen = to
    return [Contour(tuple(chain), is_closed=False) for chain in runs]


def rapids(cut: Sequence[CutFile], *, step_mm: float) -> Group:
    """Rapids over the board in dashes, a light edge under them so that they read on dark cuts."""
    lines: list[Contour] = []
    for motion, _ in cut:
        rows = (motion.kind == MoveKind.RAPID) & (
            np.hypot(*(motion.end[:, :2] - motion.start[:, :2]).T) > SHORTEST_DRAWN_MM
        )
        ends = np.hstack([motion.start[rows, :2], motion.end[rows, :2]])
        lines += [polyline((a, b), (c, d)) for a, b, c, d in np.unique(ends, axis=0).tolist()]
    under = Ink(stroke=palette.PAPER, width_mm=0.16 * step_mm, stroke_ratio=0.55)
    over = Ink(stroke=palette.BLUE, width_mm=0.09 * step_mm, dash_mm=(0.7 * step_mm, 0.35 * step_mm))
    return Group(parts=tuple(Shape(tuple(lines), ink) for ink in (under, over) if lines))
