"""Which pieces are finished while nothing but their tabs holds them any more.

Glossary:
    floor: wood of LEAST_SKIN_MM or more at the underside, beside the piece. A piece hangs once that is gone along more
        than 1 - FLOOR_RATIO of its edge, tabs left out.
    station: a place on a piece's edge that is asked; the floor beside it is asked a little way out, where every bit
        that goes along the edge takes it.
    thin: the last cut through a floor, no higher than THIN_SKINS such floors; that pushes so little that tabs do.

A wall counts as finished where a bit came to within LEFTOVER_MM of the design.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.geometry.contours import segment_heading, segment_point
from platelayer.geometry.regions import Areas, distances_mm, lines_from, near_pairs, points_area
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.crossings import Chords, chords_through
from platelayer.tolerances import COINCIDENT_MM, DEPTH_MM, LEAST_SKIN_MM, LEFTOVER_MM
from platelayer.values.motion import Floats
from platelayer.values.shapes import Segment

FLOOR_RATIO: Final = 0.5
"""A piece is held by its floor as long as that stands along so much of its edge; as for a skin."""

ALL_ROUND_RATIO: Final = 0.95
"""Cut through along so much of its edge a piece hangs on its tabs alone."""

THIN_SKINS: Final = 2.0
"""The last cut may be so many floors high: one that it cuts through, one for the scatter of the board."""

_STEP_MM: Final = 6.0
_OUT_RATIO: Final = 0.75
"""The floor is asked so many radii out: rough lanes leave less wood on a wall, a neighbour's own lane stays beyond."""

_FEW_RATIO: Final = 0.05
"""Leads and corners: along so little of its edge a wall may be finished hanging."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """A piece finished hanging.

    Attributes:
        piece: its number.
        share_ratio: how much of its edge is finished so.
        freed: the move with which it hangs.
        finished: the first move that finishes its wall afterwards.
        is_all_round: it was cut through all round before.
        walls: (n, 2) places where its wall is finished so.
    """

    piece: int
    share_ratio: float
    freed: int
    finished: int
    is_all_round: bool
    walls: Floats


def thin_mm(moves: BoardMoves) -> float:
    """Height up to which the last cut of a board is thin."""
    return THIN_SKINS * (LEAST_SKIN_MM + moves.board.scatter_mm)


def hanging_pieces(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> tuple[Hanging, ...]:
    """The pieces that only tabs hold when their walls are finished, in order.

    None that is on a skin or cut free on tape, and none of a strip, which is held by its uncut edges.
    """
    if moves.board.is_strip:
        return ()
    depth = moves.depth.max(axis=1, initial=0.0)
    is_deep = moves.is_top & (moves.radius > 0) & (depth >= moves.board.thickness_mm - thin_mm(moves))
    found = []
    for number, wood in enumerate(woods):
        piece = wood.design.piece
        if wood.design.tabs and not piece.skin_mm and not piece.held_by:
            one = _hanging(moves, wood, number, wood.rows[is_deep[wood.rows]])
            found += [one] if one is not None else []
    return tuple(found)


def _hanging(moves: BoardMoves, wood: PieceAsCut, number: int, rows: Rows) -> Hanging | None:
    thick_mm = moves.board.thickness_mm
    walls, floors = _stations(moves, wood, rows)
    if not len(walls):
        return None
    gone_mm = thick_mm - LEAST_SKIN_MM + COINCIDENT_MM
    gone = _touched(chords_through(moves, rows, gone_mm), floors, after=-1, count=len(moves))
    hangs, round_ = (int(np.quantile(gone, share, method="higher")) for share in (1 - FLOOR_RATIO, ALL_ROUND_RATIO))
    if hangs >= len(moves):
        return None
    touching = chords_through(moves, rows, thick_mm - thin_mm(moves))
    first, later = (_touched(touching, walls, after=after, count=len(moves)) for after in (-1, hangs))
    is_late = (first > hangs) & (later < len(moves))
    if is_late.mean() <= _FEW_RATIO:
        return None
    return Hanging(
        piece=number,
        share_ratio=float(is_late.mean()),
        freed=hangs,
        finished=int(later[is_late].min()),
        is_all_round=bool(((first > round_) & is_late).mean() > _FEW_RATIO),
        walls=walls[is_late],
    )


def _stations(moves: BoardMoves, wood: PieceAsCut, rows: Rows) -> tuple[Floats, Floats]:
    """(n, 2) places just outside the walls, and beside them where the floor is asked; none at tabs or in corners."""
    radius = float(moves.radius[rows].min(initial=np.inf))
    if not np.isfinite(radius):
        return np.zeros((0, 2)), np.zeros((0, 2))
    points, headings = sampled(wood.design.piece.outline.segments, step_mm=_STEP_MM)
    out = np.column_stack((np.sin(headings), -np.cos(headings)))
    walls, floors = points + LEFTOVER_MM * out, points + _OUT_RATIO * radius * out
    keep = distances_mm(wood.design.solid, floors) >= _OUT_RATIO * radius - LEFTOVER_MM
    for tab in wood.design.tabs:
        keep &= np.hypot(*(points - tab.at).T) > tab.width_mm / 2 + radius + 2 * tab.height_mm
    return walls[keep], floors[keep]


def sampled(side: Sequence[Segment], *, step_mm: float) -> tuple[Floats, Floats]:
    """(n, 2) points along segments no more than a step apart, and (n,) headings there."""
    shares = [(np.arange(count) + 0.5) / count for count in (max(1, -int(-one.length_mm // step_mm)) for one in side)]
    places = [(one, share) for one, some in zip(side, shares, strict=True) for share in some.tolist()]
    points = np.asarray([segment_point(one, share) for one, share in places]).reshape(-1, 2)
    return points, np.asarray([segment_heading(one, share) for one, share in places])


def _touched(chords: Chords, places: Floats, *, after: int, count: int) -> Rows:
    """(n,) the first move after the one given that takes each place, ``count`` where none does."""
    found = np.full(len(places), count, np.intp)
    points = points_area(places)
    for radius in np.unique(chords.radius_mm).tolist():
        mine = np.flatnonzero((chords.radius_mm == radius) & (chords.move > after))
        if len(mine):
            place, chord = _pairs(chords, mine, points, radius)
            np.minimum.at(found, place, chords.move[mine[chord]])
    return found


def _pairs(chords: Chords, mine: Rows, points: Areas, radius_mm: float) -> tuple[Rows, Rows]:
    ends = np.stack((chords.start[mine], chords.end[mine]), axis=1).reshape(-1, 2)
    lines = lines_from(ends, np.repeat(np.arange(len(mine)), 2))
    place, chord = near_pairs(points, lines, radius_mm)
    return place, chord


def hanging_height_mm(moves: BoardMoves, wood: PieceAsCut, one: Hanging) -> float:
    """How much of a piece's wall is still unfinished when it hangs, where least was finished before."""
    chords = chords_through(moves, wood.rows[wood.rows <= one.freed], DEPTH_MM)
    points, deepest = points_area(one.walls), np.zeros(len(one.walls))
    depth = moves.depth.min(axis=1)
    for radius in np.unique(chords.radius_mm).tolist():
        mine = np.flatnonzero(chords.radius_mm == radius)
        place, chord = _pairs(chords, mine, points, radius)
        np.maximum.at(deepest, place, depth[chords.move[mine[chord]]])
    return moves.board.thickness_mm - float(deepest.min())
