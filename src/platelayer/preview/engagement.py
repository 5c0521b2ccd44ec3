"""What wood a bit meets at the moment it comes by: only what earlier moves have left.

Glossary:
    station: a place on a track that is asked, with the depth of the tip there.
    met: wood that stands inside the bit's round at a station when the bit arrives, higher than a level.
    thin cut: wood met only in the outermost part of the round, as a finish pass meets it; it does not count.

Asked in two steps. First cheaply: an earlier track that went by near enough and deep enough has cleared the station by
itself. What is not settled so is worked out exactly, as areas.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.regions import (
    Areas,
    box,
    buffered,
    difference,
    intersection,
    is_thinner_than_mm,
    line_through,
    lines_from,
    near_pairs,
    parts,
    points_area,
    union_all,
)
from platelayer.preview.removal import part_of
from platelayer.preview.tracks import Bools, Rows, Tracks
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, LEFTOVER_MM
from platelayer.values.motion import Floats, MoveKind

THIN_CUT_RATIO: Final = 0.15
"""A cut no wider than this share of the bit's diameter may be as deep as the flutes: it hardly bends the bit."""

STATION_MM: Final = 2.0
"""Stations stand no further apart than this along a track, at least one at either end."""

STATIONS_MOST: Final = 12
"""Stations on one track at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Columns: the track, the place, the depth of the tip and the level whose wood is asked for, own depths."""

    track: Rows
    point: Floats
    depth_mm: Floats
    level_mm: Floats

    def __len__(self) -> int:
        return len(self.track)


def thin_mm(tracks: Tracks) -> Floats:
    """(n,) width of a cut that does not count, for each track's bit."""
    return THIN_CUT_RATIO * 2 * tracks.radius


def stations_on(tracks: Tracks, rows: Rows, above_tip_mm: Floats) -> Stations:
    """Stations along the rows; the level asked lies so far above the tip there. Levels above the wood are left out."""
    track, point, depth = [], [], []
    for row in rows.tolist():
        plan = tracks.plan(row)
        along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(plan, axis=0).T))))
        count = int(min(STATIONS_MOST, 2 + along[-1] // STATION_MM))
        at = np.linspace(0.0, along[-1], count)
        track.append(np.full(count, row))
        point.append(np.column_stack((np.interp(at, along, plan[:, 0]), np.interp(at, along, plan[:, 1]))))
        depth.append(np.linspace(tracks.depth[row, 0], tracks.depth[row, 1], count))
    if not track:
        return Stations(track=np.zeros(0, np.intp), point=np.zeros((0, 2)), depth_mm=np.zeros(0), level_mm=np.zeros(0))
    rows_of, depths = np.concatenate(track).astype(np.intp), np.concatenate(depth)
    levels = depths - above_tip_mm[rows_of]
    keep = levels > DEPTH_MM
    return Stations(
        track=rows_of[keep], point=np.concatenate(point)[keep], depth_mm=depths[keep], level_mm=levels[keep]
    )


def meets_wood(tracks: Tracks, stations: Stations) -> Bools:
    """(m,) wood stands at the station's level inside the bit's round, less the thin cut, when the bit comes."""
    met: Bools = np.ones(len(stations), np.bool_)
    if not len(stations):
        return met
    met = _not_cleared_by_one(tracks, stations)
    for index in np.flatnonzero(met).tolist():
        met[index] = _is_met(tracks, stations, index)
    return met


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clearers:
    """Whole tracks that stay at one depth, and the single chords of those that do not: what clears a station."""

    track: Rows
    line: Areas
    start: Floats
    end: Floats
    depth: Floats


def _clearers(tracks: Tracks) -> _Clearers:
    rows = np.flatnonzero((tracks.depth.max(axis=1) > 0) & (tracks.radius > 0))
    counts = (tracks.first[rows + 1] - tracks.first[rows]).astype(np.intp)
    owner = np.repeat(np.arange(len(rows)), counts)
    offset = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
    at = tracks.first[rows][owner] + offset
    is_level = tracks.depth[rows, 0] == tracks.depth[rows, 1]
    level = rows[is_level]
    whole = is_level[owner]
    number = np.cumsum(is_level)[owner[whole]] - 1
    lines = lines_from(tracks.points[at[whole]], number) if len(level) else np.zeros(0, np.object_)
    heads = np.flatnonzero(~whole & (offset < counts[owner] - 1))
    chord = at[heads]
    share = np.stack((offset[heads], offset[heads] + 1), axis=1) / (counts[owner[heads]] - 1)[:, None]
    depth = tracks.depth[rows[owner[heads]]]
    chords = np.stack((tracks.points[chord], tracks.points[chord + 1]), axis=1).reshape(-1, 2)
    each = lines_from(chords, np.repeat(np.arange(len(chord)), 2)) if len(chord) else np.zeros(0, np.object_)
    return _Clearers(
        track=np.concatenate((level, rows[owner[heads]])),
        line=np.concatenate((lines, each)),
        start=np.concatenate((tracks.points[tracks.first[level]], tracks.points[chord])),
        end=np.concatenate((tracks.points[tracks.first[level]], tracks.points[chord + 1])),
        depth=np.concatenate((tracks.depth[level], depth[:, :1] + share * (depth[:, 1:] - depth[:, :1]))),
    )


def _not_cleared_by_one(tracks: Tracks, stations: Stations) -> Bools:
    """(m,) no single earlier track that was as deep as the level where it came by has cleared the station's round."""
    clearers = _clearers(tracks)
    thin = thin_mm(tracks)
    is_open = np.ones(len(stations), np.bool_)
    for radius in np.unique(tracks.radius[stations.track]).tolist():
        mine = np.flatnonzero(tracks.radius[stations.track] == radius)
        points = points_area(stations.point[mine])
        for other in np.unique(tracks.radius[clearers.track]).tolist():
            reach = other - radius + float(thin[stations.track[mine[0]]])
            if reach < 0:
                continue
            theirs = np.flatnonzero(tracks.radius[clearers.track] == other)
            asked, found = near_pairs(points, clearers.line[theirs], reach)
            station, clearer = mine[asked], theirs[found]
            cleared = (
                (clearers.track[clearer] < stations.track[station])
                & (_depth_beside(clearers, clearer, stations.point[station]) >= stations.level_mm[station])
                & (tracks.is_top[clearers.track[clearer]] == tracks.is_top[stations.track[station]])
            )
            is_open[station[cleared]] = False
    return is_open


def _depth_beside(clearers: _Clearers, which: Rows, points: Floats) -> Floats:
    """(k,) depth of each clearer where it comes nearest to a point."""
    start, depth = clearers.start[which], clearers.depth[which]
    span = clearers.end[which] - start
    squared = (span**2).sum(axis=1)
    share = ((points - start) * span).sum(axis=1) / np.where(squared > 0, squared, 1.0)
    return np.asarray(depth[:, 0] + np.clip(share, 0.0, 1.0) * (depth[:, 1] - depth[:, 0]))


def _is_met(tracks: Tracks, stations: Stations, index: int) -> bool:
    """Exactly: the round, less the thin cut, over the board and less all that earlier tracks took at the level."""
    row, point = int(stations.track[index]), stations.point[index]
    level = float(stations.level_mm[index])
    radius = float(tracks.radius[row] - thin_mm(tracks)[row])
    width, height = tracks.board.size_mm
    wood = intersection(
        buffered(points_area([point])[0], radius, chord_mm=FLATTEN_CHORD_MM), box((0.0, 0.0), (width, height))
    )
    reach = radius + tracks.radius
    near = ((tracks.low[:row] - reach[:row, None] <= point) & (tracks.high[:row] + reach[:row, None] >= point)).all(
        axis=1
    )
    is_top = bool(tracks.is_top[row])
    own = np.where(tracks.is_top[:row] == is_top, level, tracks.board.thickness_mm - level)
    there = near & (tracks.depth[:row].max(axis=1) >= own) & (tracks.radius[:row] > 0)
    earlier = np.flatnonzero(there)
    if len(earlier):
        areas = []
        for other in earlier.tolist():
            start, end = (float(depth) for depth in tracks.depth[other])
            low, high = _share(start, end, float(own[other]))
            line = line_through(part_of(tracks.plan(other), low, high))
            areas.append(buffered(line, float(tracks.radius[other]), chord_mm=FLATTEN_CHORD_MM))
        wood = difference(wood, union_all(areas))
    return any(not is_thinner_than_mm(part, 4 * LEFTOVER_MM) for part in parts(wood))


def _share(start: float, end: float, level: float) -> tuple[float, float]:
    """The shares of a track between which its tip is at the level or past it."""
    if start >= level and end >= level:
        return 0.0, 1.0
    crossing = (level - start) / (end - start)
    return (0.0, crossing) if start >= level else (crossing, 1.0)


def settled_by_shape(tracks: Tracks, rows: Rows, step_mm: Floats) -> Bools:
    """(k,) the same plan was cut before, at most a step less deep than now, or now is the first step from the face."""
    order = np.lexsort((np.arange(len(tracks)), tracks.shape))
    shallow = tracks.depth.min(axis=1)[order]
    shape = tracks.shape[order]
    before = np.zeros(len(tracks))
    best, current = 0.0, -1
    for at, number in enumerate(shape.tolist()):
        if number != current:
            best, current = 0.0, number
        before[order[at]] = best
        best = max(best, float(shallow[at]))
    settled: Bools = tracks.depth[rows].max(axis=1) - before[rows] <= step_mm[rows] + DEPTH_MM
    return settled


def cutting_rows(tracks: Tracks) -> Rows:
    """Moves at feed with their tip below the face somewhere."""
    return np.flatnonzero((tracks.kind != MoveKind.RAPID) & (tracks.depth.max(axis=1) > DEPTH_MM) & (tracks.radius > 0))
