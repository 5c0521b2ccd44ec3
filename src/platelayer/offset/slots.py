"""All outlines of one board: one slot between neighbours, roughed, finished to a floor that holds, then parted.

Glossary:
    slot: what the bit takes away round a piece; neighbours share it. lane: one loop's part of it.
    fresh: a stretch of a lane in which no neighbour's lane has cut yet. wide lane: one further out, that widens a deep
    slot where no neighbour's lane does. way: through stretches of a wide lane, by the near lane from one to the next.

In rounds. First blocks of waste are milled that slots will ring. Then, for every piece, what its neighbours' slots need
cut before they go deeper: all of the roughing, and what widens a slot that will be deep; or the levels down to which it
has to be wide, where the floor lies deeper than a slot of the bit's own width may. Then piece by piece the rest down to
the floor and the finish. Last, when all walls stand, every piece is parted: until then a floor holds them all.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.geometry.contours import distance_mm, point_along, reversed_contour
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    Floats,
    buffered,
    difference,
    holds_points,
    points_area,
    to_area,
    union,
    union_all,
    within_mm,
)
from platelayer.offset.across import tabs_across
from platelayer.offset.depths import canyon_levels, levels
from platelayer.offset.entries import RAMP_RUN, ZIGZAG_LEG_MM, to_and_fro
from platelayer.offset.fenced import fenced_finish, fenced_parting
from platelayer.offset.opening import past_pegs
from platelayer.offset.outlines import Body, back_along, deep_slot, down, finish_passes, parting, walls_way
from platelayer.offset.paths import drop, nearest_along, steps_along, stretch, views_along
from platelayer.offset.pockets import sweep
from platelayer.offset.tabs import NO_LIFTS, Lifts, tab_height_mm
from platelayer.offset.waste import clearings, mill_away, nearest_body, thinned_by, waste_of, widenable, with_tips
from platelayer.tolerances import COINCIDENT_MM, FINISH_ALLOWANCE_MM, LEFTOVER_MM
from platelayer.values.cuts import Cut, CutKind, Pass, Tab
from platelayer.values.findings import Finding
from platelayer.values.shapes import Contour, Line, Segment

Flags = npt.NDArray[np.bool_]

_SPACING_MM: Final = 1.0
"""A lane is looked at so far apart."""

_MOSTLY_RATIO: Final = 0.7
"""A lane of which more than this is wanted is cut whole, round and round, without lifting."""

_LINK_MM: Final = 80.0
"""To a track of a wide lane no further on than this the bit goes through the near lane: a lift takes longer."""

_ROUNDS: Final = 4
"""Keeping wide lanes off what they would thin seldom takes more than one look."""

_LEAST_TRACK_MM: Final = 8.0
"""A stretch of a lane is at least this long, so that the bit has a way to ramp in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCuts:
    """The outlines of the pieces of one board, in board coordinates.

    Attributes:
        cuts: in no order yet.
        tabs: of each piece, in the order given.
        findings: what was noticed.
    """

    cuts: tuple[Cut, ...]
    tabs: tuple[tuple[Tab, ...], ...]
    findings: tuple[Finding, ...]


def cut_slots(names: Sequence[str], bodies: Sequence[Body]) -> BoardCuts:
    """Slots, walls and partings of all the pieces of one board.

    Args:
        names: the pieces' ids.
        bodies: where they lie, all cut by the same bit from the same board.

    Raises:
        CannotCut: tabs that find no room, or pieces that hang on nothing.
    """
    task = bodies[0].task
    solids = [to_area(body.outline, chord_mm=LEFTOVER_MM) for body in bodies]
    lanes = [sweep(body.near, task.bit.radius_mm) for body in bodies]
    waste = waste_of(task.board, bodies)
    tabs, hung = tabs_across(bodies, solids, waste)
    kept = union_all((waste.rim, *hung))
    widenings = _widenings(bodies, solids, kept, with_tips(kept, waste, task))
    cuts: list[Cut] = []
    for number, (name, body) in enumerate(zip(names, bodies, strict=True)):
        lifts = _lifts(body, tabs[number])
        first, rest = _rough(number, body, lanes, widenings[number], lifts)
        if body.near.is_closed:
            finish, last = finish_passes(body, lifts, from_slot=bool(rest)), [parting(body, lifts)]
        else:
            finish, last = fenced_finish(body, lifts), [fenced_parting(body, lifts)]
        cuts += _cut(name, body, CutKind.SLOT, first)
        cuts += _cut(name, body, CutKind.OUTLINE, [*rest, *finish, *(past_pegs(body) if task.is_parted else last)])
        cuts += _cut(name, body, CutKind.PARTING, last if task.is_parted else [])
    for clearing in clearings(waste, kept, bodies):
        number = nearest_body(clearing.area, solids)
        cuts += _cut(names[number], bodies[number], CutKind.WASTE, mill_away(clearing, task))
    deep = [body.task for body in bodies if body.wide is None and body.task.wide_levels]
    return BoardCuts(cuts=tuple(cuts), tabs=tabs, findings=tuple(dict.fromkeys(deep_slot(one) for one in deep)))


def _cut(name: str, body: Body, kind: CutKind, passes: Sequence[Pass]) -> list[Cut]:
    return [Cut(piece_id=name, kind=kind, bit_id=body.task.bit.id, passes=tuple(passes))] if passes else []


def _lifts(body: Body, tabs: Sequence[Tab]) -> Lifts:
    task = body.task
    top = -task.board.thickness_mm + tab_height_mm(task.holding, task.board) if tabs else -task.depth_mm
    return Lifts(tabs=tuple(tabs), top_z_mm=top, lift_mm=task.holding.tab_width_mm + task.bit.diameter_mm)


def _rough(
    number: int, body: Body, lanes: Sequence[Area], tracks: Sequence[Contour], lifts: Lifts
) -> tuple[list[Pass], list[Pass]]:
    """Passes of a lane that come before any slot goes deeper, and those that go on from there down to the floor."""
    task = body.task
    to = levels(task.floor_mm, task.data.stepdown_mm)
    if body.wide is None or not task.wide_levels:
        return [_all_along(lane, to, lifts, body) for lane in _fresh(number, body, lanes, lifts)], []
    first = canyon_levels(to, task.bit, depth_mm=task.depth_mm) if task.is_widened_first else to
    near = _all_along(body.near, first, lifts, body)
    ways = _ways(body, tracks, nearest_along(body.near, near.end))
    wide = [one for way in ways for one in _widened(way, body, lifts)]
    return [near, *wide], _homeward(body, to[len(first) :], first[-1], lifts)


def _beside(way: Contour, lifts: Lifts, reach_mm: float) -> Lifts:
    """Over the tabs that a way goes by within reach."""
    return replace(lifts, tabs=tuple(tab for tab in lifts.tabs if distance_mm(way, tab.at) <= reach_mm))


def _all_along(lane: Contour, to: Sequence[float], lifts: Lifts, body: Body) -> Pass:
    """A whole lane round and round, or a stretch of one to and fro, down to each level in turn."""
    if lane.is_closed:
        return down(lane, to, 0.0, lifts)
    return to_and_fro(lane, 0.0, to, _beside(lane, lifts, body.task.bit.radius_mm + 2 * FINISH_ALLOWANCE_MM))


def _widened(way: Contour, body: Body, lifts: Lifts) -> list[Pass]:
    """A way through wide lanes at each level, forwards and back by turns, or round and round where it goes all round.

    Both of its ends lie in the near lane, where the bit comes straight down.
    """
    task = body.task
    over = _beside(way, lifts, task.bit.radius_mm + task.widening_mm + 2 * FINISH_ALLOWANCE_MM)
    passes = []
    for level in task.wide_levels:
        passes.append(to_and_fro(way, level, (level,), over))
        way = way if math.dist(way.start, way.end) <= COINCIDENT_MM else reversed_contour(way)
    return passes


def _ways(body: Body, tracks: Sequence[Contour], begin_mm: float) -> list[Contour]:
    """Tracks of the wide lane in the order of the near lane, out of it and back into it, near ones in one way.

    Args:
        body: whose lanes they are.
        tracks: what is cut of its wide lane.
        begin_mm: where on the near lane the bit is.
    """
    near, whole_mm = body.near, body.near.length_mm
    found: list[list[Segment]] = []
    at_mm, ahead = begin_mm, []
    for track in tracks:
        low, high = nearest_along(near, track.start), nearest_along(near, track.end)
        ahead.append(((low - begin_mm) % whole_mm if near.is_closed else low, low, high, track))
    for _, low, high, track in sorted(ahead, key=lambda one: one[0]):
        gap_mm = (low - at_mm) % whole_mm if near.is_closed else low - at_mm
        link = stretch(near, at_mm, at_mm + gap_mm).segments if COINCIDENT_MM < gap_mm <= _LINK_MM else ()
        if not found or gap_mm > _LINK_MM:
            found.append([])
        into, out = Line(point_along(near, low), track.start), Line(track.end, point_along(near, high))
        found[-1] += [*link, into, *track.segments, out]
        at_mm = high
    return [Contour(tuple(one for one in way if one.length_mm > COINCIDENT_MM), is_closed=False) for way in found]


def _homeward(body: Body, to: Sequence[float], z_start: float, lifts: Lifts) -> list[Pass]:
    """The rest of a lane, ended where the first finish pass begins and as high."""
    if not to:
        return []
    if not body.near.is_closed:
        return [to_and_fro(body.near, z_start, to, lifts)]
    rough = down(body.near, to, z_start, lifts)
    home = back_along(body.near, rough.end)
    level = walls_way(body.task).levels[0]
    back = steps_along(home, ((0.0, to[-1]), (home.length_mm, to[-1])))
    return [Pass((*rough.steps, *back, drop(back[-1].segment.end, to[-1], level)))]


def _fresh(number: int, body: Body, lanes: Sequence[Area], lifts: Lifts) -> list[Contour]:
    """The lane without what the lanes of pieces before it have cut, or all of it where that is most of it."""
    beside = [lane for lane in lanes[:number] if lane.intersects(lanes[number])]
    if not beside:
        return [body.near]
    cut = buffered(union_all(beside), LEFTOVER_MM - body.task.bit.radius_mm, chord_mm=LEFTOVER_MM)
    places = np.arange(0.0, body.near.length_mm, _SPACING_MM)
    points, _ = views_along(body.near, places)
    wanted = ~holds_points(cut, points)
    return _tracks(body.near, places, wanted, np.ones_like(wanted), lifts)


def _widenings(bodies: Sequence[Body], solids: Sequence[Area], kept: Area, left: Area) -> list[list[Contour]]:
    """The wide lanes of each piece, which leave of the waste beside them what stands.

    Args:
        bodies: the pieces where they lie.
        solids: their areas.
        kept: the waste that stays.
        left: the same with its short tips.
    """
    task = bodies[0].task
    radius_mm = task.bit.radius_mm
    beside = widenable(kept, task)
    narrow, off = difference(kept, beside), EMPTY
    for _ in range(_ROUNDS):
        found = [_widening(number, bodies, solids, beside, narrow, off) for number in range(len(bodies))]
        thinned = thinned_by(left, (sweep(lane, radius_mm) for own in found for lane in own), task)
        if not thinned:
            break
        off = union(off, buffered(union_all(thinned), _SPACING_MM / 2, chord_mm=LEFTOVER_MM))
    return found


def _widening(
    number: int, bodies: Sequence[Body], solids: Sequence[Area], beside: Area, narrow: Area, off: Area
) -> list[Contour]:
    """Stretches of a piece's wide lane along waste that it is ``beside``, clear of other pieces.

    Their outer edge keeps out of what is ``narrow``, and all that they cut off what would not stand.
    """
    body = bodies[number]
    if body.wide is None:
        return []
    radius = body.task.bit.radius_mm
    places = np.arange(0.0, body.wide.length_mm, _SPACING_MM)
    points, outwards = views_along(body.wide, places)
    outer = points + outwards * (radius - FINISH_ALLOWANCE_MM)
    wanted = holds_points(beside, outer)
    box = buffered(solids[number], 2 * body.task.clearance_mm, chord_mm=FINISH_ALLOWANCE_MM)
    neighbours = [solid for other, solid in enumerate(solids) if other != number and solid.intersects(box)]
    may = ~holds_points(narrow, outer)
    middles = points_area(points)
    if not off.is_empty:
        may &= ~within_mm(middles, off, radius)
    too_near_mm = math.nextafter(radius + FINISH_ALLOWANCE_MM, 0.0)
    for solid in neighbours:
        may &= ~within_mm(middles, solid, too_near_mm)
    return _tracks(body.wide, places, wanted & may, may, NO_LIFTS)


def _tracks(loop: Contour, places: Floats, wanted: Flags, may: Flags, lifts: Lifts) -> list[Contour]:
    """The stretches of a closed lane that are wanted and a little more; all of it where that is most of it.

    Args:
        loop: the whole lane.
        places: distances along it, rising.
        wanted: at which of them it is wanted.
        may: at which of them the bit may go at all.
        lifts: no stretch begins or ends near one of these.
    """
    if may.all() and wanted.mean() > _MOSTLY_RATIO:
        return [loop]
    runs = _merged([_lengthened(run, loop, lifts) for run in _runs(places, wanted, loop)])
    if not may.all():
        kept = [_within(run, places, may, loop.length_mm) for run in runs]
        runs = [run for run in kept if run[1] - run[0] > _SPACING_MM]
    elif any(high - low >= loop.length_mm for low, high in runs):
        return [loop]
    if not loop.is_closed:
        return [stretch(loop, max(0.0, low), min(loop.length_mm, high)) for low, high in runs]
    return [stretch(loop, low % loop.length_mm, low % loop.length_mm + high - low) for low, high in runs]


def _runs(places: Floats, wanted: Flags, loop: Contour) -> list[tuple[float, float]]:
    """Where on a loop a run of wanted places begins and ends; one that passes the loop's beginning ends beyond it."""
    whole_mm = loop.length_mm
    if wanted.all():
        return [(0.0, whole_mm)]
    first = int(np.argmin(wanted)) if loop.is_closed else 0
    order = np.roll(np.arange(len(places)), -first)
    along = places[order] + whole_mm * (order < first)
    found: list[tuple[float, float]] = []
    for is_wanted, at in zip(wanted[order].tolist(), along.tolist(), strict=True):
        if is_wanted and found and at - found[-1][1] <= _LEAST_TRACK_MM:
            found[-1] = (found[-1][0], at)
        elif is_wanted:
            found.append((at, at))
    return found


def _lengthened(run: tuple[float, float], loop: Contour, lifts: Lifts) -> tuple[float, float]:
    """A run a little longer at both ends, at least as long as a ramp in takes, and no end of it near a tab."""
    more = max(_SPACING_MM, (_LEAST_TRACK_MM - run[1] + run[0]) / 2)
    low, high = run[0] - more, run[1] + more
    half = lifts.lift_mm / 2 + ZIGZAG_LEG_MM + RAMP_RUN
    for tab in lifts.tabs:
        at = nearest_along(loop, tab.at)
        for turn in (-loop.length_mm, 0.0, loop.length_mm):
            if at + turn - half < low < at + turn + half:
                low = at + turn - half
            if at + turn - half < high < at + turn + half:
                high = at + turn + half
    return low, high


def _merged(runs: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in runs:
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _within(run: tuple[float, float], places: Floats, may: Flags, whole_mm: float) -> tuple[float, float]:
    """The longest part of a run in which the bit may go."""
    along = np.concatenate([places + turn * whole_mm for turn in (-1, 0, 1, 2)])
    free = np.concatenate([may] * 4)
    inside = (along >= run[0]) & (along <= run[1])
    best, begun = (run[0], run[0]), None
    for at, is_free in zip(along[inside].tolist(), free[inside].tolist(), strict=True):
        begun = (at if begun is None else begun) if is_free else None
        if begun is not None and at - begun > best[1] - best[0]:
            best = (begun, at)
    return best
