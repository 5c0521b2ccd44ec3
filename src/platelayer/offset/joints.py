"""Sockets and the notches round pegs: every joint surface cut by one bit to full depth, and all waste beside it.

Glossary:
    notch: the wood round a peg that the joints bit takes away. socket: here the waste of a socket, all of it.
    ring: a parallel of the joint run at one distance. Not the finish ring: that lies at the bit's radius exactly.
    track (of a ring): the connected part of it that is cut.
    dab: the rough ring's way into a corner too narrow for its allowance, as the relief at a root is, and out again.

Rings are cut from the waste inwards, so that what is left always hangs on the piece or on the board and no slug comes
loose: closed rings in a hole first, then open ones from the furthest to the nearest, then the finish ring. The nearest
goes by climb like the finish ring: the teeth then push the bit away from the joint (see ``outlines``).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.contours import reversed_contour
from platelayer.geometry.intersect import distances_mm as segment_distances_mm
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    buffered,
    difference,
    distances_mm,
    line_through,
    parts,
    thickest_mm,
    to_area,
    union_all,
)
from platelayer.offset.depths import THIN_CUT_RATIO, canyon_levels, deep_from_mm, finish_levels, levels
from platelayer.offset.entries import lead_in, lead_out, to_and_fro, zigzag
from platelayer.offset.outlines import with_dabs
from platelayer.offset.parallels import parallels
from platelayer.offset.paths import is_clear, link, points_along, steps_along, stretch
from platelayer.offset.pockets import MIDDLE_RATIO, cut_closed, is_sliver, sweep
from platelayer.offset.room import widening_mm
from platelayer.offset.runs import JointRun
from platelayer.tolerances import FINISH_ALLOWANCE_MM, FLATTEN_CHORD_MM, SLIVER_MM
from platelayer.values.cuts import Cut, CutKind, FeedKind, Pass, Step
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


def cut_joint(
    run: JointRun,
    opened: Opened,
    *,
    piece_id: str,
    bit: Bit,
    data: CutData,
    depth_mm: float,
    clearance_mm: float,
) -> Cut:
    """Everything the joints bit does at one end, to full depth; see the head for the order.

    Where another bit has opened the place, roughing there takes only what that one left.

    Raises:
        AssertionError: waste that no ring reaches; that would be a fault of this program.
    """
    side_mm = finish_side_mm(run, bit)
    rings = rings_of(
        run, opened.area, bit=bit, data=data, depth_mm=depth_mm, side_mm=side_mm, clearance_mm=clearance_mm
    )
    down = levels(depth_mm, data.stepdown_mm)
    passes = list(cut_closed(rings.closed, down, bit=bit, walls=run.contour, clear_mm=bit.radius_mm))
    if opened.depth_mm:
        passes += _cut_opened(rings, run, opened, depth_mm=depth_mm, bit=bit, data=data)
    else:
        passes += _cut_open(rings, run, down, bit)
    is_thin = _is_thin(rings, bit)
    deep = finish_levels(depth_mm, bit=bit, data=data, side_mm=side_mm) if is_thin else down
    passes += [_finish(rings, level, bit) for level in deep]
    kind = CutKind.NOTCH if run.kind is EndKind.PEG else CutKind.SOCKET
    return Cut(piece_id=piece_id, kind=kind, bit_id=bit.id, passes=tuple(passes))


def open_socket(
    run: JointRun, *, piece_id: str, bit: Bit, data: CutData, depth_mm: float, clearance_mm: float
) -> tuple[Cut, Opened]:
    """What a larger bit takes of a socket before the joints bit, which it leaves the allowance on all walls.

    Raises:
        AssertionError: waste that no ring reaches; that would be a fault of this program.
    """
    side_mm = FINISH_ALLOWANCE_MM
    rings = rings_of(run, EMPTY, bit=bit, data=data, depth_mm=depth_mm, side_mm=side_mm, clearance_mm=clearance_mm)
    down = levels(depth_mm, data.stepdown_mm)
    passes = (
        *cut_closed(rings.closed, down, bit=bit, walls=run.contour, clear_mm=bit.radius_mm),
        *_cut_open(rings, run, down, bit),
    )
    ways = (Contour((step.segment,), is_closed=False) for one in passes for step in one.steps)
    area = union_all(sweep(way, bit.radius_mm) for way in dict.fromkeys(ways))
    return Cut(piece_id=piece_id, kind=CutKind.SOCKET, bit_id=bit.id, passes=passes), Opened(area, depth_mm)


def _is_thin(rings: Rings, bit: Bit) -> bool:
    """The finish ring meets wood with the outermost part of the bit only; not so in a relief that roughing misses."""
    inner = sweep(rings.finish, bit.radius_mm - THIN_CUT_RATIO * bit.diameter_mm)
    return is_sliver(difference(inner, sweep(rings.rough, bit.radius_mm)))


def _cut_open(rings: Rings, run: JointRun, down: Sequence[float], bit: Bit) -> list[Pass]:
    """Axis slot, tracks and rough ring at every level; the wide ring too in the levels of the canyon.

    An axis slot goes ahead of the rings, but never further than three diameters.
    """
    way_back = Line(rings.rough.start, rings.rough.end)
    is_circuit = run.kind is EndKind.SOCKET and not rings.tracks and is_clear(way_back, run.contour, bit.radius_mm)
    if is_circuit and rings.axis and rings.closed:
        return [_cut_from_within(rings.rough, rings.axis[0], down)]
    opened = len(canyon_levels(down, bit)) if rings.wide else 0
    shallow, deeper = (*rings.tracks, *rings.wide, rings.rough), (*rings.tracks, rings.rough)
    if is_circuit and opened:
        shallow = (*_front(rings, bit), *shallow)
    ahead = sum(1 for level in down if -level <= deep_from_mm(bit))
    passes: list[Pass] = []
    for first, last in ((0, ahead), (ahead, len(down))) if 0 < ahead < len(down) else ((0, len(down)),):
        top = down[first - 1] if first else 0.0
        passes += [_cut_axis(line, top, down[first:last]) for line in rings.axis]
        middle = min(max(opened, first), last)
        upper, lower = down[first:middle], down[middle:last]
        passes += _cut_moves([(level, shallow) for level in upper], top, run.contour, bit.radius_mm)
        top = upper[-1] if upper else top
        if is_circuit:
            passes += _cut_circuit(rings.rough, top, lower)
        else:
            passes += _cut_moves([(level, deeper) for level in lower], top, run.contour, bit.radius_mm)
    return passes


def _cut_opened(rings: Rings, run: JointRun, opened: Opened, *, depth_mm: float, bit: Bit, data: CutData) -> list[Pass]:
    """What is left where another bit has been, to and fro at each level; below its floor all of the rough ring.

    The bit goes straight down beside what is left: there it meets nothing.
    """
    radius = bit.radius_mm
    left = difference(sweep(rings.rough, radius), opened.area)
    tracks = [*rings.tracks, *_tracks(rings.rough, left, radius)]
    upper = levels(opened.depth_mm, data.stepdown_mm)
    lower = levels(depth_mm, data.stepdown_mm, from_mm=opened.depth_mm)
    passes = [to_and_fro(track, 0.0, upper, plunges=True) for track in tracks]
    rest = [(level, (*rings.tracks, rings.rough)) for level in lower]
    return [*passes, *_cut_moves(rest, -opened.depth_mm, run.contour, radius)]


def _cut_from_within(ring: Contour, axis: Line, down: Sequence[float]) -> Pass:
    """At each level out of the hole by a ramp along the axis, round the rough ring by climb, and back in.

    The hole is clear already, so the ramp begins half a level down; the way back in takes what it leaves. At the last
    level that goes before the ring, lest it come loose, and the bit ends in front, where the finish ring begins. The
    ring's slot is open towards hole and axis, and no deep slot but for a few diameters in front of the face.
    """
    by_climb = reversed_contour(ring)
    back = Line(axis.end, axis.start)
    forth = Line(axis.end, by_climb.start), *by_climb.segments, Line(by_climb.end, axis.end)
    steps: list[Step] = []
    top = down[0] / 2
    for level in down:
        steps.append(Step(axis, top, level, FeedKind.RAMP))
        way = (*forth, back) if level > down[-1] else (back, axis, *forth)
        round_trip = Contour(way, is_closed=False)
        steps += steps_along(round_trip, ((0.0, level), (round_trip.length_mm, level)))
        top = level
    return Pass(tuple(steps))


def _front(rings: Rings, bit: Bit) -> tuple[Contour, ...]:
    """The way straight back in front of a mouth, as a track of its own where the levels above leave wood in it."""
    way_back = Contour((Line(rings.rough.end, rings.rough.start),), is_closed=False)
    axes = (Contour((line,), is_closed=False) for line in rings.axis)
    cut = union_all(sweep(path, bit.radius_mm) for path in (*rings.closed, *rings.wide, rings.rough, *axes))
    return () if is_sliver(difference(sweep(way_back, bit.radius_mm), cut)) else (way_back,)


def _cut_axis(line: Line, top: float, down: Sequence[float]) -> Pass:
    """Out of the hole by a ramp and back level, for each level; it begins and ends where the hole is clear."""
    steps: list[Step] = []
    back = Line(line.end, line.start)
    for level in down:
        steps += [Step(line, top, level, FeedKind.RAMP), Step(back, level, level)]
        top = level
    return Pass(tuple(steps))


def _cut_circuit(ring: Contour, top: float, down: Sequence[float]) -> list[Pass]:
    """The rough ring of a socket at each level and straight back in front of the mouth, ramping to the next.

    The last way back is level: what is left of the outline's slot there hangs on the faces beside it.
    """
    steps: list[Step] = []
    by_climb = reversed_contour(ring)
    for level in down:
        steps.append(Step(Line(by_climb.end, by_climb.start), top, level, FeedKind.RAMP))
        steps += steps_along(by_climb, ((0.0, level), (by_climb.length_mm, level)))
        top = level
    if steps:
        steps.append(Step(Line(by_climb.end, by_climb.start), top, top))
    return [Pass(tuple(steps))] if steps else []


def finish_side_mm(run: JointRun, bit: Bit) -> float:
    """Wood left for the finish ring: FINISH_ALLOWANCE_MM, or half of what a tight mouth gives the bit."""
    if run.kind is EndKind.PEG:
        return FINISH_ALLOWANCE_MM
    segments = run.contour.segments
    lips = [s for s in segments[1:-1] if isinstance(s, Line)]
    across = math.dist(lips[0].end, lips[-1].start) if len(lips) > 1 else math.inf
    return min(FINISH_ALLOWANCE_MM, max(0.0, (across / 2 - bit.radius_mm) / 2))


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


_Contours = tuple[Contour, ...]


def _far_rings(
    run: JointRun, left: Area, radius_mm: float, nearest_mm: float, spacing_mm: float
) -> tuple[_Contours, _Contours] | None:
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
                found = _tracks(ring, left, radius_mm)
                tracks += found
            left = difference(left, union_all(sweep(track, radius_mm) for track in found)) if found else left
    return tuple(reversed(closed)), tuple(reversed(tracks))


def _furthest_mm(run: JointRun, left: Area) -> float:
    """How far from the joint run the furthest of what is left lies; a ring much further off takes nothing of it."""
    corners = np.vstack([np.asarray(part.exterior.coords) for part in parts(left)])
    return float(segment_distances_mm(corners, run.contour.segments).max())


def _tracks(ring: Contour, left: Area, radius_mm: float) -> list[Contour]:
    """The parts of an open ring that come near enough to touch what is left."""
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


def _cut_moves(each: Sequence[tuple[float, _Contours]], top: float, walls: Contour, clear_mm: float) -> list[Pass]:
    """The tracks of each level, from far to near, linked without lifting where the way between them is short.

    The last track of a level is the nearest ring: it is cut backwards, by climb. The others are cut towards it.
    """
    passes: list[Pass] = []
    steps: list[Step] = []
    for level, tracks in each:
        for number, way in enumerate(_ways(tracks)):
            z = top if number == 0 else level
            if steps and _is_near(steps[-1], way, walls, clear_mm):
                steps += link(steps[-1].segment.end, way.start, z)
                if number == 0:
                    steps += zigzag(way, z, level)
            else:
                if steps:
                    passes.append(Pass(tuple(steps)))
                steps = list(zigzag(way, top, level))
            steps += steps_along(way, ((0.0, level), (way.length_mm, level)))
        top = level
    return [*passes, Pass(tuple(steps))] if steps else passes


def _ways(tracks: Sequence[Contour]) -> list[Contour]:
    """Tracks in the direction of their cut: the last backwards, each before it so that it ends nearest to the next."""
    ways = [reversed_contour(tracks[-1])]
    for track in reversed(tracks[:-1]):
        forwards, backwards = math.dist(track.end, ways[0].start), math.dist(track.start, ways[0].start)
        ways.insert(0, track if forwards <= backwards else reversed_contour(track))
    return ways


def _is_near(last: Step, way: Contour, walls: Contour, clear_mm: float) -> bool:
    gap = math.dist(last.segment.end, way.start)
    if gap <= SLIVER_MM:
        return True
    return gap <= 2 * clear_mm and is_clear(Line(last.segment.end, way.start), walls, clear_mm)


def _finish(rings: Rings, level: float, bit: Bit) -> Pass:
    """The finish ring backwards, by climb, from the roughed slot and back into it, at one level."""
    back, slot = reversed_contour(rings.finish), reversed_contour(rings.rough)
    reach = min(bit.diameter_mm / 2, 1.0, back.length_mm / 4)
    way_in = lead_in(slot, back, reach, radius_mm=bit.diameter_mm, waste_is_left=True)
    way_out = lead_out(slot, back, back.length_mm - reach, radius_mm=bit.diameter_mm, waste_is_left=True)
    middle = steps_along(back, ((reach, level), (back.length_mm - reach, level)))
    return Pass((Step(way_in, level, level), *middle, Step(way_out, level, level)), is_finish=True)
