"""Spread: what scatter of bit, machine, mate and moisture does to many joints, and which of them matters most.

Glossary:
    source: one cause of scatter, with a standard deviation. draw: one joint with every source drawn once.
    share: part of all draws. weight of a source: its draws' squared correlation with the plays, as a part of their sum.

Draws are normal, from a numpy Generator of the seed given: the same seed gives the same answer to the last bit.
Plays are the closed forms with the pieces in line; a few draws are also asked for their whole free play.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.free_play import free_play
from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import JointShape, with_bias, with_bit_error
from platelayer.fit.target_play import TargetPlay
from platelayer.geometry.joint import mixed
from platelayer.tolerances import COINCIDENT_MM, PLAY_MM
from platelayer.values.pieces import JointSizes

Floats = npt.NDArray[np.float64]


class Source(StrEnum):
    """A cause of scatter, in words a person reads."""

    BIT = "the bit's diameter"
    MACHINE = "the machine's slack"
    MATE = "the mate's sizes"
    MOISTURE = "moisture of the wood"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Standard deviations of the sources; zero leaves a source out.

    Attributes:
        bit_mm: of the effective diameter.
        machine_mm: of reach and of each lip, drawn apart.
        mate_mm: of the mate's caliper sizes, drawn apart: mouth or neck, hole or head, socket's depth or peg's length.
        growth_ratio: of the share by which our part swells across the grain against the mate.
        mate_is_socket: the mate is the socket, our part the peg; else the other way round.
        mate_is_bought: our bit and machine did not cut the mate, so that what they scatter is in our part only.
    """

    bit_mm: float = 0.0
    machine_mm: float = 0.0
    mate_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    growth_ratio: float = 0.0
    mate_is_socket: bool = True
    mate_is_bought: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadAnswer:
    """Shares of the draws, spread of the plays, and the sources by weight.

    Attributes:
        seats_ratio: faces close and at least PLAY_MM of pull-out play is left.
        holds_ratio: the peg is held.
        as_wished_ratio: both plays within PLAY_MM of the wish.
        pull_out_mm: pull-out plays at 5, 50 and 95 % of the draws.
        side_mm: side plays likewise.
        kink_rad: kinks likewise, on the sample asked for its whole free play.
        weights: sources with their weight, heaviest first; what to measure next is the first.
    """

    seats_ratio: float
    holds_ratio: float
    as_wished_ratio: float
    pull_out_mm: tuple[float, float, float]
    side_mm: tuple[float, float, float]
    kink_rad: tuple[float, float, float]
    weights: tuple[tuple[Source, float], ...]


_COLUMNS: Final = {Source.BIT: (0,), Source.MACHINE: (1, 2), Source.MATE: (3, 4, 5), Source.MOISTURE: (6,)}
_CENTILES: Final = (5, 50, 95)


def spread_of(
    shape: JointShape, *, scatter: Scatter, target: TargetPlay, seed: int, draws: int = 2000, whole: int = 20
) -> SpreadAnswer:
    """Shares and spreads over so many draws; ``whole`` of them are asked for their whole free play too."""
    numbers = np.random.default_rng(seed).normal(size=(draws, 7))
    joints = [_drawn(shape, scatter, row) for row in numbers]
    plays = [in_line(joint) for joint in joints]
    along = np.array([one.play_mm for one in plays])
    across = np.array([one.side_mm for one in plays])
    holds = np.array([joint.head_radius_mm > joint.half_mouth_mm for joint in joints])
    shut = np.array([one.opening_mm <= 0 for one in plays])
    kinks = np.array([free_play(joint).kink_rad[0] for joint in joints[:whole]]) if whole else np.zeros(1)
    wished = (np.abs(along - target.pull_out_mm) <= PLAY_MM) & (np.abs(across - target.side_mm) <= PLAY_MM)
    finite = np.where(np.isfinite(along), along, np.nan)
    return SpreadAnswer(
        seats_ratio=float(np.mean(shut & (along >= PLAY_MM))),
        holds_ratio=float(np.mean(holds)),
        as_wished_ratio=float(np.mean(wished)),
        pull_out_mm=_centiles(finite),
        side_mm=_centiles(across),
        kink_rad=_centiles(kinks),
        weights=_weights(numbers, finite, across, scatter),
    )


def next_words(answer: SpreadAnswer) -> str:
    """What to measure next, as a sentence."""
    source, weight = answer.weights[0]
    return f"Most of the scatter, {weight:.0%}, comes from {source.value}: measure that next."


def _drawn(shape: JointShape, scatter: Scatter, row: Floats) -> JointShape:
    """One joint with every source drawn once."""
    draw = [float(value) for value in row]
    cut = with_bit_error(shape, bit_error_mm=scatter.bit_mm * draw[0])
    reach, lip = scatter.machine_mm * draw[1], scatter.machine_mm * draw[2]
    if scatter.mate_is_bought:
        as_is, ours = shape.sizes, cut.sizes
        peg, socket = (ours, as_is) if scatter.mate_is_socket else (as_is, ours)
        cut = replace(cut, sizes=mixed(peg=peg, socket=socket))
        reach, lip = (reach, 0.0) if scatter.mate_is_socket else (0.0, lip)
    mate = [one * value for one, value in zip(scatter.mate_mm, draw[3:6], strict=True)]
    cut = replace(cut, sizes=_sound(_strayed(cut.sizes, mate, is_socket=scatter.mate_is_socket)))
    growth = scatter.growth_ratio * draw[6]
    # seen from a part that swells across, the other's lips come nearer: pegs and lips are stretched, lengths are not
    swelling = -growth / (1 + growth) if scatter.mate_is_socket else growth
    moved = with_bias(cut, reach_mm=reach, lip_mm=lip + cut.half_mouth_mm * swelling)
    return replace(moved, sizes=_sound(moved.sizes))


def _sound(sizes: JointSizes) -> JointSizes:
    """The sizes, but for draws of a wide scatter of which no joint could be made: just wide enough to be one."""
    neck, mouth = max(sizes.neck_width_mm, COINCIDENT_MM), max(sizes.mouth_width_mm, COINCIDENT_MM)
    return replace(
        sizes,
        neck_width_mm=neck,
        head_diameter_mm=max(sizes.head_diameter_mm, neck + COINCIDENT_MM),
        mouth_width_mm=mouth,
        hole_diameter_mm=max(sizes.hole_diameter_mm, mouth + COINCIDENT_MM),
    )


def _strayed(sizes: JointSizes, mate: list[float], *, is_socket: bool) -> JointSizes:
    """The sizes with the mate's three caliper sizes strayed: across, round and along."""
    across, round_, along = mate
    if is_socket:
        return replace(
            sizes,
            mouth_width_mm=sizes.mouth_width_mm + across,
            hole_diameter_mm=sizes.hole_diameter_mm + round_,
            hole_setback_mm=sizes.hole_setback_mm + along - round_,
        )
    return replace(
        sizes,
        neck_width_mm=sizes.neck_width_mm + across,
        head_diameter_mm=sizes.head_diameter_mm + round_,
        head_setback_mm=sizes.head_setback_mm + along - round_,
    )


def _centiles(values: Floats) -> tuple[float, float, float]:
    low, middle, high = (float(value) for value in np.nanpercentile(values, _CENTILES))
    return low, middle, high


def _weights(numbers: Floats, along: Floats, across: Floats, scatter: Scatter) -> tuple[tuple[Source, float], ...]:
    """Squared correlations with both plays, summed by source and scaled to one; of equal ones the first named."""
    sizes = {
        Source.BIT: scatter.bit_mm,
        Source.MACHINE: scatter.machine_mm,
        Source.MATE: max(scatter.mate_mm),
        Source.MOISTURE: scatter.growth_ratio,
    }
    sound = np.isfinite(along)
    raw = {}
    for source, columns in _COLUMNS.items():
        pairs = [(numbers[sound, column], plays[sound]) for column in columns for plays in (along, across)]
        raw[source] = sum(_squared(*pair) for pair in pairs) if sizes[source] > 0 else 0.0
    total = sum(raw.values()) or 1.0
    return tuple(sorted(((source, raw[source] / total) for source in Source), key=lambda pair: -pair[1]))


def _squared(first: Floats, second: Floats) -> float:
    """Squared correlation; 0 where one of them does not vary."""
    if min(float(np.ptp(first)), float(np.ptp(second))) == 0:
        return 0.0
    return float(np.corrcoef(first, second)[0, 1] ** 2)
