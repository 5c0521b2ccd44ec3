"""Waste that still stands but is too thin to stand up to a bit: strips between two kerfs, or beside an edge or a knot.

Glossary:
    slice: just above what holds the pieces, tabs or skin; there everything round them is gone that ever will be. upper
        slice: a quarter of the board below its top, where slots may be wider, and what stands between them thinner.
    block: a part of the waste with slots all round it, so that it does not reach the board's edge.
    strip: waste that no disc of the least thickness fits into, blunt corners left out. Not a slug: it still stands.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import board_area
from platelayer.gcode.moves import BoardMoves
from platelayer.geometry.long_side import long_side_mm
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    buffered,
    difference,
    distance_between_mm,
    inner_point,
    is_thinner_than_mm,
    parts,
    to_area,
    union_all,
)
from platelayer.manifest.schema import ManifestBoard
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.removal import runs_at, runs_through, swept
from platelayer.tolerances import DEPTH_MM, LEAST_STANDING_MM, LEFTOVER_MM, SLUG_WIDTH_MM, STANDING_RATIO
from platelayer.values.shapes import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Waste too thin to stand: as long and as thick as a rectangle of its area and edge, a point of it, its height."""

    length_mm: float
    thickness_mm: float
    height_mm: float
    point: Point


def least_standing_mm(height_mm: float) -> float:
    """Thickness that waste of a height needs so that a bit may pass it."""
    return max(LEAST_STANDING_MM, STANDING_RATIO * height_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Waste:
    """What stands of a board beside its pieces at the slice, how deep that is, and the narrowest bit that came there.

    Without pieces all that stands is waste, since nobody said what is a piece.
    """

    area: Area
    depth_mm: float
    bit_mm: float


def waste_of(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> Waste:
    """The waste of a board at the slice: all of it less what is cut away there, pieces, and knots, which may fall out.

    Nothing where no bit comes so deep.
    """
    depth_mm = min([wood.above_depth_mm for wood in woods], default=moves.board.thickness_mm - DEPTH_MM)
    depth_mm = min(depth_mm, float(moves.depth.max(initial=0.0)) - DEPTH_MM)
    deep = moves.depth.max(axis=1, initial=0.0) >= depth_mm
    radii = moves.radius[(moves.radius > 0) & deep]
    if depth_mm <= 0 or not len(radii):
        return Waste(area=EMPTY, depth_mm=0.0, bit_mm=0.0)
    seen = np.zeros(len(moves), np.bool_)
    for wood in woods:
        seen[wood.rows] = True
    elsewhere = swept((runs_through(moves, np.flatnonzero(~seen), depth_mm),))
    pieces = [buffered(_coarse(wood.cut_above), 2 * LEFTOVER_MM, chord_mm=LEFTOVER_MM) for wood in woods]
    knots = [to_area(area.outline, chord_mm=LEFTOVER_MM) for area in moves.board.no_go if not area.height_mm]
    gone = union_all([*(_coarse(wood.above) for wood in woods), *pieces, *knots, elsewhere])
    area = difference(board_area(moves.board), gone)
    return Waste(area=area, depth_mm=depth_mm, bit_mm=2 * float(radii.min()))


def upper_waste(moves: BoardMoves, waste: Waste) -> Waste:
    """What stands of the waste at the upper slice; nothing where that is no higher than the slice."""
    depth_mm = UPPER_RATIO * moves.board.thickness_mm
    if depth_mm >= waste.depth_mm:
        return replace(waste, area=EMPTY)
    not_whole = np.flatnonzero(moves.depth.min(axis=1, initial=np.inf) < waste.depth_mm)
    gone = swept((runs_at(moves, not_whole, depth_mm),))
    return replace(waste, area=difference(waste.area, _coarse(gone)), depth_mm=depth_mm)


UPPER_RATIO: Final = 0.25
"""Depth of the upper slice as a share of the board's: from there up a strip is at least as high as half an inch's is
thick when it stands, and slots widened for depth reach so far."""


def thin_strips(waste: Waste) -> tuple[Strip, ...]:
    """Waste thinner than it must be, longer than the narrowest bit is wide, and no dust; the longest first."""
    found = []
    for part in _thin(waste.area, least_standing_mm(waste.depth_mm)):
        length = long_side_mm(part)
        if length > waste.bit_mm and not is_thinner_than_mm(part, SLUG_WIDTH_MM):
            thickness = part.area / length
            point = inner_point(part)
            found.append(Strip(length_mm=length, thickness_mm=thickness, height_mm=waste.depth_mm, point=point))
    return tuple(sorted(found, key=lambda strip: (-strip.length_mm, strip.point)))


def ringed_blocks(waste: Waste, board: ManifestBoard) -> tuple[Area, ...]:
    """The blocks of waste on a board, no dust among them."""
    edge = board_area(board).boundary
    apart = [part for part in parts(waste.area) if distance_between_mm(part, edge) > SLUG_WIDTH_MM]
    return tuple(part for part in apart if not is_thinner_than_mm(part, SLUG_WIDTH_MM))


def _coarse(area: Area) -> Area:
    return area.simplify(LEFTOVER_MM)


def _thin(waste: Area, least_mm: float) -> tuple[Area, ...]:
    """What is left of the waste when all is taken off that a disc of the least thickness reaches.

    The disc put back is wider by half the diagonal of its square, so that right corners are not left.
    """
    core = buffered(waste, -least_mm / 2, chord_mm=LEFTOVER_MM)
    reached = buffered(core, least_mm / math.sqrt(2) + LEFTOVER_MM, chord_mm=LEFTOVER_MM)
    return parts(difference(waste, reached))
