"""Sockets and the notches round pegs: every joint surface cut by one bit to full depth, and all waste beside it.

Glossary:
    notch: the wood round a peg that the joints bit takes away. socket: here the waste of a socket, all of it.
    ring, track, opened: as in ``rings``.

Rings are cut from the waste inwards, so that what is left always hangs on the piece or on the board and no slug comes
loose: closed rings in a hole first, then open ones from the furthest to the nearest, then the finish ring. The nearest
goes by climb like the finish ring: the teeth then push the bit away from the joint (see ``outlines``).
"""

import math
from collections.abc import Sequence

from platelayer.geometry.contours import reversed_contour
from platelayer.geometry.regions import difference, union_all
from platelayer.offset.depths import THIN_CUT_RATIO, canyon_levels, deep_from_mm, levels
from platelayer.offset.entries import lead_in, lead_out, to_and_fro, zigzag
from platelayer.offset.finish_ways import FinishWay, finish_pass, finish_way
from platelayer.offset.paths import is_clear, link, steps_along
from platelayer.offset.pockets import cut_closed, is_sliver, sweep
from platelayer.offset.rings import Opened, Rings, rings_of, tracks_of
from platelayer.offset.runs import JointRun
from platelayer.tolerances import FINISH_ALLOWANCE_MM, SLIVER_MM
from platelayer.values.cuts import Cut, CutKind, FeedKind, Pass, Step
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Contour, Line
from platelayer.values.thin_cuts import ThinCut
from platelayer.values.tooling import Bit, CutData

_Contours = tuple[Contour, ...]


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
        passes += cut_open(rings, run, down, bit)
    is_thin = _is_thin(rings, bit)
    way = finish_way(depth_mm, bit=bit, data=data, side_mm=side_mm) if is_thin else FinishWay(levels=down)
    passes += [_finish(rings, level, way.thin, bit, data) for level in way.levels]
    kind = CutKind.NOTCH if run.kind is EndKind.PEG else CutKind.SOCKET
    return Cut(piece_id=piece_id, kind=kind, bit_id=bit.id, passes=tuple(passes))


def _is_thin(rings: Rings, bit: Bit) -> bool:
    """The finish ring meets wood with the outermost part of the bit only; not so in a relief that roughing misses."""
    inner = sweep(rings.finish, bit.radius_mm - THIN_CUT_RATIO * bit.diameter_mm)
    return is_sliver(difference(inner, sweep(rings.rough, bit.radius_mm)))


def cut_open(rings: Rings, run: JointRun, down: Sequence[float], bit: Bit) -> list[Pass]:
    """Axis slot, tracks and rough ring at every level; the wide ring too in the levels of the canyon.

    An axis slot goes ahead of the rings, but never further than three diameters.
    """
    way_back = Line(rings.rough.start, rings.rough.end)
    is_circuit = run.kind is EndKind.SOCKET and not rings.tracks and is_clear(way_back, run.contour, bit.radius_mm)
    if is_circuit and rings.axis and rings.closed:
        return [_cut_from_within(rings.rough, rings.axis[0], down)]
    opened = len(canyon_levels(down, bit, depth_mm=-down[-1])) if rings.wide else 0
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
    tracks = [*rings.tracks, *tracks_of(rings.rough, left, radius)]
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


def _finish(rings: Rings, level: float, thin: ThinCut | None, bit: Bit, data: CutData) -> Pass:
    """The finish ring backwards, by climb, from the roughed slot and back into it, at one level."""
    back, slot = reversed_contour(rings.finish), reversed_contour(rings.rough)
    reach = min(bit.diameter_mm / 2, 1.0, back.length_mm / 4)
    way_in = lead_in(slot, back, reach, radius_mm=bit.diameter_mm, waste_is_left=True)
    way_out = lead_out(slot, back, back.length_mm - reach, radius_mm=bit.diameter_mm)
    middle = steps_along(back, ((reach, level), (back.length_mm - reach, level)))
    ends = Step(way_in, level, level), Step(way_out, level, level)
    return finish_pass(ends[0], middle, ends[1], thin=thin, bit=bit, data=data, rough=slot)
