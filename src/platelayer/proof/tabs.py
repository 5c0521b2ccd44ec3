"""Tabs as the files leave them: across the whole slot, to what they hold to.

Glossary:
    slot: what is cut away beside a piece just above its tabs; its breadth is measured straight out from the tab.
    far side: where the slot ends beyond a tab: the wall of a neighbour, or waste.

A tab stands across the slot and belongs to the board: a neighbour whose wall is the far side is held by it as well.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import board_area
from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.regions import holds_points, near_pairs, points_area
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.crossings import Chords, chords_through, cut_along, joined
from platelayer.proof.design import SLOT_MOST_RATIO, out_of
from platelayer.proof.removal import near
from platelayer.tolerances import DEPTH_MM, LEFTOVER_MM, SLUG_WIDTH_MM
from platelayer.values.cuts import Tab
from platelayer.values.shapes import Point

WASTE: Final = -1
"""What a tab holds to that is no piece."""

_ACROSS: Final = (0.1, 0.3, 0.5, 0.7, 0.9)
"""A tab is measured this far across the slot, as shares of its breadth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TabAsCut:
    """A tab of a piece as the files leave it.

    Attributes:
        tab: as said.
        piece: number of the piece that it is said to hold.
        number: of the tab among that piece's own, from 1.
        width_mm: least width of its wood along the edge, just below its top, across the slot; twice the said one at
            most.
        low_mm: the same just above the underside.
        slot_mm: breadth of the slot that it crosses; 0 where nothing is cut there.
        far: number of the piece on the far side, WASTE, or None where nothing stands there.
    """

    tab: Tab
    piece: int
    number: int
    width_mm: float
    low_mm: float
    slot_mm: float
    far: int | None


def tabs_as_cut(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> tuple[TabAsCut, ...]:
    """Every tab of a board, in the order of the pieces and their tabs."""
    found, feet = [], []
    for piece, wood in enumerate(woods):
        for number, tab in enumerate(wood.design.piece.tabs, start=1):
            one, foot = _as_cut(moves, tab, out_of(wood.design.piece.outline, tab.at), piece=piece, number=number)
            found.append(one)
            feet.append(foot)
    if not found:
        return ()
    points = np.asarray(feet)
    is_wood = holds_points(board_area(moves.board), points)
    asked, of = near_pairs(points_area(points), [wood.design.solid for wood in woods], SLUG_WIDTH_MM)
    far = {int(at): int(piece) for at, piece in zip(asked, of, strict=True) if piece != found[at].piece}
    return tuple(
        replace(one, far=far.get(at, WASTE) if is_wood[at] and one.far is not None else None)
        for at, one in enumerate(found)
    )


def _as_cut(moves: BoardMoves, tab: Tab, out: Point, *, piece: int, number: int) -> tuple[TabAsCut, Point]:
    """A tab as cut, ``far`` WASTE where the slot ends before its reach; and a point a hair beyond the slot."""
    thick_mm = moves.board.thickness_mm
    reach = SLOT_MOST_RATIO * 2 * float(moves.radius.max(initial=0.0))
    rows = _rows_near(moves, tab, reach)
    above = chords_through(moves, rows, thick_mm - tab.height_mm - LEFTOVER_MM)
    (cut,) = cut_along(above, [tab.at], out, reach)
    stretches = joined(cut, gap_mm=SLUG_WIDTH_MM)
    slot = float(stretches[0, 1]) if len(stretches) else 0.0
    far = None if slot >= reach else WASTE
    width, low = (
        _width_mm(chords_through(moves, rows, depth), tab, out, min(slot, reach))
        for depth in (thick_mm - tab.height_mm + DEPTH_MM, thick_mm - DEPTH_MM)
    )
    one = TabAsCut(tab=tab, piece=piece, number=number, width_mm=width, low_mm=low, slot_mm=slot, far=far)
    beyond = slot + LEFTOVER_MM
    return one, (tab.at[0] + beyond * out[0], tab.at[1] + beyond * out[1])


def _rows_near(moves: BoardMoves, tab: Tab, reach_mm: float) -> Rows:
    """Moves that go through to the height of a tab somewhere near it."""
    around = max(reach_mm, 2 * tab.width_mm)
    x, y = tab.at
    rows = near(moves, (x - around, y - around, x + around, y + around), 0.0)
    is_deep: Bools = moves.depth[rows].max(axis=1) >= moves.board.thickness_mm - tab.height_mm - LEFTOVER_MM
    return rows[is_deep]


def _width_mm(chords: Chords, tab: Tab, out: Point, slot_mm: float) -> float:
    """Least width of a tab's wood along the edge, over the slot it crosses; twice the said one at most."""
    reach = 2 * tab.width_mm
    along = -out[1], out[0]
    away = np.asarray(_ACROSS)[:, None] * slot_mm * np.asarray(out) - reach * np.asarray(along)
    least = reach
    for gone in cut_along(chords, tab.at + away, along, 2 * reach):
        before = gone[gone[:, 0] <= reach, 1].max(initial=0.0)
        after = gone[gone[:, 1] >= reach, 0].min(initial=2 * reach)
        least = min(least, max(0.0, float(after - before)))
    return least
