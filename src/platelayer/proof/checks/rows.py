"""Moves that break a rule: gathered by file, the worst of each, and where that is."""

from collections.abc import Iterator, Sequence

import numpy as np

from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.values.findings import Where
from platelayer.values.motion import Floats


def where_of(moves: BoardMoves, row: int, *, piece: str = "", point: tuple[float, float, float] | None = None) -> Where:
    """The place of a move: file, line, board and its end, or the point given."""
    return Where(
        file=moves.files[int(moves.file[row])].name,
        line=moves.line_of(row),
        board=moves.board.id,
        piece=piece,
        point=point if point is not None else moves.end(row),
    )


def by_file(moves: BoardMoves, rows: Rows) -> list[list[int]]:
    """Rows of each file that has any, in order."""
    return [rows[moves.file[rows] == number].tolist() for number in np.unique(moves.file[rows]).tolist()]


def worst_by_file(moves: BoardMoves, rows: Rows, measured: Floats) -> Iterator[tuple[list[int], int, float]]:
    """Rows of each file that has any, in order, with the worst of them and its measure, one for each move."""
    for some in by_file(moves, rows):
        yield some, *worst_of(some, measured)


def worst_of(rows: Sequence[int], measured: Floats) -> tuple[int, float]:
    """The row whose measure, one for each move, is largest, the first of several, and that measure."""
    worst = max(rows, key=lambda row: (float(measured[row]), -row))
    return worst, float(measured[worst])
