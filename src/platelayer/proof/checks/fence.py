"""Pieces whose edge is the board's own, at a fence: is it where the board's zero says, and does the bit stay off it?

Glossary:
    own edge: the stretch of a piece's outline that the manifest says is the board's near edge, y = 0; it is not cut.
    fence: what that edge lies against. Its error: how far the edge may be out of line.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from platelayer.gcode.moves import BoardMoves
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.proof.checks.rows import where_of
from platelayer.proof.engagement import cutting_rows
from platelayer.tolerances import COINCIDENT_MM, GOUGE_MM
from platelayer.units import show_length, show_small
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.shapes import Line, Segment


def check_fence(moves: BoardMoves, pieces: Sequence[ManifestPiece]) -> tuple[Finding, ...]:
    """Each own edge lies on the board's, none is there unsaid, the bit stays off the fence; what width to expect."""
    board = moves.board
    found = [finding for piece in pieces for finding in _edge_faults(piece, board)]
    if board.fence_error_mm is not None:
        found += _into_fence(moves)
        own = [piece for piece in pieces if piece.own_edge is not None]
        found += [_promised(own, board, board.fence_error_mm)] if own else ()
    return tuple(found)


def _edge_faults(piece: ManifestPiece, board: ManifestBoard) -> Iterator[Finding]:
    own = piece.own_edge.segments if piece.own_edge is not None else ()
    if own and board.fence_error_mm is None:
        text = f"{piece.id}: its edge is said to be the board's own, and board {board.id} lies at no fence."
        yield _fault(piece, text)
    off_mm = max((max(abs(one.start[1]), abs(one.end[1])) for one in own), default=0.0)
    if off_mm > GOUGE_MM or not all(_is_part(one, piece.outline.segments) for one in own):
        text = f"{piece.id}: the edge that is said to be the board's own lies {show_small(off_mm)} from the board's."
        yield _fault(piece, text, off_mm)
    if board.outline is None and not board.is_strip:
        unsaid = [one for one in piece.outline.segments if _lies_on_edge(one) and not _is_part(one, own)]
        if unsaid:
            text = f"{piece.id} ends with the board, where nothing is cut, and nobody says that this edge is planed."
            yield _fault(piece, text)


def _lies_on_edge(segment: Segment) -> bool:
    return isinstance(segment, Line) and max(abs(segment.start[1]), abs(segment.end[1])) <= GOUGE_MM


def _is_part(segment: Segment, segments: Sequence[Segment]) -> bool:
    """One of the segments is this one."""
    places = np.array([(*segment.start, *segment.end)])
    others = np.array([(*one.start, *one.end) for one in segments]).reshape(-1, 4)
    return bool((np.abs(others - places).max(axis=1, initial=0.0) <= COINCIDENT_MM).any())


def _into_fence(moves: BoardMoves) -> Iterator[Finding]:
    """The move that goes furthest into the fence: its middle stays over the board."""
    rows = cutting_rows(moves)
    rows = rows[moves.low[rows, 1] < -GOUGE_MM]
    if len(rows):
        worst = int(rows[moves.low[rows, 1].argmin()])
        over_mm = -float(moves.low[worst, 1])
        yield Finding(
            code=Code.SHAPE_BOARD_EDGE,
            text=f"the bit goes {show_small(over_mm + float(moves.radius[worst]))} into the fence; no more than its "
            f"radius, {show_small(float(moves.radius[worst]))}, is needed.",
            advice="Make the job again; the file was changed.",
            where=where_of(moves, worst),
            measured=over_mm,
            limit=0.0,
        )


def _fault(piece: ManifestPiece, text: str, measured: float | None = None) -> Finding:
    return Finding(
        code=Code.SHAPE_BOARD_EDGE,
        text=text,
        advice="Make the job again, or write fence_error in [[board]] if that edge is planed and lies at a fence.",
        where=Where(board=piece.board, piece=piece.id),
        measured=measured,
        limit=None if measured is None else GOUGE_MM,
    )


def _promised(own: Sequence[ManifestPiece], board: ManifestBoard, error_mm: float) -> Finding:
    names = own[0].id if len(own) == 1 else f"{own[0].id} and {len(own) - 1} more"
    return Finding(
        code=Code.SHAPE_BOARD_EDGE,
        severity=Severity.WARNING,
        text=f"the near edge of board {board.id} is the own edge of {names}: their width, and their grooves' place in "
        f"it, are true to {show_length(error_mm)}, as that edge is.",
        advice="Push the board against the fence along its front edge before you zero y, and zero y on the fence. Let "
        "it be of wood and no higher than the board: the bit reaches into it by its radius beside each piece. Without "
        "fence_error in [[board]] that edge is cut as well.",
        where=Where(board=board.id),
        measured=error_mm,
    )
