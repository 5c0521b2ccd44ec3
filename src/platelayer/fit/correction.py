"""What the caliper said about a fit card, made into the shop's own errors with uncertainties.

Glossary:
    reading: one number off a caliper. Three a feature tell the caliper's scatter from the machine's error.
    bit error: effective diameter less the one that the paths were made for. It lives in the bit's diameter only.
    slack: lost motion of an axis on reversal; it makes whatever is cut round, inside or out, smaller along that axis.
    scale: how much an axis travels too far, as a share.
    bias: how much further out the heads come, and the lips from the middle, than sizes and the bit's error explain:
        what slack, scale and all else do to a joint. It is made up for in the outline only.
    question: a reading too far from its fellows; asked about, never dropped in silence.

Theory: the sizes give bit error, slack and scale (card_sizes), and the plays of the pegs then give the biases
(card_plays).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from platelayer.fit.card import Feature, FitCard
from platelayer.fit.card_plays import Played, PlayModel, solve_biases
from platelayer.fit.card_sizes import Estimate, Share, SizeErrors, SizeRead, size_errors
from platelayer.fit.shapes import as_designed
from platelayer.fit.target_play import Cutter, TargetPlay
from platelayer.tolerances import CALIPER_MM, OUTLIER_MM
from platelayer.units import show_mm
from platelayer.values.pieces import CornerRadii
from platelayer.values.tuning import Lying


@dataclass(frozen=True, slots=True, kw_only=True)
class PegReadings:
    """Readings of one peg of the ladder in the gauge socket, mm; empty where it did not go in.

    Attributes:
        pips: which peg.
        span_shut_mm: over the joint with the faces pushed together.
        span_open_mm: the same, pulled apart until it holds.
        over_left_mm: over both long edges, pushed together and the peg's stick slid left as far as it goes.
        over_right_mm: the same, slid right.
    """

    pips: int
    span_shut_mm: tuple[float, ...] = ()
    span_open_mm: tuple[float, ...] = ()
    over_left_mm: tuple[float, ...] = ()
    over_right_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardReadings:
    """All that was read off one card; ``best_pips`` is the peg that went in best by hand, 0 when nobody said."""

    sizes_mm: Mapping[Feature, tuple[float, ...]]
    pegs: tuple[PegReadings, ...] = ()
    best_pips: int = 0


@dataclass(frozen=True, slots=True)
class Question:
    """A reading to be asked about: where it stands, which of them from 0, and what its fellows say."""

    where: str
    index: int
    read_mm: float
    others_mm: float

    def __str__(self) -> str:
        return (
            f"{self.where}, reading {self.index + 1}: {show_mm(self.read_mm)}, but the others say "
            f"{show_mm(self.others_mm)}. Read it again, or leave it out."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What a card tells of one bit in one wood on one machine.

    Attributes:
        bit_diameter_mm: effective diameter; goes into the bit and nowhere else.
        lies: how the card lay.
        sizes: what the sizes say: scale and slack are for the machine's own setting, slack is part of the biases
            here. Both are 0 and of boundless uncertainty where nothing was read that feels them.
        played: plays of the pegs that were read.
        depth_error_mm: grooves came out so much too deep.
        head_offset_mm, lip_bias_mm: where heads and lips come out; made up for in the joint's outline only.
        reading_scatter_mm: scatter of one reading.
        best_pips: the peg that went in best by hand, 0 when nobody said.
    """

    bit_diameter_mm: Estimate
    lies: Lying
    sizes: SizeErrors
    played: tuple[Played, ...]
    depth_error_mm: Estimate
    head_offset_mm: Estimate
    lip_bias_mm: Estimate
    reading_scatter_mm: float
    best_pips: int = 0

    @property
    def slack_x_mm(self) -> Estimate:
        """Lost motion along x."""
        return self.sizes.slack_mm[0]

    @property
    def slack_y_mm(self) -> Estimate:
        """Lost motion along y."""
        return self.sizes.slack_mm[1]

    @property
    def scale_x(self) -> Share:
        """How much too far x travels."""
        return self.sizes.scale[0]

    @property
    def scale_y(self) -> Share:
        """How much too far y travels."""
        return self.sizes.scale[1]


def correct(readings: CardReadings, *, card: FitCard, cutter: Cutter, lies: Lying = Lying.X) -> Correction:
    """The shop's errors from one card that lay so, cut with the bit radius that the cutter says paths were made for.

    Raises:
        ValueError: readings of no boss or of no slot, so that bit error and slack cannot be told apart.
    """
    scatter = reading_scatter_mm(readings)
    sizes = size_errors(_sizes_read(readings, card, scatter), lies=lies)
    model = play_model(card, cutter, sizes, lies=lies)
    played = tuple(_played(peg, readings, scatter) for peg in readings.pegs)
    biases = solve_biases(model, played)
    depth = readings.sizes_mm.get(Feature.GROOVE_DEPTH, ())
    designed = {feature.feature: feature.designed_mm for feature in card.features}
    nothing = Estimate(0.0, math.inf)
    return Correction(
        bit_diameter_mm=Estimate(2 * cutter.bit_radius_mm + sizes.bit_mm.value_mm, sizes.bit_mm.spread_mm),
        lies=lies,
        sizes=sizes,
        played=played,
        depth_error_mm=_minus(_mean(depth, scatter), designed[Feature.GROOVE_DEPTH]) if depth else nothing,
        head_offset_mm=biases.reach,
        lip_bias_mm=biases.lip,
        reading_scatter_mm=scatter,
        best_pips=readings.best_pips,
    )


def play_model(card: FitCard, cutter: Cutter, sizes: SizeErrors, *, lies: Lying = Lying.X) -> PlayModel:
    """What the plays of a card's pegs follow from, by what its sizes say."""
    along, across = (one.value_mm for one in (sizes.slack_mm[::-1] if lies is Lying.Y else sizes.slack_mm))
    first = bias_from_slack(card, along_mm=along, across_mm=across)
    return PlayModel(card=card, cutter=cutter, bit_error_mm=sizes.bit_mm.value_mm, first=first)


def _sizes_read(readings: CardReadings, card: FitCard, scatter: float) -> list[SizeRead]:
    read = [(feature, readings.sizes_mm.get(feature.feature, ())) for feature in card.features]
    return [SizeRead(feature, _mean(values, scatter)) for feature, values in read if values]


def best_plays(found: Correction, *, card: FitCard, cutter: Cutter) -> TargetPlay | None:
    """The plays that the peg which went in best by hand had, as it came off the machine; None when nobody said.

    Raises:
        ValueError: a peg that the card has not.
    """
    if not found.best_pips:
        return None
    if found.best_pips not in [rung.pips for rung in card.rungs]:
        raise ValueError(f"the card has no peg with {found.best_pips} pips")
    model = play_model(card, cutter, found.sizes, lies=found.lies)
    reach, lip = found.head_offset_mm.value_mm, found.lip_bias_mm.value_mm
    plays = model.plays(found.best_pips, reach_mm=reach, lip_mm=lip)
    return TargetPlay(max(0.0, plays.side_mm), max(0.0, plays.play_mm))


def questions(readings: CardReadings) -> tuple[Question, ...]:
    """Readings further than OUTLIER_MM from the middle one of their fellows, in the order of the card.

    Of two that disagree nobody knows which is wrong, so both are asked about.
    """
    found = []
    for where, values in _groups(readings):
        for index, value in enumerate(values):
            others = float(np.median(values)) if len(values) > 2 else values[len(values) - 1 - index]
            if abs(value - others) > OUTLIER_MM:
                found.append(Question(where, index, value, others))
    return tuple(found)


def reading_scatter_mm(readings: CardReadings) -> float:
    """Scatter of one reading, pooled over all that were read more than once; never below CALIPER_MM."""
    groups = [np.asarray(values) for _, values in _groups(readings) if len(values) > 1]
    squares = sum(float(((values - values.mean()) ** 2).sum()) for values in groups)
    spare = sum(len(values) - 1 for values in groups)
    return max(CALIPER_MM, math.sqrt(squares / spare)) if spare else 2 * CALIPER_MM


def _groups(readings: CardReadings) -> list[tuple[str, tuple[float, ...]]]:
    sizes = [(feature.value, readings.sizes_mm[feature]) for feature in Feature if feature in readings.sizes_mm]
    pegs = [
        (f"peg {peg.pips} {name}", values)
        for peg in readings.pegs
        for name, values in (
            ("span_shut", peg.span_shut_mm),
            ("span_open", peg.span_open_mm),
            ("over_left", peg.over_left_mm),
            ("over_right", peg.over_right_mm),
        )
    ]
    return sizes + pegs


def bias_from_slack(card: FitCard, *, along_mm: float, across_mm: float) -> tuple[float, float]:
    """What slack alone, along a piece and across it, does to reach and lips when the bit goes once round it.

    Source: derived here. Both faces are cut after a move towards them, so each falls back by half the slack along,
    while head and lips move half of it one way on one side and the other way on the other: on the mean the heads stand
    out by the slack. A lip is cut after a move away from it, so it lies half the slack across further out. Where the
    hole begins beyond the first lip the move turns round, so that the lip runs on into the hole by the slack times
    m / sqrt(Q^2 - m^2) (m half the mouth, Q the hole's radius), on the mean of both lips half of that.
    """
    shape = as_designed(card.sizes, width_mm=math.inf, corners=CornerRadii())
    mouth, hole = shape.half_mouth_mm, shape.hole_radius_mm
    longer = across_mm * mouth / math.sqrt(hole**2 - mouth**2) / 2
    return along_mm - longer, across_mm / 2


def _played(peg: PegReadings, readings: CardReadings, scatter: float) -> Played:
    """Pull-out play and side play of one peg as read."""
    along = across = Estimate(0.0, math.inf)
    if peg.span_shut_mm and peg.span_open_mm:
        shut, opened = _mean(peg.span_shut_mm, scatter), _mean(peg.span_open_mm, scatter)
        along = _minus(opened, shut.value_mm, shut.spread_mm)
    widths = [
        _mean(readings.sizes_mm[feature], scatter)
        for feature in (Feature.WIDTH_GAUGE_Y, Feature.WIDTH_PEG_Y)
        if readings.sizes_mm.get(feature)
    ]
    if peg.over_left_mm and peg.over_right_mm and widths:
        left, right = _mean(peg.over_left_mm, scatter), _mean(peg.over_right_mm, scatter)
        width = float(np.mean([one.value_mm for one in widths]))
        unsure = math.hypot(left.spread_mm, right.spread_mm) / 2
        unsure = math.hypot(unsure, *(one.spread_mm / len(widths) for one in widths))
        across = Estimate((left.value_mm + right.value_mm) / 2 - width, unsure)
    return Played(peg.pips, along, across)


def _mean(values: tuple[float, ...], scatter: float) -> Estimate:
    return Estimate(float(np.mean(values)), scatter / math.sqrt(len(values)))


def _minus(estimate: Estimate, known: float, spread: float = 0.0) -> Estimate:
    return Estimate(estimate.value_mm - known, math.hypot(estimate.spread_mm, spread))
