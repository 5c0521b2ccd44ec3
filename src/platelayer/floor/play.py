"""What one joint can give, as a region of joint poses, and what share of it a pose uses.

Glossary:
    region: every opening, shift and angle at which peg and socket sit free of each other, from the fit room.
    home: the joint pushed together, centred and in line; a joint pose is counted from there.
    share: a pose on the edge of the region shrunk about home to a share of its size is at that share; 1 is the limit.
    facet: a plane that bounds the region from outside of its corners: normal . pose <= offset.

Two faces are taken to meet at a corner as if neither had shifted, which leaves out a hundredth of the kink: so any part
of a pose that is free is free too, and a share means something.

A play that a person measured stretches the drawn region along its three axes, so that its plays come out as measured.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.spatial import ConvexHull

from platelayer.fit.free_play import Slice, free_play, play_slice
from platelayer.fit.limits import limits
from platelayer.fit.shapes import JointShape
from platelayer.tolerances import REGION_MM
from platelayer.values.layout import PlayMeasured

Floats = npt.NDArray[np.float64]

_SLICES: Final = 9
_SHIFTS: Final = 9
_HALVINGS: Final = 8
_NEAR_RATIO: Final = 0.03
"""A share is sought so near to the hull's, and halved so often: right to a few in ten thousand."""
_NO_SHARE: Final = 1e9


@dataclass(frozen=True, slots=True)
class PlayRegion:
    """A joint's free play.

    Attributes:
        shape: peg and socket.
        stretch_ratio: how much wider than drawn it is along opening, shift and angle.
        home_mm: opening of the joint pushed together.
    """

    shape: JointShape
    stretch_ratio: tuple[float, float, float]
    home_mm: float


@dataclass(frozen=True, slots=True)
class Hull:
    """The region between sampled corners: (m, 3) normals and (m,) offsets, (k, 3) corners, in mm, mm and rad."""

    normals: Floats
    offsets: Floats
    corners: Floats


@lru_cache(maxsize=64)
def region_of(shape: JointShape, measured: PlayMeasured) -> PlayRegion | None:
    """The region of a joint as drawn or cut, stretched to what was measured; None where it does not go together."""
    found = free_play(shape)
    if not found.couples:
        return None
    drawn = (found.play_mm, found.side_mm[0], found.kink_rad[0])
    wanted = (measured.pull_mm, measured.side_mm, measured.kink_rad)
    ratios = [None if want is None else want / have for want, have in zip(wanted, drawn, strict=True)]
    known = [ratio for ratio in ratios if ratio is not None]
    usual = math.prod(known) ** (1 / len(known)) if known else 1.0
    along, across, turn = (usual if ratio is None else ratio for ratio in ratios)
    return PlayRegion(shape, (along, across, turn), found.opening_mm)


@lru_cache(maxsize=64)
def hull_of(region: PlayRegion) -> Hull:
    """The region as a convex body between its sampled corners, home among them."""
    points = [(0.0, 0.0, 0.0)]
    for one in _slices(region.shape):
        low = np.maximum(one.low_mm, _faces_meet_mm(region.shape, one.angle_rad))
        free = low <= one.high_mm
        for opening in (low[free], one.high_mm[free]):
            openings = opening - region.home_mm
            points += [(float(o), float(s), one.angle_rad) for o, s in zip(openings, one.shift_mm[free], strict=True)]
    scaled = np.asarray(points) * region.stretch_ratio
    size = np.abs(scaled).max(axis=0)  # mm and rad side by side: made alike for the hull
    hull = ConvexHull(scaled / size)
    planes = np.unique(np.round(hull.equations, _PLACES), axis=0)
    corners = scaled[hull.vertices]
    normals = planes[:, :3] / size
    offsets = np.maximum((corners @ normals.T).max(axis=0), 0.0)
    return Hull(normals, offsets, corners)


def _slices(shape: JointShape) -> Iterator[Slice]:
    """Slices from one kink to the other, each with some place where the faces meet at no corner."""
    kink = free_play(shape).kink_rad[0]
    for share in _SHARES:
        last = play_slice(shape, angle_rad=share * kink, count=_SHIFTS)
        if np.any(last.high_mm >= _faces_meet_mm(shape, last.angle_rad)):
            for angle in np.linspace(-last.angle_rad, last.angle_rad, _SLICES):
                yield play_slice(shape, angle_rad=float(angle), count=_SHIFTS)
            return


_SHARES: Final = (1.0, 0.99, 0.98, 0.97, 0.95, 0.9)
"""Of the kink, tried in turn: the last of it is free only with a shift that moves one corner past the other."""


def _faces_meet_mm(shape: JointShape, angle_rad: float) -> float:
    """Opening below which kinked faces of full width meet at a corner."""
    return shape.width_mm / 2 * math.tan(abs(angle_rad))


_PLACES: Final = 9
"""Facets that agree to so many places are one: a hull is cut into triangles."""


def share_used(region: PlayRegion, pose: tuple[float, float, float]) -> float:
    """The share of its play that a joint at that opening, shift and angle from home uses, asked of the region itself.

    inf for a pose towards which no play is at all, such as faces that would have to enter each other.
    """
    if max(abs(pose[0]), abs(pose[1]), abs(pose[2])) <= REGION_MM / 10:
        return 0.0
    guess = min(max(share_of_hull(hull_of(region), pose), REGION_MM), _NO_SHARE)
    low, high = guess * (1 - _NEAR_RATIO), guess * (1 + _NEAR_RATIO)
    while not _is_free(region, pose, high):
        low, high = high, 2 * high
        if high > _NO_SHARE:
            return math.inf
    while low > REGION_MM and _is_free(region, pose, low):
        low, high = low / 2, low
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if _is_free(region, pose, middle) else (middle, high)
    return high


def share_of_hull(hull: Hull, pose: tuple[float, float, float]) -> float:
    """The same of the body between the corners, to a fiftieth; inf as there."""
    along = hull.normals @ np.asarray(pose)
    held = hull.offsets > REGION_MM
    if np.any(along[~held] > REGION_MM):
        return math.inf
    return float(np.max(along[held] / hull.offsets[held], initial=0.0))


def _is_free(region: PlayRegion, pose: tuple[float, float, float], share_ratio: float) -> bool:
    """The pose lies in the region shrunk, or grown, to that share of its size."""
    along, across, turn = (
        value / (share_ratio * ratio) for value, ratio in zip(pose, region.stretch_ratio, strict=True)
    )
    if abs(turn) >= math.pi / 4:
        return False
    found = limits(region.shape, shift_mm=np.array([across]), angle_rad=turn)
    opening = along + region.home_mm
    slack = REGION_MM / max(share_ratio, REGION_MM)
    low = max(float(found.low[0]), _faces_meet_mm(region.shape, turn))
    return bool(low - slack <= opening <= found.high[0] + slack)


def most_of(hull: Hull) -> tuple[float, float]:
    """The furthest that a joint moves the face, mm, and the most it turns, rad."""
    return float(np.hypot(hull.corners[:, 0], hull.corners[:, 1]).max()), float(np.abs(hull.corners[:, 2]).max())
