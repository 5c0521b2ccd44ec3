"""Where a bit went into the design, as a distance: no sweep is needed, only how near its centre came.

A disc of radius r about a centre that is s away from the design reaches r - s into it; when the centre is inside, r
and as deep as it is. The slices asked are those at which the design changes, seen from the face that was up: just
below the face, where the grooves are gone from it, and just below the grooves' floors, where it is whole. Where edges
are broken, the design stands back at the top: then slices down the round are asked too, and just above the depth of
every level move that ends within it.
"""

import itertools
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.geometry.regions import (
    Area,
    distance_between_mm,
    distances_mm,
    edge_distances_mm,
    line_through,
    prepared,
    within_mm,
)
from platelayer.proof.design import Design
from platelayer.proof.removal import Runs, runs_at
from platelayer.tolerances import DEPTH_MM, GOUGE_MM
from platelayer.values.pieces import BoardFace


@dataclass(frozen=True, slots=True, kw_only=True)
class Gouge:
    """A place where a bit went into the design: how deep, by which move, and where that move is.

    ``floor_mm`` is the depth of the grooves when it lies under one, that is when it went too deep in a groove, else 0.
    """

    depth_mm: float
    move: int
    point: tuple[float, float, float]
    floor_mm: float = 0.0


def gouges_of(design: Design, moves: BoardMoves, rows: Rows) -> tuple[tuple[Gouge, ...], float]:
    """The worst gouge of every run that has one, deepest first, and the deepest of all, also below the limit."""
    found: list[Gouge] = []
    deepest = 0.0
    for face in BoardFace:
        mine = rows[moves.is_top[rows] == (face is BoardFace.TOP)]
        floor = design.floor_mm(face)
        for own_mm, area, which in _slices(design, moves, mine, face, floor):
            depth = own_mm if face is BoardFace.TOP else design.board.thickness_mm - own_mm
            runs = runs_at(moves, which, depth)
            some, worst = _gouges_in(design, moves, runs, area, floor if own_mm > floor > 0 else 0.0)
            found += some
            deepest = max(deepest, worst)
    return tuple(sorted(found, key=lambda gouge: (-gouge.depth_mm, gouge.move))), deepest


def _slices(
    design: Design, moves: BoardMoves, rows: Rows, face: BoardFace, floor_mm: float
) -> list[tuple[float, Area, Rows]]:
    """Depth from the face, design there and the rows to hold against it; what is whole below is asked there only."""
    if not len(rows):
        return []
    edge_mm = design.edge_mm(face)
    shallowest = [(DEPTH_MM, design.grooved(face))]
    if edge_mm:
        depths = {DEPTH_MM, *(share * edge_mm for share in EDGE_SHARES), edge_mm + DEPTH_MM}
        depths |= {depth - DEPTH_MM for depth in _levels_within(moves, rows, edge_mm)}
        shallowest = [(depth, design.standing(face, depth)) for depth in sorted(depths, reverse=True)]
    if not floor_mm:
        return [(depth, area, rows) for depth, area in shallowest]
    below = max(floor_mm, edge_mm) + DEPTH_MM
    not_below = rows[moves.depth[rows].min(axis=1) < below]
    return [(below, design.solid, rows)] + [(depth, area, not_below) for depth, area in shallowest if depth < below]


EDGE_SHARES: Final = (0.1, 0.3, 0.6)
"""Slices down a broken edge, as shares of its depth; the tip's own shape is looked at in all of them."""

LEVELS_MOST: Final = 8
"""Depths of level moves within a broken edge that get slices of their own; the deepest, when there are more."""


def _levels_within(moves: BoardMoves, rows: Rows, edge_mm: float) -> list[float]:
    """Depths at which bits run level within the depth of a broken edge, deepest first."""
    start, end = moves.depth[rows].T
    level = end[(start == end) & (start > 2 * DEPTH_MM) & (start < edge_mm)]
    steps = np.unique(np.floor(level / DEPTH_MM))[::-1]
    return [float(step) * DEPTH_MM for step in steps[:LEVELS_MOST]]


def _gouges_in(design: Design, moves: BoardMoves, runs: Runs, area: Area, floor_mm: float) -> tuple[list[Gouge], float]:
    found: list[Gouge] = []
    deepest = 0.0
    for radius in np.unique(runs.radius_mm).tolist():
        which = np.flatnonzero(runs.radius_mm == radius)
        lines = runs.lines[which]
        depth = next((step for step in _STEPS_MM if not within_mm(lines, area, radius - step).any()), None)
        if depth is not None:
            deepest = max(deepest, depth)
            continue
        gouging = which[within_mm(lines, area, radius - GOUGE_MM)].tolist()
        some = [_worst(design, moves, runs.moves[index], area, radius, floor_mm) for index in gouging]
        found += some
        deepest = max([deepest, *(gouge.depth_mm for gouge in some)])
    return found, deepest


_STEPS_MM: Final = (GOUGE_MM / 4, GOUGE_MM / 2, GOUGE_MM)
"""A gouge within the limit is told as the least of these that it keeps within."""


def _worst(design: Design, moves: BoardMoves, rows: Rows, area: Area, radius_mm: float, floor_mm: float) -> Gouge:
    """The move of a run that went deepest, and its point that did."""
    gaps = [distance_between_mm(prepared(area), line_through(moves.plan(row))) for row in rows.tolist()]
    row = int(rows[int(np.argmin(gaps))])
    plan = moves.plan(row)
    count = max(2, int(np.hypot(*np.diff(plan, axis=0).T).max(initial=0.0)) + 1)
    dense = np.vstack(
        [np.linspace(one, two, count, endpoint=False) for one, two in itertools.pairwise(plan)] + [plan[-1:]]
    )
    outside = distances_mm(area, dense)
    reach = radius_mm - outside
    is_inside = outside == 0
    if is_inside.any():
        reach[is_inside] += edge_distances_mm(area, dense[is_inside])
    at = int(reach.argmax())
    point = (float(dense[at, 0]), float(dense[at, 1]), min(moves.start(row)[2], moves.end(row)[2]))
    depth_mm = max(float(reach[at]), radius_mm - min(gaps))
    floor = any(groove_area.contains(line_through([point[:2]])) for groove, groove_area in design.grooves if floor_mm)
    return Gouge(depth_mm=depth_mm, move=row, point=point, floor_mm=floor_mm if floor else 0.0)
