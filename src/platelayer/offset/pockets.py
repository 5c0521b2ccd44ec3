"""Areas cleared all over: closed rings one inside the other, from the middle to the wall, level by level.

Glossary:
    pocket: an area whose floor is cleared all over. Not an outline: that only goes round.
    ring: a closed parallel of the pocket's edge. nest: rings that lie one inside the other.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import point_along, started_at
from platelayer.geometry.discs import opened
from platelayer.geometry.regions import Area, buffered, difference, parts, to_area, union_all
from platelayer.offset.depths import levels
from platelayer.offset.entries import helix_turns, lead_in, lead_out
from platelayer.offset.finish_ways import finish_pass, finish_way
from platelayer.offset.parallels import region_parallels
from platelayer.offset.paths import is_clear, link, nearest_along, steps_along
from platelayer.tolerances import FINISH_ALLOWANCE_MM, FLATTEN_CHORD_MM, SLIVER_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, Pass, Step
from platelayer.values.shapes import Contour, Line, Region, Segment
from platelayer.values.thin_cuts import ThinCut
from platelayer.values.tooling import Bit, CutData, Job

_TRIES: Final = 6

OVERLAP_MM: Final = 1.5
"""A finish pass goes on this far past its start, 1 to 2 mm; common practice, no source."""

MIDDLE_RATIO: Final = 0.92
"""The innermost ring in a hole has about this share of the bit's radius, so that no post is left in it."""

Nest = tuple[Contour, ...]


def cut_closed(
    rings: Sequence[Contour], down: Sequence[float], *, bit: Bit, walls: Contour, clear_mm: float
) -> tuple[Pass, ...]:
    """One nest of rings, far from the wall to near, at each level: a helix down on the first, then ring after ring.

    The first ring's wedge is cut by its next helix, and at the last level by a flat turn.
    Links between rings and back to the first go straight where no wall is nearer than the clearance, else the bit
    lifts.
    """
    if not rings:
        return ()
    passes: list[Pass] = []
    steps: list[Step] = []
    begun = _begun_near(rings)
    if len(begun) == 1:
        return (Pass(_one_helix(begun[0], down, bit)),)
    top = 0.0
    for level in down:
        first = begun[0]
        if steps and not is_clear(Line(steps[-1].segment.end, first.start), walls, clear_mm):
            passes.append(Pass(tuple(steps)))
            steps = []
        if steps:
            steps += link(steps[-1].segment.end, first.start, top)
        turns, length = helix_turns(first, top - level, bit), first.length_mm
        flat = length if level == down[-1] else 0.0
        steps += steps_along(first, ((0.0, top), (turns * length, level), (turns * length + flat, level)))
        for ring in begun[1:]:
            if is_clear(Line(steps[-1].segment.end, ring.start), walls, clear_mm):
                steps += link(steps[-1].segment.end, ring.start, level)
                steps += steps_along(ring, ((0.0, level), (ring.length_mm, level)))
                continue
            passes.append(Pass(tuple(steps)))
            turns, length = helix_turns(ring, top - level, bit), ring.length_mm
            steps = list(steps_along(ring, ((0.0, top), (turns * length, level), ((turns + 1) * length, level))))
        top = level
    passes.append(Pass(tuple(steps)))
    return tuple(passes)


def _one_helix(ring: Contour, down: Sequence[float], bit: Bit) -> tuple[Step, ...]:
    """One helix through all levels and a flat turn at the last: a lone ring needs no flat turns between."""
    length, knots = ring.length_mm, [(0.0, 0.0)]
    for level in down:
        knots.append((knots[-1][0] + helix_turns(ring, knots[-1][1] - level, bit) * length, level))
    return steps_along(ring, (*knots, (knots[-1][0] + length, down[-1])))


def _begun_near(rings: Sequence[Contour]) -> list[Contour]:
    """Each ring begun at its point nearest to where the one before begins."""
    begun = [rings[0]]
    for ring in rings[1:]:
        begun.append(started_at(ring, nearest_along(ring, begun[-1].start)))
    return begun


def clear_pocket(region: Region, *, bit: Bit, data: CutData, depth_mm: float) -> tuple[Pass, ...]:
    """Passes that clear a region all over, from its middle to its walls, and finish the walls by climb.

    The outer wall is finished counter-clockwise, islands clockwise. All of the floor but the corners that the bit
    cannot reach is covered.

    Raises:
        CannotCut: the bit does not go into the region.
    """
    side = FINISH_ALLOWANCE_MM
    rough = _rings(region, bit.radius_mm + side)
    finish = _rings(region, bit.radius_mm)
    if not finish:
        raise CannotCut(
            Fault(
                where="[bits] joints",
                found=bit.id,
                problem=f"{show_length(bit.diameter_mm)} wide, too wide for an opening of the piece",
                fix="Use a smaller bit.",
            )
        )
    rings = _covering(region, rough or finish, finish, bit, data)
    down = levels(depth_mm, data.stepdown_mm)
    edge = Contour(tuple(s for c in (region.outer, *region.holes) for s in c.segments), is_closed=False)
    passes = list(cut_closed(rings, down, bit=bit, walls=edge, clear_mm=bit.radius_mm))
    way = finish_way(depth_mm, bit=bit, data=data, side_mm=side)
    for level in way.levels:
        passes += [_finish(ring, rough, level, way.thin, bit=bit, data=data, walls=edge) for ring in finish]
    return tuple(passes)


def _rings(region: Region, distance_mm: float) -> list[Contour]:
    """Closed parallels of the region's whole edge inside it; counter-clockwise outside, clockwise round islands."""
    return [p.contour for p in region_parallels(region, distance_mm) if p.contour.is_closed]


def _covering(region: Region, rough: Sequence[Contour], finish: Sequence[Contour], bit: Bit, data: CutData) -> Nest:
    """Rings from far to near whose sweeps, with the finish rings', leave nothing that the bit can reach."""
    radius = bit.radius_mm
    area = opened(to_area(region, chord_mm=FLATTEN_CHORD_MM), radius, chord_mm=FLATTEN_CHORD_MM)
    near = union_all([sweep(ring, radius) for ring in (*rough, *finish)])
    spacing = data.stepover_ratio * bit.diameter_mm
    for _ in range(_TRIES):
        left, far = difference(area, near), list[Contour]()
        distance = radius + FINISH_ALLOWANCE_MM
        while not is_sliver(left):
            distance += spacing
            rings = _rings(region, distance)
            if not rings:
                break
            far += rings
            left = difference(left, union_all([sweep(ring, radius) for ring in rings]))
        if is_sliver(left):
            return (*reversed(far), *rough)
        spacing *= 0.7
    raise AssertionError("a pocket stays out of reach of its own rings; please send the job file")


def _finish(
    ring: Contour,
    slots: Sequence[Contour],
    level: float,
    thin: ThinCut | None,
    *,
    bit: Bit,
    data: CutData,
    walls: Contour,
) -> Pass:
    """One finish ring by climb, from the roughed slot beside it and back into it, overlapping its start.

    A ring hardly wider than its leads gets smaller ones, and the smallest of all a straight step sideways.
    """
    if not slots:
        return Pass(steps_along(ring, ((0.0, level), (ring.length_mm + OVERLAP_MM, level))), is_finish=True)
    slot = min(slots, key=lambda other: math.dist(ring.start, point_along(other, nearest_along(other, ring.start))))
    longest = max(range(len(ring.segments)), key=lambda index: ring.segments[index].length_mm)
    ring = started_at(
        ring, math.fsum(s.length_mm for s in ring.segments[:longest]) + ring.segments[longest].length_mm / 2
    )
    over = min(OVERLAP_MM, ring.length_mm / 4)
    middle = steps_along(ring, ((0.0, level), (ring.length_mm + over, level)))
    reach = min(bit.diameter_mm, ring.length_mm / 8)
    start, end = ring.start, point_along(ring, over)
    way_in: Segment = Line(point_along(slot, nearest_along(slot, start)), start)
    way_out: Segment = Line(end, point_along(slot, nearest_along(slot, end)))
    for radius in (reach, reach / 2, reach / 4):
        arc_in = lead_in(slot, ring, 0.0, radius_mm=radius, waste_is_left=True)
        arc_out = lead_out(slot, ring, over, radius_mm=radius)
        if is_clear(arc_in, walls, bit.radius_mm) and is_clear(arc_out, walls, bit.radius_mm):
            way_in, way_out = arc_in, arc_out
            break
    rough = Contour(tuple(segment for other in slots for segment in other.segments), is_closed=False)
    ends = Step(way_in, level, level), Step(way_out, level, level)
    return finish_pass(ends[0], middle, ends[1], thin=thin, bit=bit, data=data, rough=rough)


def sweep(path: Contour, radius_mm: float) -> Area:
    """What a disc sweeps whose centre runs along a path, open or closed."""
    area = to_area(path, chord_mm=FLATTEN_CHORD_MM)
    return buffered(area.exterior if path.is_closed else area, radius_mm, chord_mm=FLATTEN_CHORD_MM)


def swept_below(cuts: Iterable[Cut], job: Job, depth_mm: float) -> Area:
    """What the bits of a job take away in those steps of cuts that lie as deep as that from end to end."""
    found = []
    for cut in cuts:
        steps = (step for one in cut.passes for step in one.steps)
        deep = {step.segment for step in steps if max(step.z_start, step.z_end) <= -depth_mm}
        found += [sweep(Contour((segment,), is_closed=False), job.bit(cut.bit_id).radius_mm) for segment in deep]
    return union_all(found)


def is_sliver(area: Area) -> bool:
    """No part of the area is as wide as SLIVER_MM."""
    return bool(buffered(area, -SLIVER_MM / 2, chord_mm=SLIVER_MM).is_empty)


def thick_parts(area: Area) -> Area:
    """The parts of an area that are as wide as SLIVER_MM somewhere."""
    return union_all(part for part in parts(area) if not is_sliver(part))
