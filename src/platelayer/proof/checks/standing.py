"""Does all that must stand up to the bit do so: strips of waste, wood that tabs hold to, the board between holds?"""

from collections.abc import Sequence
from typing import Final

from platelayer.gcode.moves import BoardMoves
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.holds import holds_of, widest_span
from platelayer.proof.slivers import Waste, least_standing_mm, thin_strips, waste_of
from platelayer.proof.webs import PUSH_N, weak_piece
from platelayer.tolerances import PLAY_MM
from platelayer.units import show_length, show_place, show_small
from platelayer.values.findings import Code, Finding, Severity, Where

YIELD_MM: Final = PLAY_MM
"""What tabs hold to may give way by this under the finish cut: what a hand feels in a joint."""

PRESSED_ALL_OVER: Final = ("tape", "vacuum")
"""What holds a board at every place."""


def check_standing(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> tuple[Finding, ...]:
    """Thin strips of waste, and pieces whose tabs hold to wood that gives way."""
    waste = waste_of(moves, woods)
    return (*check_strips(moves, waste, is_waste=bool(woods)), *check_webs(moves, woods, waste))


def check_strips(moves: BoardMoves, waste: Waste, *, is_waste: bool) -> tuple[Finding, ...]:
    """All thin strips of a board in one sentence; a warning where nobody said what is waste."""
    strips = thin_strips(waste)
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


def check_webs(moves: BoardMoves, woods: Sequence[PieceAsCut], waste: Waste) -> tuple[Finding, ...]:
    """The piece of a board whose tabs hold to the least stiff wood, where that gives way by more than YIELD_MM."""
    found = [weak for wood in woods if (weak := weak_piece(wood, waste)) is not None and weak.yield_mm > YIELD_MM]
    if not found:
        return ()
    worst = max(found, key=lambda weak: weak.yield_mm)
    more = f", and {len(found) - 1} more like it" if len(found) > 1 else ""
    gives = show_small(worst.yield_mm) if worst.yield_mm < worst.span_mm else "more than its own width"
    return (
        Finding(
            code=Code.HOLDING_WEAK,
            severity=Severity.WARNING,
            text=f"the wood that the tabs of {worst.piece} hold to{more} gives way by about {gives} under a finish cut "
            f"of {PUSH_N:.0f} N: {show_length(worst.web_mm)} thick over {show_length(worst.span_mm)} at "
            f"{show_place(worst.tab.at)}.",
            advice="Leave more wood there: a larger board, a larger margin in [[board]], or other turns in [[piece]].",
            where=Where(board=moves.board.id, piece=worst.piece, point=(*worst.tab.at, 0.0)),
            measured=worst.yield_mm,
            limit=YIELD_MM,
        ),
    )


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
