"""Whether the readings of a card can be true of any machine, and which of them to take again where not.

Glossary:
    doubt: what readings say that no machine does, or hardly one; with the readings to take again.

Readings are held against each other: each size against all other sizes, each peg against all other pegs; a peg's own
readings against what a hand can do; the pegs as told against the same told backwards. Then what was found is held
against what routers do. A doubt that may be true is left to the person, the rest is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from platelayer.fit.card import FitCard
from platelayer.fit.card_plays import MOST_BIAS_MM, PlayModel, play_misfits, solve_biases
from platelayer.fit.card_sizes import Estimate
from platelayer.fit.correction import CardReadings, Correction, PegReadings, play_model
from platelayer.fit.target_play import Cutter
from platelayer.tolerances import MOST_SCALE_RATIO, OUTLIER_MM, WISH_MET_MM
from platelayer.units import show_change, show_small
from platelayer.values.tuning import Lying

MOST_SLACK_MM: Final = 0.4
"""More lost motion than this is felt by hand before anything is cut. Common practice, no source."""

MOST_BIT_ERROR_MM: Final = 0.25
"""A bit further than this from what its paths were made for is another bit. Common practice, no source."""

MOST_BEYOND_SLACK_MM: Final = 0.2
"""Heads and lips come out so near to what slack alone does: four times what the correction takes for usual."""

MOST_DEPTH_MM: Final = 0.6
"""Zeroing with a sheet of paper is never this far off. Common practice, no source."""

SURE_TIMES: Final = 4.0
"""A difference of so many standard uncertainties is no chance."""

BACKWARDS_TIMES: Final = 9.0
"""The pegs told backwards leave a sum of squares so many times smaller where they were told backwards."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is doubtful, what to do, the places of readings it is about, and whether it may be true all the same."""

    text: str
    fix: str
    places: tuple[str, ...]
    may_be: bool = True

    def __str__(self) -> str:
        return f"{self.text}. {self.fix}"


def doubts(readings: CardReadings, found: Correction, *, card: FitCard, cutter: Cutter) -> tuple[Doubt, ...]:
    """All that is doubtful in the readings of a card and in what was found by them, worst causes first.

    What was found is spoken of only where the readings themselves give no cause for doubt, each thing only where what
    it rests on stands.

    Raises:
        ValueError: as ``as_cut``.
    """
    model = play_model(card, cutter, found.sizes, lies=found.lies)
    told = [doubt for peg in readings.pegs for doubt in _of_one_peg(peg, found)]
    told += _of_sizes(found)
    told += () if told else _of_pegs(found, model)
    told += () if told else _of_ranges(found, card)
    told += () if told else _of_biases(found, model)
    return (*told, *_of_the_best(readings, found, model))


def _of_one_peg(peg: PegReadings, found: Correction) -> Iterator[Doubt]:
    """What a hand cannot do with one peg."""
    sure = SURE_TIMES * found.reading_scatter_mm
    played = next(one for one in found.played if one.pips == peg.pips)
    places = tuple(f"peg {peg.pips} {key}" for key in ("span_shut", "span_open", "over_left", "over_right"))
    if played.along.value_mm < -SURE_TIMES * played.along.spread_mm:
        longer = show_small(-played.along.value_mm)
        text = f"peg {peg.pips}: pushed shut it is {longer} longer than pulled apart"
        fix = "span_shut and span_open stand swapped: change them over, or read both again."
        yield Doubt(text, fix, places[:2], may_be=False)
    left, right = _middle(peg.over_left_mm), _middle(peg.over_right_mm)
    if peg.over_left_mm and peg.over_right_mm and abs(left - right) > max(sure, 2 * OUTLIER_MM):
        text = f"peg {peg.pips}: over both edges it differs by {show_small(abs(left - right))} left and right"
        yield Doubt(text, "Read over_left and over_right again.", places[2:])
    if played.across.value_mm < -SURE_TIMES * played.across.spread_mm:
        less = show_small(-played.across.value_mm)
        text = f"peg {peg.pips}: over both edges it is {less} less than the width of one stick"
        fix = "Read over_left, over_right, width_gauge_y and width_peg_y again."
        yield Doubt(text, fix, places[2:], may_be=False)


def _of_sizes(found: Correction) -> Iterator[Doubt]:
    """The size that stands furthest off what all the others say, if any does."""
    far = sorted(
        (one for one in found.sizes.misfits if _is_far(one.off, OUTLIER_MM)),
        key=lambda one: -abs(one.off.value_mm) / one.off.spread_mm,
    )
    if not far:
        return
    worst = far[0]
    names = [
        one.feature.feature.value
        for one in far
        if abs(one.off.value_mm) / one.off.spread_mm > _AS_LIKELY_RATIO * abs(worst.off.value_mm) / worst.off.spread_mm
    ]
    off = show_change(worst.off.value_mm)
    more = f" Where that stands, read {', '.join(names[1:])} again." if names[1:] else ""
    fix = f"Read {names[0]} again: {worst.feature.words}.{more}"
    yield Doubt(f"{names[0]}: {off} from what all other sizes say of it", fix, tuple(names))


_AS_LIKELY_RATIO: Final = 0.5
"""Sizes that stand off by this share of the worst one's uncertainties may be the cause as well."""


def _of_pegs(found: Correction, model: PlayModel) -> Iterator[Doubt]:
    """Pegs told backwards, else the peg whose plays stand furthest off what the other pegs say."""
    played = [one for one in found.played if _is_read(one.along) or _is_read(one.across)]
    if len(played) < 2:
        return
    pips = [rung.pips for rung in model.card.rungs]
    backwards = dict(zip(pips, reversed(pips), strict=True))
    told = solve_biases(model, played).squares_ratio
    other = solve_biases(model, [replace(one, pips=backwards[one.pips]) for one in played]).squares_ratio
    if told > BACKWARDS_TIMES * max(other, len(played)):
        text = "the plays grow from peg to peg in the wrong order, as if pips had been told backwards"
        fix = f"Count the pips of each peg again: the peg with {pips[0]} has the largest head."
        yield Doubt(
            text, fix, tuple(f"peg {one} {key}" for one in pips for key in ("span_open", "over_left")), may_be=False
        )
        return
    far = [
        (abs(off.value_mm) / off.spread_mm, one.pips, keys, off)
        for one in play_misfits(model, played)
        for off, keys in ((one.along, ("span_shut", "span_open")), (one.across, ("over_left", "over_right")))
        if _is_read(off) and _is_far(off, 1.5 * OUTLIER_MM)
    ]
    if far:
        _, worst, keys, off = max(far)
        what = "pull-out" if keys[0] == "span_shut" else "side"
        away = show_change(off.value_mm)
        text = f"peg {worst}: its {what} play is {away} from what the other pegs say of it"
        yield Doubt(text, f"Read {keys[0]} and {keys[1]} of it again.", tuple(f"peg {worst} {key}" for key in keys))


def _of_ranges(found: Correction, card: FitCard) -> Iterator[Doubt]:
    """What was found against what routers do."""
    bit, depth = found.sizes.bit_mm, found.depth_error_mm
    if _is_beyond(bit, -MOST_BIT_ERROR_MM, MOST_BIT_ERROR_MM):
        text = f"the bit would cut {show_change(bit.value_mm)} from what its paths were made for"
        yield Doubt(
            text, "See which bit it was, and read slot_x, slot_y and boss_x again.", ("slot_x", "slot_y", "boss_x")
        )
    for axis, slack, scale in zip("xy", found.sizes.slack_mm, found.sizes.scale, strict=True):
        of_axis = [one for one in card.features if one.axis == ("xy".index(axis) + (found.lies is Lying.Y)) % 2]
        places = tuple(one.feature.value for one in of_axis if one.feels_slack)
        slots = [one.feature.value for one in of_axis if one.is_slot]
        again = f"Read {', '.join(places)} and {', '.join(slots)} again."
        if _is_read(slack) and _is_beyond(slack, 0.0, MOST_SLACK_MM):
            text = f"slack along {axis} comes out as {show_change(slack.value_mm)}"
            yield Doubt(text, again, places, may_be=slack.value_mm > 0)
        if _is_beyond(Estimate(scale.value_ratio, scale.spread_ratio), -MOST_SCALE_RATIO, MOST_SCALE_RATIO):
            yield Doubt(f"along {axis} the machine would travel {scale.value_ratio:+.1%} off", again, places)
    if _is_read(depth) and _is_beyond(depth, -MOST_DEPTH_MM, MOST_DEPTH_MM):
        text = f"grooves would be {show_change(depth.value_mm)} from the depth drawn"
        yield Doubt(text, "Read groove_depth again.", ("groove_depth",))


def _of_biases(found: Correction, model: PlayModel) -> Iterator[Doubt]:
    """Where heads and lips come out against what slack alone does."""
    for name, bias, first in (
        ("heads", found.head_offset_mm, model.first[0]),
        ("lips", found.lip_bias_mm, model.first[1]),
    ):
        if _is_beyond(bias, first - MOST_BEYOND_SLACK_MM, first + MOST_BEYOND_SLACK_MM):
            text = f"{name} would come out {show_change(bias.value_mm)} from where the bit alone puts them"
            fix = "Read the spans and the widths over both edges again, of two pegs at least."
            yield Doubt(text, fix, (), may_be=abs(bias.value_mm) < MOST_BIAS_MM - WISH_MET_MM)


def _of_the_best(readings: CardReadings, found: Correction, model: PlayModel) -> Iterator[Doubt]:
    """A best peg of which nothing was read, or which does not go in by what was read."""
    best = readings.best_pips
    if not best:
        return
    if not any(one.pips == best and _is_read(one.along) for one in found.played):
        text = f"best_peg = {best}: nothing was read of that peg"
        yield Doubt(text, f"Read the spans of the peg with {_pips(best)}, or write best_peg = 0.", ("best_peg",))
        return
    plays = model.plays(best, reach_mm=found.head_offset_mm.value_mm, lip_mm=found.lip_bias_mm.value_mm)
    if min(plays.side_mm, plays.play_mm) <= 0:
        text = f"best_peg = {best}: by these readings it does not go in"
        yield Doubt(text, f"Read the peg with {_pips(best)} again, or name another.", ("best_peg",))


def _pips(count: int) -> str:
    return f"{count} {'pip' if count == 1 else 'pips'}"


def _middle(values: tuple[float, ...]) -> float:
    return sum(values) / len(values) if values else 0.0


def _is_read(one: Estimate) -> bool:
    return one.spread_mm < MOST_BIAS_MM


def _is_far(off: Estimate, least_mm: float) -> bool:
    return abs(off.value_mm) > max(least_mm, SURE_TIMES * off.spread_mm)


def _is_beyond(one: Estimate, low_mm: float, high_mm: float) -> bool:
    """Outside of the range for sure: by more than chance does, which takes a machine without slack below nothing."""
    spare = SURE_TIMES * one.spread_mm
    return one.value_mm < low_mm - spare or one.value_mm > high_mm + spare
