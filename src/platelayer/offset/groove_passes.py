"""Grooves by parallel passes: lanes side by side, both walls last and by climb, every lane run out past the faces.

A groove narrower than two bits has a lane on either wall and no other: round and round them, level by level, each turn
ramping in where it begins. Where flares carry the two lanes too far apart a stroke down the middle takes the ridge.

Glossary:
    lane: one parallel pass from end to end. wall lane: a lane that leaves a wall; not an inner lane, which clears.
    stroke: in from an end, along the middle, as far as the wall lanes stand too far apart. Not a lane.
    run-out: how far the bit's centre goes on past an end face.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import ending_at, reversed_contour, segment_heading, starting_at, wrapped
from platelayer.geometry.grooves import walls
from platelayer.geometry.intersect import crossings
from platelayer.offset.depths import levels
from platelayer.offset.entries import RAMP_RUN, zigzag
from platelayer.offset.parallels import left_parallels, parallels
from platelayer.offset.paths import lengthened, link, steps_along, stretch
from platelayer.tolerances import COINCIDENT_MM, DEPTH_MM, GROOVE_RUN_OUT_MM, MITRE_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind, Pass, Step
from platelayer.values.pieces import BoardFace, Flare, Groove
from platelayer.values.shapes import Arc, Contour, Line
from platelayer.values.tooling import Bit, BitKind, CutData

FULL_WIDTH_MM: Final = 0.1
"""A groove has its full width this far past the face at least; common practice, no source."""

WIDEST_GAP_RATIO: Final = 0.9
"""Lanes stand nowhere further apart than this share of the bit's diameter, flares and widening included."""


def groove_fault(groove: Groove, bit: Bit) -> Fault | None:
    """Why this bit cannot cut the groove; None when it can."""
    where = "[bits] grooves"
    if bit.kind is not BitKind.FLAT:
        return Fault(
            where=where,
            found=bit.id,
            problem=f"a {bit.kind.value.replace('_', '-')} bit leaves no flat floor and no square wall in a groove",
            fix="Use a flat bit.",
        )
    if bit.diameter_mm > groove.width_mm + DEPTH_MM:
        return Fault(
            where=where,
            found=bit.id,
            problem=f"{show_length(bit.diameter_mm)} wide, wider than the groove, {show_length(groove.width_mm)}",
            fix=f"The largest bit that goes is {show_length(groove.width_mm)}. Or widen the groove: put groove_outer "
            f"and groove_inner in [track] {show_length(bit.diameter_mm)} apart or more.",
        )
    if bit.cutting_length_mm < groove.depth_mm:
        return Fault(
            where=where,
            found=bit.id,
            problem=f"cuts {show_length(bit.cutting_length_mm)} deep at most, "
            f"the groove is {show_length(groove.depth_mm)} deep",
            fix="Use a bit with a longer cutting edge, or a shallower groove.",
        )
    return None


def cut_groove(groove: Groove, *, piece_id: str, bit: Bit, data: CutData) -> Cut:
    """The groove in one pass that never lifts, level by level, both walls by climb.

    In a bottom groove the sides change places, since the board is turned over and the data stay as seen from above.

    Raises:
        CannotCut: a bit too wide, of the wrong kind, or too short.
    """
    fault = groove_fault(groove, bit)
    if fault is not None:
        raise CannotCut(fault)
    down = levels(groove.depth_mm, data.stepdown_mm)
    inner, left, right = _lanes(groove, bit, data)
    if groove.face is BoardFace.BOTTOM:
        left, right = right, left
    is_round = not inner and left is not right
    steps = (
        _round_and_round(_circuit(left, right, groove, bit), down)
        if is_round
        else _to_and_fro(inner, left, right, down)
    )
    return Cut(
        piece_id=piece_id,
        kind=CutKind.GROOVE,
        bit_id=bit.id,
        passes=(Pass(steps, is_finish=True),),
        face=groove.face,
    )


def _round_and_round(circuit: Contour, down: Sequence[float]) -> tuple[Step, ...]:
    """The circuit at each level, ramping in where it begins; what a ramp leaves is cut by the turn after it."""
    length, knots = circuit.length_mm, [(0.0, 0.0)]
    for turn, (high, level) in enumerate(pairwise((0.0, *down))):
        ramp = min(RAMP_RUN * (high - level), length / 2)
        knots += [(turn * length + ramp, level), ((turn + 1) * length, level)]
    return steps_along(circuit, (*knots, (len(down) * length + ramp, down[-1])))


def _circuit(left: Contour, right: Contour, groove: Groove, bit: Bit) -> Contour:
    """Along the right wall forwards, along the left one back, by strokes where the lanes end too far apart."""
    middle = lengthened(groove.path, GROOVE_RUN_OUT_MM, GROOVE_RUN_OUT_MM)
    first, last = (GROOVE_RUN_OUT_MM + _too_wide_mm(groove, flare, bit) - bit.radius_mm for flare in groove.flare)
    segments = list(right.segments)
    if last > 0:
        way_in = reversed_contour(stretch(middle, middle.length_mm - last, middle.length_mm))
        segments += [Line(right.end, way_in.start), *way_in.segments]
    back = reversed_contour(left)
    segments += [Line(segments[-1].end, back.start), *back.segments]
    if first > 0:
        way_in = stretch(middle, 0.0, first)
        segments += [Line(back.end, way_in.start), *way_in.segments]
    return Contour((*segments, Line(segments[-1].end, right.start)), is_closed=True)


def _too_wide_mm(groove: Groove, flare: Flare, bit: Bit) -> float:
    """How far in from the end face the wall lanes stand further apart than they may."""
    spare_mm = WIDEST_GAP_RATIO * bit.diameter_mm - (groove.width_mm - bit.diameter_mm)
    if flare.length_mm <= 0 or 2 * flare.extra_mm <= spare_mm:
        return 0.0
    return flare.length_mm * (1 - max(spare_mm, 0.0) / (2 * flare.extra_mm))


def _to_and_fro(inner: Sequence[Contour], left: Contour, right: Contour, down: Sequence[float]) -> tuple[Step, ...]:
    """Inner lanes to and fro, then both walls, at each level; a groove as wide as the bit has its one lane."""
    steps: list[Step] = []
    z = 0.0
    is_at_start = True
    for level in down:
        round_trip, is_at_start = _round_trip(inner, left, right, is_at_start)
        for number, lane in enumerate(round_trip):
            if steps:
                steps += link(steps[-1].segment.end, lane.start, z if number == 0 else level)
            if number == 0:
                steps += zigzag(lane, z, level)
            steps += steps_along(lane, ((0.0, level), (lane.length_mm, level)))
        z = level
    return tuple(steps)


def _round_trip(
    inner: Sequence[Contour], left: Contour, right: Contour, is_at_start: bool
) -> tuple[list[Contour], bool]:
    """Lanes of one level in order and direction, and whether they end at the path's start.

    By climb the wall is on the right of travel: along the right wall forwards, along the left one backwards.
    """
    trip: list[Contour] = []
    for lane in inner:
        trip.append(lane if is_at_start else reversed_contour(lane))
        is_at_start = not is_at_start
    if left is right:
        trip.append(right if is_at_start else reversed_contour(right))
        return trip, not is_at_start
    both = [right, reversed_contour(left)]
    return trip + (both if is_at_start else both[::-1]), is_at_start


def _lanes(groove: Groove, bit: Bit, data: CutData) -> tuple[list[Contour], Contour, Contour]:
    """Inner lanes from right to left, left wall lane, right wall lane; one and the same when the bit just fits."""
    radius, spare = bit.radius_mm, groove.width_mm - bit.diameter_mm
    extra = max((flare.extra_mm for flare in groove.flare if flare.length_mm > 0), default=0.0)
    if spare <= DEPTH_MM and extra <= 0 and not groove.widening_mm:
        only = lengthened(groove.path, GROOVE_RUN_OUT_MM, GROOVE_RUN_OUT_MM)
        return [], only, only
    both = walls(groove)
    left = wall_lane(both.left, groove, radius, is_left=True)
    right = wall_lane(both.right, groove, radius, is_left=False)
    widest = groove.widest_mm - bit.diameter_mm
    gap_mm = WIDEST_GAP_RATIO * bit.diameter_mm
    if widest <= gap_mm and widest + 2 * extra <= 2 * gap_mm:
        return [], left, right
    count = max(1, math.ceil(max(widest, 0.0) / (data.stepover_ratio * bit.diameter_mm)))
    while widest / count + extra * (2 if count == 1 else 1) > gap_mm and widest > DEPTH_MM:
        count += 1
    shares = [2 * index / count - 1 for index in range(1, count)]
    return [_between_walls(groove, spare, share) for share in shares], left, right


def _between_walls(groove: Groove, spare_mm: float, left_share: float) -> Contour:
    """An inner lane, at that share of the way from the path to the left wall's lane all along, flares left out."""
    share = abs(left_share)
    if share * groove.widest_mm <= COINCIDENT_MM:
        lane = groove.path
    else:
        knots = tuple((along, share * extra) for along, extra in groove.widening_mm)
        plain = Flare(0.0, 0.0)
        narrow = replace(groove, width_mm=share * spare_mm, flare=(plain, plain), widening_mm=knots)
        lane = walls(narrow).left if left_share > 0 else walls(narrow).right
    return lengthened(lane, GROOVE_RUN_OUT_MM, GROOVE_RUN_OUT_MM)


def wall_lane(wall: Contour, groove: Groove, radius_mm: float, *, is_left: bool) -> Contour:
    """The lane along a wall. In a flare the bit touches the wall some way behind its centre."""
    first, last = groove.path.segments[0], groove.path.segments[-1]
    lean = abs(wrapped(segment_heading(wall.segments[0], 0.0) - segment_heading(first, 0.0)))
    lag = abs(wrapped(segment_heading(wall.segments[-1], 1.0) - segment_heading(last, 1.0)))
    longer = lengthened(wall, _run_out_mm(lean, radius_mm), _run_out_mm(lag, radius_mm))
    found = parallels(longer, radius_mm) if is_left else left_parallels(longer, radius_mm)
    return _mitred(max((lane.contour for lane in found), key=lambda lane: lane.length_mm), radius_mm)


def _run_out_mm(lean_rad: float, radius_mm: float) -> float:
    """How far a wall is carried on, along itself, so that centre and touch both pass the face as they must."""
    return max(GROOVE_RUN_OUT_MM - radius_mm * math.sin(lean_rad), FULL_WIDTH_MM) / math.cos(lean_rad)


def _mitred(lane: Contour, radius_mm: float) -> Contour:
    """The lane with the arcs about faint corners left out where its neighbours run on to meet within MITRE_MM of them.

    Source:
        derived here: about a corner of the turn a lines meet r / cos(a / 2) from it, r / cos(a / 2) - r too far.
    """
    segments = list(lane.segments)
    for index in range(len(segments) - 2, 0, -1):
        before, arc, after = segments[index - 1 : index + 2]
        if not isinstance(arc, Arc) or not math.isclose(arc.radius_mm, radius_mm, abs_tol=COINCIDENT_MM):
            continue
        if radius_mm / math.cos(min(arc.sweep_rad, 1.0) / 2) - radius_mm > MITRE_MM:
            continue
        longer = lengthened(Contour((before,), is_closed=False), 0.0, arc.length_mm).segments[0]
        earlier = lengthened(Contour((after,), is_closed=False), arc.length_mm, 0.0).segments[0]
        met = [point for point in crossings(longer, earlier) if math.dist(point, arc.start) <= arc.length_mm]
        if len(met) == 1:
            segments[index - 1 : index + 2] = [ending_at(before, met[0]), starting_at(after, met[0])]
    return Contour(tuple(segments), is_closed=False)
