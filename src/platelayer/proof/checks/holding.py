"""Is everything held until the end: tabs and skin as said, no piece and no scrap loose while the bit is down?"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves
from platelayer.geometry.regions import Area, buffered, difference, distance_between_mm, line_through
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.checks.rows import where_of
from platelayer.proof.freed import Freed, freed_parts, passing_islands
from platelayer.proof.removal import at_slice, near
from platelayer.proof.tabs import TabAsCut
from platelayer.tolerances import BESIDE_MM, DEPTH_MM, LEFTOVER_MM, TAB_MM, TAPE_HOLDS_MM2
from platelayer.units import show_length, show_place, show_small
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import MoveKind


def check_holding(moves: BoardMoves, woods: Sequence[PieceAsCut], tabs: Sequence[TabAsCut]) -> tuple[Finding, ...]:
    """Everything about the holding of the pieces on one board."""
    found = [*check_tabs(moves, woods, tabs)]
    found += [finding for wood in woods for finding in check_skin(wood, moves)]
    known = {wood.design.piece.id: wood for wood in woods}
    freed: list[str] = []
    taped: list[Freed] = []
    for part in freed_parts(moves, woods):
        inside = [known[name] for name in part.pieces]
        if is_held_below(moves, inside, part.move):
            freed += part.pieces
        elif part.is_taped and all(wood.design.tabs for wood in inside):
            taped.append(part)
        else:
            found.append(_freed(moves, part))
    if freed:
        found.append(_held_below(moves, known[freed[0]], len(freed)))
    if taped:
        found.append(_taped(moves, taped))
    found += [_island(moves, part) for part in passing_islands(moves, woods)]
    return tuple(found)


def is_held_below(moves: BoardMoves, woods: Sequence[PieceAsCut], move: int) -> bool:
    """Pieces that tape or vacuum holds, freed by a move after which the bit only ends that very pass beside them.

    A lift, and then more cutting beside a piece already free, is what tape does not hold for. A neighbour's cuts are
    beside it only where the bit's edge comes within BESIDE_MM.
    """
    if not woods or move < 0 or not all(wood.design.piece.held_by for wood in woods):
        return False
    last = max(_last_beside(moves, wood, move) for wood in woods)
    return not bool((moves.kind[move : last + 1] == MoveKind.RAPID).any())


def _last_beside(moves: BoardMoves, wood: PieceAsCut, move: int) -> int:
    """The last move after this one that cuts beside a piece; this one when none does."""
    rows, solid = wood.rows, wood.design.solid
    deep = rows[(rows > move) & (moves.kind[rows] != MoveKind.RAPID) & (moves.depth[rows].max(axis=1) > DEPTH_MM)]
    for row in np.sort(deep)[::-1].tolist():
        if distance_between_mm(line_through(moves.plan(row)), solid) < moves.radius[row] + BESIDE_MM:
            return int(row)
    return move


def _held_below(moves: BoardMoves, wood: PieceAsCut, count: int) -> Finding:
    piece = wood.design.piece
    many = f"{count} pieces are" if count > 1 else f"{piece.id} is"
    return Finding(
        code=Code.HOLDING_FROM_BELOW,
        severity=Severity.WARNING,
        text=f"on board {moves.board.id} {many} cut free at the very last pass and held by {piece.held_by} alone.",
        advice="See that it holds under each piece, on clean flat wood; stop the machine if one moves.",
        where=Where(board=moves.board.id),
        measured=float(count),
        unit="pieces",
    )


def _taped(moves: BoardMoves, parts: Sequence[Freed]) -> Finding:
    many = "a part is" if len(parts) == 1 else f"{len(parts)} parts are"
    least = min(parts, key=lambda part: (part.area_mm2, part.point))
    return Finding(
        code=Code.HOLDING_FROM_BELOW,
        severity=Severity.WARNING,
        text=f"of board {moves.board.id} {many} cut off from the rest and held by {moves.board.held_by} alone; "
        f"{'it' if len(parts) == 1 else 'the smallest'} is {least.area_mm2 / 100:.0f} cm2, at "
        f"{show_place(least.point)}.",
        advice="See that it is held there too; stop the machine if a part moves.",
        where=_where(moves, least),
        measured=float(len(parts)),
        unit="parts",
    )


def check_tabs(moves: BoardMoves, woods: Sequence[PieceAsCut], tabs: Sequence[TabAsCut]) -> tuple[Finding, ...]:
    """Every tab stands, as wide as said up to its height, right across its slot to what it holds to."""
    found = []
    for one in tabs:
        text = _fault_of(one)
        if text:
            tab, wood = one.tab, woods[one.piece]
            top = moves.board.thickness_mm - tab.height_mm + DEPTH_MM
            found.append(
                Finding(
                    code=Code.HOLDING_TAB_MISSING,
                    text=f"tab {one.number} of {wood.design.piece.id} at {show_place(tab.at)} {text}.",
                    advice="Make the job again; without its tabs a piece comes loose under the bit.",
                    where=_over_tab(wood, moves, one, top),
                    measured=one.width_mm,
                    limit=tab.width_mm,
                )
            )
    return tuple(found)


def _fault_of(one: TabAsCut) -> str:
    """What is wrong with a tab; nothing where it stands as said."""
    if one.width_mm >= one.tab.width_mm - TAB_MM:
        return "" if one.far is not None else "ends in the air: nothing stands on the far side of its slot"
    if one.width_mm > 0:
        return f"is only {show_small(one.width_mm)} wide instead of {show_small(one.tab.width_mm)}"
    if one.low_mm > 0:
        return f"is lower than {show_small(one.tab.height_mm)}"
    return "is missing: its wood is gone"


def _over_tab(wood: PieceAsCut, moves: BoardMoves, one: TabAsCut, depth_mm: float) -> Where:
    """The place of a tab and the last move that cut into it, there or else further across its slot."""
    tab = one.tab
    point = (*tab.at, -depth_mm)
    for reach in (tab.width_mm / 4, tab.width_mm / 4 + one.slot_mm):
        box = (tab.at[0] - reach, tab.at[1] - reach, tab.at[0] + reach, tab.at[1] + reach)
        rows = at_slice(moves, near(moves, box, 0.0), depth_mm)
        if len(rows):
            return where_of(moves, int(rows[-1]), piece=wood.design.piece.id, point=point)
    return Where(board=moves.board.id, piece=wood.design.piece.id, point=point)


def check_skin(wood: PieceAsCut, moves: BoardMoves) -> tuple[Finding, ...]:
    """A piece on a skin stands on it, as thick as said, along at least half its edge; sockets may go through."""
    piece = wood.design.piece
    if not piece.skin_mm:
        return ()
    share = skin_share_ratio(wood.design.solid, float(moves.radius[wood.rows].min(initial=1.0)), wood.holding)
    if share >= SKIN_RATIO:
        return ()
    return (
        Finding(
            code=Code.HOLDING_TAB_MISSING,
            text=f"{piece.id} {skin_words(piece.skin_mm, share)}.",
            advice="Check zero and thickness of the board. Of a very short piece the joints take most of the edge: "
            "make it longer.",
            where=Where(board=moves.board.id, piece=piece.id),
            measured=share,
            limit=SKIN_RATIO,
            unit="ratio",
        ),
    )


def skin_share_ratio(solid: Area, bit_radius_mm: float, taken: Area) -> float:
    """Share of a piece's edge along which its skin stands, asked a bit's radius out of it, less what is taken there."""
    edge = buffered(solid, bit_radius_mm, chord_mm=LEFTOVER_MM).boundary
    return float(difference(edge, taken).length / edge.length)


def skin_words(skin_mm: float, share_ratio: float) -> str:
    """On how thick a skin a piece stands, and along how much of its edge."""
    return f"stands on a skin of {show_length(skin_mm)} along only {100 * share_ratio:.1f} % of its edge"


SKIN_RATIO: Final = 0.5
"""Share of a piece's edge along which its skin must stand; sockets and the notches beside a peg may go through it."""


def _freed(moves: BoardMoves, part: Freed) -> Finding:
    where = _where(moves, part)
    if part.pieces:
        names = " and ".join(part.pieces)
        return Finding(
            code=Code.HOLDING_PIECE_FREED,
            text=f"{names} comes loose while the bit is down: nothing holds it in the board any more.",
            advice="Leave tabs or a skin.",
            where=where,
        )
    if part.is_at_edge and part.area_mm2 >= TAPE_HOLDS_MM2:
        return Finding(
            code=Code.HOLDING_SLUG,
            severity=Severity.WARNING,
            text=f"a part of the board at {show_place(part.point)} is cut off from the rest, "
            f"{part.area_mm2 / 100:.1f} cm2.",
            advice="Clamp it too, or keep the cuts further from the edge.",
            where=where,
            measured=part.area_mm2,
            unit="mm2",
        )
    return Finding(
        code=Code.HOLDING_SLUG,
        text=f"a loose scrap of {part.area_mm2:.1f} mm2 is left at {show_place(part.point)}: the bit can throw it.",
        advice="Clear the waste completely, or keep the pieces further apart.",
        where=where,
        measured=part.area_mm2,
        limit=0.0,
        unit="mm2",
    )


def _island(moves: BoardMoves, part: Freed) -> Finding:
    return Finding(
        code=Code.HOLDING_SLUG,
        text=f"a scrap of {part.area_mm2:.1f} mm2 at {show_place(part.point)} comes loose before it is cut away: "
        "the bit can throw it.",
        advice="Clear the waste from the inside outwards.",
        where=_where(moves, part),
        measured=part.area_mm2,
        limit=0.0,
        unit="mm2",
    )


def _where(moves: BoardMoves, part: Freed) -> Where:
    point = (*part.point, -moves.board.thickness_mm)
    piece = part.pieces[0] if part.pieces else ""
    if part.move < 0:
        return Where(board=moves.board.id, piece=piece, point=point)
    return where_of(moves, part.move, piece=piece, point=point)
