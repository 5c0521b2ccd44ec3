"""What slack does to an end that is cut in a given direction: the bit sent round its outline as slack lets it go.

Glossary:
    heading: which way an end looks on the machine, 0 along x, counter-clockwise.
    stray: how much further out a head comes, or nearer to its face a lip, by slack alone, told as the reach bias that
        changes the plays as much. A joint's is that of both its ends.

The bit goes once round the end by climb, clockwise, and comes to it settled, as finish loops do. In a loop that goes
round the whole piece it dips into a peg's reliefs on its way, and comes out of each settled the other way. What it
leaves is held against the other kind of end as drawn. One number an end is enough: slack moves both plays of a joint
the same way, as a head does that stands further out (derived here, by that simulation: of 0.1 mm of slack some 0.02 mm
stay).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.in_line import in_line
from platelayer.fit.seat import along_track, rings_of, sideways
from platelayer.fit.shapes import JointShape, with_bias
from platelayer.fit.slabs import Rings, blocked_shifts
from platelayer.geometry.regions import (
    Area,
    box,
    buffered,
    difference,
    discs,
    intersection,
    line_through,
    parts,
    to_area,
    union_all,
)
from platelayer.tolerances import FLATTEN_CHORD_MM, LEFTOVER_MM, PROGRAM_STEP_MM
from platelayer.values.pieces import EndKind
from platelayer.values.tuning import LostMotion

Floats = npt.NDArray[np.float64]

_STEP_MM: Final = 0.2
_BODY_MM: Final = 30.0
_STEEP: Final = 0.05
"""A bit that is pushed less across an axis than this share of the whole stays where the axis stood."""

_NO_LOSS: Final = LostMotion()


def strayed(path: Floats, lost: LostMotion) -> Floats:
    """(n, 2) where the bit's centre goes that is sent along a path (n, 2), mm; by climb with the piece on the right."""
    scale = 1 + np.array([lost.scale_x_ratio, lost.scale_y_ratio])
    slack = np.array([lost.slack_x_mm, lost.slack_y_mm])
    if lost.is_pushed:  # to the left of travel, off the wall
        ways = np.diff(path, axis=0, append=path[-1:])
        long = np.hypot(ways[:, 0], ways[:, 1])
        left = np.column_stack([-ways[:, 1], ways[:, 0]]) / np.where(long > 0, long, 1.0)[:, None]
        pushed: Floats = _held(np.where(np.abs(left) > _STEEP, np.sign(left), 0.0)) * slack / 2
        went: Floats = (path + pushed) * scale
        return went
    found = np.empty_like(path)
    place = path[0]
    for number, wanted in enumerate(path):
        place = np.minimum(np.maximum(place, wanted - slack / 2), wanted + slack / 2)
        found[number] = place
    scaled: Floats = found * scale
    return scaled


def _held(signs: Floats) -> Floats:
    """Each column with its noughts replaced by what stood before."""
    found = signs.copy()
    for column in (0, 1):
        at = np.where(signs[:, column] != 0, np.arange(len(signs)), 0)
        found[:, column] = signs[np.maximum.accumulate(at), column]
    return found


@dataclass(frozen=True, slots=True)
class Way:
    """The bit that goes round ends, and whether a peg is part of the loop round its whole piece."""

    bit_radius_mm: float
    is_one_loop: bool


def stray_mm(shape: JointShape, kind: EndKind, *, way: Way, heading_rad: float, lost: LostMotion) -> float:
    """The stray of one end of a joint drawn with that shape and cut looking that way."""
    return _stray_mm(shape, (kind,), way, heading_rad, lost)


def pair_stray_mm(shape: JointShape, *, way: Way, heading_rad: float, lost: LostMotion) -> float:
    """The stray of a joint whose ends were both cut looking that way: what one loses by standing askew both do."""
    return _stray_mm(shape, (EndKind.PEG, EndKind.SOCKET), way, heading_rad, lost)


def _stray_mm(shape: JointShape, kinds: Sequence[EndKind], way: Way, heading_rad: float, lost: LostMotion) -> float:
    drawn = {one: _cut(shape, one, way, 0.0, _NO_LOSS) for one in (EndKind.PEG, EndKind.SOCKET)}
    cut = {one: _cut(shape, one, way, heading_rad, lost) for one in kinds}
    return _as_stray(shape, _plays(drawn | cut) - _plays(drawn))


def joint_stray_mm(shape: JointShape, other: JointShape) -> float:
    """How much further the joint of another shape strays than that of the first, by their plays alone.

    Raises:
        ValueError: as ``as_cut``.
    """
    plain, found = in_line(shape), in_line(other)
    return _as_stray(shape, np.array([found.play_mm - plain.play_mm, found.side_mm - plain.side_mm]))


def _as_stray(shape: JointShape, change: Floats) -> float:
    """The stray that comes nearest to a change of pull-out play and side play."""
    plain, moved = in_line(shape), in_line(with_bias(shape, reach_mm=PROGRAM_STEP_MM, lip_mm=0.0))
    slope = np.array([moved.play_mm - plain.play_mm, moved.side_mm - plain.side_mm]) / PROGRAM_STEP_MM
    return float(slope @ change / (slope @ slope))


def _plays(areas: dict[EndKind, Area]) -> Floats:
    """Pull-out play and side play, each at the sideways shift that gives most: slack moves the two sides apart."""
    peg = tuple(-ring for ring in rings_of(areas[EndKind.PEG]))
    socket = rings_of(areas[EndKind.SOCKET])
    reach = -min(float(ring[:, 0].min()) for ring in peg)
    low, high = (math.inf, 0.0), (-math.inf, 0.0)
    shifts, step = tuple(number * _SHIFT_MM for number in range(-2, 3)), _SHIFT_MM
    for _ in range(_ROUNDS):
        for shift in shifts:
            least, most = along_track(blocked_shifts(_aside(peg, shift), socket), reach_mm=reach)
            if least <= most:
                # flat faces touch at many shifts: the one nearest the middle leaves room either way
                low = min(low, (least, shift), key=lambda pair: (round(pair[0], 4), abs(pair[1])))
                high = max(high, (most, shift))
        step /= 3
        shifts = tuple(high[1] + number * step for number in (-2, -1, 1, 2))
    # faces askew lock while they touch: a hair apart they slide
    at = low[0] + LEFTOVER_MM
    side = max(sum(sideways(_aside(peg, one), socket, opening_mm=at)) / 2 for one in (low[1], high[1], 0.0))
    return np.array([high[0] - low[0], side])


_SHIFT_MM: Final = 0.08
_ROUNDS: Final = 3


def _aside(rings: Rings, shift_mm: float) -> Rings:
    return tuple(ring + np.array([0.0, shift_mm]) for ring in rings)


def _cut(shape: JointShape, kind: EndKind, way: Way, heading_rad: float, lost: LostMotion) -> Area:
    """The end that is left, in its end frame; a peg's own loop is taken to pass its reliefs by."""
    chord, radius_mm = FLATTEN_CHORD_MM, way.bit_radius_mm
    if kind is EndKind.PEG:
        unrelieved = replace(shape, root_radius_mm=radius_mm, overcut_mm=0.0)
        passes_by = shape.overcut_mm and not way.is_one_loop
        contour = peg_contour(unrelieved if passes_by else shape, body_mm=_BODY_MM)
    else:
        contour = socket_contour(shape, body_mm=_BODY_MM)
    loop = max(parts(buffered(to_area(contour, chord_mm=chord), radius_mm, chord_mm=chord)), key=lambda one: one.area)
    ring = np.asarray(loop.exterior.segmentize(_STEP_MM).coords)[:-1, :2]
    if _twice_area(ring) > 0:
        ring = ring[::-1]
    ring = np.roll(ring, -int(np.argmin(ring[:, 0])), axis=0)
    cos, sin = math.cos(heading_rad), math.sin(heading_rad)
    turn = np.array([[cos, sin], [-sin, cos]])
    went = strayed(np.vstack([ring, ring]) @ turn, lost)[len(ring) :] @ turn.T
    swept = buffered(line_through(np.vstack([went, went[:1]])), radius_mm, chord_mm=chord)
    left = parts(difference(box((-_BODY_MM, -_BODY_MM), (_BODY_MM, _BODY_MM)), swept))
    inside = box((-_WINDOW_MM, -1), (1 - _WINDOW_MM, 1))  # behind any hole
    solid = max(left, key=lambda one: intersection(one, inside).area)
    if kind is EndKind.PEG and shape.overcut_mm:
        x, y = shape.root_radius_mm - shape.overcut_mm, shape.half_neck_mm + shape.root_radius_mm
        solid = difference(solid, union_all(discs([(x, y), (x, -y)], shape.root_radius_mm, chord_mm=chord)))
    return intersection(solid, box((-_WINDOW_MM, -_BODY_MM), (_BODY_MM, _BODY_MM))).simplify(chord / 2)


_WINDOW_MM: Final = _BODY_MM - 5.0
"""So much of the body is looked at: not its back, which the bit's own loop went round."""


def _twice_area(ring: Floats) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
