"""From how a joint should feel to the sizes that make it so, and what is nearest where that cannot be had.

Glossary:
    target play: side play and pull-out play asked for, pieces in line.
    solved part: whose sizes are sought: our peg, our socket, or both where both are ours. A mate stays as it is.
    miss: largest difference between a play asked for and the play got.

Theory: at zero angle two plays fix two sizes. For a peg they are the head's diameter and how far out it stands; the
neck follows the mouth, so that it never is what stops the peg first. For a socket they are the mouth's width and how
far in the hole lies; the hole follows the head. With both ours it is the peg, and the hole grows where the head must.
scipy's bounded least squares finds them from a start in closed form: with a = head centre - lip and R the head's
radius, side play s and pull-out play p give a = (p^2 + 2 m s - s^2) / (2 p) and R^2 = a^2 + (m - s)^2 (derived here
from the two meetings of head and lip; m is half the mouth).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.in_line import InLine, in_line, root_opening_mm
from platelayer.fit.shapes import JointShape, as_cut, as_designed, with_bias
from platelayer.geometry.joint import hole_centre_mm
from platelayer.tolerances import COINCIDENT_MM, DIFFERENCE_RATIO, PLAY_MM, SOLVED_RATIO, WISH_MET_MM
from platelayer.units import show_length, show_small
from platelayer.values.pieces import CornerRadii, JointSizes

Floats = npt.NDArray[np.float64]

LEAST_HOLD_MM: Final = 1.0
"""Head's diameter less the mouth's width; less hold than this lets a worn joint slip. Common practice, no source."""

LEAST_NECK_MM: Final = 4.0
"""Thinnest neck asked of hard wood; a child stands on it. Common practice, no source; strength has the figures."""

NECK_SPARE_MM: Final = 0.15
"""The neck leaves this much more room each side than the side play asked for, so that the head decides."""

HEAD_SPARE_MM: Final = 0.2
"""Least room between head and hole, each side, besides the plays asked for."""

_FAR_MM: Final = 5.0
_SHARES: Final = (0.25, 0.5, 0.75)


class Part(StrEnum):
    """Whose sizes are sought."""

    PEG = "peg"
    SOCKET = "socket"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class TargetPlay:
    """Plays asked for: sideways each way when pushed home, and along the track.

    Where they were measured they are known to ``unsure_mm`` only, and plays within that are as good.
    """

    side_mm: float
    pull_out_mm: float
    unsure_mm: float = 0.0


PRESETS: Final = {
    "snug": TargetPlay(0.15, 0.20),
    "easy": TargetPlay(0.30, 0.30),
    "loose": TargetPlay(0.45, 0.50),
}
"""Plain words for a feel; the figures are ours, to be changed by whoever has a set that feels better."""

BEST: Final = "best"
"""The word for the feel of the peg that went in best by hand; its figures are in the shop's record of the card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """What the joint is cut with: bit, cures and track width, as far as the fit depends on them.

    Attributes:
        bit_radius_mm: 0 is a bit that leaves every corner sharp.
        corners: radii of relief and ease.
        width_mm: width of the track.
        widest_hole_mm: widest hole that leaves land enough beside it, where holes may grow; 0 keeps holes as they are.
        head_offset_mm: heads come out so much further from their face than drawn; see correction.
        lip_bias_mm: lips come out so much further from the middle than drawn, each.
    """

    bit_radius_mm: float
    corners: CornerRadii
    width_mm: float
    widest_hole_mm: float = 0.0
    head_offset_mm: float = 0.0
    lip_bias_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetAnswer:
    """Sizes found for a wish.

    Attributes:
        sizes: the joint with the solved side's sizes in it.
        side_mm: side play that they give.
        pull_out_mm: pull-out play that they give.
        is_met: both plays are within WISH_MET_MM of the wish, or within what is known of it.
        reasons: why not, as sentences; empty when met.
        notes: that it is met within what is known of it only, as a sentence; empty when it is met outright.
    """

    sizes: JointSizes
    side_mm: float
    pull_out_mm: float
    is_met: bool
    reasons: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def shape_for(sizes: JointSizes, cutter: Cutter) -> JointShape:
    """The joint drawn with those sizes as that cutter leaves it, biases included.

    Raises:
        ValueError: as ``as_cut``.
    """
    shape = drawn_shape(sizes, cutter)
    if cutter.head_offset_mm == cutter.lip_bias_mm == 0:
        return shape
    return with_bias(shape, reach_mm=cutter.head_offset_mm, lip_mm=cutter.lip_bias_mm)


def drawn_shape(sizes: JointSizes, cutter: Cutter) -> JointShape:
    """The joint of those sizes as the cutter's bit would leave it on a machine without bias.

    Raises:
        ValueError: as ``as_cut``.
    """
    if cutter.bit_radius_mm == 0:
        return as_designed(sizes, width_mm=cutter.width_mm, corners=cutter.corners)
    return as_cut(sizes, width_mm=cutter.width_mm, corners=cutter.corners, bit_radius_mm=cutter.bit_radius_mm)


def solve_target(target: TargetPlay, *, sizes: JointSizes, part: Part, cutter: Cutter) -> TargetAnswer:
    """Sizes of our peg, socket or both that give the plays asked for with the mate's sizes in the same ``sizes``.

    Biases of the machine are in the cutter. Where the target play cannot be had, the sizes whose
    plays are nearest to it, in the sense of least squares, and the reasons.

    Raises:
        ValueError: a target play that is not positive.
    """
    if target.side_mm <= 0 or target.pull_out_mm <= 0:
        raise ValueError("a play asked for must be positive")
    if 2 * cutter.bit_radius_mm > sizes.mouth_width_mm and part is not Part.SOCKET:
        return _refused(sizes, f"The bit is wider than the mouth, {show_length(sizes.mouth_width_mm)}.")
    if part is Part.SOCKET:
        build, start, bounds = _socket_search(target, sizes, cutter)
    else:
        widest = max(cutter.widest_hole_mm, sizes.hole_diameter_mm) if part is Part.BOTH else sizes.hole_diameter_mm
        build, start, bounds = _peg_search(target, sizes, widest)
    return _answer(target, build, start, bounds, cutter=cutter)


_Build = Callable[[float, float], JointSizes]
_Bounds = tuple[tuple[float, str], ...]


def _peg_search(target: TargetPlay, sizes: JointSizes, widest: float) -> tuple[_Build, tuple[float, float], _Bounds]:
    """Head diameter and head centre; bounds are low and high of each with the reason that holds there.

    The hole grows up to ``widest`` to leave the head its room, with the lip as long as it was.
    """
    mouth = sizes.mouth_width_mm
    room = mouth - 2 * (target.side_mm + NECK_SPARE_MM)
    neck = max(min(sizes.neck_width_mm, room), min(LEAST_NECK_MM, mouth - 2 * NECK_SPARE_MM))
    lip, spare = _lip(sizes), 2 * (HEAD_SPARE_MM + max(target.side_mm, target.pull_out_mm))

    def build(head_mm: float, centre_mm: float) -> JointSizes:
        setback = centre_mm - head_mm / 2
        peg = replace(sizes, neck_width_mm=neck, head_diameter_mm=head_mm, head_setback_mm=setback)
        hole = min(head_mm + spare, widest)
        if hole <= sizes.hole_diameter_mm:
            return peg
        setback = lip + math.sqrt(hole**2 - mouth**2) / 2 - hole / 2
        return replace(peg, hole_diameter_mm=hole, hole_setback_mm=setback)

    behind = _behind(target, mouth / 2)
    start = (2 * math.hypot(behind, mouth / 2 - target.side_mm), lip + behind)
    least = mouth + LEAST_HOLD_MM
    bounds = (
        (least, f"the head may not be less than {LEAST_HOLD_MM:g} mm wider than the mouth, or retention is lost"),
        (max(widest - 2 * HEAD_SPARE_MM, least + HEAD_SPARE_MM), "the head has no more room in the hole"),
        (lip + mouth / 4, "the head would stand between the lips"),
        (lip + widest, "the head has no more room in the hole"),
    )
    return build, start, bounds


def _socket_search(
    target: TargetPlay, sizes: JointSizes, cutter: Cutter
) -> tuple[_Build, tuple[float, float], _Bounds]:
    """Mouth width and length of the lip; the hole keeps its room about the head."""
    head, neck = sizes.head_diameter_mm, sizes.neck_width_mm
    centre = sizes.head_setback_mm + head / 2
    hole = max(sizes.hole_diameter_mm, head + 2 * (HEAD_SPARE_MM + target.pull_out_mm))

    def build(mouth_mm: float, lip_mm: float) -> JointSizes:
        setback = lip_mm + math.sqrt(hole**2 - mouth_mm**2) / 2 - hole / 2
        return replace(sizes, mouth_width_mm=mouth_mm, hole_diameter_mm=hole, hole_setback_mm=setback)

    least = max(neck + 2 * (target.side_mm + NECK_SPARE_MM), 2 * cutter.bit_radius_mm)
    by_bit = least <= 2 * cutter.bit_radius_mm
    why = "the bit goes into no narrower mouth" if by_bit else "the neck is too wide for a narrower mouth"
    widest = max(head - LEAST_HOLD_MM, least + HEAD_SPARE_MM)
    mouth = min(max(sizes.mouth_width_mm, least), widest)
    start = (mouth, centre - math.sqrt(max(head**2 - mouth**2, 0.0)) / 2 - target.pull_out_mm)
    bounds = (
        (least, why),
        (widest, f"the mouth must stay {LEAST_HOLD_MM:g} mm narrower than the head, or retention is lost"),
        (centre - head / 2, "the lip would end before the head begins"),
        (centre, "the lip would reach past the middle of the head"),
    )
    return build, start, bounds


def _answer(
    target: TargetPlay,
    build: _Build,
    start: tuple[float, float],
    bounds: _Bounds,
    *,
    cutter: Cutter,
) -> TargetAnswer:
    from scipy.optimize import least_squares

    low, high = np.array([bounds[0][0], bounds[2][0]]), np.array([bounds[1][0], bounds[3][0]])

    def miss(pair: tuple[float, float]) -> list[float]:
        return _plays_short(build(*pair), cutter, target)

    # the plays have kinks where another feature takes over, so one start may stick in a corner
    starts = (np.asarray(start), *(low + share * (high - low) for share in _SHARES))
    tries = (
        least_squares(
            miss,
            _within(one, low, high),
            bounds=(low, high),
            xtol=SOLVED_RATIO,
            ftol=SOLVED_RATIO,
            diff_step=DIFFERENCE_RATIO,
        )
        for one in starts
    )
    found = min(tries, key=lambda tried: float(tried.cost))
    sizes = build(*(float(value) for value in found.x))
    try:
        plays = in_line(shape_for(sizes, cutter))
    except ValueError as error:
        return _refused(sizes, f"{str(error).capitalize()}.")
    short = max(abs(value) for value in found.fun)
    if short <= WISH_MET_MM:
        return TargetAnswer(sizes=sizes, side_mm=plays.side_mm, pull_out_mm=plays.play_mm, is_met=True)
    if short <= target.unsure_mm:
        near = (_near_enough_words(target, plays),)
        return TargetAnswer(sizes=sizes, side_mm=plays.side_mm, pull_out_mm=plays.play_mm, is_met=True, notes=near)
    reasons = [_nearest_words(plays.side_mm, plays.play_mm)]
    edges = (low[0], high[0], low[1], high[1])
    values = (found.x[0], found.x[0], found.x[1], found.x[1])
    for edge, value, (_, why) in zip(edges, values, bounds, strict=True):
        if abs(edge - value) < WISH_MET_MM:
            reasons.append(f"{why[0].upper()}{why[1:]}.")
    if root_opening_mm(shape_for(sizes, cutter)) > COINCIDENT_MM:
        reasons.append("The faces stand apart: ease the mouth, relieve the peg's root, or take a smaller bit.")
    if sizes.mouth_width_mm - sizes.neck_width_mm < 2 * target.side_mm:
        reasons.append(f"A neck under {show_length(LEAST_NECK_MM)} would be too thin.")
    if len(reasons) == 1:
        reasons.append("Head, hole and lips leave no such pair of plays: ask for less of one of them.")
    return TargetAnswer(
        sizes=sizes, side_mm=plays.side_mm, pull_out_mm=plays.play_mm, is_met=False, reasons=tuple(reasons)
    )


def _within(point: Floats, low: Floats, high: Floats) -> Floats:
    """The point moved a little inside the bounds."""
    return np.clip(point, low + (high - low) / 50, high - (high - low) / 50)


def _plays_short(sizes: JointSizes, cutter: Cutter, target: TargetPlay) -> list[float]:
    """How far the plays of these sizes are from the target play; far where no joint can be made."""
    try:
        plays = in_line(shape_for(sizes, cutter))
    except ValueError:
        return [_FAR_MM, _FAR_MM]
    short = (plays.side_mm - target.side_mm, plays.play_mm - target.pull_out_mm)
    return [min(max(value, -_FAR_MM), _FAR_MM) for value in short]


def _nearest_words(side: float, pull_out: float) -> str:
    if not math.isfinite(side + pull_out) or pull_out < 0:
        return "This cannot be had, and no sizes near it go together and hold."
    jams = ", which will jam in use" if min(side, pull_out) < PLAY_MM / 2 else ""
    shown = f"side play {show_small(side)} and pull-out play {show_small(pull_out)}"
    return f"This cannot be had; the nearest is {shown}{jams}."


def _near_enough_words(target: TargetPlay, plays: InLine) -> str:
    asked, got = (
        f"side play {show_small(side)} and pull-out play {show_small(pull_out)}"
        for side, pull_out in ((target.side_mm, target.pull_out_mm), (plays.side_mm, plays.play_mm))
    )
    unsure = show_small(target.unsure_mm)
    return f"Just {asked} cannot be had; the nearest, {got}, is within the {unsure} to which they are known."


def _refused(sizes: JointSizes, reason: str) -> TargetAnswer:
    return TargetAnswer(sizes=sizes, side_mm=0.0, pull_out_mm=0.0, is_met=False, reasons=(reason,))


def _lip(sizes: JointSizes) -> float:
    return hole_centre_mm(sizes) - math.sqrt(sizes.hole_diameter_mm**2 - sizes.mouth_width_mm**2) / 2


def _behind(target: TargetPlay, half_mouth: float) -> float:
    side, pull = target.side_mm, target.pull_out_mm
    return (pull**2 + 2 * half_mouth * side - side**2) / (2 * pull)
