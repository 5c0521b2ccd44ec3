"""Does all that must stand up to the bit do so: strips of waste, wood that tabs hold to, the board between holds?"""

from collections.abc import Sequence
from typing import Final

from platelayer.gcode.moves import BoardMoves
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.checks.rows import where_of
from platelayer.proof.hanging import Hanging, hanging_height_mm, hanging_pieces, thin_mm
from platelayer.proof.holds import PRESSED_ALL_OVER, holds_of, widest_span
from platelayer.proof.slivers import Waste, least_standing_mm, thin_strips, upper_waste
from platelayer.proof.tabs import TabAsCut
from platelayer.proof.yields import PUSH_N, Weak, weak_pieces
from platelayer.tolerances import PLAY_MM
from platelayer.units import show_length, show_place, show_small
from platelayer.values.findings import Code, Finding, Severity, Where

YIELD_MM: Final = PLAY_MM
"""A piece may give way by this under the finish cut: what a hand feels in a joint."""


def check_standing(
    moves: BoardMoves, woods: Sequence[PieceAsCut], tabs: Sequence[TabAsCut], waste: Waste
) -> tuple[Finding, ...]:
    """Thin strips of waste, pieces finished on their tabs alone, and pieces that give way under the finish cut."""
    hanging = hanging_pieces(moves, woods)
    last_n = PUSH_N * thin_mm(moves) / moves.board.thickness_mm
    hangs = {one.piece for one in hanging}
    pushes = {number: PUSH_N if number in hangs else last_n for number in range(len(woods))}
    return (
        *check_strips(moves, waste, is_waste=bool(woods)),
        *check_hanging(moves, woods, hanging),
        *check_yields(moves, weak_pieces(woods, tabs, waste, pushes)),
    )


def check_strips(moves: BoardMoves, waste: Waste, *, is_waste: bool) -> tuple[Finding, ...]:
    """All thin strips of a board in one sentence, those that are thin only further up where there are no others.

    A warning where nobody said what is waste.
    """
    strips = thin_strips(waste) or thin_strips(upper_waste(moves, waste))
    if not strips:
        return ()
    worst, board = strips[0], moves.board.id
    what = "waste" if is_waste else "wood"
    many = f"a strip of {what} stands" if len(strips) == 1 else f"{len(strips)} strips of {what} stand"
    size = f"{show_length(worst.length_mm)} long and {show_length(worst.thickness_mm)} thick"
    least = least_standing_mm(worst.height_mm)
    return (
        Finding(
            code=Code.HOLDING_SLIVER,
            severity=Severity.ERROR if is_waste else Severity.WARNING,
            text=f"on board {board} {many} too thin to stand up to the bit"
            f"{'' if len(strips) == 1 else ', the longest one'} {size}, at {show_place(worst.point)}; wood so high "
            f"wants {show_length(least)}.",
            advice="Lay the pieces further apart, or so near that their cuts meet.",
            where=Where(board=board, point=(*worst.point, -worst.height_mm)),
            measured=worst.thickness_mm,
            limit=least,
        ),
    )


FINISHED_HANGING: Final = Severity.ERROR
"""How much it weighs that a piece cut through all round is finished on its tabs alone; else it is a warning."""


def check_hanging(moves: BoardMoves, woods: Sequence[PieceAsCut], hanging: Sequence[Hanging]) -> tuple[Finding, ...]:
    """Pieces that nothing but tabs holds when their walls are finished, in one sentence with the worst of them.

    Tape or a vacuum under all of the board holds them too.
    """
    if not hanging or moves.board.held_by in PRESSED_ALL_OVER:
        return ()
    worst = max(hanging, key=lambda one: (one.is_all_round, one.share_ratio))
    piece = woods[worst.piece].design.piece.id
    height = hanging_height_mm(moves, woods[worst.piece], worst)
    others = f" So it is with {len(hanging) - 1} more." if len(hanging) > 1 else ""
    where = where_of(moves, worst.finished, piece=piece)
    return (
        Finding(
            code=Code.HOLDING_HANGING,
            severity=FINISHED_HANGING if worst.is_all_round else Severity.WARNING,
            text=f"{piece} hangs on its tabs alone when {show_small(height)} of its wall is finished along "
            f"{100 * worst.share_ratio:.0f} % of its edge: the floor round it is gone by then, since line "
            f"{moves.line_of(worst.freed)}.{others}",
            advice="Rough down to a floor, finish the walls to it, and cut through last; or hold the board "
            'by tape: stock = "tape" in [holding].',
            where=where,
            measured=height,
            limit=thin_mm(moves),
        ),
    )


def check_yields(moves: BoardMoves, weak: Sequence[Weak]) -> tuple[Finding, ...]:
    """The piece of a board that gives way most under its finish cut, where that is more than YIELD_MM."""
    found = [one for one in weak if one.yield_mm > YIELD_MM]
    if not found:
        return ()
    worst = max(found, key=lambda one: one.yield_mm)
    more = f", and {len(found) - 1} more like it," if len(found) > 1 else ""
    gives = show_small(worst.yield_mm) if worst.yield_mm < GIVES_MOST_MM else "more than the slot is wide"
    return (
        Finding(
            code=Code.HOLDING_WEAK,
            severity=Severity.WARNING,
            text=f"{worst.piece}{more} may give way by about {gives} under a finish cut of {worst.push_n:.0f} N at "
            f"{show_place(worst.at)}: {_what_holds(worst)}.",
            advice="Leave more wood there: a larger board, a larger margin in [[board]], or other turns in [[piece]].",
            where=Where(board=moves.board.id, piece=worst.piece, point=(*worst.at, 0.0)),
            measured=worst.yield_mm,
            limit=YIELD_MM,
        ),
    )


GIVES_MOST_MM: Final = 5.0
"""A yield larger than this says no more than that nothing holds; common practice, no source."""


def _what_holds(weak: Weak) -> str:
    """What a piece holds to: the web beside it, or neighbours one after another."""
    tab = weak.tab
    size = f"a tab {show_length(tab.tab.width_mm)} wide across a slot of {show_small(tab.slot_mm)}"
    if weak.web is not None:
        return f"{size} holds to wood {show_length(weak.web.web_mm)} thick over {show_length(weak.web.span_mm)}"
    if not weak.chain:
        return f"{size} holds to a neighbour"
    pieces = "a neighbour" if weak.chain == 1 else f"{weak.chain} neighbours, one after another,"
    return f"{size} holds to {pieces} before wood that stands still"


def check_board_held(manifest: Manifest, board: ManifestBoard) -> tuple[Finding, ...]:
    """A board of whose hold nobody said a word, or with clamps or screws too far apart; pieces must be known."""
    if board.held_by in PRESSED_ALL_OVER or not any(piece.board == board.id for piece in manifest.pieces):
        return ()
    where = Where(board=board.id)
    if not holds_of(board):
        return (
            Finding(
                code=Code.HOLDING_UNNAMED,
                severity=Severity.WARNING,
                text=f"nothing says where board {board.id} is held down.",
                advice="Name each clamp in [[board.no_go]] with its rise, or write in [holding] what holds the board: "
                'stock = "screws", "tape" or "vacuum".',
                where=where,
            ),
        )
    widest = widest_span(manifest, board)
    if widest is None or not board.span_mm or widest.span_mm <= board.span_mm:
        return ()
    return (
        Finding(
            code=Code.HOLDING_SPAN,
            severity=Severity.WARNING,
            text=f"board {board.id} is held only every {show_length(widest.span_mm)} about "
            f"{show_place(widest.point)}; more than {show_length(board.span_mm)} lets it spring and bow there, and the "
            "bit goes too deep.",
            advice='Hold it there too, by a clamp or screw in the waste, or by tape: stock = "tape" in [holding].',
            where=where,
            measured=widest.span_mm,
            limit=board.span_mm,
        ),
    )
