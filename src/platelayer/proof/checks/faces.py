"""A board cut on both faces: do the faces lie true, do the dowels hold it so, and does enough wood stay?"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves
from platelayer.geometry.regions import buffered, points_area
from platelayer.manifest.schema import ManifestFile, ManifestTurning
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.checks.rows import where_of
from platelayer.proof.dowels import Hole, hole_of, off_mm, rows_through_dowel
from platelayer.proof.faces import Thinnest, shift_of, thinnest_land, thinnest_web
from platelayer.proof.freed import first_island
from platelayer.tolerances import DEPTH_MM, GOUGE_MM, LAND_MM, LEFTOVER_MM
from platelayer.units import show_place, show_small
from platelayer.values.cuts import Dowel
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import BoardFace

_AGAIN: Final = "Make the job again; the file or its manifest was changed."
_FENCE: Final = "fence"
_LEAST_DOWELS: Final = 2


def check_turning(moves: BoardMoves) -> tuple[Finding, ...]:
    """The board is turned about the line that the files are mirrored in, and its dowels keep it there."""
    files = [file for file in moves.files if file.face is BoardFace.BOTTOM]
    turning = moves.board.turning
    if not files or turning is None:
        return ()
    found = [finding for file in files for finding in _check_line(moves, file, turning)]
    found += _check_order(moves)
    if turning.by == _FENCE:
        return tuple(found)
    if len(turning.dowels) < _LEAST_DOWELS:
        found.append(
            Finding(
                code=Code.HOLDING_DOWEL,
                text=f"board {moves.board.id} is turned on {len(turning.dowels)} dowels; on fewer than two it swings.",
                advice=_AGAIN,
                where=Where(board=moves.board.id),
                measured=float(len(turning.dowels)),
                limit=float(_LEAST_DOWELS),
                unit="dowels",
            )
        )
    for number, dowel in enumerate(turning.dowels, start=1):
        found += _check_dowel(moves, dowel, number)
    return tuple(found)


def _check_order(moves: BoardMoves) -> list[Finding]:
    """Lower faces are cut first: what holds the turned board is cut with them."""
    top = next((at for at, file in enumerate(moves.files) if file.face is BoardFace.TOP), len(moves.files))
    late = [file for file in moves.files[top:] if file.face is BoardFace.BOTTOM]
    return [
        Finding(
            code=Code.HOLDING_DOWEL,
            text=f"{file.name} cuts the lower face after {moves.files[top].name} has cut the upper one; what holds "
            "the turned board is not there before the lower face is cut.",
            advice=_AGAIN,
            where=Where(file=file.name, board=moves.board.id),
        )
        for file in late
    ]


def _check_line(moves: BoardMoves, file: ManifestFile, turning: ManifestTurning) -> list[Finding]:
    at = file.turn_y_mm or 0.0
    board = moves.board
    if turning.by == _FENCE:
        rests, what = [board.size_mm[1] / 2], "the board's middle, about which a fence turns it,"
    else:
        rests, what = [dowel.at[1] for dowel in turning.dowels], "a dowel, on which the board is turned,"
    off = max((abs(y - at) for y in rests), default=0.0)
    if off <= GOUGE_MM / 2:
        return []
    return [
        Finding(
            code=Code.SHAPE_FACES_APART,
            text=f"{file.name} is mirrored in the line y {at:.3f} mm, but {what} lies {show_small(off)} off it: the "
            f"lower face comes to lie {show_small(2 * off)} out of line with the upper one.",
            advice=_AGAIN,
            where=Where(file=file.name, board=board.id),
            measured=2 * off,
            limit=GOUGE_MM,
        )
    ]


def _check_dowel(moves: BoardMoves, dowel: Dowel, number: int) -> list[Finding]:
    hole = hole_of(moves, dowel)
    name = f"the hole of dowel {number} at {show_place(dowel.at)}"
    faults = _hole_faults(moves, dowel, hole, name)
    rows = rows_through_dowel(moves, dowel)
    if len(rows):
        text = f"the bit goes into dowel {number} at {show_place(dowel.at)}, which holds the board by then"
        faults.append((Code.TRAVEL_NO_GO, text, None, None, int(rows[0])))
    at = int(hole.rows[0]) if len(hole.rows) else -1
    return [
        Finding(
            code=code,
            text=f"{text}.",
            advice=_AGAIN,
            where=_where(moves, at if row < 0 else row, dowel),
            measured=measured,
            limit=limit,
        )
        for code, text, measured, limit, row in faults
    ]


def _where(moves: BoardMoves, row: int, dowel: Dowel) -> Where:
    point = (*dowel.at, 0.0)
    return where_of(moves, row, point=point) if row >= 0 else Where(board=moves.board.id, point=point)


_Fault = tuple[Code, str, float | None, float | None, int]


def _hole_faults(moves: BoardMoves, dowel: Dowel, hole: Hole, name: str) -> list[_Fault]:
    """The first thing wrong with a hole's place, else with its width and depth; and a slug besides."""
    code = Code.HOLDING_DOWEL
    if hole.deep_mm < -DEPTH_MM:
        return [(code, f"{name} is not bored through", hole.deep_mm, dowel.depth_mm, -1)]
    off = off_mm(hole, dowel)
    if off > LEFTOVER_MM:
        return [(code, f"{name} is bored {show_small(off)} beside its place", off, LEFTOVER_MM, -1)]
    found: list[_Fault] = []
    if hole.wide_mm > LEFTOVER_MM:
        found.append((code, f"{name} is {show_small(hole.wide_mm)} too wide on a side", hole.wide_mm, LEFTOVER_MM, -1))
    if hole.left_mm > LEFTOVER_MM:
        text = f"{name} is not cleared: wood stands {show_small(hole.left_mm)} inside it"
        found.append((code, text, hole.left_mm, LEFTOVER_MM, -1))
    if hole.deep_mm < dowel.depth_mm - DEPTH_MM:
        text = f"{name} goes {show_small(hole.deep_mm)} into the spoilboard instead of {show_small(dowel.depth_mm)}"
        found.append((code, text, hole.deep_mm, dowel.depth_mm, -1))
    return [*found, *_slug(moves, dowel, hole)]


def _slug(moves: BoardMoves, dowel: Dowel, hole: Hole) -> list[_Fault]:
    """A slug that stood loose in the hole for a while."""
    zone = buffered(points_area([dowel.at])[0], dowel.diameter_mm / 2, chord_mm=LEFTOVER_MM)
    depth = moves.board.thickness_mm - DEPTH_MM
    rows = hole.rows[(moves.depth[hole.rows].max(axis=1) >= depth) & (moves.radius[hole.rows] > 0)]
    island = first_island(moves, rows, zone, depth) if len(rows) else None
    if island is None:
        return []
    at, area_mm2, _ = island
    at_place = show_place(dowel.at)
    text = f"a slug of {area_mm2:.1f} mm2 comes loose in the hole of a dowel at {at_place} before it is cut away"
    return [(Code.HOLDING_SLUG, text, area_mm2, 0.0, int(rows[min(at, len(rows) - 1)]))]


def check_faces(woods: Sequence[PieceAsCut], moves: BoardMoves) -> tuple[Finding, ...]:
    """The lower face lies true to the upper, and webs and lands hold with the turned board off by its tolerance."""
    if moves.is_top.all():
        return ()
    turning = moves.board.turning
    tolerance = turning.tolerance_mm if turning is not None else 0.0
    found = _check_shift(woods, moves)
    webs = [thinnest_web(wood, moves, tolerance_mm=tolerance) for wood in woods]
    lands = [thinnest_land(wood, moves, tolerance_mm=tolerance) for wood in woods]
    thin = [_thin(one, moves, tolerance, is_web=True) for one in webs if one is not None and is_thin(one)]
    thin += [_thin(one, moves, tolerance, is_web=False) for one in lands if one is not None and is_thin(one)]
    if found or thin or turning is None:
        return (*found, *thin)
    return _note(moves, [one for one in webs if one is not None], tolerance)


def _check_shift(woods: Sequence[PieceAsCut], moves: BoardMoves) -> list[Finding]:
    shift = shift_of(woods, moves)
    if shift is None:
        return []
    off = float(np.hypot(*shift))
    if off <= GOUGE_MM:
        return []
    row = int(np.flatnonzero(~moves.is_top)[0])
    return [
        Finding(
            code=Code.SHAPE_FACES_APART,
            text=f"the lower face of board {moves.board.id} is cut {show_small(off)} out of line with the upper one, "
            f"x {shift[0]:+.3f} y {shift[1]:+.3f} mm; the limit is {show_small(GOUGE_MM)}.",
            advice=_AGAIN,
            where=Where(file=moves.files[int(moves.file[row])].name, board=moves.board.id),
            measured=off,
            limit=GOUGE_MM,
        )
    ]


def is_thin(one: Thinnest) -> bool:
    """Less wood stays at worst than must."""
    return one.worst_mm < LAND_MM - GOUGE_MM


def thin_words(one: Thinnest, what: str, worst: str) -> str:
    """How much wood stays, as cut and at worst, and how much must."""
    stays = f"only {show_small(one.as_cut_mm)} of wood stays" if one.as_cut_mm > 0 else "no wood at all stays"
    return f"{stays} {what}, {worst} {show_small(max(one.worst_mm, 0.0))}; at least {show_small(LAND_MM)} must"


def land_words(one: Thinnest, tolerance_mm: float, place: str = "") -> str:
    """The same of a land; ``place`` says where, with a space before it."""
    what = f"beside a groove in its lower face of {one.piece}{place}"
    return thin_words(one, what, f"with the turned board {show_small(tolerance_mm)} off")


LAND_CURE: Final = "Turn the board more truly (a smaller tolerance in [turning]), or move the grooves inwards."


def _thin(one: Thinnest, moves: BoardMoves, tolerance_mm: float, *, is_web: bool) -> Finding:
    place = f" at {show_place(one.point)}"
    text, advice = land_words(one, tolerance_mm, place), LAND_CURE
    if is_web:
        worst = f"with a board {show_small(moves.board.scatter_mm)} thinner"
        text = thin_words(one, f"between the grooves on the two faces of {one.piece}{place}", worst)
        advice = "Cut the grooves less deep, or take a thicker or more even board."
    return Finding(
        code=Code.SHAPE_WEB if is_web else Code.SHAPE_LAND,
        text=f"{text}.",
        advice=advice,
        where=Where(board=moves.board.id, piece=one.piece, point=(*one.point, 0.0)),
        measured=one.worst_mm,
        limit=LAND_MM,
    )


def _note(moves: BoardMoves, webs: Sequence[Thinnest], tolerance_mm: float) -> tuple[Finding, ...]:
    if not webs:
        return ()
    least = min(webs, key=lambda web: (web.worst_mm, web.piece))
    return (
        Finding(
            code=Code.SHAPE_WEB,
            severity=Severity.NOTE,
            text=f"between the grooves on both faces of board {moves.board.id} at least "
            f"{show_small(least.as_cut_mm)} of wood stays, {show_small(least.worst_mm)} in a board "
            f"{show_small(moves.board.scatter_mm)} thinner; the turned board may lie {show_small(tolerance_mm)} off.",
            where=Where(board=moves.board.id, piece=least.piece),
            measured=least.worst_mm,
            limit=LAND_MM,
        ),
    )
