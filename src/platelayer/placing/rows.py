"""Pieces onto boards in plain rows, with room for the bit round each.

Glossary:
    row: pieces end to end along the board's x. Not a pass.
    gap, room, rim: as in ``offset.room``: between two pieces, round them, and along the board's edge.
    placement: which board a piece lies on and the pose of its own frame there.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.errors import Fault, NoRoom
from platelayer.geometry.contours import Bounds, bounds, rectangle, transform_contour
from platelayer.geometry.regions import EMPTY, Area, difference, furthest_x, intersection, parts, to_area
from platelayer.pieces.rim import bridged, lines_on_near_edge
from platelayer.placing.grain import turns_along_grain
from platelayer.placing.nesting_forms import Forms
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM
from platelayer.units import show_length
from platelayer.values.pieces import Piece, Placement, Turns
from platelayer.values.shapes import Point, Pose
from platelayer.values.tooling import Board


@dataclass(frozen=True, slots=True)
class _Box:
    """A piece turned along the grain: its index, form, turn, and bounds in the turned frame."""

    index: int
    form: int
    turn_rad: float
    low_x: float
    low_y: float
    width_mm: float
    height_mm: float
    straight_mm: float = 0.0
    """Length of its near edge, where that is one straight line from end face to end face, else 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """Distances that are kept: between pieces, to the edges of boards and what is no-go, and of rooms from edges.

    Between pieces of one row there is more where that costs no board: two slots and a web between them, by which the
    waste beside their pegs hangs on the rim. A side is ``fenced_least_mm`` long at least that lies on a board's own
    edge: a shorter piece gets too few tabs on its other side.
    """

    gap_mm: float
    along_mm: float
    clearance_mm: float
    rim_mm: float
    fenced_least_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Lacking:
    """One more row that a board has no height for: which it would be, and the height of board it needs."""

    row: int
    height_mm: float


def place_rows(pieces: Sequence[Piece], boards: Sequence[Board], *, apart: Apart) -> tuple[Placement, ...]:
    """Every piece placed in rows, tall rows first, boards filled in the order given.

    Rows keep the gap between them, and the outlines of the pieces in a row what is kept along one; one may reach into
    the empty corner of the other. The board's edge and what its outline lacks keep the rim and the room, or the margin
    where that is more; no-go areas keep the room. Pieces are turned along each board's grain, as near to it as their
    pegs allow.

    Args:
        pieces: in the order of the cut list.
        boards: in the order they are filled.
        apart: distances that are kept.

    Raises:
        NoRoom: a piece larger than every board, or more pieces than the boards hold; says how many more it takes.
    """
    boards = [rimmed(board, apart.rim_mm) for board in boards]
    boxes = {grain: _boxes(pieces, grain) for grain in dict.fromkeys(board.grain_rad for board in boards)}
    pitches = {grain: _Pitches(pieces, some, apart.along_mm) for grain, some in boxes.items()}
    too_large = [
        index
        for index in range(len(pieces))
        if not any(_fits(boxes[board.grain_rad][index], board, apart) for board in boards)
    ]
    if too_large:
        raise NoRoom(*(_too_large(pieces[index], index, boxes, boards, apart.clearance_mm) for index in too_large))
    waiting = set(range(len(pieces)))
    placements: list[Placement] = []
    for board in boards:
        tallest = _tallest_first(boxes[board.grain_rad], waiting)
        filled = _fill(board, tallest, apart=apart, pitches=pitches[board.grain_rad])
        placements.extend(filled.done)
        waiting.difference_update(placement.index for placement in filled.done)
    if waiting:
        grain = boards[-1].grain_rad
        rest = _tallest_first(boxes[grain], waiting)
        raise NoRoom(_too_many(pieces, rest, boards, lacking=filled.lacking, apart=apart, pitches=pitches[grain]))
    return tuple(sorted(placements, key=lambda placement: placement.index))


def lacking_row(pieces: Sequence[Piece], board: Board, *, apart: Apart) -> Lacking | None:
    """The row that a board just fails to take of these pieces; None where it lacks more, or takes them all."""
    boxes = _boxes(pieces, board.grain_rad)
    tallest, pitches = _tallest_first(boxes, range(len(pieces))), _Pitches(pieces, boxes, apart.along_mm)
    return _fill(rimmed(board, apart.rim_mm), tallest, apart=apart, pitches=pitches).lacking


def rimmed(board: Board, rim_mm: float) -> Board:
    """The board with a margin that leaves a rim at least between any kerf and its edge."""
    return replace(board, margin_mm=max(board.margin_mm, rim_mm))


def _boxes(pieces: Sequence[Piece], grain_rad: float) -> tuple[_Box, ...]:
    """Every piece turned along a grain, either way round the same; pieces of one shape worked out once."""
    known: dict[str, _Box] = {}
    for index, piece in enumerate(pieces):
        if piece.shape not in known:
            known[piece.shape] = _box(index, len(known), piece, grain_rad)
    return tuple(replace(known[piece.shape], index=index) for index, piece in enumerate(pieces))


def _box(index: int, form: int, piece: Piece, grain_rad: float) -> _Box:
    turns = turns_along_grain(replace(piece, turns=Turns.GRAIN), grain_rad=grain_rad)
    turn = min((math.remainder(turn, math.tau) for turn in turns), key=lambda turn: (round(abs(turn), 9), turn))
    low_x, low_y, high_x, high_y = bounds(transform_contour(piece.outline, Pose(0.0, 0.0, turn)))
    straight_mm = _straight_there_mm(piece, Pose(0.0, -low_y, turn))
    return _Box(index, form, turn, low_x, low_y, high_x - low_x, high_y - low_y, straight_mm)


def _straight_there_mm(piece: Piece, pose: Pose) -> float:
    """Length of the piece's side that lies along y = 0 where a pose puts it; 0 where none does."""
    there = replace(piece, outline=transform_contour(piece.outline, pose))
    return math.fsum(line.length_mm for line in lines_on_near_edge(there))


class _Pitches:
    """From one piece's left end to the next one's in a row, as near as their outlines let them; found once each."""

    def __init__(self, pieces: Sequence[Piece], boxes: Sequence[_Box], gap_mm: float) -> None:
        first = {box.form: box for box in reversed(boxes)}
        ordered = [first[form] for form in sorted(first)]
        outlines = [bridged(pieces[box.index])[0] for box in ordered]
        self.forms = Forms(outlines, [[box.turn_rad] for box in ordered], gap_mm=gap_mm)
        self._found: dict[tuple[int, int], float] = {}

    def after(self, row: Sequence[tuple[float, _Box]], box: _Box) -> float:
        """The least x of a box behind those that stand in the row, each given with its x."""
        return max((x + self._pitch_mm(before, box) for x, before in row), default=-math.inf)

    def _pitch_mm(self, first: _Box, second: _Box) -> float:
        key = (first.form, second.form)
        if key not in self._found:
            beside = self.forms.beside(*key)
            origins = furthest_x(beside, y=first.low_y - second.low_y)
            self._found[key] = min(first.width_mm + self.forms.gap_mm, origins + second.low_x - first.low_x)
        return self._found[key]


def _tallest_first(boxes: Sequence[_Box], indices: Iterable[int]) -> list[_Box]:
    chosen = [boxes[index] for index in indices]
    return sorted(chosen, key=lambda box: (-box.height_mm, -box.width_mm, box.index))


def may_lie_on_edge(piece: Piece, pose: Pose, board: Board, apart: Apart) -> bool:
    """The piece's side lies on the board's near edge there, and may be what that is, at a fence."""
    return _may_lie_on_edge(_straight_there_mm(piece, pose), board, apart)


def _may_lie_on_edge(straight_mm: float, board: Board, apart: Apart) -> bool:
    return board.fence_error_mm is not None and straight_mm >= max(apart.fenced_least_mm, COINCIDENT_MM)


def _fits(box: _Box, board: Board, apart: Apart) -> bool:
    edge = board.margin_mm + apart.clearance_mm
    beside = edge if _may_lie_on_edge(box.straight_mm, board, apart) else 2 * edge
    return box.width_mm + 2 * edge <= board.width_mm and box.height_mm + beside <= board.height_mm


@dataclass(frozen=True, slots=True)
class _Filled:
    """One board: pieces laid on it, those that still wait, and the next row if it just fails."""

    done: list[Placement]
    rest: list[_Box]
    lacking: Lacking | None


def _fill(board: Board, waiting: list[_Box], *, apart: Apart, pitches: _Pitches) -> _Filled:
    """Rows from the near edge up, each begun by the tallest piece waiting and filled with any that still fit.

    Where the near edge lies at a fence the first row is of straights, on the edge itself.
    """
    edge = board.margin_mm + apart.clearance_mm
    top, right = board.height_mm - edge, board.width_mm - edge
    done: list[Placement] = []
    row_y, rows, rest = (edge if board.fence_error_mm is None else 0.0), 0, list(waiting)
    areas, missing = [bounds(area.outline) for area in board.no_go], missing_wood(board)

    def clear_x(box: _Box, x: float) -> float:
        beside = missing_beside(missing, row_y - edge, row_y + box.height_mm + edge, margin_mm=board.margin_mm)
        return _clear_x(sorted([*areas, *beside], key=lambda one: one[2]), (x, row_y), box, apart.clearance_mm)

    while rest:
        at_fence = row_y < edge
        may = [box for box in rest if _may_lie_on_edge(box.straight_mm, board, apart)] if at_fence else rest
        first = next(
            (box for box in may if row_y + box.height_mm <= top and clear_x(box, edge) + box.width_mm <= right), None
        )
        if first is None and at_fence:
            row_y = edge
            continue
        if first is None:
            lifted = [far + apart.clearance_mm for _, _, _, far in areas if far + apart.clearance_mm > row_y]
            if not missing.is_empty and row_y < top:
                lifted.append(row_y + _CREEP_MM)
            if not lifted:
                break
            row_y = min(lifted)
            continue
        row: list[tuple[float, _Box]] = []
        for box in list(may):
            if box.height_mm > first.height_mm:
                continue
            x = clear_x(box, max(edge, pitches.after(row, box)))
            if x + box.width_mm <= right:
                row.append((x, box))
                rest.remove(box)
        done += [Placement(box.index, board.id, Pose(x - box.low_x, row_y - box.low_y, box.turn_rad)) for x, box in row]
        row_y, rows = row_y + first.height_mm + apart.gap_mm, rows + 1
    return _Filled(done, rest, _lacking(rest, rows, row_y + edge, board) if board.outline is None else None)


def _lacking(rest: Sequence[_Box], rows: int, taken_mm: float, board: Board) -> Lacking | None:
    """The next row, of the flattest piece waiting, where what the board is short of is little to such a row."""
    flattest = min((box.height_mm for box in rest), default=math.inf)
    needs = taken_mm + flattest
    is_short = board.height_mm < needs <= board.height_mm + _JUST_RATIO * flattest
    return Lacking(rows + 1, needs) if rows and is_short else None


_JUST_RATIO: Final = 0.5
"""A row just fails when the board lacks no more than this share of the piece's height."""


def missing_wood(board: Board) -> Area:
    """What the board's outline lacks of its width and height; nothing where it has none."""
    if board.outline is None:
        return EMPTY
    whole = rectangle((0.0, 0.0), (board.width_mm, board.height_mm))
    return difference(*(to_area(one, chord_mm=FLATTEN_CHORD_MM) for one in (whole, board.outline)))


def missing_beside(missing: Area, low_y: float, high_y: float, *, margin_mm: float) -> list[Bounds]:
    """Boxes round the parts of the missing wood between two heights, grown by the margin on the left and right."""
    if missing.is_empty:
        return []
    low_x, _, high_x, _ = missing.bounds
    strip = to_area(rectangle((low_x, low_y), (high_x, high_y)), chord_mm=FLATTEN_CHORD_MM)
    found = []
    for part in parts(intersection(missing, strip)):
        left, near, right, far = part.bounds
        found.append((left - margin_mm, near - margin_mm, right + margin_mm, far + margin_mm))
    return found


_CREEP_MM: Final = 5.0
"""Rows on a board with an outline of its own are tried this far apart."""


def _clear_x(no_go: Sequence[Bounds], at: Point, box: _Box, clearance_mm: float) -> float:
    """The first x from here on at which the box keeps its room from every no-go area; areas sorted by right end."""
    x, y = at
    for low_x, low_y, high_x, high_y in no_go:
        beside = y - clearance_mm < high_y and y + box.height_mm + clearance_mm > low_y
        if beside and x - clearance_mm < high_x and x + box.width_mm + clearance_mm > low_x:
            x = high_x + clearance_mm
    return x


def _too_large(
    piece: Piece, index: int, boxes: Mapping[float, Sequence[_Box]], boards: Sequence[Board], clearance_mm: float
) -> Fault:
    largest = max(boards, key=lambda board: board.width_mm * board.height_mm)
    box = boxes[largest.grain_rad][index]
    need = 2 * (largest.margin_mm + clearance_mm)
    return Fault(
        where=f"[[piece]] {piece.id}",
        problem=(
            f"needs {show_length(box.width_mm + need)} by {show_length(box.height_mm + need)} of board with the room"
            f" for the bit and the margin; board {largest.id} is {show_length(largest.width_mm)} by"
            f" {show_length(largest.height_mm)}"
        ),
        fix="Name a larger board, or make the piece shorter.",
    )


_ORDINALS: Final = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def lacking_words(lacking: Lacking, board: Board) -> str:
    """What one more row needs and what the board has, as the end of a sentence."""
    ordinal = _ORDINALS[lacking.row - 1] if lacking.row <= len(_ORDINALS) else f"{lacking.row}th"
    return (
        f"a {ordinal} row needs {show_length(lacking.height_mm)}, and board {board.id} is"
        f" {show_length(board.height_mm)} high"
    )


def _too_many(
    pieces: Sequence[Piece],
    waiting: list[_Box],
    boards: Sequence[Board],
    *,
    lacking: Lacking | None,
    apart: Apart,
    pitches: _Pitches,
) -> Fault:
    last, rest, more = boards[-1], waiting, 0
    while rest:
        left = _fill(last, rest, apart=apart, pitches=pitches).rest
        if len(left) == len(rest):
            break
        rest, more = left, more + 1
    names = ", ".join(sorted(pieces[box.index].id for box in waiting))
    if rest:
        fix = "Name a larger board."
    else:
        plural = "board" if more == 1 else "boards"
        fix = f"Give {more} more {plural} like {last.id}, {len(boards) + more} in all, or fewer pieces."
    given = "the board holds" if len(boards) == 1 else f"the {len(boards)} boards hold"
    short = "" if lacking is None else f"; {lacking_words(lacking, last)}"
    return Fault(
        where="[[board]]",
        problem=f"{given} {len(pieces) - len(waiting)} of {len(pieces)} pieces; no room for {names}{short}",
        fix=fix,
    )
