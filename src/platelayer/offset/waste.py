"""The waste between placed pieces: what stands, and the blocks and tongues of it that are milled to chips.

Glossary:
    slots: all that the outlines take away. rim: waste that hangs on the board's edge, or on a screw or a clamp. block:
    waste that slots ring; it hangs by tabs or is milled. tongue: waste too thin to stand up to a bit; it is milled.

A block is cleared from one side to the other and right through before there is a slot round it: what is left of it
hangs on what lies ahead at any time, and no lane beside it need be widened. Tape and skin hold a block as they hold a
piece; a small one is milled on tape all the same.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from platelayer.geometry.contours import rectangle, transform_contour
from platelayer.geometry.discs import opened
from platelayer.geometry.long_side import long_side_mm
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    box,
    buffered,
    clipped,
    difference,
    distance_between_mm,
    distances_mm,
    inner_rings,
    intersection,
    is_thinner_than_mm,
    line_through,
    moved,
    parts,
    polygon_through,
    spans,
    to_area,
    union,
    union_all,
)
from platelayer.offset.depths import levels
from platelayer.offset.entries import RAMP_RUN, to_and_fro
from platelayer.offset.outlines import Body, OutlineTask
from platelayer.offset.pockets import sweep
from platelayer.tolerances import (
    FINISH_ALLOWANCE_MM,
    LEAST_STANDING_MM,
    LEFTOVER_MM,
    SLUG_WIDTH_MM,
    STANDING_RATIO,
    TAPE_HOLDS_MM2,
)
from platelayer.values.cuts import Pass
from platelayer.values.shapes import Contour, Line, Point, Pose
from platelayer.values.tooling import Board, HoldingKind

_CHORD_MM: Final = LEFTOVER_MM
"""Waste need not be known better than this."""

_SPACING_RATIO: Final = 0.96
"""Strokes in a block stand this share of the bit's diameter apart: it leaves no floor that anybody sees."""

_INTO_MM: Final = 0.3
"""Milling a part reaches so far into waste that stays: no further, lest that become too thin."""

_ROUNDS: Final = 6
"""Milling away what would come loose may loosen more, and seldom does it twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waste:
    """What is left of a board between its slots: all of it, and the rim and each block where they are wide enough."""

    board: Area
    whole: Area
    rim: Area
    blocks: tuple[Area, ...]


def waste_of(board: Board, bodies: Sequence[Body]) -> Waste:
    """The waste of a board on which these pieces are cut out, no slot widened, joints included that reach past one."""
    task = bodies[0].task
    board_area = to_area(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)), chord_mm=_CHORD_MM)
    taken = (union(_taken(body.near, task), body.joints) for body in bodies)
    whole = difference(board_area, union_all(taken))
    firm = board_area.exterior
    if board.fence_error_mm is not None:  # waste beside pieces on that edge hangs on nothing there
        firm = difference(firm, box((0.0, -_CHORD_MM), (board.width_mm, _CHORD_MM)))
    fixed = [to_area(area.outline, chord_mm=_CHORD_MM) for area in board.no_go]
    rims: list[Area] = []
    blocks: list[Area] = []
    for part in parts(_standing(whole, least_standing_mm(task))):
        hangs = part.distance(firm) < _CHORD_MM or any(part.intersects(area) for area in fixed)
        (rims if hangs or _is_held_below(part, task) else blocks).append(part)
    return Waste(board=board_area, whole=whole, rim=union_all(rims), blocks=tuple(blocks))


def _taken(loop: Contour, task: OutlineTask) -> Area:
    """A piece and the slot that one loop cuts round it."""
    if not loop.is_closed:
        loop = Contour((*loop.segments, Line(loop.end, loop.start)), is_closed=True)
    return buffered(to_area(loop, chord_mm=_CHORD_MM), task.bit.radius_mm, chord_mm=_CHORD_MM)


def widenable(kept: Area, task: OutlineTask) -> Area:
    """The waste that stands even where slots on both sides of it are widened."""
    return _standing(kept, least_standing_mm(task) + 2 * task.widening_mm)


def with_tips(kept: Area, waste: Waste, task: OutlineTask) -> Area:
    """The waste that stays, and the tips of it that stay because they are short."""
    return union_all((kept, *(part for part in parts(difference(waste.whole, kept)) if not _is_long(part, task))))


def thinned_by(left: Area, taken: Iterable[Area], task: OutlineTask) -> list[Area]:
    """What of the waste that is left would no longer stand without what is taken, longer than the bit is wide."""
    before = buffered(union_all(_thinner(left, task)), _CHORD_MM, chord_mm=_CHORD_MM)
    after = _thinner(difference(left, union_all(taken)), task)
    return [part for part in after if _is_long(part, task) and _wider(difference(part, before))]


def _thinner(area: Area, task: OutlineTask) -> tuple[Area, ...]:
    """The parts of an area that no disc of the least thickness reaches."""
    return _wider(difference(area, opened(area, least_standing_mm(task) / 2, chord_mm=_CHORD_MM)))


def _is_long(part: Area, task: OutlineTask) -> bool:
    return _extent_mm(part) > task.narrowest_mm


@dataclass(frozen=True, slots=True)
class Clearing:
    """A part of the waste that is milled, and where the bit's middle goes to take all of it away."""

    area: Area
    ways: tuple[Contour, ...]


def clearings(waste: Waste, kept: Area, bodies: Sequence[Body]) -> tuple[Clearing, ...]:
    """All that must be milled so that nothing comes loose when the pieces are parted.

    First waste that does not stand, but for short tails of what does; then whatever that and the joints would cut off
    from all else, and whatever the partings would. These take no more than the finish does: below the floor tips
    are longer, and strips of it stay between two that do not quite meet. On a skin nothing is cut off.

    Args:
        waste: what is left between the slots.
        kept: what of it stands until the end.
        bodies: the pieces where they lie.
    """
    task = bodies[0].task
    solids = union_all(to_area(body.outline, chord_mm=_CHORD_MM) for body in bodies)
    joints = union_all(body.joints for body in bodies)
    parted = union_all(_taken(body.finish, task) for body in bodies)
    beyond = difference(buffered(waste.board, 2 * task.bit.diameter_mm, chord_mm=_CHORD_MM), waste.board)
    found: list[Clearing] = []
    gone = EMPTY
    for _ in range(_ROUNDS):
        stands = difference(waste.whole, gone)
        kept = _standing(intersection(kept, stands), least_standing_mm(task))
        tried = union_all((kept, *(one.area for one in found)))
        stout = opened(stands, least_standing_mm(task) / 2, chord_mm=_CHORD_MM)
        long = _long(_wider(difference(stands, stout)), stout, task.narrowest_mm)
        more = _thin(stands, tried, kept, long, task)
        if not more:
            left = difference(waste.board, union_all((gone, joints, parted)))
            firm = union(_standing(left, least_standing_mm(task)), tried)
            more = _thin(left, firm, firm, (), task)
        if not more and task.holding.kind is not HoldingKind.SKIN:
            before, at_last = _hanging(difference(waste.board, union_all((gone, joints)))), _hanging(left)
            loose = [part for part in before if not _overlap(part, union(kept, solids))]
            more = [*parts(union_all([*loose, *(part for part in at_last if not _overlap(part, kept))]))]
        radius_mm = task.bit.radius_mm
        off, beside = (
            buffered(one, radius_mm + by, chord_mm=_CHORD_MM) for one, by in ((solids, _CHORD_MM), (kept, -_INTO_MM))
        )
        off = union(off, beyond)
        made = [Clearing(part, ways) for part in more if (ways := _milled(part, off, beside, joints, task))]
        if not made:
            break
        found += made
        gone = union_all((gone, *(sweep(way, radius_mm) for one in made for way in one.ways)))
    return tuple(found)


def _thin(area: Area, firm: Area, kept: Area, long: Sequence[Area], task: OutlineTask) -> list[Area]:
    """What of an area does not stand, but for what is firm and the hairs beside it, and short tails of what is kept."""
    left = parts(difference(area, buffered(firm, _CHORD_MM, chord_mm=_CHORD_MM)))
    return [one for part in left if _is_to_go(part, kept, long, task) for one in _wider(part)]


def mill_away(clearing: Clearing, task: OutlineTask) -> tuple[Pass, ...]:
    """Passes that leave nothing of a part, at each level stroke by stroke from one side of it to the other.

    Into a way shorter than a ramp the bit goes straight down where it cuts at its tip.
    """
    down = levels(task.depth_mm, task.data.stepdown_mm)
    ramp = RAMP_RUN * task.data.stepdown_mm
    return tuple(
        to_and_fro(way, 0.0, down, plunges=task.bit.may_plunge and way.length_mm < ramp) for way in clearing.ways
    )


def _is_to_go(part: Area, kept: Area, long: Sequence[Area], task: OutlineTask) -> bool:
    """It is no dust, and hangs on nothing that stands, or it or what it belongs to is longer than the bit is wide."""
    if is_thinner_than_mm(part, SLUG_WIDTH_MM / 2):
        return False
    is_long = _is_long(part, task) or any(part.intersects(one) for one in long)
    return is_long or part.distance(kept) > 2 * _CHORD_MM


def _long(thin: Sequence[Area], stout: Area, least_mm: float) -> list[Area]:
    """The parts that no disc of the least thickness reaches and that go out further; bridges count half across."""
    large = (part for part in thin if math.dist(part.bounds[:2], part.bounds[2:]) > least_mm / 2)
    return [part for part in large if _out_mm(part, stout) > least_mm]


def _out_mm(part: Area, stout: Area) -> float:
    """How far a part goes out from what a disc reaches; a bridge, across."""
    near = clipped(stout, part.bounds, math.dist(part.bounds[:2], part.bounds[2:]))  # asking all of it takes long
    places = parts(intersection(part, buffered(near, SLUG_WIDTH_MM / 4, chord_mm=_CHORD_MM)))
    if not places:
        return _extent_mm(part)
    rim = np.asarray(part.exterior.segmentize(SLUG_WIDTH_MM).coords)
    return float(distances_mm(near, rim).max()) * min(len(places), 2)


def _wider(area: Area) -> tuple[Area, ...]:
    """The parts of an area without what is half as thin as dust: hairs that chords leave, bridges that hold nothing."""
    return parts(opened(area, SLUG_WIDTH_MM / 4, chord_mm=_CHORD_MM))


def _hanging(area: Area) -> tuple[Area, ...]:
    """The parts of an area that hang together by more than SLUG_WIDTH_MM: thinner bridges hold nothing."""
    return parts(opened(area, SLUG_WIDTH_MM / 2, chord_mm=_CHORD_MM))


def _overlap(part: Area, other: Area) -> bool:
    return not is_thinner_than_mm(intersection(part, other), SLUG_WIDTH_MM / 2)


def _standing(area: Area, least_mm: float) -> Area:
    """What of an area a disc of the least thickness reaches, and corners up to right ones in which it stays behind."""
    core = buffered(area, -least_mm / 2, chord_mm=_CHORD_MM)
    return intersection(area, buffered(core, least_mm / math.sqrt(2), chord_mm=_CHORD_MM))


def least_standing_mm(task: OutlineTask) -> float:
    """Waste thinner than this does not stand up to the bit beside it."""
    return max(LEAST_STANDING_MM, STANDING_RATIO * task.board.thickness_mm)


def _is_held_below(part: Area, task: OutlineTask) -> bool:
    """A skin holds every block, tape a large one: what is left of that when all slots round it have been widened."""
    left = buffered(part, -task.widening_mm - SLUG_WIDTH_MM, chord_mm=_CHORD_MM)
    kind = task.holding.kind
    return kind is HoldingKind.SKIN or (kind.is_from_below and float(left.area) >= TAPE_HOLDS_MM2)


def _extent_mm(part: Area) -> float:
    """The longer side of a part: of the smallest box round it, or where bent of the rectangle of its edge and area."""
    corners = np.asarray(part.minimum_rotated_rectangle.exterior.coords)
    return max(long_side_mm(part), *map(float, np.hypot(*np.diff(corners, axis=0)[:2].T)))


def _milled(part: Area, off: Area, beside: Area, joints: Area, task: OutlineTask) -> tuple[Contour, ...]:
    """Ways that clear a part: the bit's middle keeps ``off`` pieces and on the board, and off waste that stays.

    Where waste that stays is near, a stub of the part is left. A neck between two such wastes that is shorter than the
    bit is wide has no way like that: there the middle stays in the neck itself, and both wastes lose their tips.
    """
    reach_mm = _SPACING_RATIO * task.bit.radius_mm
    around = difference(buffered(part, reach_mm, chord_mm=_CHORD_MM), union(off, beside))
    ways = _ways(part, around, task) or _ways(part, difference(part, off), task)
    return _in_order(tuple(ways), joints, task.bit.radius_mm)


def _in_order(ways: tuple[Contour, ...], joints: Area, radius_mm: float) -> tuple[Contour, ...]:
    """The ways in an order in which none leaves waste between itself and a joint, where there is one.

    As they come, or from the other side, or first those at joints on the far side: else the last of a part comes loose
    there before it is cut away.
    """
    if not ways:
        return ways
    area = union_all(sweep(way, radius_mm) for way in ways)
    gone = clipped(joints, area.bounds, radius_mm)
    if gone.is_empty:
        return ways
    at_joints = [way for way in ways[len(ways) // 2 :] if sweep(way, radius_mm).intersects(gone)]
    first = (*reversed(at_joints), *(way for way in ways if way not in at_joints))
    orders = (ways, tuple(reversed(ways)), first)
    return next((some for some in orders if not _leaves_islands(some, gone, radius_mm)), ways)


def _leaves_islands(ways: Sequence[Contour], gone: Area, radius_mm: float) -> bool:
    """Waste no thinner than dust stands for a while with nothing round it."""
    for way in ways:
        gone = union(gone, sweep(way, radius_mm))
        if not all(is_thinner_than_mm(polygon_through(ring.coords), SLUG_WIDTH_MM) for ring in inner_rings(gone)):
            return True
    return False


def _ways(part: Area, free: Area, task: OutlineTask) -> list[Contour]:
    """Strokes along the longer side of a part, side by side and joined at their ends where nothing is in between.

    No point of the part is further from a stroke's line than half their spacing, nor is its foot there further outside;
    but the bit's middle keeps to what is ``free``. The strokes take the allowance beside the part too: a parting leaves
    that of a slot's far side.
    """
    if free.is_empty:
        return []
    corners = np.asarray(part.minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(corners, axis=0)[:2]
    along = sides[int(np.argmax(np.hypot(*sides.T)))]
    turn = math.atan2(along[1], along[0])
    lying = moved(part, Pose(0.0, 0.0, -turn))
    half = _SPACING_RATIO * task.bit.radius_mm
    low_x, low_y, high_x, high_y = buffered(lying, FINISH_ALLOWANCE_MM, chord_mm=_CHORD_MM).bounds
    spare = high_y - low_y - 2 * half
    count = math.ceil(spare / (2 * half)) + 1 if spare > 0 else 1
    heights = np.linspace(low_y + half, high_y - half, count) if count > 1 else [(low_y + high_y) / 2]
    free = moved(free, Pose(0.0, 0.0, -turn))
    chains: list[list[Point]] = []
    ended: list[list[Point]] = []
    for height in heights:
        strokes = spans(free, (low_x - 2 * half, float(height)), (high_x + 2 * half, float(height)))
        going = [_joined(chains, stroke, free) for stroke in strokes]
        ended += [chain for chain in chains if chain not in going]
        chains = going
    ways = [Contour(tuple(Line(a, b) for a, b in pairwise(chain)), is_closed=False) for chain in (*ended, *chains)]
    return [transform_contour(way, Pose(0.0, 0.0, turn)) for way in ways]


def _joined(chains: list[list[Point]], stroke: tuple[Point, Point], free: Area) -> list[Point]:
    """The chain that a stroke carries on, taken from those that wait for one; else the stroke alone."""
    for chain in chains:
        first, last = sorted(stroke, key=lambda end: math.dist(chain[-1], end))
        if free.covers(line_through([chain[-1], first])):
            chains.remove(chain)
            return [*chain, first, last]
    return [*stroke]


def nearest_body(part: Area, solids: Sequence[Area]) -> int:
    """The piece that a part of the waste lies nearest to."""
    return min(range(len(solids)), key=lambda index: distance_between_mm(part, solids[index]))
