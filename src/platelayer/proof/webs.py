"""The wood that a piece's tabs hold to where that is no piece: how far it yields, as a beam between kerfs.

Glossary:
    side: a stretch of a piece's outline without a corner. web: the waste along a side, from its slot to the next cut or
        the board's edge. Not the tab, which joins piece and web.

A web is taken as a beam as high as the waste, held at both ends of its side, where wood of a neighbour web, or of the
board, comes up to it; where a kerf ends it short of that, it is held at the other end alone.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from platelayer.geometry.contours import distance_to_segment_mm, segment_heading
from platelayer.geometry.regions import (
    Area,
    box,
    first_runs_mm,
    intersection,
)
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.hanging import sampled
from platelayer.proof.slivers import Waste
from platelayer.values.cuts import Tab
from platelayer.values.motion import Floats
from platelayer.values.shapes import Segment

ALONG_MPA: Final = 10000.0
"""Stiffness of a common hard wood along the grain; from memory: maple, beech and oak have 9,000 to 13,000."""

ACROSS_RATIO: Final = 0.07
"""Stiffness across the grain as a share of that along it; from memory: 0.05 to 0.1 for hard woods."""

SEEN_MM: Final = 30.0
"""Waste so thick gives way no more than the board does."""

_STEP_MM: Final = 6.0
_BEHIND_MM: Final = 12.0
"""Waste begins within this of the outline, behind the slot; else there is none beside the piece there."""


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


@dataclass(frozen=True, slots=True)
class Web:
    """What a tab holds to: the side it stands at, stiffness across in N/mm, thickness and span of the web."""

    side: int
    n_mm: float
    web_mm: float
    span_mm: float


def webs_of(wood: PieceAsCut, tabs: Sequence[Tab], waste: Waste) -> tuple[Web, ...]:
    """The web beside each of those tabs of a piece; the tabs of one side hold to one web, as stiff as at its weakest.

    Each of them has its share of that.
    """
    if waste.area.is_empty or not tabs:
        return tuple(Web(at, 0.0, 0.0, 0.0) for at in range(len(tabs)))
    around = _around(wood, waste)
    sides = _sides(wood.design.piece)
    webs = [_web(tab, sides, around, wood.design.board, waste.depth_mm) for tab in tabs]
    least = {web.side: min(other.n_mm for other in webs if other.side == web.side) for web in webs}
    counts = Counter(web.side for web in webs)
    return tuple(replace(web, n_mm=least[web.side] / counts[web.side]) for web in webs)


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


def _web(tab: Tab, sides: Sequence[Sequence[Segment]], around: Area, board: ManifestBoard, height_mm: float) -> Web:
    """The web beside a tab as a beam, its ends where the side ends or the waste beside it is thick."""
    number = min(range(len(sides)), key=lambda at: min(distance_to_segment_mm(one, tab.at) for one in sides[at]))
    points, headings = sampled(sides[number], step_mm=_STEP_MM)
    at = int(np.hypot(*(points - np.asarray(tab.at)).T).argmin())
    step = float(np.hypot(*np.diff(points, axis=0).T).mean()) if len(points) > 1 else _STEP_MM
    thick = _thicknesses(points, headings, around)
    heading = float(headings[at])
    ends = [_run(thick[at::-1]), _run(thick[at:])]
    spans = [max(count, 1) * step for count, _ in ends]
    some = thick[max(0, at - ends[0][0]) : at + ends[1][0] + 1]
    some = some[some > 0]
    if not len(some):
        return Web(number, 0.0, 0.0, sum(spans))
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
        return Web(number, 0.0, web, span)
    return Web(number, 1 / yields, web, span)


def _run(thick: Floats) -> tuple[int, bool]:
    """How many steps a web goes on from a tab, and whether something holds it there: thick wood or the side's end."""
    for count, one in enumerate(thick.tolist()):
        if one <= 0 and count:
            return count, False
        if one >= SEEN_MM:
            return count, True
    return len(thick) - 1, True


def _thicknesses(points: Floats, headings: Floats, around: Area) -> Floats:
    """(n,) waste straight out from each point, from the slot to the next cut; 0 where none begins behind the slot."""
    out = np.column_stack((np.sin(headings), -np.cos(headings)))
    return first_runs_mm(around, points, out, reach_mm=SEEN_MM + _BEHIND_MM, begins_mm=_BEHIND_MM)
