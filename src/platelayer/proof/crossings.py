"""What moves cut away of a straight line at a slice, in closed form: no area is built.

Glossary:
    chord: a straight part of a move's plan, with the depth of the tip at either end.
    stretch: where on the line something lies, from and to, mm from the line's start.

A bit that runs along a chord takes a round of its radius about every point of it; that shape is convex, so a line
crosses it in one stretch: the union of what it crosses of the disc at either end and of the band between.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from platelayer.gcode.moves import BoardMoves, Rows, gathered
from platelayer.proof.removal import radii_at
from platelayer.values.motion import Floats
from platelayer.values.shapes import Point


@dataclass(frozen=True, slots=True)
class Chords:
    """(n, 2) ends of chords in mm, (n,) radius swept about each, and (n,) the move that each is of."""

    start: Floats
    end: Floats
    radius_mm: Floats
    move: Rows


def chords_through(moves: BoardMoves, rows: Rows, depth_mm: float) -> Chords:
    """The chords of those moves as far as the tip is at a depth or past it, below the face they were cut from."""
    rows = rows[(moves.depth[rows].max(axis=1) >= depth_mm) & (moves.radius[rows] > 0)]
    if not len(rows):
        return Chords(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), rows)
    at, owner, place = gathered(moves, rows)
    heads = np.flatnonzero(np.diff(owner, append=-1) == 0)
    of = owner[heads]
    first, last = moves.points[at[heads]], moves.points[at[heads] + 1]
    own = moves.depth[rows[of]]
    step = (own[:, 1] - own[:, 0]) / (np.bincount(owner)[of] - 1)
    begins = own[:, 0] + step * place[heads]
    ends = begins + step
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        crossing = np.clip((depth_mm - begins) / step, 0.0, 1.0)[:, None]
    low = np.where(begins[:, None] >= depth_mm, 0.0, crossing)
    high = np.where(ends[:, None] >= depth_mm, 1.0, crossing)
    keep = np.maximum(begins, ends) >= depth_mm
    radius = radii_at(moves, rows, np.full(len(moves), depth_mm))[of]
    along = last - first
    return Chords((first + low * along)[keep], (first + high * along)[keep], radius[keep], rows[of][keep])


def cut_along(chords: Chords, starts: npt.ArrayLike, direction: Point, length_mm: float) -> list[Floats]:
    """What the chords cut away of parallel lines: for each line (k, 2) stretches, apart from one another and in order.

    Args:
        chords: what cuts.
        starts: (m, 2) of the lines.
        direction: of the lines, of length 1.
        length_mm: of each.
    """
    ux, uy = direction
    turn = np.array(((ux, -uy), (uy, ux)))
    begins = (np.asarray(starts, np.float64) @ turn)[:, None, :]
    one, two = (chords.start @ turn)[None] - begins, (chords.end @ turn)[None] - begins
    radius = chords.radius_mm
    low, high = _band(one, two, radius)
    for place in (one, two):
        half = np.sqrt(np.maximum(radius**2 - place[..., 1] ** 2, 0.0))
        is_met = np.abs(place[..., 1]) < radius
        low = np.minimum(low, np.where(is_met, place[..., 0] - half, np.inf))
        high = np.maximum(high, np.where(is_met, place[..., 0] + half, -np.inf))
    met = (low < high) & (high > 0.0) & (low < length_mm)
    both = np.stack((np.maximum(low, 0.0), np.minimum(high, length_mm)), axis=-1)
    return [joined(some[is_met]) for some, is_met in zip(both, met, strict=True)]


def _band(one: Floats, two: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Where the x axis lies within the radius of chords beside their middles: from and to, turned round where nowhere.

    The band is 0 <= (t - x) c - y s <= L and |(t - x) s + y c| <= r for a chord of length L in direction (c, s) at
    (x, y), so t lies between two bounds of either kind.
    """
    along = (two - one)[0]
    length = np.hypot(*along.T)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        cos, sin = np.where(length > 0, along.T / length, np.array(((1.0,), (0.0,))))
    x, y = one[..., 0], one[..., 1]
    low, high = np.full(x.shape, -np.inf), np.full(x.shape, np.inf)
    sides = ((cos, -x * cos - y * sin, np.zeros(len(length)), length), (sin, y * cos - x * sin, -radius, radius))
    for slope, at, least, most in sides:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            first, last = (least - at) / slope, (most - at) / slope
        is_inside = (at >= least) & (at <= most)
        low = np.maximum(low, np.where(slope == 0, np.where(is_inside, -np.inf, np.inf), np.minimum(first, last)))
        high = np.minimum(high, np.where(slope == 0, np.where(is_inside, np.inf, -np.inf), np.maximum(first, last)))
    is_met = low < high
    return np.where(is_met, low, np.inf), np.where(is_met, high, -np.inf)


def joined(stretches: Floats, *, gap_mm: float = 0.0) -> Floats:
    """(k, 2) stretches in order, those joined that overlap or stand no further apart than the gap."""
    if not len(stretches):
        return np.zeros((0, 2))
    order = stretches[np.argsort(stretches[:, 0], kind="stable")]
    so_far = np.maximum.accumulate(order[:, 1])
    heads = np.flatnonzero(np.concatenate(([True], order[1:, 0] > so_far[:-1] + gap_mm)))
    return np.column_stack((order[heads, 0], np.append(so_far[heads[1:] - 1], so_far[-1])))
