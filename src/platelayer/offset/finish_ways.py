"""How a wall is finished: in which levels, and at which feed where feeds may be derived.

Where a finish pass takes next to nothing off a wall its chips are thinner than the chip load, so that it may go faster;
what bends the bit is the chip times the depth, so that slower and all the depth at once is often quicker still. Of the
levels that there might be those are taken which leave the wall soonest, at a feed

- whose chip is no thicker than roughing's own, nor than the bit-maker's chart gives at that depth;
- at which the bit bends BEND_MM at the most, and that the machine reaches;
- that is less than roughing's only where its chip is no thinner than the chart's least.

Glossary:
    way: levels of a finish pass, and what each takes. Not a way between passes.
    fast stretch: where nothing but the wall's own strip of wood stands before the bit; elsewhere, so in corners and
        leads, it goes no faster than roughing.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import Final

import numpy as np

from platelayer.geometry.intersect import direction_at, distances_mm
from platelayer.offset.depths import THIN_CUT_RATIO, bend_mm, finish_levels, levels
from platelayer.offset.parallels import part_of
from platelayer.offset.paths import points_along
from platelayer.tolerances import BEND_MM, COINCIDENT_MM, PROGRAM_STEP_MM, STRAIGHT_ON_RAD
from platelayer.units import show_chip, show_length, show_small
from platelayer.values.bit_bend import chip_thickness
from platelayer.values.cuts import CutKind, FeedKind, Pass, Section, Step
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.shapes import Arc, Contour
from platelayer.values.thin_cuts import ThinCut, depth_share_ratio, engaged_ratio
from platelayer.values.tooling import Bit, CutData

LEAST_FEED_RATIO: Final = 0.6
"""No finish pass is slower than this share of the roughing feed; common practice, no source."""

_LEAST_GAIN: Final = 1.05
"""A feed that is more than listed by less than this is not worth another number in a file."""

_LEAST_FAST_DIAMETERS: Final = 2.0
"""A fast stretch shorter than this is none: the machine would hardly reach the feed."""

_SPACING_MM: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishWay:
    """Levels of a finish pass; ``thin`` is what each takes and its feed, None where feeds stay as they are."""

    levels: tuple[float, ...]
    thin: ThinCut | None = None


def finish_way(depth_mm: float, *, bit: Bit, data: CutData, side_mm: float) -> FinishWay:
    """The levels that finish a wall so deep, of which so much is left: as listed, or the soonest done by derived feeds.

    What would go at the listed feed as soon goes so.
    """
    listed = finish_levels(depth_mm, bit=bit, data=data, side_mm=side_mm)
    if data.thin is None or not data.spindle_rpm or side_mm > THIN_CUT_RATIO * bit.diameter_mm or not listed:
        return FinishWay(levels=listed)
    ways = []
    for count in range(1, len(listed) + 2):
        deep_mm = depth_mm / count
        thin = _thin_cut(deep_mm, bit, data, side_mm)
        if count == len(listed):
            if thin.feed_mm_min < _LEAST_GAIN * data.feed_mm_min:
                thin = _at_feed(data.feed_mm_min, deep_mm, bit, data, side_mm)
        elif not _is_sound(thin, bit, data) or deep_mm < min(data.stepdown_mm, depth_mm):
            continue
        ways.append((count / thin.feed_mm_min, count, thin))
    _, count, thin = min(ways, key=lambda way: way[:2])
    return FinishWay(levels=levels(depth_mm, depth_mm / count), thin=thin)


def _thin_cut(deep_mm: float, bit: Bit, data: CutData, side_mm: float) -> ThinCut:
    """The cut at the greatest feed that chip, bend and machine bear on a straight wall."""
    assert data.thin is not None, "asked only where feeds may be derived"
    chip_load_mm = data.feed_mm_min / (data.spindle_rpm * bit.flutes)
    share = depth_share_ratio(deep_mm, bit_diameter_mm=bit.diameter_mm)
    most_mm = min(chip_load_mm, data.thin.most_mm * share)
    chip_mm = _chip_mm(chip_load_mm, bit, side_mm / bit.diameter_mm)
    bend = bend_mm(bit=bit, data=data, side_mm=side_mm, deep_mm=deep_mm)
    feed = min(data.feed_mm_min * most_mm / chip_mm, data.feed_mm_min * BEND_MM / bend, data.feed_most_mm_min)
    return _at_feed(math.floor(feed), deep_mm, bit, data, side_mm)


def _at_feed(feed_mm_min: float, deep_mm: float, bit: Bit, data: CutData, side_mm: float) -> ThinCut:
    chip = _chip_mm(feed_mm_min / (data.spindle_rpm * bit.flutes), bit, side_mm / bit.diameter_mm)
    return ThinCut(depth_mm=deep_mm, width_mm=side_mm, feed_mm_min=feed_mm_min, chip_mm=chip)


def _is_sound(thin: ThinCut, bit: Bit, data: CutData) -> bool:
    """No slower than roughing, or slower by a little and with chips no thinner than the chart's least."""
    assert data.thin is not None, "asked only where feeds may be derived"
    if thin.feed_mm_min >= data.feed_mm_min:
        return True
    least_mm = data.thin.least_mm * depth_share_ratio(thin.depth_mm, bit_diameter_mm=bit.diameter_mm)
    return thin.feed_mm_min >= LEAST_FEED_RATIO * data.feed_mm_min and thin.chip_mm >= least_mm > 0


def _chip_mm(chip_load_mm: float, bit: Bit, share: float) -> float:
    load, width, diameter = np.array(chip_load_mm), np.array(share * bit.diameter_mm), np.array(bit.diameter_mm)
    return float(chip_thickness(load, width, diameter))


def finish_pass(
    way_in: Step,
    middle: Sequence[Step],
    way_out: Step,
    *,
    thin: ThinCut | None,
    bit: Bit,
    data: CutData,
    rough: Contour,
) -> Pass:
    """A finish pass by climb, the wall to the right of travel, with the feed of each step where feeds are derived.

    Args:
        way_in: onto the wall.
        middle: along it.
        way_out: off it.
        thin: what the pass takes; None where it goes at its bit's feed.
        bit: whose pass it is.
        data: its feeds.
        rough: the path, or all paths, beside the wall, which left what is taken.
    """
    if thin is None:
        return Pass((way_in, *middle, way_out), is_finish=True)
    slow = min(data.feed_mm_min, thin.feed_mm_min)
    timed = [
        replace(step, segment=part_of(step.segment, first, last), feed_mm_min=feed)
        for step, after in _with_what_follows(middle, bit, thin, slow)
        for first, last, feed in _stretches(step, after, bit, thin, slow, rough)
    ]
    ends = (replace(step, feed_mm_min=slow) for step in (way_in, way_out))
    return Pass((next(ends), *timed, next(ends)), is_finish=True, thin=thin)


_Ahead = tuple[float, float]
"""A feed, and how far before the end of a step it begins."""


def _with_what_follows(
    steps: Sequence[Step], bit: Bit, thin: ThinCut, slow: float
) -> Iterator[tuple[Step, list[_Ahead]]]:
    """Each step with the feeds that what comes after it asks for, from so far before its end.

    Wood that stands in the way of a hollow or a corner is met by the bit's front a radius before it is there, or
    earlier where the path bends so little that both walls' strips lie before the bit.
    """
    ends = [*accumulate(step.segment.length_mm for step in steps)]
    asked: list[tuple[float, float, float]] = []  # where, feed, how far ahead
    for step, place in zip(steps, (0.0, *ends), strict=False):
        asked.append((place, _own_feed(step, bit, thin, slow), bit.radius_mm))
    for (before, after), place in zip(pairwise(steps), ends, strict=False):
        turn = _left_turn_rad(before, after)
        if turn > STRAIGHT_ON_RAD:
            early = thin.width_mm / math.sin(min(turn, math.pi / 2))
            asked.append((place, slow, max(bit.radius_mm, early)))
    asked.append((ends[-1], slow, bit.radius_mm))
    for step, end in zip(steps, ends, strict=True):
        yield (
            step,
            [(feed, end - place + far) for place, feed, far in asked if end <= place + COINCIDENT_MM < end + far],
        )


def _own_feed(step: Step, bit: Bit, thin: ThinCut, slow: float) -> float:
    """The feed at which a step's chips are no thicker than on a straight wall; a tab's flank is slow."""
    if step.feed is not FeedKind.CUT or step.z_start != step.z_end:
        return slow
    segment = step.segment
    if not isinstance(segment, Arc) or not segment.is_ccw:
        return thin.feed_mm_min
    radius = bit.radius_mm
    share = engaged_ratio(thin.width_mm, bit_radius_mm=radius, bends_per_mm=1 / segment.radius_mm)
    straight = engaged_ratio(thin.width_mm, bit_radius_mm=radius)
    return max(slow, thin.feed_mm_min * _chip_mm(1.0, bit, straight) / _chip_mm(1.0, bit, share))


def _left_turn_rad(before: Step, after: Step) -> float:
    """By how much the path turns away from the wall where two steps meet; below zero towards it."""
    (ux, uy), (vx, vy) = direction_at(before.segment, 1.0), direction_at(after.segment, 0.0)
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def _stretches(
    step: Step, after: Sequence[_Ahead], bit: Bit, thin: ThinCut, slow: float, rough: Contour
) -> Iterator[tuple[float, float, float]]:
    """Parts of a step from one ratio of its length to another, each with its feed."""
    own, length = _own_feed(step, bit, thin, slow), step.segment.length_mm
    starts = sorted({0.0, *(max(0.0, length - far) for feed, far in after if feed < own)})
    parts: list[tuple[float, float, float]] = []
    for start, end in pairwise((*starts, length)):
        feed = min([own, *(feed for feed, far in after if length - far <= start + COINCIDENT_MM)])
        is_long = end - start >= _LEAST_FAST_DIAMETERS * bit.diameter_mm
        if feed > slow and not (is_long and _is_beside(step, start / length, end / length, thin, rough)):
            feed = slow
        if parts and parts[-1][2] == feed:
            start = parts.pop()[0]
        parts.append((start, end, feed))
    for start, end, feed in parts:
        yield start / length, end / length, feed


def _is_beside(step: Step, first: float, last: float, thin: ThinCut, rough: Contour) -> bool:
    """The roughed path runs beside this stretch so near all along that it left no more than is said."""
    line = Contour((part_of(step.segment, first, last),), is_closed=False)
    _, points = points_along(line, _SPACING_MM)
    return bool(distances_mm(points, rough.segments).min(axis=1).max() <= thin.width_mm + PROGRAM_STEP_MM)


def finish_feed_findings(sections: Iterable[Section]) -> tuple[Finding, ...]:
    """The caution for every bit whose finish passes go at a feed of their own: which, at what chip and bend."""
    found: dict[tuple[str, ThinCut], Finding] = {}
    for section in sections:
        kinds: dict[ThinCut, dict[str, None]] = {}
        for cut in section.cuts:
            for thin in (one.thin for one in cut.passes if one.thin is not None):
                kinds.setdefault(thin, {})[_WALLS.get(cut.kind, "walls")] = None
        for thin, walls in kinds.items():
            if thin.feed_mm_min != section.data.feed_mm_min:
                found[section.bit.id, thin] = _caution(section.bit, section.data, thin, " and ".join(walls))
    return tuple(found.values())


_WALLS: Final = {CutKind.OUTLINE: "outlines", CutKind.SOCKET: "sockets", CutKind.NOTCH: "pegs"}


def _caution(bit: Bit, data: CutData, thin: ThinCut, walls: str) -> Finding:
    at_feed = replace(data, feed_mm_min=thin.feed_mm_min)
    bend = bend_mm(bit=bit, data=at_feed, side_mm=thin.width_mm, deep_mm=thin.depth_mm)
    rough = data.feed_mm_min / (data.spindle_rpm * bit.flutes)
    return Finding(
        code=Code.CUTTING_FEED_DERIVED,
        severity=Severity.WARNING,
        text=f"{bit.id} finishes {walls} {show_length(thin.depth_mm)} deep at once at {thin.feed_mm_min:.0f} mm/min "
        f"instead of {data.feed_mm_min:.0f}: of the {show_small(thin.width_mm)} left on a wall it takes chips of "
        f"{show_chip(thin.chip_mm)} (roughing: {show_chip(rough)}), and it bends by some {show_small(bend)}.",
        advice="This feed was worked out and tried by nobody: listen to the first finish pass, a hand on the stop. If "
        "the bit whines, chatters or smells of burning, leave derive_finish_feeds out of [cutting].",
        measured=thin.feed_mm_min,
        limit=data.feed_mm_min,
        unit="mm/min",
    )
