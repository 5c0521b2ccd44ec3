"""The waste between placed pieces: what stands, and the blocks and tongues of it that are milled to chips.

Glossary:
    slots: all that the outlines take away. standing: waste that hangs on the board's rim, or on a screw or a clamp, and
    is nowhere thinner than stands up to a bit. block: waste that slots ring. tongue: standing waste too thin to stand.

A block is cleared from its middle outwards and right through before any piece is parted from the board: so nothing of
it is loose at any time. Tape and skin hold a block as they hold a piece; a small one is milled on tape all the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.contours import polygon, rectangle
from platelayer.geometry.discs import opened
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    distance_between_mm,
    intersection,
    parts,
    rings,
    thickest_mm,
    to_area,
    union_all,
)
from platelayer.offset.depths import levels
from platelayer.offset.outlines import Body, OutlineTask
from platelayer.offset.pockets import cut_closed
from platelayer.tolerances import (
    COINCIDENT_MM,
    FLOOR_STEP_MM,
    LEAST_STANDING_MM,
    LEFTOVER_MM,
    SHORT_PIECE_MM,
    STANDING_RATIO,
)
from platelayer.values.cuts import Pass
from platelayer.values.shapes import Contour
from platelayer.values.tooling import Board, HoldingKind

_CHORD_MM: Final = LEFTOVER_MM
"""Waste need not be known better than this."""

_SPACING_RATIO: Final = 0.8
"""Rings in a block stand this share of the bit's diameter apart: it leaves no floor that anybody sees."""

_OVERLAP_MM: Final = FLOOR_STEP_MM
"""The outermost ring goes so far into the slot that is open already."""


@dataclass(frozen=True, slots=True)
class Waste:
    """What is left of a board between its slots: all that stands, and each part that is milled."""

    standing: Area
    milled: tuple[Area, ...]


def waste_of(board: Board, bodies: Sequence[Body], widened: Sequence[Area]) -> Waste:
    """The waste of a board on which these pieces are cut out, ``widened`` slots cut besides."""
    task = bodies[0].task
    loops = [to_area(body.near, chord_mm=_CHORD_MM) for body in bodies]
    open_slots = [buffered(loop, task.bit.radius_mm, chord_mm=_CHORD_MM) for loop in loops]
    whole = to_area(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)), chord_mm=_CHORD_MM)
    rim = whole.exterior
    left = parts(difference(whole, union_all((*open_slots, *widened))))
    least = least_standing_mm(task)
    fixed = [to_area(area.outline, chord_mm=_CHORD_MM) for area in board.no_go]
    standing: list[Area] = []
    milled: list[Area] = []
    for part in left:
        hangs = part.distance(rim) < COINCIDENT_MM or any(intersection(part, area).area > 0 for area in fixed)
        thick = opened(part, least / 2, chord_mm=_CHORD_MM)
        if not hangs and not _is_held_below(part, task):
            milled.append(part)
            continue
        standing.append(thick)
        milled += [thin for thin in parts(difference(part, thick)) if _extent_mm(thin) > task.bit.diameter_mm]
    return Waste(
        union_all(standing), tuple(part for part in milled if thickest_mm(part, chord_mm=_CHORD_MM) > _CHORD_MM)
    )


def least_standing_mm(task: OutlineTask) -> float:
    """Waste thinner than this does not stand up to the bit beside it."""
    return max(LEAST_STANDING_MM, STANDING_RATIO * task.board.thickness_mm)


def _is_held_below(part: Area, task: OutlineTask) -> bool:
    """A skin holds every block, tape a large one."""
    kind = task.holding.kind
    return kind is HoldingKind.SKIN or (kind.is_from_below and _extent_mm(part) >= SHORT_PIECE_MM)


def _extent_mm(part: Area) -> float:
    """The longer side of the smallest box round a part, however it lies."""
    corners = np.asarray(part.minimum_rotated_rectangle.exterior.coords) if part.area > 0 else np.zeros((5, 2))
    return float(max(np.hypot(*(corners[1] - corners[0])), np.hypot(*(corners[2] - corners[1]))))


def mill_away(part: Area, task: OutlineTask) -> tuple[Pass, ...]:
    """Passes that leave nothing of a part, from its middle outwards at each level, right through or down to a skin.

    ``task`` is that of any piece: bit, feeds and depth are the same for all.
    """
    nest = _nest(part, task)
    walls = Contour(tuple(segment for ring in nest[-1:] for segment in ring.segments), is_closed=True)
    down = levels(task.depth_mm, task.data.stepdown_mm)
    return cut_closed(nest, down, bit=task.bit, walls=walls, clear_mm=0.0)


def _nest(part: Area, task: OutlineTask) -> list[Contour]:
    """Rings from the middle out whose sweeps cover a part; a part narrower than the bit has one along its middle."""
    radius = task.bit.radius_mm
    grown = buffered(part, _OVERLAP_MM, chord_mm=_CHORD_MM)
    widest = thickest_mm(grown, chord_mm=_CHORD_MM) / 2
    inset = min(radius, widest - 2 * _CHORD_MM)
    found: list[Contour] = []
    while inset < widest - _CHORD_MM:
        inner = buffered(grown, -inset, chord_mm=_CHORD_MM).simplify(_CHORD_MM)
        found += [polygon([(float(x), float(y)) for x, y in ring[:-1]]) for area in rings(inner) for ring in area]
        inset = inset + _SPACING_RATIO * task.bit.diameter_mm
    return found[::-1]


def nearest_body(part: Area, solids: Sequence[Area]) -> int:
    """The piece that a part of the waste lies nearest to."""
    return min(range(len(solids)), key=lambda index: distance_between_mm(part, solids[index]))
