"""Are the edges broken that were meant to be: round the outline and along the grooves, all but where no tip goes in?

Glossary:
    band: wood beside an edge that must be gone at a slice. tip: a bit's round at the depth of the broken edge.
    out of reach: inside corners into which the tip does not go, by the closing of the design; worked out here.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.discs import closed
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    intersection,
    is_thinner_than_mm,
    parts,
    union_all,
)
from platelayer.proof.as_cut import CORNER_CHORD_MM, PieceAsCut
from platelayer.proof.design import Design, inset_mm
from platelayer.proof.removal import near, runs_at, swept
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, LEFTOVER_MM
from platelayer.units import show_length, show_place, show_small
from platelayer.values.bit_shape import tip_radius_mm
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace
from platelayer.values.tooling import BitKind

SHARES: Final = (0.0, 0.3, 0.6)
"""Slices asked, as shares of the edge's depth; further down hardly anything is taken."""

_KINDS: Final = {True: BitKind.ROUND_OVER, False: BitKind.VEE}


def check_edges(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """Every edge that was to be broken is, at each slice; the worst slice of each kind of edge."""
    found = []
    for edge in wood.design.piece.edges:
        worst: tuple[float, list[Area], float] = (0.0, [], 0.0)
        rows = _breaking(wood, moves, edge)
        for own_mm, band in _bands(wood.design, edge, _tips(moves, rows)):
            left = _standing(moves, rows, band, edge, own_mm)
            share = sum(part.area for part in left) / band.area
            if share > worst[0]:
                worst = (share, left, own_mm)
        if worst[1]:
            found.append(_left(wood, edge, *worst))
    return tuple(found)


def _breaking(wood: PieceAsCut, moves: BoardMoves, edge: EdgeBreak) -> Rows:
    """Level moves of bits of the edge's own shape, cut from its face, that come near the piece."""
    rows = near(moves, wood.design.solid.bounds, 0.0)
    kind = _KINDS[edge.radius_mm > 0]
    is_kind = np.array([*(bit.kind is kind for bit in moves.bits), False], np.bool_)[moves.bit[rows]]
    is_level = moves.depth[rows, 0] == moves.depth[rows, 1]
    is_here: Bools = is_kind & is_level & (moves.is_top[rows] == (edge.face is BoardFace.TOP))
    return rows[is_here & (moves.radius[rows] > 0)]


def _tips(moves: BoardMoves, rows: Rows) -> float:
    """The narrowest tip of the bits that went there."""
    used = [moves.bits[number] for number in np.unique(moves.bit[rows]).tolist()]
    return min((tip_radius_mm(bit) for bit in used), default=0.0)


def _bands(design: Design, edge: EdgeBreak, tip_mm: float) -> Iterator[tuple[float, Area]]:
    """Own depth and band of each slice."""
    if edge.place is EdgePlace.OUTER:
        whole = closed(design.solid, tip_mm, chord_mm=CORNER_CHORD_MM)
    else:
        grooves = union_all([area for groove, area in design.grooves if groove.face is edge.face])
    for share in SHARES:
        own_mm = max(DEPTH_MM, share * edge.depth_mm)
        deep_mm = inset_mm(edge, own_mm) - LEFTOVER_MM
        if deep_mm <= LEFTOVER_MM:
            continue
        if edge.place is EdgePlace.OUTER:
            band = difference(design.solid, buffered(whole, -deep_mm, chord_mm=FLATTEN_CHORD_MM))
        else:
            grown = buffered(grooves, deep_mm, chord_mm=FLATTEN_CHORD_MM)
            band = intersection(difference(grown, grooves), design.solid)
        if not band.is_empty:
            yield own_mm, band


def _standing(moves: BoardMoves, rows: Rows, band: Area, edge: EdgeBreak, own_mm: float) -> list[Area]:
    depth = own_mm if edge.face is BoardFace.TOP else moves.board.thickness_mm - own_mm
    gone = swept((runs_at(moves, rows, depth),)) if len(rows) else None
    stands = band if gone is None else difference(band, gone)
    return [part for part in parts(stands) if not is_thinner_than_mm(part, LEFTOVER_MM)]


def _left(wood: PieceAsCut, edge: EdgeBreak, share: float, left: Sequence[Area], own_mm: float) -> Finding:
    piece, board = wood.design.piece.id, wood.design.board
    point = max(left, key=lambda part: part.area).representative_point()
    at = (float(point.x), float(point.y))
    z = -own_mm if edge.face is BoardFace.TOP else own_mm - board.thickness_mm
    done = "rounded over" if edge.radius_mm else "chamfered"
    what = f"the {'upper' if edge.face is BoardFace.TOP else 'lower'} outer edges of {piece}"
    if edge.place is EdgePlace.GROOVE:
        what = f"the edges of the grooves of {piece}"
    return Finding(
        code=Code.SHAPE_EDGE_LEFT,
        text=f"{what} are not {done} by {show_length(edge.width_mm)} everywhere: {100 * share:.1f} % of the wood that "
        f"should be gone there stands, {show_small(own_mm)} below the face, most of it at {show_place(at)}.",
        advice="Make the job again; a pass is missing or out of place.",
        where=Where(board=board.id, piece=piece, point=(*at, z)),
        measured=share,
        limit=0.0,
        unit="ratio",
    )
