"""What comes loose: wood that loses its last connection, and when.

Glossary:
    hold: what keeps a part of the board from going: a clamp or screw that stands on it, tape or a vacuum under it. If
        nobody said what holds the board, the largest part that reaches its edge counts as held.
    part: wood that hangs together by more than SLUG_WIDTH_MM where pieces must be held, in the skin or else at the
        underside; thinner bridges hold nothing.
    zone: a place cleared so wide that an island could have stood in it for a while before it was cut away.
    slug: a part without a piece in it, wider somewhere than SLUG_WIDTH_MM.

Pieces hang on their neighbours by the tabs that stand across the slots between them: a part is a whole chain of them,
with the waste it hangs on, and it is held where any of it is.

Wood only ever goes, so what hangs together at the end always did; what is loose at the end came loose at one move,
found by halving. Islands that come loose and are cut away later are looked for where they could have stood: in zones,
move by move.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from platelayer.gcode.board_frame import board_area
from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.geometry.regions import (
    EMPTY,
    Area,
    box,
    buffered,
    difference,
    inner_point,
    inner_rings,
    intersection,
    near_pairs,
    parts,
    points_area,
    polygon_through,
    to_area,
    union,
    union_all,
)
from platelayer.manifest.schema import ManifestBoard
from platelayer.proof.as_cut import PieceAsCut, holding_mm
from platelayer.proof.holds import PRESSED_ALL_OVER, holds_of
from platelayer.proof.removal import near, runs_through, swept
from platelayer.tolerances import DEPTH_MM, LEFTOVER_MM, SLUG_GRAIN_MM, SLUG_WIDTH_MM, TAPE_HOLDS_MM2
from platelayer.values.shapes import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """A part that no clamp holds: the pieces in it, a point of it, its area, the move that freed it, what is so of it.

    ``move`` is -1 where no single move can be named. ``is_taped``: what holds the board from below is enough for it.
    """

    pieces: tuple[str, ...]
    point: Point
    area_mm2: float
    move: int
    is_at_edge: bool
    is_taped: bool = False


def freed_parts(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> tuple[Freed, ...]:
    """Every part that no clamp or screw holds when the files have been cut, pieces first, then by place."""
    depth_mm = max((holding_mm(wood.design) for wood in woods), default=moves.board.thickness_mm - DEPTH_MM)
    elsewhere = _elsewhere(moves, woods, depth_mm)
    through = union_all([*(wood.holding for wood in woods), elsewhere])
    if through.is_empty:
        return ()
    board = board_area(moves.board)
    thick = _thick(difference(board, through.simplify(LEFTOVER_MM / 2)))
    edge = buffered(board, -SLUG_WIDTH_MM, chord_mm=LEFTOVER_MM)
    at_edge = [not edge.contains(part) for part in thick]
    held = _held(moves.board, thick, at_edge)
    inside = _pieces_in(thick, woods)
    found = []
    for at, part in enumerate(thick):
        if at not in held:
            move = -1 if at_edge[at] and not inside[at] else _freeing(moves, part, depth_mm)
            found.append(
                Freed(
                    pieces=tuple(wood.design.piece.id for wood in inside[at]),
                    point=inner_point(part),
                    area_mm2=part.area,
                    move=move,
                    is_at_edge=at_edge[at],
                    is_taped=_is_taped(moves.board, part, inside[at]),
                )
            )
    return tuple(sorted(found, key=lambda loose: (not loose.pieces, loose.point)))


def _held(board: ManifestBoard, areas: Sequence[Area], at_edge: Sequence[bool]) -> frozenset[int]:
    """The parts that stay whatever comes: those under clamps or screws, else the one that counts as the board."""
    holds = [to_area(hold.outline, chord_mm=LEFTOVER_MM) for hold in holds_of(board)]
    if holds and board.held_by not in PRESSED_ALL_OVER:
        return frozenset(near_pairs(areas, holds, SLUG_WIDTH_MM)[0].tolist())
    is_pressed = board.held_by in PRESSED_ALL_OVER
    most = max(range(len(areas)), key=lambda at: (at_edge[at] or is_pressed, areas[at].area), default=-1)
    return frozenset((most,))


def _pieces_in(areas: Sequence[Area], woods: Sequence[PieceAsCut]) -> list[list[PieceAsCut]]:
    inside: list[list[PieceAsCut]] = [[] for _ in areas]
    places = points_area([inner_point(wood.design.solid) for wood in woods]) if woods else ()
    for part, piece in zip(*near_pairs(areas, places, 0.0).tolist(), strict=True):
        inside[part].append(woods[piece])
    return inside


def _is_taped(board: ManifestBoard, part: Area, inside: Sequence[PieceAsCut]) -> bool:
    """Tape or a vacuum holds a part, and enough of it besides each piece that hangs on it by tabs."""
    largest = max((wood.design.solid.area for wood in inside), default=0.0)
    return board.held_by in PRESSED_ALL_OVER and part.area - largest >= TAPE_HOLDS_MM2


def _elsewhere(moves: BoardMoves, woods: Sequence[PieceAsCut], depth_mm: float) -> Area:
    """Sweep at the underside of the moves that come near no piece."""
    seen = np.zeros(len(moves), np.bool_)
    for wood in woods:
        seen[wood.rows] = True
    return swept((runs_through(moves, np.flatnonzero(~seen), depth_mm),))


def _thick(area: Area) -> tuple[Area, ...]:
    """The parts of an area without what is thinner than SLUG_WIDTH_MM, each eroded by half of that."""
    return parts(buffered(area, -SLUG_WIDTH_MM / 2, chord_mm=LEFTOVER_MM))


def _freeing(moves: BoardMoves, part: Area, depth_mm: float) -> int:
    """The move that cut the part's last connection, by halving over the moves that go through beside it."""
    low_x, low_y, high_x, high_y = part.bounds
    margin = 2 * float(moves.radius.max()) + SLUG_WIDTH_MM
    window = box((low_x - margin, low_y - margin), (high_x + margin, high_y + margin))
    inner = buffered(window, -SLUG_WIDTH_MM, chord_mm=LEFTOVER_MM)
    wood = intersection(window, board_area(moves.board))
    rows = runs_through(moves, near(moves, part.bounds, margin), depth_mm).moves
    order = np.sort(np.concatenate(rows)) if rows else np.zeros(0, np.intp)

    def is_freed(count: int) -> bool:
        stands = difference(wood, swept((runs_through(moves, order[:count], depth_mm),)))
        home = [some for some in _thick(stands) if some.distance(part) < SLUG_WIDTH_MM / 4]
        return all(inner.contains(some) for some in home)

    low, high = 0, len(order)
    if not is_freed(high):
        return -1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if is_freed(middle) else (middle + 1, high)
    return int(order[low - 1]) if low else -1


def passing_islands(moves: BoardMoves, woods: Sequence[PieceAsCut]) -> tuple[Freed, ...]:
    """Islands that came loose for a while and were cut away afterwards, in the order they came loose."""
    underside = moves.board.thickness_mm - DEPTH_MM
    known: dict[bytes, tuple[int, float, tuple[float, float]] | None] = {}
    found: dict[int, Freed] = {}
    for wood in woods:
        for zone in _zones(moves, wood):
            rows = _through_rows(moves, near(moves, zone.bounds, SLUG_WIDTH_MM, among=wood.rows), underside)
            if not len(rows):
                continue
            corner = np.asarray(zone.bounds[:2])
            key = _likeness(moves, rows, corner)
            if key not in known:
                known[key] = first_island(moves, rows, zone, underside)
            island = known[key]
            if island is not None:
                at, area_mm2, offset = island
                point = float(corner[0] + offset[0]), float(corner[1] + offset[1])
                row = int(rows[at])
                found[row] = Freed(pieces=(), point=point, area_mm2=area_mm2, move=row, is_at_edge=False)
    return tuple(found[row] for row in sorted(found))


def _through_rows(moves: BoardMoves, rows: Rows, depth_mm: float) -> Rows:
    runs = runs_through(moves, rows, depth_mm)
    return np.sort(np.concatenate(runs.moves)) if len(runs) else np.zeros(0, np.intp)


def _zones(moves: BoardMoves, wood: PieceAsCut) -> tuple[Area, ...]:
    """Where an island with a slot round it could have stood: two radii and half a slug from the edge of what is cut."""
    through = moves.radius[_through_rows(moves, wood.rows, moves.board.thickness_mm - DEPTH_MM)]
    if not len(through):
        return ()
    reach = 2 * float(through.min()) + SLUG_WIDTH_MM / 2 - LEFTOVER_MM
    inner = parts(buffered(wood.through.simplify(LEFTOVER_MM, preserve_topology=False), -reach, chord_mm=LEFTOVER_MM))
    return parts(union_all([buffered(part, reach, chord_mm=LEFTOVER_MM) for part in inner])) if inner else ()


def _likeness(moves: BoardMoves, rows: Rows, corner: np.ndarray) -> bytes:
    """The same for zones whose moves are the same but for where they are."""
    places = [np.rint((moves.plan(row) - corner) / SLUG_GRAIN_MM).astype(np.int64).tobytes() for row in rows.tolist()]
    return b"|".join(places) + moves.radius[rows].tobytes()


def first_island(
    moves: BoardMoves, rows: Rows, zone: Area, depth_mm: float
) -> tuple[int, float, tuple[float, float]] | None:
    """Which row first leaves an island in the zone that is cut away later; its area, its place from the corner."""
    low_x, low_y = zone.bounds[:2]
    runs = runs_through(moves, rows, depth_mm, is_single=True)
    each = [
        buffered(line.simplify(SLUG_GRAIN_MM / 4), radius, chord_mm=SLUG_GRAIN_MM)
        for line, radius in zip(runs.lines, runs.radius_mm.tolist(), strict=True)
    ]
    cut_later = buffered(union_all(each), -SLUG_GRAIN_MM, chord_mm=SLUG_GRAIN_MM)
    gone: Area = EMPTY
    known: set[tuple[float, ...]] = set()
    for at, sweep in enumerate(each):
        gone = union(gone, sweep)
        for ring in inner_rings(gone):
            likeness = (*ring.bounds, ring.length)
            if likeness in known:  # what stood in it before still does
                continue
            known.add(likeness)
            hole = polygon_through(ring.coords)
            thick = intersection(union_all(_thick(hole)), zone)
            if not thick.is_empty and cut_later.intersects(thick):
                point = inner_point(thick)
                return at, hole.area, (point[0] - low_x, point[1] - low_y)
    return None
