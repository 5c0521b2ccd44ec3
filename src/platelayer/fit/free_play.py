"""Free play of a joint: every opening, shift and angle at which peg and socket sit without overlap.

Glossary:
    opening: gap of the faces at their middles, along the socket's axis. shift: the same sideways. angle: of the pieces.
    pull-out play: greatest less least opening. side play: shifts at the least opening. kink: angles at any pose.
    held: cannot come apart in the plane, only be lifted. slice: all openings and shifts at one angle.
    contact: the places where peg and socket are nearest, the end faces left out.

The record is closed forms (limits), so a slice is exact at each of its shifts; its extremes are found to 1e-6 mm.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.limits import limits
from platelayer.fit.shapes import JointShape
from platelayer.fit.zoom import edge, last_possible, widest
from platelayer.tolerances import COINCIDENT_MM, KINK_RAD

Floats = npt.NDArray[np.float64]

_FIRST_ANGLE_RAD: Final = 1 / 256
_MOST_ANGLE_RAD: Final = math.pi / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class FreePlay:
    """What a joint lets its pieces do; the pairs are first towards the right (-), then towards the left (+).

    Attributes:
        couples: some position exists and the peg is held.
        is_held: the peg cannot be drawn out in the plane.
        opening_mm: least opening, pieces in line; inf where there is no position.
        pull_out_mm: greatest opening, pieces in line; inf where nothing holds.
        side_mm: sideways play at the least opening.
        kink_rad: angle of one piece against the other, at any opening and shift.
        hold_mm: head's diameter less the mouth's width.
    """

    couples: bool
    is_held: bool
    opening_mm: float
    pull_out_mm: float
    side_mm: tuple[float, float]
    kink_rad: tuple[float, float]
    hold_mm: float

    @property
    def play_mm(self) -> float:
        """Pull-out play: how far the pieces move along the track; 0 where there is no position."""
        return self.pull_out_mm - self.opening_mm if self.couples else 0.0


@dataclass(frozen=True, slots=True)
class Slice:
    """Free openings at one angle: at ``shift_mm[i]`` from ``low_mm[i]`` to ``high_mm[i]``, all (n,) float64, n >= 0."""

    angle_rad: float
    shift_mm: Floats
    low_mm: Floats
    high_mm: Floats


def free_play(shape: JointShape) -> FreePlay:
    """Free play in numbers; lengths exact to a micrometre, the kink to KINK_RAD.

    A joint is the same on both sides, so the two ways of each pair are equal.
    """
    is_held = shape.head_radius_mm > shape.half_mouth_mm
    hold = 2 * (shape.head_radius_mm - shape.half_mouth_mm)
    middle, margin = _widest_at(shape, 0.0)
    if margin < 0:
        nowhere = (0.0, 0.0)
        return FreePlay(
            couples=False,
            is_held=is_held,
            opening_mm=math.inf,
            pull_out_mm=float(limits(shape, shift_mm=np.zeros(1), angle_rad=0.0).high[0]),
            side_mm=nowhere,
            kink_rad=nowhere,
            hold_mm=hold,
        )
    most = _side_most(shape, middle)
    opening, pull_out = _along(shape, most)
    side = side_play_mm(shape, opening_mm=opening)
    kink = _kink(shape) if is_held else _MOST_ANGLE_RAD
    return FreePlay(
        couples=is_held,
        is_held=is_held,
        opening_mm=opening,
        pull_out_mm=pull_out,
        side_mm=(side, side),
        kink_rad=(kink, kink),
        hold_mm=hold,
    )


def play_slice(shape: JointShape, *, angle_rad: float, count: int = 101) -> Slice:
    """The free openings at one angle, at that many shifts from one end of the slice to the other."""
    low, high = _shift_range(shape, angle_rad)
    middle, margin = _widest_at(shape, angle_rad)
    if margin < 0:
        nothing = np.empty(0)
        return Slice(angle_rad, nothing, nothing, nothing)
    first, last = (edge(lambda shift: _margin(shape, shift, angle_rad), middle, end) for end in (low, high))
    shifts = np.linspace(first, last, count)
    found = limits(shape, shift_mm=shifts, angle_rad=angle_rad)
    return Slice(angle_rad, shifts, found.low, np.maximum(found.high, found.low))


def play_region(shape: JointShape, *, slices: int = 25, count: int = 101) -> tuple[Slice, ...]:
    """The whole free play as slices from kink to kink, evenly spaced in angle; none where the joint does not couple."""
    if shape.head_radius_mm <= shape.half_mouth_mm or _widest_at(shape, 0.0)[1] < 0:
        return ()
    kink = _kink(shape)
    right = [play_slice(shape, angle_rad=angle, count=count) for angle in np.linspace(-kink, 0, slices // 2 + 1)]
    return (*right, *(mirrored(one) for one in reversed(right[:-1])))


def mirrored(one: Slice) -> Slice:
    """The slice of the mirrored joint, at the opposite angle."""
    return Slice(-one.angle_rad, -one.shift_mm[::-1], one.low_mm[::-1], one.high_mm[::-1])


def side_play_mm(shape: JointShape, *, opening_mm: float) -> float:
    """Sideways play each way at one opening, pieces in line; 0 where even the middle is not free.

    The face that touches at the least opening is forgiven COINCIDENT_MM.
    """

    def room(shift: Floats) -> Floats:
        found = limits(shape, shift_mm=shift, angle_rad=0.0)
        return np.minimum(opening_mm - found.low, found.high - opening_mm) + COINCIDENT_MM

    return edge(room, 0.0, _shift_range(shape, 0.0)[1])


def _margin(shape: JointShape, shift: Floats, angle: float) -> Floats:
    found = limits(shape, shift_mm=shift, angle_rad=angle)
    return np.asarray(np.where(np.isinf(found.low), -1.0, np.minimum(found.high, 100.0) - found.low))


def _shift_range(shape: JointShape, angle: float) -> tuple[float, float]:
    """No shift beyond these is free: the head's centre stays within Q - R of the axis."""
    middle = shape.head_centre_mm * math.sin(angle)
    spare = max(shape.hole_radius_mm - shape.head_radius_mm, 0.0)
    return middle - spare, middle + spare


def _widest_at(shape: JointShape, angle: float) -> tuple[float, float]:
    """Shift with the widest free opening at that angle, and how wide; negative where none is free."""
    if angle == 0:
        at_middle = float(_margin(shape, np.zeros(1), 0.0)[0])
        if at_middle >= 0:
            return 0.0, at_middle
    low, high = _shift_range(shape, angle)
    return widest(lambda shift: _margin(shape, shift, angle), low, high)


def _side_most(shape: JointShape, middle: float) -> float:
    return edge(lambda shift: _margin(shape, shift, 0.0), middle, _shift_range(shape, 0.0)[1])


def _along(shape: JointShape, most: float) -> tuple[float, float]:
    """Least and greatest opening, pieces in line, over all free shifts; both sides being equal, one is searched."""

    def low(shift: Floats) -> Floats:
        found = limits(shape, shift_mm=shift, angle_rad=0.0)
        return -np.where(found.low <= found.high, found.low, np.inf)

    def high(shift: Floats) -> Floats:
        found = limits(shape, shift_mm=shift, angle_rad=0.0)
        return np.where(found.low <= found.high, found.high, -np.inf)

    return -widest(low, 0.0, most)[1], widest(high, 0.0, most)[1]


def _kink(shape: JointShape) -> float:
    return last_possible(
        lambda angle: _widest_at(shape, angle)[1],
        first_rad=_FIRST_ANGLE_RAD,
        limit_rad=_MOST_ANGLE_RAD,
        exact_rad=KINK_RAD,
    )
