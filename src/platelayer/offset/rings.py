"""The rings along which a bit clears a socket or the wood round a peg, and the tracks of them that are cut.

Glossary:
    ring: a parallel of the joint run at one distance. Not the finish ring: that lies at the bit's radius exactly.
    track (of a ring): the connected part of it that is cut.
    opened: what a larger bit has taken before.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.intersect import distances_mm as segment_distances_mm
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    buffered,
    difference,
    distances_mm,
    holds_points,
    line_through,
    parts,
    thickest_mm,
    to_area,
    union_all,
)
from platelayer.offset.dabs import with_dabs
from platelayer.offset.parallels import parallels
from platelayer.offset.paths import is_clear, points_along, stretch
from platelayer.offset.pockets import MIDDLE_RATIO, is_sliver, sweep
from platelayer.offset.room import widening_mm
from platelayer.offset.runs import JointRun
from platelayer.tolerances import FLATTEN_CHORD_MM, SLIVER_MM
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Arc, Contour, Line
from platelayer.values.tooling import Bit, CutData

LEAST_TRACK_MM: Final = 4.0
"""A track of a ring is at least this long where the ring is, so that the bit has a way to ramp in."""

_SPACING_MM: Final = 0.1
_TRIES: Final = 4
_NEARLY_ALL_RATIO: Final = 0.6
"""A ring of which more than this is wanted is cut whole: the next one then follows without lifting."""

_WIDEST_SPACING_RATIO: Final = 0.98
"""Rings of a cut right through stand up to this share of the bit's diameter apart: there is no floor to keep flat, and
no cut is wider than the slot that the stepdown is meant for."""


@dataclass(frozen=True, slots=True)
class Opened:
    """What a bit has cut round a joint before, as seen from above, and how deep; nothing where none has."""

    area: Area = EMPTY
    depth_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Rings:
    """What is cut of one joint run: closed rings, then open tracks from far to near, the rough ring, the finish ring.

    ``axis`` is a slot down the middle of a mouth, from the hole out, where that saves a ring, or nothing.
    ``wide`` is the whole ring next to the rough one, cut in the uppermost levels besides, where the slot is deep and
    the room allows, or nothing.
    """

    closed: tuple[Contour, ...]
    axis: tuple[Line, ...]
    tracks: tuple[Contour, ...]
    wide: tuple[Contour, ...]
    rough: Contour
    finish: Contour


def rings_of(
    run: JointRun,
    opened: Area,
    *,
    bit: Bit,
    data: CutData,
    depth_mm: float,
    side_mm: float,
    clearance_mm: float,
) -> Rings:
    """Rings whose sweeps leave nothing of the remainder, but what is opened and corners that the bit cannot reach.

    Raises:
        AssertionError: waste that no ring reaches; that would be a fault of this program.
    """
    radius = bit.radius_mm
    finish = open_ring(run, radius)
    rough = with_dabs(open_ring(run, radius + side_mm), finish, run.contour, bit_radius_mm=radius, side_mm=side_mm)
    left = difference(_reachable(run, radius), union_all((opened, sweep(finish, radius), sweep(rough, radius))))
    more = widening_mm(bit, data, depth_mm=depth_mm, clearance_mm=clearance_mm) if opened.is_empty else 0.0
    wide = (open_ring(run, radius + side_mm + more),) if more > 0 else ()
    axis = _axis(run, left, radius, radius + side_mm)
    if axis:
        begin = buffered(line_through([axis[0].start]), radius, chord_mm=FLATTEN_CHORD_MM)
        # where the slot begins the hole must be clear already, lest a post stand there
        left = difference(left, difference(sweep(Contour(axis, is_closed=False), radius), begin))
    spacing = _WIDEST_SPACING_RATIO * bit.diameter_mm
    for _ in range(_TRIES):
        found = _far_rings(run, left, radius, radius + side_mm, spacing)
        if found is not None:
            closed, tracks = found
            return Rings(closed, axis, tracks, wide, rough, finish)
        spacing *= 0.7
    raise AssertionError("waste of a joint stays out of reach of its own rings; please send the job file")


def _axis(run: JointRun, left: Area, radius_mm: float, front_mm: float) -> tuple[Line, ...]:
    """The slot from the middle of a hole out in front of its mouth, if rings leave wood in the middle of the mouth."""
    holes = [segment for segment in run.contour.segments if isinstance(segment, Arc) and not segment.is_ccw]
    if run.kind is not EndKind.SOCKET or len(holes) != 1:
        return ()
    (hx, hy), first, last = holes[0].centre, run.contour.start, run.contour.end
    mx, my = (first[0] + last[0]) / 2, (first[1] + last[1]) / 2
    share = 1 + front_mm / math.dist((hx, hy), (mx, my))
    line = Line((hx, hy), (hx + (mx - hx) * share, hy + (my - hy) * share))
    mouth = Line(((hx + mx) / 2, (hy + my) / 2), line.end)
    wood = left.intersection(sweep(Contour((mouth,), is_closed=False), radius_mm))
    return () if is_sliver(wood) or not is_clear(line, run.contour, radius_mm) else (line,)


def _reachable(run: JointRun, radius_mm: float) -> Area:
    """The remainder less the corners that the bit cannot reach."""
    fine = FLATTEN_CHORD_MM
    runs = to_area(run.contour, chord_mm=fine)
    near = buffered(run.remainder, 2 * radius_mm, chord_mm=SLIVER_MM)
    centres = difference(near, buffered(runs, radius_mm - 2 * fine, chord_mm=fine))
    return run.remainder.intersection(buffered(centres, radius_mm, chord_mm=fine))


def open_ring(run: JointRun, distance_mm: float) -> Contour:
    """The open parallel of the whole joint run.

    Raises:
        AssertionError: not just one; that would be a fault of this program.
    """
    found = [p.contour for p in parallels(run.contour, distance_mm) if not p.contour.is_closed]
    if len(found) != 1:
        raise AssertionError("a joint run has one open parallel; please send the job file")
    return found[0]


def _far_rings(
    run: JointRun, left: Area, radius_mm: float, nearest_mm: float, spacing_mm: float
) -> tuple[tuple[Contour, ...], tuple[Contour, ...]] | None:
    """Closed rings and tracks of open ones, far to near, that take what is left.

    None when something stays that no ring takes.
    """
    deepest = thickest_mm(run.remainder, chord_mm=SLIVER_MM) / 2 - MIDDLE_RATIO * radius_mm
    if deepest > nearest_mm:
        spacing_mm = (deepest - nearest_mm) / math.ceil((deepest - nearest_mm) / spacing_mm)
    closed: list[Contour] = []
    tracks: list[Contour] = []
    distance = nearest_mm
    furthest = _furthest_mm(run, left) + radius_mm + spacing_mm
    while not is_sliver(left):
        distance += spacing_mm
        rings = [parallel.contour for parallel in parallels(run.contour, distance)]
        if not rings or distance > furthest:
            return None
        for ring in rings:
            if ring.is_closed:
                found = [] if is_sliver(left.intersection(sweep(ring, radius_mm))) else [ring]
                closed += found
            else:
                found = [track for part in _within(ring, run.room) for track in tracks_of(part, left, radius_mm)]
                tracks += found
            left = difference(left, union_all(sweep(track, radius_mm) for track in found)) if found else left
    return tuple(reversed(closed)), tuple(reversed(tracks))


def _furthest_mm(run: JointRun, left: Area) -> float:
    """How far from the joint run the furthest of what is left lies; a ring much further off takes nothing of it."""
    corners = np.vstack([np.asarray(part.exterior.coords) for part in parts(left)])
    return float(segment_distances_mm(corners, run.contour.segments).max())


def _within(ring: Contour, room: Area) -> list[Contour]:
    """The stretches of an open ring that lie in the room of the joint."""
    places, points = points_along(ring, _SPACING_MM)
    inside = holds_points(room, points)
    if inside.all():
        return [ring]
    edges = np.flatnonzero(np.diff(inside, prepend=False, append=False)).reshape(-1, 2)
    ways = ((float(places[low]), float(places[high - 1])) for low, high in edges)
    return [stretch(ring, low, high) for low, high in ways if high - low > 2 * _SPACING_MM]


def tracks_of(ring: Contour, left: Area, radius_mm: float) -> list[Contour]:
    """The parts of an open ring that come near enough to touch what is left of the waste."""
    solid = buffered(buffered(left, -SLIVER_MM / 2, chord_mm=SLIVER_MM), SLIVER_MM / 2, chord_mm=SLIVER_MM)
    if solid.is_empty:
        return []
    places, points = points_along(ring, _SPACING_MM)
    touching = np.nonzero(distances_mm(solid, points) < radius_mm)[0]
    found: list[tuple[float, float]] = []
    for index in touching:
        low, high = float(places[index]) - 2 * _SPACING_MM, float(places[index]) + 2 * _SPACING_MM
        if found and low <= found[-1][1] + LEAST_TRACK_MM:
            found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    if math.fsum(high - low for low, high in found) > _NEARLY_ALL_RATIO * ring.length_mm:
        return [ring]
    return [stretch(ring, *_at_least(low, high, ring.length_mm)) for low, high in found]


def _at_least(low: float, high: float, whole: float) -> tuple[float, float]:
    more = max(0.0, LEAST_TRACK_MM - (high - low)) / 2
    return max(0.0, low - more), min(whole, high + more)
