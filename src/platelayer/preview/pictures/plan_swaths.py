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
from platelayer.preview.pictures.svg import arc_data, num, tag
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.bit_shape import radius_at
from platelayer.values.motion import Motion, MoveKind
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


def swaths(cut: Sequence[CutFile], *, thickness_mm: float, height_mm: float) -> str:
    """Every band, shallow first so that deeper ones lie on top; those of bits that only break edges lightly."""
    bands: dict[tuple[float, float, bool], list[str]] = {}
    for motion, file in cut:
        for bit_index, bit in enumerate(file.bits):
            mine = (motion.kind != MoveKind.RAPID) & ((motion.bit == bit_index) | (motion.bit < 0))
            depth = -(motion.start[:, 2] + motion.end[:, 2]) / 2
            mine &= np.minimum(motion.start[:, 2], motion.end[:, 2]) < -COINCIDENT_MM
            step = max(DEPTH_STEP_MM, float(depth[mine].max(initial=0.0)) / SHADES_MOST)
            level = np.maximum(np.round(depth / step), 1).astype(np.int64)
            for each in np.unique(level[mine]):
                width = 2 * radius_at(bit, float(each) * step)
                data = _chains(motion, np.flatnonzero(mine & (level == each)), height_mm=height_mm)
                bands.setdefault((float(each) * step, width, bit.kind in _EDGE_KINDS), []).append(data)
    return tag(
        "g",
        "".join(
            tag(
                "path",
                d="".join(data),
                stroke=palette.depth_colour(depth / thickness_mm),
                stroke_width=width,
                stroke_opacity=EDGE_OPACITY if is_light else 1.0,
            )
            for (depth, width, is_light), data in sorted(bands.items())
        )
        or "<g/>",
        fill="none",
        stroke_linecap="round",
        stroke_linejoin="round",
        clip_path="url(#board)",
    )


def _chains(motion: Motion, rows: npt.NDArray[np.intp], *, height_mm: float) -> str:
    """Path data of these moves, each place drawn once, moves that follow on chained."""
    key = np.round(np.hstack([motion.start[rows, :2], motion.end[rows, :2]]) / SHORTEST_DRAWN_MM)
    _, first = np.unique(np.hstack([key, motion.kind[rows, None]]), axis=0, return_index=True)
    kept = rows[np.sort(first)]
    out: list[str] = []
    pen = (math.nan, math.nan)
    columns = (motion.kind[kept].tolist(), motion.start[kept, :2].tolist(), motion.end[kept, :2].tolist())
    for kind, start, end, centre in zip(*columns, motion.centre[kept].tolist(), strict=True):
        if math.dist(pen, start) > SHORTEST_DRAWN_MM / 2 or math.isnan(pen[0]):
            out.append(f"M{num(start[0])} {num(height_mm - start[1])}")
            pen = (start[0], start[1])
        if kind == MoveKind.LINE:
            if math.dist(pen, end) < SHORTEST_DRAWN_MM and out[-1][0] == "L":
                continue
            out.append(f"L{num(end[0])} {num(height_mm - end[1])}")
        else:
            out.append(
                arc_data(
                    (start[0], start[1]),
                    (end[0], end[1]),
                    (centre[0], centre[1]),
                    is_ccw=kind == MoveKind.ARC_CCW,
                    height_mm=height_mm,
                )
            )
        pen = (end[0], end[1])
    return "".join(out)


def rapids(cut: Sequence[CutFile], *, height_mm: float, step_mm: float) -> str:
    """Rapids over the board in dashes, a light edge under them so that they read on dark cuts."""
    data: list[str] = []
    for motion, _ in cut:
        rows = (motion.kind == MoveKind.RAPID) & (
            np.hypot(*(motion.end[:, :2] - motion.start[:, :2]).T) > SHORTEST_DRAWN_MM
        )
        ends = np.hstack([motion.start[rows, :2], motion.end[rows, :2]])
        ends[:, 1::2] = height_mm - ends[:, 1::2]
        data += [f"M{num(a)} {num(b)}L{num(c)} {num(d)}" for a, b, c, d in np.unique(ends, axis=0).tolist()]
    if not data:
        return ""
    path = "".join(data)
    under = tag("path", d=path, stroke=palette.PAPER, stroke_width=0.16 * step_mm, stroke_opacity=0.55)
    dash = f"{num(0.7 * step_mm)} {num(0.35 * step_mm)}"
    over = tag("path", d=path, stroke=palette.BLUE, stroke_width=0.09 * step_mm, stroke_dasharray=dash)
    return tag("g", under + over, fill="none")
