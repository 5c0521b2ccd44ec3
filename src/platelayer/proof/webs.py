"""What a piece's tabs hold to: how far the wood between kerfs, or a kerf and the edge, yields to the finish cut.

Glossary:
    side: a stretch of a piece's outline without a corner. web: the waste along a side, from its slot to the next cut or
        the board's edge. Not the tab, which joins piece and web and is stiff beside it.
    yield: how far the wood gives way under PUSH_N, springily; not a break.

A web is taken as a beam as high as the waste, held at both ends of its side, where wood of a neighbour web, or of the
board, comes up to it; where a kerf ends it short of that, it is held at the other end alone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.contours import distance_to_segment_mm, segment_heading, segment_point
from platelayer.geometry.regions import (
    Area,
    box,
    first_runs_mm,
    intersection,
)
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.slivers import Waste
from platelayer.values.cuts import Tab
from platelayer.values.motion import Floats
from platelayer.values.shapes import Point, Segment

PUSH_N: Final = 10.0
"""Sideways push of a finish cut on the piece, N: about the peak of a 1/8 in bit in hard wood; a guess, no source."""

ALONG_MPA: Final = 10000.0
"""Stiffness of a common hard wood along the grain; from memory: maple, beech and oak have 9,000 to 13,000."""

ACROSS_RATIO: Final = 0.07
"""Stiffness across the grain as a share of that along it; from memory: 0.05 to 0.1 for hard woods."""

SEEN_MM: Final = 30.0
"""Waste so thick gives way no more than the board does."""

_STEP_MM: Final = 6.0
_BEHIND_MM: Final = 12.0
"""Waste begins within this of the outline, behind the slot; else there is none beside the piece there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weak:
    """How far what a piece's tabs hold to gives way, the tab where it does most, and its web: thickness and span."""

    piece: str
    yield_mm: float
    tab: Tab
    web_mm: float
    span_mm: float


def beam_yield_mm(
    *, push_n: float, span_mm: float, at_mm: float, thickness_mm: float, height_mm: float, stiffness_mpa: float
) -> float:
    """How far a beam held stiffly at both ends gives way where it is pushed.

    Args:
        push_n: force across it.
        span_mm: length between what holds it, L.
        at_mm: place of the push from one end, a; b = L - a.
        thickness_mm: along the push, t.
        height_mm: across the push, h.
        stiffness_mpa: modulus of elasticity E, N/mm2.

    Source:
        textbook beam held at both ends, load W at a: W a^3 b^3 / (3 E I L^3), I = h t^3 / 12; in the middle it is
        W L^3 / (192 E I). From memory; the middle case is worked in the tests.
    """
    inertia = height_mm * thickness_mm**3 / 12
    other = span_mm - at_mm
    return push_n * at_mm**3 * other**3 / (3 * stiffness_mpa * inertia * span_mm**3)


def stiffness_mpa(heading_rad: float, grain_rad: float) -> float:
    """Modulus of elasticity of a web that runs in a direction: along the grain ALONG_MPA, across it a share of that.

    Source:
        Hankinson's formula with exponent 2, from memory: E = E1 E2 / (E1 sin^2 + E2 cos^2).
    """
    across = ALONG_MPA * ACROSS_RATIO
    sin, cos = math.sin(heading_rad - grain_rad), math.cos(heading_rad - grain_rad)
    return ALONG_MPA * across / (ALONG_MPA * sin**2 + across * cos**2)


def weak_piece(wood: PieceAsCut, waste: Waste) -> Weak | None:
    """The yield of what a piece's tabs hold to, pushed against the tab where it gives way most; None without tabs.

    The sides of a piece share a push in the measure in which they face it, springs side by side; the tabs of one side
    hold to one web, so each side counts as stiff as at its least stiff tab.
    """
    piece = wood.design.piece
    if not piece.tabs or waste.area.is_empty:
        return None
    around = _around(wood, waste)
    sides = _sides(piece)
    holds = [_hold(tab, sides, around, wood.design.board, waste.depth_mm) for tab in piece.tabs]
    least: dict[int, _Hold] = {}
    for hold in holds:
        least[hold.side] = min(least.get(hold.side, hold), hold, key=lambda one: one.n_mm)
    worst: Weak | None = None
    for tab, hold in zip(piece.tabs, holds, strict=True):
        facing = sum(side.n_mm * abs(math.cos(side.heading_rad - hold.heading_rad)) for side in least.values())
        yields = PUSH_N / facing if facing > 0 else math.inf
        if worst is None or yields > worst.yield_mm:
            worst = Weak(piece=piece.id, yield_mm=yields, tab=tab, web_mm=hold.web_mm, span_mm=hold.span_mm)
    return worst


@dataclass(frozen=True, slots=True)
class _Hold:
    """What a tab holds to: which side, its direction, stiffness across it in N/mm, thickness and span of the web."""

    side: int
    heading_rad: float
    n_mm: float
    web_mm: float
    span_mm: float


def _around(wood: PieceAsCut, waste: Waste) -> Area:
    low_x, low_y, high_x, high_y = wood.design.solid.bounds
    reach = SEEN_MM + _BEHIND_MM
    return intersection(waste.area, box((low_x - reach, low_y - reach), (high_x + reach, high_y + reach)))


def _sides(piece: ManifestPiece) -> list[list[Segment]]:
    """The outline in stretches without a corner; the last one is joined to the first where there is none between."""
    sides: list[list[Segment]] = []
    for segment in piece.outline.segments:
        if sides and _is_smooth(sides[-1][-1], segment):
            sides[-1].append(segment)
        else:
            sides.append([segment])
    if len(sides) > 1 and _is_smooth(sides[-1][-1], sides[0][0]):
        sides[0] = [*sides.pop(), *sides[0]]
    return sides


def _is_smooth(first: Segment, second: Segment) -> bool:
    turned = segment_heading(second, 0.0) - segment_heading(first, 1.0)
    return abs(math.remainder(turned, math.tau)) < _CORNER_RAD


_CORNER_RAD: Final = 0.1


def _hold(tab: Tab, sides: Sequence[Sequence[Segment]], around: Area, board: ManifestBoard, height_mm: float) -> _Hold:
    """The web beside a tab as a beam, its ends where the side ends or the waste beside it is thick."""
    number = min(range(len(sides)), key=lambda at: min(distance_to_segment_mm(one, tab.at) for one in sides[at]))
    points, headings = _sampled(sides[number])
    at = int(np.hypot(*(points - np.asarray(tab.at)).T).argmin())
    step = float(np.hypot(*np.diff(points, axis=0).T).mean()) if len(points) > 1 else _STEP_MM
    thick = _thicknesses(points, headings, around)
    heading = float(headings[at])
    ends = [_run(thick[at::-1]), _run(thick[at:])]
    spans = [max(count, 1) * step for count, _ in ends]
    some = thick[max(0, at - ends[0][0]) : at + ends[1][0] + 1]
    some = some[some > 0]
    if not len(some):
        return _Hold(number, heading, 0.0, 0.0, sum(spans))
    web = float(np.mean(some**-3.0) ** (-1 / 3))
    stiff = stiffness_mpa(heading, board.grain_rad)
    span = sum(spans)
    if all(is_held for _, is_held in ends):
        yields = beam_yield_mm(
            push_n=1.0, span_mm=span, at_mm=spans[0], thickness_mm=web, height_mm=height_mm, stiffness_mpa=stiff
        )
    elif any(is_held for _, is_held in ends):
        free = max(length for length, (_, is_held) in zip(spans, ends, strict=True) if is_held)
        yields = free**3 / (3 * stiff * height_mm * web**3 / 12)
    else:
        return _Hold(number, heading, 0.0, web, span)
    return _Hold(number, heading, 1 / yields, web, span)


def _run(thick: Floats) -> tuple[int, bool]:
    """How many steps a web goes on from a tab, and whether something holds it there: thick wood or the side's end."""
    for count, one in enumerate(thick.tolist()):
        if one <= 0 and count:
            return count, False
        if one >= SEEN_MM:
            return count, True
    return len(thick) - 1, True


def _sampled(side: Sequence[Segment]) -> tuple[Floats, Floats]:
    """(n, 2) points along a side a step apart and (n,) headings there."""
    points: list[Point] = []
    headings: list[float] = []
    for segment in side:
        count = max(1, math.ceil(segment.length_mm / _STEP_MM))
        shares = [(number + 0.5) / count for number in range(count)]
        points += [segment_point(segment, share) for share in shares]
        headings += [segment_heading(segment, share) for share in shares]
    return np.asarray(points), np.asarray(headings)


def _thicknesses(points: Floats, headings: Floats, around: Area) -> Floats:
    """(n,) waste straight out from each point, from the slot to the next cut; 0 where none begins behind the slot."""
    out = np.column_stack((np.sin(headings), -np.cos(headings)))
    return first_runs_mm(around, points, out, reach_mm=SEEN_MM + _BEHIND_MM, begins_mm=_BEHIND_MM)
