"""What the pegs of a card say: where heads and lips come out, beyond sizes and the bit's error.

Glossary:
    bias: how much further out the heads come, and the lips from the middle, than sizes and the bit's error explain.
    played: pull-out play and side play of one peg as read.

Theory: plays of all pegs that went in, with the bit's error accounted for, give the two biases by least squares. What
slack alone would do is the first guess, weakly held; the plays have the last word.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.card import FitCard, rung_sizes
from platelayer.fit.card_sizes import Estimate
from platelayer.fit.in_line import InLine, in_line
from platelayer.fit.shapes import JointShape, with_bias, with_bit_error
from platelayer.fit.target_play import Cutter, shape_for
from platelayer.tolerances import BIAS_MODEL_RATIO, BIAS_PRIOR_MM, DIFFERENCE_RATIO

Floats = npt.NDArray[np.float64]

MOST_BIAS_MM: Final = 0.5
"""Biases are sought to here: a joint has no room for more."""


@dataclass(frozen=True, slots=True)
class Played:
    """Plays of one peg as read; of boundless uncertainty where something was not read."""

    pips: int
    along: Estimate
    across: Estimate


@dataclass(frozen=True, slots=True)
class Biases:
    """Reach and lip bias, and the sum of squares that they leave, in standard uncertainties."""

    reach: Estimate
    lip: Estimate
    squares_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayModel:
    """What the plays of a card's pegs follow from, but for the biases.

    Attributes:
        card: the card.
        cutter: what its paths were made for.
        bit_error_mm: how much wider the bit cut.
        first: reach and lip bias by slack alone, mm.
    """

    card: FitCard
    cutter: Cutter
    bit_error_mm: float
    first: tuple[float, float]

    def shape(self, pips: int) -> JointShape:
        """The joint of one peg as that bit leaves it, without bias.

        Raises:
            ValueError: as ``as_cut``.
        """
        offset = next(rung.peg_offset_mm for rung in self.card.rungs if rung.pips == pips)
        drawn = shape_for(rung_sizes(self.card.sizes, offset_mm=offset), self.cutter)
        return with_bit_error(drawn, bit_error_mm=self.bit_error_mm)

    def plays(self, pips: int, *, reach_mm: float, lip_mm: float) -> InLine:
        """Plays of one peg with those biases.

        Raises:
            ValueError: as ``as_cut``.
        """
        return in_line(with_bias(self.shape(pips), reach_mm=reach_mm, lip_mm=lip_mm))


def solve_biases(model: PlayModel, played: Sequence[Played]) -> Biases:
    """The two biases that explain the plays best.

    Raises:
        ValueError: as ``as_cut``.
    """
    from scipy.optimize import least_squares  # slow to import

    design = in_line(shape_for(model.card.sizes, model.cutter))
    told = [(model.shape(one.pips), *_widened(one, design)) for one in played]
    first = np.clip(model.first, -MOST_BIAS_MM / 2, MOST_BIAS_MM / 2)

    def short(bias: Floats) -> list[float]:
        found = [float(value - guess) / BIAS_PRIOR_MM for value, guess in zip(bias, first, strict=True)]
        for shape, along, across in told:
            got = in_line(with_bias(shape, reach_mm=float(bias[0]), lip_mm=float(bias[1])))
            found.append((_at_most(got.play_mm) - along.value_mm) / along.spread_mm)
            found.append((_at_most(got.side_mm) - across.value_mm) / across.spread_mm)
        return found

    solved = least_squares(short, first, bounds=(-MOST_BIAS_MM, MOST_BIAS_MM), diff_step=DIFFERENCE_RATIO, x_scale=0.1)
    spreads = np.sqrt(np.diag(np.linalg.pinv(solved.jac.T @ solved.jac)))
    reach, lip = (Estimate(float(v), float(s)) for v, s in zip(solved.x, spreads, strict=True))
    return Biases(reach, lip, 2 * float(solved.cost))


@dataclass(frozen=True, slots=True)
class PlayMisfit:
    """How far a peg's plays were read above what the other pegs say, with the uncertainty of that difference."""

    pips: int
    along: Estimate
    across: Estimate


def play_misfits(model: PlayModel, played: Sequence[Played]) -> tuple[PlayMisfit, ...]:
    """Each peg against all others.

    Raises:
        ValueError: as ``as_cut``.
    """
    found = []
    for one in played:
        others = solve_biases(model, [other for other in played if other is not one])
        got = model.plays(one.pips, reach_mm=others.reach.value_mm, lip_mm=others.lip.value_mm)
        unsure = math.hypot(others.reach.spread_mm, others.lip.spread_mm)
        found.append(
            PlayMisfit(
                one.pips,
                Estimate(one.along.value_mm - _at_most(got.play_mm), math.hypot(one.along.spread_mm, unsure)),
                Estimate(one.across.value_mm - _at_most(got.side_mm), math.hypot(one.across.spread_mm, unsure)),
            )
        )
    return tuple(found)


def _widened(played: Played, design: InLine) -> tuple[Estimate, Estimate]:
    """Plays less certain by a share of their distance from the design's: two biases are a model, best near by."""
    along, across = played.along, played.across
    return (
        _less_sure(along, BIAS_MODEL_RATIO * abs(along.value_mm - design.play_mm)),
        _less_sure(across, BIAS_MODEL_RATIO * abs(across.value_mm - design.side_mm)),
    )


def _at_most(play_mm: float) -> float:
    """A play that the search can go by: where nothing holds the peg, or it does not go in, it has none that ends."""
    return min(max(play_mm, -_FAR_MM), _FAR_MM)


_FAR_MM: Final = 5.0


def _less_sure(one: Estimate, by_mm: float) -> Estimate:
    return Estimate(one.value_mm, math.hypot(one.spread_mm, by_mm))
