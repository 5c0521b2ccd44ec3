"""Dowel holes as the files leave them: where they are, how wide, how deep, and whether all of their wood is gone.

Glossary:
    hole: the round hole of one dowel, right through the board and some way into the spoilboard.
    slice: here a depth below the face that was up, so that the spoilboard has slices too.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    distances_mm,
    intersection,
    line_through,
    parts,
    points_area,
    union_all,
    within_mm,
)
from platelayer.proof.removal import near, runs_through, swept
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, GOUGE_MM
from platelayer.values.cuts import Dowel
from platelayer.values.motion import Floats
from platelayer.values.shapes import Point

AROUND_MM: Final = 2.0
"""Cuts as near to a hole as this are looked at as its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One hole as cut.

    Attributes:
        rows: moves that cut in the hole, all from the lower face.
        middle: of what is cut through there; the dowel's own where nothing is.
        wide_mm: how far the cut goes beyond the dowel's edge.
        left_mm: how far wood stands out from the dowel's edge, at the deepest slice that is cut at all.
        deep_mm: how far below the board it goes, over its whole width.
    """

    rows: Rows
    middle: Point
    wide_mm: float
    left_mm: float
    deep_mm: float


def dowels_on(moves: BoardMoves) -> tuple[Dowel, ...]:
    """The dowels on which the board is turned."""
    return moves.board.turning.dowels if moves.board.turning is not None else ()


def spoilboard_mm(moves: BoardMoves) -> Floats:
    """(n,) how far below the board each move may go: into a dowel's hole as deep as the dowel, else the allowance."""
    allowed = np.full(len(moves), moves.board.allowance_mm)
    for dowel in dowels_on(moves):
        for row in rows_in(moves, dowel):
            allowed[row] = max(allowed[row], dowel.depth_mm)
    return allowed


def rows_in(moves: BoardMoves, dowel: Dowel) -> Rows:
    """Tracks whose round stays inside a dowel's hole, which is bored from the lower face."""
    rows = _near(moves, dowel, 0.0)
    rows = rows[~moves.is_top[rows]]
    room = dowel.diameter_mm / 2 + GOUGE_MM - moves.radius[rows]
    furthest = [float(np.hypot(*(moves.plan(row) - np.asarray(dowel.at)).T).max()) for row in rows.tolist()]
    is_inside: Bools = np.asarray(furthest, np.float64) <= room
    return rows[is_inside]


def rows_through_dowel(moves: BoardMoves, dowel: Dowel) -> Rows:
    """Tracks from the upper face that cut into a dowel, which stands in its hole by then."""
    rows = _near(moves, dowel, 0.0)
    rows = rows[moves.is_top[rows] & (moves.depth[rows].max(axis=1) > DEPTH_MM) & (moves.radius[rows] > 0)]
    middle = points_area([dowel.at])[0]
    hits = [
        bool(within_mm([line_through(moves.plan(row))], middle, dowel.diameter_mm / 2 + radius - GOUGE_MM)[0])
        for row, radius in zip(rows.tolist(), moves.radius[rows].tolist(), strict=True)
    ]
    found: Rows = rows[np.asarray(hits, np.bool_)]
    return found


def hole_of(moves: BoardMoves, dowel: Dowel) -> Hole:
    """The hole of a dowel as the moves from the lower face leave it."""
    rows = _near(moves, dowel, AROUND_MM)
    rows = rows[~moves.is_top[rows]]
    disc = _disc(dowel, 0.0)
    window = _disc(dowel, AROUND_MM)
    cut = intersection(swept((runs_through(moves, rows, DEPTH_MM),)), window)
    through = intersection(swept((runs_through(moves, rows, moves.board.thickness_mm - DEPTH_MM),)), window)
    deepest = float(moves.depth[rows].max(initial=0.0))
    floor = intersection(swept((runs_through(moves, rows, deepest - DEPTH_MM),)), window) if deepest > 0 else cut
    middle = dowel.at if through.is_empty else (float(through.centroid.x), float(through.centroid.y))
    return Hole(
        rows=rows,
        middle=middle,
        wide_mm=max(_furthest_mm(cut, dowel) - dowel.diameter_mm / 2, 0.0),
        left_mm=dowel.diameter_mm / 2 - _nearest_mm(difference(disc, floor), dowel),
        deep_mm=deepest - moves.board.thickness_mm,
    )


def _near(moves: BoardMoves, dowel: Dowel, margin_mm: float) -> Rows:
    (x, y), radius = dowel.at, dowel.diameter_mm / 2
    return near(moves, (x - radius, y - radius, x + radius, y + radius), margin_mm)


def _disc(dowel: Dowel, more_mm: float) -> Area:
    return buffered(points_area([dowel.at])[0], dowel.diameter_mm / 2 + more_mm, chord_mm=FLATTEN_CHORD_MM)


def _furthest_mm(area: Area, dowel: Dowel) -> float:
    """Distance from the dowel's middle to the area's furthest corner; 0 for nothing."""
    corners = [np.asarray(part.exterior.coords) for part in parts(area)]
    if not corners:
        return 0.0
    return float(distances_mm(points_area([dowel.at])[0], np.vstack(corners)).max())


def _nearest_mm(stands: Area, dowel: Dowel) -> float:
    """Distance from the dowel's middle to the nearest wood that is no hair of flattening; its radius for none."""
    thick = [part for part in parts(stands) if not buffered(part, -GOUGE_MM / 2, chord_mm=GOUGE_MM).is_empty]
    if not thick:
        return dowel.diameter_mm / 2
    return float(union_all(thick).distance(points_area([dowel.at])[0]))


def off_mm(hole: Hole, dowel: Dowel) -> float:
    """How far the hole's middle lies from where the dowel belongs."""
    return math.dist(hole.middle, dowel.at)
