"""What the sizes of a card say of bit and machine: errors with uncertainties, by the model that fits them.

Glossary:
    bit error: effective diameter less the one that the paths were made for.
    slack: lost motion of an axis. An axis that lags stands behind the way it last went; one that is pushed is moved to
        the end of its slack by the cutting itself, by climb off the wall.
    scale: how much an axis travels too far, as a share.
    misfit: by how much a size stands off what all the others say of it.

Theory: wood D comes out D (1 + k) - b, a slot D (1 + k) + b, with k the scale of its axis and b the bit's error. Where
axes lag, a size whose two walls were cut after moves opposite ways loses the slack as well: five unknowns. Where the
bit is pushed off every wall, each slot is narrower and each wood wider by the slack of its axis, just as if the bit
were that much narrower along it: two bits and two scales are the unknowns, and slack and bit cannot be told apart but
for the difference between the axes. Both are linear and solved by least squares, each size weighted by its scatter and
count, slack no less than nothing; scales have a weak prior, so that a card without a long size still gives an answer.
The one with the smaller misfit is used; lagging where both are as good.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.card import CardFeature
from platelayer.tolerances import SCALE_PRIOR_RATIO
from platelayer.values.tuning import Lying

Floats = npt.NDArray[np.float64]

_BETTER: Final = 6.6
"""The pushed bit is believed where it lowers the sum of squares by this: a chance of one in a hundred."""


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


@dataclass(frozen=True, slots=True)
class SizeRead:
    """A size of the card with the mean of its readings."""

    feature: CardFeature
    mean: Estimate


@dataclass(frozen=True, slots=True)
class Misfit:
    """How far a size was read above what the others say, with the uncertainty of that difference."""

    feature: CardFeature
    off: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeErrors:
    """Bit error, slack and scale by axis, and misfits of all sizes that others say something of.

    Attributes:
        bit_mm: the bit's error, on the mean of both axes where the bit is pushed.
        wider_y_mm: how much wider the bit cuts along y than along x: 0 where axes lag, else what is pushed less.
        is_pushed: the bit is pushed off the wall; the slack of an axis is then part of the bit's width along it.
    """

    bit_mm: Estimate
    slack_mm: tuple[Estimate, Estimate]
    scale: tuple[Share, Share]
    wider_y_mm: Estimate
    is_pushed: bool
    misfits: tuple[Misfit, ...]


def size_errors(sizes: Sequence[SizeRead], *, lies: Lying = Lying.X) -> SizeErrors:
    """The errors that explain the sizes best, of a card that lay so on the machine.

    Of one that lay askew the bit's width along the sticks and across them is all that can be told: both axes move at
    every wall, and slack makes the bit wider for the walls one way and as much narrower for the others.

    Raises:
        ValueError: no boss or no slot among them, so that bit error and slack cannot be told apart.
    """
    used = [one for one in sizes if one.feature.axis is not None]
    if len({one.feature.is_slot for one in used}) < 2:
        raise ValueError("a boss and a slot must both be read, or bit error and slack cannot be told apart")
    is_askew = lies is Lying.DIAGONAL
    is_pushed = not is_askew and _squares_ratio(used, _PUSHED) + _BETTER < _squares_ratio(used, _LAGGING)
    has_two_bits = is_pushed or is_askew
    unknowns = _PUSHED if has_two_bits else _LAGGING
    found = _solve(used, unknowns)
    along, across = found.of(0), found.of(1 if has_two_bits else 0)
    unsure = math.hypot(along.spread_mm, across.spread_mm) if has_two_bits else 0.0
    mean = Estimate((along.value_mm + across.value_mm) / 2, unsure / 2 if has_two_bits else along.spread_mm)
    unread = Estimate(0.0, math.inf)
    slack = (unread, unread) if has_two_bits else (found.of(1), found.of(2))
    scale = _share(found.of(-2)), _share(found.of(-1))
    wider = across.value_mm - along.value_mm if is_pushed else 0.0
    if lies is Lying.Y:
        slack, scale, wider = slack[::-1], scale[::-1], -wider
    if is_askew:
        scale = Share(0.0, math.inf), Share(0.0, math.inf)
    return SizeErrors(
        bit_mm=mean,
        slack_mm=slack,
        scale=scale,
        wider_y_mm=Estimate(wider, unsure),
        is_pushed=is_pushed,
        misfits=tuple(_misfits(used, unknowns)),
    )


def _share(one: Estimate) -> Share:
    return Share(one.value_mm, one.spread_mm)


@dataclass(frozen=True, slots=True)
class _Solved:
    """Values of the unknowns and their covariance; inf where nothing was read."""

    values: Floats
    covariance: Floats

    def of(self, number: int) -> Estimate:
        return Estimate(float(self.values[number]), math.sqrt(float(self.covariance[number, number])))


def _lagging(feature: CardFeature) -> list[float]:
    """Share of each unknown in a size: bit, slack and scale along the stick and across it."""
    slack, scale = [0.0, 0.0], [0.0, 0.0]
    if feature.axis is not None:
        slack[feature.axis], scale[feature.axis] = -float(feature.feels_slack), feature.designed_mm
    return [1.0 if feature.is_slot else -1.0, *slack, *scale]


def _pushed(feature: CardFeature) -> list[float]:
    """Share of each unknown in a size: bit along the stick and across it, scale the same."""
    bit, scale = [0.0, 0.0], [0.0, 0.0]
    if feature.axis is not None:
        bit[feature.axis], scale[feature.axis] = 1.0 if feature.is_slot else -1.0, feature.designed_mm
    return [*bit, *scale]


_Model = tuple[Callable[[CardFeature], list[float]], tuple[int, ...]]
_LAGGING: Final[_Model] = _lagging, (1, 2)
_PUSHED: Final[_Model] = _pushed, ()


def _equations(sizes: Sequence[SizeRead], model: _Model) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    """Weighted rows of the unknowns that any size feels, what they should come to, and which unknowns these are."""
    row_of, _ = model
    weights = np.array([1 / one.mean.spread_mm for one in sizes])
    rows = np.array([row_of(one.feature) for one in sizes]) * weights[:, None]
    target = np.array([one.mean.value_mm - one.feature.designed_mm for one in sizes]) * weights
    count = rows.shape[1]
    is_felt = np.abs(rows).sum(axis=0) > 0
    prior = np.zeros((2, count))
    prior[0, -2] = prior[1, -1] = 1 / SCALE_PRIOR_RATIO
    return np.vstack([rows, prior])[:, is_felt], np.append(target, [0.0, 0.0]), is_felt


def _solve(sizes: Sequence[SizeRead], model: _Model) -> _Solved:
    """Weighted least squares; an unknown that no size feels is 0 and of boundless uncertainty."""
    felt, wanted, is_felt = _equations(sizes, model)
    count = len(is_felt)
    values, covariance = np.zeros(count), np.diag(np.full(count, math.inf))
    values[is_felt] = np.linalg.lstsq(felt, wanted, rcond=None)[0]
    covariance[np.ix_(is_felt, is_felt)] = np.linalg.pinv(felt.T @ felt)
    return _Solved(values, covariance)


def _squares_ratio(sizes: Sequence[SizeRead], model: _Model) -> float:
    """The sum of squares that is left where no slack may be less than nothing."""
    from scipy.optimize import lsq_linear  # slow to import

    felt, wanted, is_felt = _equations(sizes, model)
    low = np.array([0.0 if number in model[1] else -np.inf for number in range(len(is_felt))])[is_felt]
    best = np.linalg.lstsq(felt, wanted, rcond=None)[0]
    bounded = best if (best >= low).all() else lsq_linear(felt, wanted, (low, np.inf)).x
    return float(((felt @ bounded - wanted) ** 2).sum())


def _misfits(sizes: Sequence[SizeRead], model: _Model) -> Iterator[Misfit]:
    """Each size against what the others say of it, where they say anything."""
    for number, one in enumerate(sizes):
        others = [*sizes[:number], *sizes[number + 1 :]]
        row = np.array(model[0](one.feature))
        if len({other.feature.is_slot for other in others}) < 2:
            continue
        solved = _solve(others, model)
        if np.isinf(np.diag(solved.covariance)[row != 0]).any():
            continue
        covariance = np.where(np.isinf(solved.covariance), 0.0, solved.covariance)
        off = one.mean.value_mm - one.feature.designed_mm - float(row @ solved.values)
        yield Misfit(one.feature, Estimate(off, math.hypot(one.mean.spread_mm, math.sqrt(row @ covariance @ row))))
