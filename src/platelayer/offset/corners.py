"""A smaller bit sent into the corners at a peg's root and head, before any piece is parted.

Glossary:
    corner: inside corner of an outline in which the joints bit leaves a fillet. Not the corner of a path.
    approach: a short step off the wall, in place already clear, where the bit may go straight down.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.geometry.contours import point_along, reversed_contour
from platelayer.geometry.regions import Area, distances_mm
from platelayer.offset.depths import levels
from platelayer.offset.paths import direction_along, drop, link, points_along, steps_along, stretch
from platelayer.offset.rings import open_ring
from platelayer.offset.runs import JointRun
from platelayer.tolerances import COINCIDENT_MM, PEG_CLEAR_MM
from platelayer.values.cuts import Cut, CutKind, Pass, Step
from platelayer.values.shapes import Contour, Point
from platelayer.values.tooling import Bit, CutData

_SPACING_MM: Final = 0.05


def cut_corners(run: JointRun, corners: Area, *, piece_id: str, bit: Bit, data: CutData, depth_mm: float) -> Cut | None:
    """The finishing bit along the wall wherever the joints bit left wood at this end; None where it left none.

    To and fro from level to level; each end of the way lies off the wall in wood already gone.

    Args:
        run: the end's joint run.
        corners: wood that the joints bit leaves, of the whole piece.
        piece_id: id of the piece.
        bit: the finishing bit.
        data: its feeds.
        depth_mm: how deep it goes, its cutting length at most.
    """
    ring = open_ring(run, bit.radius_mm)
    passes = [_to_and_fro(way, levels(depth_mm, data.stepdown_mm)) for way in _ways(ring, corners, bit.radius_mm)]
    if not passes:
        return None
    return Cut(piece_id=piece_id, kind=CutKind.CORNER, bit_id=bit.id, passes=tuple(passes))


def _ways(ring: Contour, corners: Area, radius_mm: float) -> list[Contour]:
    """Stretches of the ring from which the bit touches wood that was left, and as much as its radius more."""
    places, points = points_along(ring, _SPACING_MM)
    touching = np.nonzero(distances_mm(corners, points) < radius_mm - COINCIDENT_MM)[0]
    spans: list[tuple[float, float]] = []
    for index in touching:
        low, high = float(places[index]) - radius_mm, float(places[index]) + radius_mm
        if spans and low <= spans[-1][1]:
            spans[-1] = (spans[-1][0], high)
        else:
            spans.append((low, high))
    return [stretch(ring, max(low, 0.0), min(high, ring.length_mm)) for low, high in spans]


def _off_the_wall(way: Contour, along_mm: float) -> Point:
    """The point beside the way, on its right, where the waste was."""
    x, y = point_along(way, along_mm)
    ux, uy = direction_along(way, along_mm)
    return (x + uy * PEG_CLEAR_MM, y - ux * PEG_CLEAR_MM)


def _to_and_fro(way: Contour, down: Sequence[float]) -> Pass:
    first, last = _off_the_wall(way, 0.0), _off_the_wall(way, way.length_mm)
    back = reversed_contour(way)
    steps: list[Step] = []
    z = down[0]
    for number, level in enumerate(down):
        here, there, course = (first, last, way) if number % 2 == 0 else (last, first, back)
        if number:
            steps.append(drop(here, z, level))
        steps += link(here, course.start, level)
        steps += steps_along(course, ((0.0, level), (math.fsum(s.length_mm for s in course.segments), level)))
        steps += link(course.end, there, level)
        z = level
    return Pass(tuple(steps), is_finish=True)
