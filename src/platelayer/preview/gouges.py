"""Where a bit went into the design, as a distance: no sweep is needed, only how near its centre came.

A disc of radius r about a centre that is s away from the design reaches r - s into it; when the centre is inside, r
and as deep as it is. The slices asked are those at which the design changes, seen from the face that was up: just
below the face, where the grooves are gone from it, and just below the grooves' floors, where it is whole.
"""

import itertools
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.regions import (
    Area,
    distance_between_mm,
    distances_mm,
    edge_distances_mm,
    line_through,
    within_mm,
)
from platelayer.preview.design import Design
from platelayer.preview.removal import Runs, runs_at
from platelayer.preview.tracks import Rows, Tracks
from platelayer.tolerances import DEPTH_MM, GOUGE_MM
from platelayer.values.pieces import BoardFace


@dataclass(frozen=True, slots=True, kw_only=True)
class Gouge:
    """A place where a bit went into the design: how deep, by which track, and where that track is.

    ``floor_mm`` is the depth of the grooves when it lies under one, that is when it went too deep in a groove, else 0.
    """

    depth_mm: float
    track: int
    point: tuple[float, float, float]
    floor_mm: float = 0.0


def gouges_of(design: Design, tracks: Tracks, rows: Rows) -> tuple[tuple[Gouge, ...], float]:
    """The worst gouge of every run that has one, deepest first, and the deepest of all, also below the limit."""
    found: list[Gouge] = []
    deepest = 0.0
    for face in BoardFace:
        mine = rows[tracks.is_top[rows] == (face is BoardFace.TOP)]
        floor = design.floor_mm(face)
        for own_mm, area, which in _slices(design, tracks, mine, face, floor):
            depth = own_mm if face is BoardFace.TOP else design.board.thickness_mm - own_mm
            runs = runs_at(tracks, which, depth)
            some, worst = _gouges_in(design, tracks, runs, area, floor if own_mm > floor > 0 else 0.0)
            found += some
            deepest = max(deepest, worst)
    return tuple(sorted(found, key=lambda gouge: (-gouge.depth_mm, gouge.track))), deepest


def _slices(
    design: Design, tracks: Tracks, rows: Rows, face: BoardFace, floor_mm: float
) -> list[tuple[float, Area, Rows]]:
    """Depth from the face, design there and the rows to hold against it; what is whole below is asked there only."""
    if not len(rows):
        return []
    if not floor_mm:
        return [(DEPTH_MM, design.solid, rows)]
    below = floor_mm + DEPTH_MM
    not_below = rows[tracks.depth[rows].min(axis=1) < below]
    return [(below, design.solid, rows), (DEPTH_MM, design.grooved(face), not_below)]


def _gouges_in(design: Design, tracks: Tracks, runs: Runs, area: Area, floor_mm: float) -> tuple[list[Gouge], float]:
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
        some = [_worst(design, tracks, runs.tracks[index], area, radius, floor_mm) for index in gouging]
        found += some
        deepest = max([deepest, *(gouge.depth_mm for gouge in some)])
    return found, deepest


_STEPS_MM: Final = (GOUGE_MM / 4, GOUGE_MM / 2, GOUGE_MM)
"""A gouge within the limit is told as the least of these that it keeps within."""


def _worst(design: Design, tracks: Tracks, rows: Rows, area: Area, radius_mm: float, floor_mm: float) -> Gouge:
    """The track of a run that went deepest, and its point that did."""
    gaps = [distance_between_mm(line_through(tracks.plan(row)), area) for row in rows.tolist()]
    row = int(rows[int(np.argmin(gaps))])
    plan = tracks.plan(row)
    count = max(2, int(np.ptp(plan, axis=0).max()) + 1)
    dense = np.vstack(
        [np.linspace(one, two, count, endpoint=False) for one, two in itertools.pairwise(plan)] + [plan[-1:]]
    )
    outside = distances_mm(area, dense)
    inside = np.where(outside > 0, 0.0, edge_distances_mm(area, dense))
    reach = radius_mm - outside + inside
    at = int(reach.argmax())
    point = (float(dense[at, 0]), float(dense[at, 1]), min(tracks.start(row)[2], tracks.end(row)[2]))
    depth_mm = max(float(reach[at]), radius_mm - min(gaps))
    floor = any(groove_area.contains(line_through([point[:2]])) for groove, groove_area in design.grooves if floor_mm)
    return Gouge(depth_mm=depth_mm, track=row, point=point, floor_mm=floor_mm if floor else 0.0)
