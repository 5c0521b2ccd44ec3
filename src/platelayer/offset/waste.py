"""The waste between placed pieces: what stands, and the blocks and tongues of it that are milled to chips.

Glossary:
    slots: all that the outlines take away. rim: waste that hangs on the board's edge, or on a screw or a clamp. block:
    waste that slots ring; it hangs by tabs or is milled. tongue: waste too thin to stand up to a bit; it is milled.

A block is cleared from its middle outwards and right through before there is a slot round it: so nothing of it is
loose at any time, and no lane beside it need be widened. Tape and skin hold a block as they hold a piece; a small one
is milled on tape all the same.
"""

import math
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
from platelayer.offset.pockets import MIDDLE_RATIO, cut_closed, sweep
from platelayer.tolerances import (
    COINCIDENT_MM,
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


_ROUNDS: Final = 4
"""Milling away what would come loose may loosen more, and seldom does it twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waste:
    """What is left of a board between its slots: all of it, and the rim and each block where they are wide enough."""

    board: Area
    whole: Area
    rim: Area
    blocks: tuple[Area, ...]


def waste_of(board: Board, bodies: Sequence[Body]) -> Waste:
    """The waste of a board on which these pieces are cut out, no slot widened."""
    task = bodies[0].task
    board_area = to_area(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)), chord_mm=_CHORD_MM)
    whole = difference(board_area, union_all(_taken(body.near, task) for body in bodies))
    fixed = [to_area(area.outline, chord_mm=_CHORD_MM) for area in board.no_go]
    rims: list[Area] = []
    blocks: list[Area] = []
    for part in parts(opened(whole, least_standing_mm(task) / 2, chord_mm=_CHORD_MM)):
        hangs = part.distance(board_area.exterior) < _CHORD_MM or any(part.intersects(area) for area in fixed)
        (rims if hangs or _is_held_below(part, task) else blocks).append(part)
    return Waste(board=board_area, whole=whole, rim=union_all(rims), blocks=tuple(blocks))


def _taken(loop: Contour, task: OutlineTask) -> Area:
    """A piece and the slot that one loop cuts round it."""
    return buffered(to_area(loop, chord_mm=_CHORD_MM), task.bit.radius_mm, chord_mm=_CHORD_MM)


def clearings(waste: Waste, kept: Area, widened: Sequence[Area], bodies: Sequence[Body]) -> tuple[Area, ...]:
    """All that must be milled so that nothing comes loose when the pieces are parted.

    First waste that does not stand, but for short tails of what does; then whatever that and the partings would cut
    off from what stands: strips of floor between two partings that do not quite meet among it.

    Args:
        waste: what is left between the slots.
        kept: what of it stands until the end.
        widened: what widens the slots.
        bodies: the pieces where they lie.
    """
    task = bodies[0].task
    whole = difference(waste.whole, union_all(widened))
    kept = opened(difference(kept, union_all(widened)), least_standing_mm(task) / 2, chord_mm=_CHORD_MM)
    found = [part for part in parts(difference(whole, kept)) if _is_to_go(part, kept, task)]
    if task.holding.kind is HoldingKind.SKIN:
        return tuple(found)
    left = difference(waste.board, union_all(_taken(body.finish, task) for body in bodies))
    for _ in range(_ROUNDS):
        gone = union_all(sweep(ring, task.bit.radius_mm) for one in found for ring in _nest(one, task))
        loose = [part for part in parts(difference(left, gone)) if _is_wide(part) and not _overlap(part, kept)]
        if not loose:
            break
        found += loose
    return tuple(found)


def _is_to_go(part: Area, kept: Area, task: OutlineTask) -> bool:
    return _is_wide(part) and (_extent_mm(part) > task.bit.diameter_mm or part.distance(kept) > COINCIDENT_MM)


def _is_wide(part: Area) -> bool:
    return thickest_mm(part, chord_mm=_CHORD_MM) > _CHORD_MM


def _overlap(part: Area, other: Area) -> bool:
    return _is_wide(intersection(part, other))


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


def mill_away(part: Area, bodies: Sequence[Body]) -> tuple[Pass, ...]:
    """Passes that leave nothing of a part, from its middle outwards at each level, right through or down to a skin."""
    task = bodies[0].task
    walls = Contour(tuple(segment for body in bodies for segment in body.outline.segments), is_closed=False)
    down = levels(task.depth_mm, task.data.stepdown_mm)
    return cut_closed(_nest(part, task), down, bit=task.bit, walls=walls, clear_mm=task.bit.radius_mm)


def _nest(part: Area, task: OutlineTask) -> list[Contour]:
    """Rings from the middle out; the last goes round on the very edge, and so clears tails narrower than the bit.

    A lobe whose middle no ring goes through has rings of its own before them.
    """
    deepest = max(0.0, thickest_mm(part, chord_mm=_CHORD_MM) / 2 - MIDDLE_RATIO * task.bit.radius_mm)
    count = math.ceil(deepest / (_SPACING_RATIO * task.bit.diameter_mm))
    found: list[Contour] = []
    for number in range(count + 1):
        inner = buffered(part, -number * deepest / max(count, 1), chord_mm=_CHORD_MM).simplify(_CHORD_MM)
        found += [polygon([(float(x), float(y)) for x, y in ring[:-1]]) for area in rings(inner) for ring in area]
    radius = task.bit.radius_mm
    left = difference(part, union_all(sweep(ring, radius) for ring in found))
    lobes = (lobe for lobe in parts(left) if _is_wide(lobe))
    return [*(ring for lobe in lobes for ring in _nest(lobe, task)), *found[::-1]]


def nearest_body(part: Area, solids: Sequence[Area]) -> int:
    """The piece that a part of the waste lies nearest to."""
    return min(range(len(solids)), key=lambda index: distance_between_mm(part, solids[index]))
