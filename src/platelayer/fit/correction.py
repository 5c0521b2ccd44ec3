"""What the caliper said about a fit card, made into the shop's own errors with uncertainties.

Glossary:
    reading: one number off a caliper. Three a feature tell the caliper's scatter from the machine's error.
    bit error: effective diameter less the one that the paths were made for. It lives in the bit's diameter only.
    slack: lost motion of an axis on reversal; it makes whatever is cut round, inside or out, smaller along that axis.
    scale: how much an axis travels too far, as a share.
    bias: how much further out the heads come, and the lips from the middle, than sizes and the bit's error explain:
        what slack, scale and all else do to a joint. It is made up for in the outline only.
    question: a reading too far from its fellows; asked about, never dropped in silence.

Theory: wood D comes out D (1 + k) - b, a slot D (1 + k) + b, with k the scale of its axis and b the bit's error; where
the two walls were cut after moves opposite ways, the slack s is lost as well. Linear in five unknowns, solved by least
squares, each feature weighted by its scatter and count. The scale has a weak prior, so that a card without a long
feature still gives an answer. The plays of the pegs, with the bit's error accounted for, then give the two biases by
least squares. What slack alone would do is the first guess, weakly held; the plays have the last word.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.card import Feature, FitCard, rung_sizes
from platelayer.fit.in_line import InLine, in_line
from platelayer.fit.shapes import as_designed, with_bias, with_bit_error
from platelayer.fit.wish import Cutter, Wish, shape_for
from platelayer.tolerances import (
    BIAS_MODEL_RATIO,
    BIAS_PRIOR_MM,
    CALIPER_MM,
    DIFFERENCE_RATIO,
    OUTLIER_MM,
    SCALE_PRIOR_RATIO,
)
from platelayer.values.pieces import CornerRadii

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A length and its standard uncertainty."""

    value_mm: float
    spread_mm: float


@dataclass(frozen=True, slots=True)
class Share:
    """A ratio and its standard uncertainty."""

    value_ratio: float
    spread_ratio: float


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
            f"{self.where}, reading {self.index + 1}: {self.read_mm:.3f} mm, but the others say "
            f"{self.others_mm:.3f} mm. Read it again, or leave it out."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What a card tells of one bit in one wood on one machine.

    Attributes:
        bit_diameter_mm: effective diameter; goes into the bit and nowhere else.
        scale_x, scale_y: how much an axis travels too far; for the machine's own setting.
        slack_x_mm, slack_y_mm: lost motion; for the machine's own setting, and part of the biases here.
            Scale and slack are 0 and of boundless uncertainty where nothing was read that feels them.
        depth_error_mm: grooves came out so much too deep.
        reach_bias_mm, lip_bias_mm: where heads and lips come out; made up for in the joint's outline only.
        reading_scatter_mm: scatter of one reading.
        best_pips: the peg that went in best by hand, 0 when nobody said.
        questions: readings to be asked about; they were used all the same.
    """

    bit_diameter_mm: Estimate
    scale_x: Share
    scale_y: Share
    slack_x_mm: Estimate
    slack_y_mm: Estimate
    depth_error_mm: Estimate
    reach_bias_mm: Estimate
    lip_bias_mm: Estimate
    reading_scatter_mm: float
    best_pips: int = 0
    questions: tuple[Question, ...] = ()


def correct(readings: CardReadings, *, card: FitCard, cutter: Cutter) -> Correction:
    """The shop's errors from one card cut with the bit radius that the cutter says its paths were made for.

    Raises:
        ValueError: readings of no boss or of no slot, so that bit error and slack cannot be told apart.
    """
    scatter = reading_scatter_mm(readings)
    solved = _errors(readings, card, scatter)
    error, slack_x, slack_y = (Estimate(*pair) for pair in solved[:3])
    scale_x, scale_y = (Share(*pair) for pair in solved[3:])
    first = bias_from_slack(card, slack_x_mm=slack_x.value_mm, slack_y_mm=slack_y.value_mm)
    reach, lip = _biases(readings, card, cutter, error.value_mm, scatter, first)
    depth = readings.sizes_mm.get(Feature.GROOVE_DEPTH, ())
    designed = {feature.feature: feature.designed_mm for feature in card.features}
    nothing = Estimate(0.0, math.inf)
    return Correction(
        bit_diameter_mm=Estimate(2 * cutter.bit_radius_mm + error.value_mm, error.spread_mm),
        scale_x=scale_x,
        scale_y=scale_y,
        slack_x_mm=slack_x,
        slack_y_mm=slack_y,
        depth_error_mm=_minus(_mean(depth, scatter), designed[Feature.GROOVE_DEPTH]) if depth else nothing,
        reach_bias_mm=reach,
        lip_bias_mm=lip,
        reading_scatter_mm=scatter,
        best_pips=readings.best_pips,
        questions=questions(readings),
    )


def best_plays(found: Correction, *, card: FitCard, cutter: Cutter) -> Wish | None:
    """The plays that the peg which went in best by hand had, as it came off the machine; None when nobody said.

    Raises:
        ValueError: a peg that the card has not.
    """
    if not found.best_pips:
        return None
    offsets = {rung.pips: rung.peg_offset_mm for rung in card.rungs}
    if found.best_pips not in offsets:
        raise ValueError(f"the card has no peg with {found.best_pips} pips")
    drawn = shape_for(rung_sizes(card.sizes, offset_mm=offsets[found.best_pips]), cutter)
    cut = with_bit_error(drawn, bit_error_mm=found.bit_diameter_mm.value_mm - 2 * cutter.bit_radius_mm)
    plays = in_line(with_bias(cut, reach_mm=found.reach_bias_mm.value_mm, lip_mm=found.lip_bias_mm.value_mm))
    return Wish(max(0.0, plays.side_mm), max(0.0, plays.play_mm))


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


_AXES: Final = {
    Feature.SLOT_X: 0,
    Feature.BOSS_X: 0,
    Feature.PRONG_X: 0,
    Feature.LENGTH_X: 0,
    Feature.SLOT_Y: 1,
    Feature.PRONG_Y: 1,
    Feature.WIDTH_GAUGE_Y: 1,
    Feature.WIDTH_PEG_Y: 1,
}


def _errors(readings: CardReadings, card: FitCard, scatter: float) -> tuple[tuple[float, float], ...]:
    """Bit error, slack x and y, scale x and y by weighted least squares with the weak prior on the scales."""
    rows, seen = [], set()
    for feature in card.features:
        values = readings.sizes_mm.get(feature.feature, ())
        if not values or feature.feature not in _AXES:
            continue
        axis, sense = _AXES[feature.feature], 1.0 if feature.is_slot else -1.0
        seen.add(sense)
        mean = _mean(values, scatter)
        row = [sense, 0.0, 0.0, 0.0, 0.0, mean.value_mm - feature.designed_mm]
        row[1 + axis], row[3 + axis] = -float(feature.feels_slack), feature.designed_mm
        rows.append([value / mean.spread_mm for value in row])
    if len(seen) < 2:
        raise ValueError("a boss and a slot must both be read, or bit error and slack cannot be told apart")
    weak = 1 / SCALE_PRIOR_RATIO
    rows += [[0, 0, 0, weak, 0, 0], [0, 0, 0, 0, weak, 0]]
    table = np.array(rows)
    design, target = table[:, :5], table[:, 5]
    # a slack that no size feels has a column of noughts, and a scale that none has nothing but its prior
    is_felt = np.abs(design[:-2]).sum(axis=0) > 0
    felt = design[:, is_felt]
    solution, spreads = np.zeros(5), np.full(5, math.inf)
    solution[is_felt] = np.linalg.lstsq(felt, target, rcond=None)[0]
    spreads[is_felt] = np.sqrt(np.diag(np.linalg.inv(felt.T @ felt)))
    return tuple((float(value), float(spread)) for value, spread in zip(solution, spreads, strict=True))


def _biases(
    readings: CardReadings,
    card: FitCard,
    cutter: Cutter,
    bit_error: float,
    scatter: float,
    first: tuple[float, float],
) -> tuple[Estimate, Estimate]:
    """Reach and lip bias by least squares over the plays of all pegs that went in, from a first guess."""
    from scipy.optimize import least_squares  # slow to import

    design = in_line(shape_for(card.sizes, cutter))
    plays = tuple(_widened(_played(peg, readings, scatter), design) for peg in readings.pegs)
    offsets = {rung.pips: rung.peg_offset_mm for rung in card.rungs}
    shapes = tuple(
        with_bit_error(shape_for(rung_sizes(card.sizes, offset_mm=offsets[peg.pips]), cutter), bit_error_mm=bit_error)
        for peg in readings.pegs
    )

    def short(bias: Floats) -> list[float]:
        found = [float(value - guess) / BIAS_PRIOR_MM for value, guess in zip(bias, first, strict=True)]
        for shape, (along, across) in zip(shapes, plays, strict=True):
            got = in_line(with_bias(shape, reach_mm=float(bias[0]), lip_mm=float(bias[1])))
            found.append((got.play_mm - along.value_mm) / along.spread_mm)
            found.append((got.side_mm - across.value_mm) / across.spread_mm)
        return found

    solved = least_squares(
        short, np.array(first), bounds=(-_MOST_BIAS_MM, _MOST_BIAS_MM), diff_step=DIFFERENCE_RATIO, x_scale=0.1
    )
    spreads = np.sqrt(np.diag(np.linalg.pinv(solved.jac.T @ solved.jac)))
    reach, lip = (Estimate(float(v), float(s)) for v, s in zip(solved.x, spreads, strict=True))
    return reach, lip


def bias_from_slack(card: FitCard, *, slack_x_mm: float, slack_y_mm: float) -> tuple[float, float]:
    """What slack alone does to reach and lips when the bit goes once round a piece lying along x.

    Source: derived here. Both faces are cut after a move towards them, so each falls back by half the slack in x, while
    head and lips move half of it one way on one side and the other way on the other: on the mean the heads stand out
    by the slack. A lip is cut after a move away from it, so it lies half the slack in y further out. Where the hole
    begins beyond the first lip the move turns round, so that the lip runs on into the hole by the slack times
    m / sqrt(Q^2 - m^2) (m half the mouth, Q the hole's radius), on the mean of both lips half of that.
    """
    shape = as_designed(card.sizes, width_mm=math.inf, corners=CornerRadii())
    mouth, hole = shape.half_mouth_mm, shape.hole_radius_mm
    longer = slack_y_mm * mouth / math.sqrt(hole**2 - mouth**2) / 2
    return slack_x_mm - longer, slack_y_mm / 2


def _played(peg: PegReadings, readings: CardReadings, scatter: float) -> tuple[Estimate, Estimate]:
    """Pull-out play and side play of one peg as read; of boundless uncertainty where something was not read."""
    along = across = _UNREAD
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
    return along, across


def _widened(played: tuple[Estimate, Estimate], design: InLine) -> tuple[Estimate, Estimate]:
    """Plays less certain by a share of their distance from the design's: two biases are a model, best near by."""
    along, across = played
    return (
        _minus(along, 0.0, BIAS_MODEL_RATIO * abs(along.value_mm - design.play_mm)),
        _minus(across, 0.0, BIAS_MODEL_RATIO * abs(across.value_mm - design.side_mm)),
    )


_UNREAD: Final = Estimate(0.0, math.inf)
_MOST_BIAS_MM: Final = 0.5


def _mean(values: tuple[float, ...], scatter: float) -> Estimate:
    return Estimate(float(np.mean(values)), scatter / math.sqrt(len(values)))


def _minus(estimate: Estimate, known: float, spread: float = 0.0) -> Estimate:
    return Estimate(estimate.value_mm - known, math.hypot(estimate.spread_mm, spread))
