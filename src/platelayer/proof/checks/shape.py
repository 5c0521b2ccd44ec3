"""Are the pieces what was meant: nothing gouged, no wood left, grooves there and as deep as said?"""

from collections.abc import Sequence

import numpy as np

from platelayer.gcode.moves import BoardMoves
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    distance_between_mm,
    intersection,
    is_thinner_than_mm,
    line_through,
    parts,
    points_area,
)
from platelayer.proof.as_cut import Left, PieceAsCut
from platelayer.proof.checks.rows import where_of
from platelayer.proof.removal import near, runs_at, swept
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, GOUGE_MM, LEFTOVER_MM
from platelayer.units import show_place, show_small
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.pieces import BoardFace, Groove


def check_shape(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """Everything about the shape of one piece; the worst gouge, the worst wood left, and each faulty groove."""
    return (*check_gouges(wood, moves), *check_left(wood, moves), *check_grooves(wood, moves))


def check_gouges(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """No bit went further than GOUGE_MM into the design."""
    piece = wood.design.piece.id
    found = []
    floors = [gouge for gouge in wood.gouges if gouge.floor_mm]
    walls = [gouge for gouge in wood.gouges if not gouge.floor_mm]
    if walls:
        worst = walls[0]
        found.append(
            Finding(
                code=Code.SHAPE_GOUGE,
                text=f"{piece} is gouged {show_small(worst.depth_mm)} deep at {show_place(worst.point)}; "
                f"the limit is {show_small(GOUGE_MM)}.",
                advice="Make the job again; the file cuts into the piece.",
                where=where_of(moves, worst.move, piece=piece, point=worst.point),
                measured=worst.depth_mm,
                limit=GOUGE_MM,
            )
        )
    if floors:
        lowest = min(floors, key=lambda gouge: (gouge.point[2], gouge.move))
        depth = float(moves.depth[lowest.move].max())
        found.append(
            _depth(wood, where_of(moves, lowest.move, piece=piece, point=lowest.point), depth, lowest.floor_mm)
        )
    return tuple(found)


def _depth(wood: PieceAsCut, where: Where, depth_mm: float, wanted_mm: float) -> Finding:
    off = depth_mm - wanted_mm
    return Finding(
        code=Code.SHAPE_DEPTH,
        text=f"a groove of {wood.design.piece.id} is {show_small(depth_mm)} deep instead of {show_small(wanted_mm)}: "
        f"{show_small(abs(off))} too {'deep' if off > 0 else 'shallow'}; the limit is {show_small(DEPTH_MM)}.",
        advice="Check the zero and the thickness of the board, or make the job again if the file was changed.",
        where=where,
        measured=depth_mm,
        limit=wanted_mm,
    )


def check_left(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """No wood stands more than LEFTOVER_MM proud of the design, outside corners and tabs."""
    if not wood.left:
        return ()
    worst = max(wood.left, key=lambda left: (left.proud_mm, left.point))
    return (
        Finding(
            code=Code.SHAPE_WOOD_LEFT,
            text=f"wood is left on {wood.design.piece.id}, {show_small(worst.proud_mm)} or more proud of its edge at "
            f"{show_place(worst.point)}; the limit is {show_small(LEFTOVER_MM)}.",
            advice="Make the job again; a cut is missing or out of place.",
            where=_beside(wood, moves, worst),
            measured=worst.proud_mm,
            limit=LEFTOVER_MM,
        ),
    )


def _beside(wood: PieceAsCut, moves: BoardMoves, left: Left) -> Where:
    """The place of wood left, and the line of the move that comes nearest to it, deep enough if one beside it is."""
    piece, point = wood.design.piece.id, (*left.point, -left.depth_mm)
    rows = wood.rows[moves.is_top[wood.rows] & (moves.radius[wood.rows] > 0)]
    if not len(rows):
        return Where(board=moves.board.id, piece=piece, point=point)
    place_of = points_area([left.point])[0]
    apart = np.asarray([distance_between_mm(line_through(moves.plan(row)), place_of) for row in rows.tolist()])
    is_deep = (moves.depth[rows].max(axis=1) >= left.depth_mm) & (apart <= 2 * moves.radius[rows])
    nearest = np.argmin(np.where(is_deep, apart, np.inf) if is_deep.any() else apart)
    return where_of(moves, int(rows[nearest]), piece=piece, point=point)


def check_grooves(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """Every groove is cut, over its whole area and to its depth."""
    found: list[Finding] = []
    for number, (groove, area) in enumerate(wood.design.grooves):
        wanted = buffered(intersection(area, wood.design.solid), -LEFTOVER_MM, chord_mm=FLATTEN_CHORD_MM)
        found += _check_groove(wood, moves, groove, wanted, number + 1)
    return tuple(found)


def _check_groove(wood: PieceAsCut, moves: BoardMoves, groove: Groove, wanted: Area, number: int) -> Sequence[Finding]:
    is_top = groove.face is BoardFace.TOP
    rows = near(moves, wanted.bounds, 0.0)
    rows = rows[moves.is_top[rows] == is_top]
    passes = rows[moves.depth[rows].max(axis=1) <= groove.depth_mm + DEPTH_MM]
    if not _uncut(moves, passes, wanted, groove.depth_mm - DEPTH_MM):
        return ()
    missing = _uncut(moves, rows, wanted, groove.depth_mm - DEPTH_MM)
    if not missing:
        return ()
    untouched = _uncut(moves, rows, wanted, DEPTH_MM)
    piece = wood.design.piece.id
    point = missing[0].representative_point()
    where = Where(board=moves.board.id, piece=piece, point=(float(point.x), float(point.y), -groove.depth_mm))
    share = sum(part.area for part in untouched) / wanted.area
    if not untouched:
        inside = [row for row in rows.tolist() if 0 < moves.depth[row].max() <= groove.depth_mm]
        depth = max((float(moves.depth[row].max()) for row in inside), default=0.0)
        return (_depth(wood, where, depth, groove.depth_mm),)
    if share > 1 / 2:
        return (
            Finding(
                code=Code.SHAPE_GROOVE_MISSING,
                text=f"groove {number} of {piece} is not cut: {100 * share:.0f} % of it stands.",
                advice="Make the job again; the cut is missing.",
                where=where,
                measured=share,
                limit=0.0,
                unit="ratio",
            ),
        )
    return (
        Finding(
            code=Code.SHAPE_WOOD_LEFT,
            text=f"wood is left in groove {number} of {piece} at {show_place((where.point or (0.0, 0.0))[:2])}: "
            f"{100 * share:.1f} % of it stands.",
            advice="Make the job again; a pass is missing or out of place.",
            where=where,
            measured=share,
            limit=0.0,
            unit="ratio",
        ),
    )


def _uncut(moves: BoardMoves, rows: np.ndarray, wanted: Area, own_depth_mm: float) -> list[Area]:
    """Parts of the wanted area that stand at a depth below the face, slivers left out."""
    if not len(rows):
        return list(parts(wanted))
    is_top = bool(moves.is_top[rows[0]])
    depth = own_depth_mm if is_top else moves.board.thickness_mm - own_depth_mm
    stands = difference(wanted, swept((runs_at(moves, rows, depth),)))
    return [part for part in parts(stands) if not is_thinner_than_mm(part, LEFTOVER_MM)]
