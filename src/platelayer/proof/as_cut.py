"""One piece as the files leave it: how deep the bit went into it, what wood it left on it, and the shape that stays.

Glossary:
    above the tabs: the slice just above the tabs' tops, or above the skin, or above the underside where there is
        neither; everything round the piece must be gone there. underside: the slice LEFTOVER_MM above the board's
        underside: wood that stands no higher is no wall, and holds nothing.
    ring: the strip round the design in which wood left is looked for, narrower than any slot.
    corner: wood that no bit used there can reach, by the closing of the design; worked out here, not taken from
        anyone's list.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import board_area
from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.discs import unreached
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    buffered,
    difference,
    distance_between_mm,
    distances_mm,
    intersection,
    is_thinner_than_mm,
    parts,
    points_area,
    union_all,
    within_mm,
)
from platelayer.proof.design import Design
from platelayer.proof.gouges import Gouge, gouges_of
from platelayer.proof.removal import Runs, near, runs_through, sweeps, swept
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, LEFTOVER_MM

RING_RATIO: Final = 1.2
"""Width of the ring as a share of the smallest radius that cuts through: a slot is two radii wide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Wood left on the piece: how far it stands proud of the design, where, and at which depth below the top."""

    proud_mm: float
    point: tuple[float, float]
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceAsCut:
    """What the files leave of one piece.

    Attributes:
        rows: moves whose bit comes near the piece.
        above_depth_mm: depth of the slice above the tabs.
        above: sweep there of the moves near the piece.
        cut_above: what stands of the piece there, corners and wood left included.
        through: sweep at the underside of the moves near the piece.
        holding: sweep where the piece must be held: just below the top of its skin, else at the underside.
        gouges: places where the bit went into the design by more than GOUGE_MM.
        gouge_mm: deepest of all, also below the limit.
        left: wood left by more than LEFTOVER_MM.
        left_mm: the most, also below the limit, corners left out.
    """

    design: Design
    rows: Rows
    above_depth_mm: float
    above: Area
    cut_above: Area
    through: Area
    holding: Area
    gouges: tuple[Gouge, ...]
    gouge_mm: float
    left: tuple[Left, ...]
    left_mm: float


def above_tabs_mm(design: Design) -> float:
    """Depth below the top of the slice in which everything round the piece must be gone; lower wood is no wall."""
    standing = max((tab.height_mm for tab in design.tabs), default=0.0)
    return design.board.thickness_mm - max(standing, design.piece.skin_mm) - LEFTOVER_MM


def holding_mm(design: Design) -> float:
    """Depth below the top of the slice in which a piece must be held: in its skin, else at the underside."""
    skin_mm = design.piece.skin_mm
    return design.board.thickness_mm - (skin_mm - DEPTH_MM if skin_mm else DEPTH_MM)


def piece_as_cut(design: Design, moves: BoardMoves) -> PieceAsCut:
    """The piece as the moves leave it."""
    rows = near(moves, design.solid.bounds, RUN_MARGIN_MM)
    above_mm = above_tabs_mm(design)
    underside_mm = design.board.thickness_mm - LEFTOVER_MM
    through_runs = runs_through(moves, rows, underside_mm)
    through = swept((through_runs,))
    above = through
    above_runs: tuple[Runs, ...] = (through_runs,)
    if above_mm < underside_mm:
        more = runs_through(moves, _not_whole(moves, rows, underside_mm), above_mm)
        above_runs = (through_runs, more)
        above = union_all((through, *sweeps((more,))))
    held = through
    if design.piece.skin_mm:
        held = swept((runs_through(moves, rows, holding_mm(design)),))
    corners = corners_excused(design, above_runs)
    cut, left, left_mm = _left_above(design, above, _ring_mm(above_runs), corners, above_mm)
    if design.tabs and above_mm < underside_mm:
        left += _left_below(design, through, above_runs, corners, underside_mm)
    gouges, gouge_mm = gouges_of(design, moves, rows)
    return PieceAsCut(
        design=design,
        rows=rows,
        above_depth_mm=above_mm,
        above=above,
        cut_above=cut,
        through=through,
        holding=held,
        gouges=gouges,
        gouge_mm=gouge_mm,
        left=tuple(left),
        left_mm=left_mm,
    )


RUN_MARGIN_MM: Final = 0.5
"""Tracks that come no nearer than this to a piece's box have no part in it."""


def _not_whole(moves: BoardMoves, rows: Rows, depth_mm: float) -> Rows:
    """Rows that are not wholly at the depth or past it."""
    is_part: Bools = moves.depth[rows].min(axis=1) < depth_mm
    return rows[is_part]


def _ring_mm(runs: Sequence[Runs]) -> float:
    radii = [float(some.radius_mm.min()) for some in runs if len(some)]
    return RING_RATIO * min(radii, default=1.0)


def _wood_round(design: Design, ring_mm: float) -> Area:
    """The piece, and the ring round it as far as there is board."""
    grown = buffered(design.solid, ring_mm, chord_mm=FLATTEN_CHORD_MM)
    low_x, low_y, high_x, high_y = grown.bounds
    wide, high = design.board.size_mm
    is_inside = min(low_x, low_y) > 0 and high_x < wide and high_y < high and design.board.outline is None
    return grown if is_inside else union_all((design.solid, intersection(grown, board_area(design.board))))


def _left_above(
    design: Design, swept_area: Area, ring_mm: float, corners: Area, depth_mm: float
) -> tuple[Area, list[Left], float]:
    """What stands of the piece at the slice, the wood left on it there, and the most of it."""
    stands = difference(_wood_round(design, ring_mm), swept_area)
    touching = [part for part in parts(stands) if distance_between_mm(part, design.solid) <= FLATTEN_CHORD_MM]
    piece = union_all(touching) if touching else EMPTY
    spare = difference(piece, corners)
    found = _proud(design, parts(difference(spare, buffered(design.solid, LEFTOVER_MM, chord_mm=FLATTEN_CHORD_MM))))
    points = np.vstack([np.asarray(part.exterior.coords)[::SAMPLED] for part in parts(spare)] or [np.zeros((0, 2))])
    most = float(distances_mm(design.solid, points).max()) if len(points) else 0.0
    most = max([most, *(mm for mm, _ in found)])
    return piece, [Left(proud_mm=mm, point=point, depth_mm=depth_mm) for mm, point in found], most


def _left_below(design: Design, through: Area, runs: Sequence[Runs], corners: Area, depth_mm: float) -> list[Left]:
    """Wood left between the tabs at the underside; round a tab wood may stand as far as its flanks reach."""
    ring_mm = _ring_mm(runs)
    ring = difference(
        _wood_round(design, ring_mm),
        buffered(design.solid, LEFTOVER_MM, chord_mm=FLATTEN_CHORD_MM),
    )
    stands = difference(ring, through)
    if stands.is_empty:
        return []
    spare = difference(difference(stands, tabs_excused(design, runs)), corners)
    found = _proud(
        design, [part for part in parts(spare) if distance_between_mm(part, design.solid) <= 2 * LEFTOVER_MM]
    )
    return [Left(proud_mm=mm, point=point, depth_mm=depth_mm) for mm, point in found]


def _proud(design: Design, left: Sequence[Area]) -> list[tuple[float, tuple[float, float]]]:
    found = []
    for part in left:
        points = np.asarray(part.exterior.coords)
        distances = distances_mm(design.solid, points)
        at = int(distances.argmax())
        found.append((float(distances[at]), (float(points[at, 0]), float(points[at, 1]))))
    return sorted(found, key=lambda one: (-one[0], one[1]))


def tabs_excused(design: Design, runs: Sequence[Runs]) -> Area:
    """Round every tab: half its width, the bit's radius and flanks of up to one in two."""
    widest = max((float(some.radius_mm.max()) for some in runs if len(some)), default=0.0)
    areas = []
    for tab in design.tabs:
        reach = tab.width_mm / 2 + widest + LEFTOVER_MM + FLANK_RATIO * tab.height_mm
        areas.append(buffered(_point(tab.at), reach, chord_mm=LEFTOVER_MM))
    return union_all(areas) if areas else EMPTY


FLANK_RATIO: Final = 2.0
"""Length of a tab's flank over its height at most; longer ones are wood left."""


def _point(at: tuple[float, float]) -> Area:
    return points_area([at])[0]


def corners_excused(design: Design, runs: Sequence[Runs]) -> Area:
    """The inside corners that the bits used there cannot reach, each by the smallest bit that came to it.

    Grown by LEFTOVER_MM, since wood in a corner may stand as proud of its own edge as anywhere else.
    """
    radii = sorted({float(radius) for some in runs for radius in some.radius_mm})
    if not radii:
        return EMPTY
    left = {radii[-1]: unreached(design.solid, radii[-1], chord_mm=CORNER_CHORD_MM)}
    found = []
    for corner in parts(left[radii[-1]]):
        if corner.area <= LEFTOVER_MM**2 or is_thinner_than_mm(corner, LEFTOVER_MM / 2):
            continue
        used = next((radius for radius in radii if _came_to(corner, radius, runs)), radii[-1])
        if used not in left:
            left[used] = unreached(design.solid, used, chord_mm=CORNER_CHORD_MM)
        found.append(corner if used == radii[-1] else intersection(corner, left[used]))
    return buffered(union_all(found), LEFTOVER_MM, chord_mm=FLATTEN_CHORD_MM) if found else EMPTY


def _came_to(corner: Area, radius_mm: float, runs: Sequence[Runs]) -> bool:
    """A bit of that radius touched the corner."""
    lines = [line for some in runs for line in some.lines[some.radius_mm == radius_mm]]
    return bool(lines) and bool(within_mm(lines, corner, radius_mm + LEFTOVER_MM).any())


CORNER_CHORD_MM: Final = 4 * FLATTEN_CHORD_MM
"""Corners are excused with LEFTOVER_MM to spare, ten times this."""

SAMPLED: Final = 4
"""Of the points round what stands, every so manieth is asked how proud it is when all are within the limit."""
