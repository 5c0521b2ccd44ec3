"""The least time that a board of placed pieces takes, before any path is made: volume by removal rate, walls by feed.

Glossary:
    bound, removal rate: as in ``values.minutes``.
    slot: what is cut away round the pieces; one slot between neighbours that lie near.

Roughing takes one bit's width beside each piece, down to the floor that holds until pieces are parted, and leaves the
allowance on its wall; where it takes more, for chips to find a way out, that is no part of the bound. Wood beyond the
board's edge is none. Walls are gone along as often as the bit's bend asks for levels of finish, and once for each level
from the floor to where they are parted, or to the skin.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from platelayer.geometry.contours import rectangle
from platelayer.geometry.discs import solid
from platelayer.geometry.regions import EMPTY, Area, buffered, difference, intersection, parts, to_area, union_all
from platelayer.offset.finish_ways import FinishWay, finish_way
from platelayer.offset.opening import sockets_opener
from platelayer.offset.outlines import outline_task, walls_way
from platelayer.offset.room import cut_depth_mm
from platelayer.offset.runs import loop_round, rim_of, wood_within
from platelayer.pieces.rim import lines_on_near_edge
from platelayer.tolerances import FINISH_ALLOWANCE_MM, SLIVER_MM
from platelayer.values.minutes import Operation, WorkBound
from platelayer.values.pieces import Piece, Role
from platelayer.values.tooling import Bit, Board, Job

_OF_PEGS: Final = frozenset({Role.PEG, Role.RELIEF})
_OF_SOCKETS: Final = frozenset({Role.SOCKET, Role.EASE})
_CHORD_MM: Final = SLIVER_MM
"""Arcs need no finer chords where an area stands for minutes."""


def bound_of(job: Job, boards: Sequence[Board], laid: Mapping[str, Sequence[Piece]]) -> tuple[WorkBound, ...]:
    """The least time by operation and bit, operations in the order in which they are cut.

    Args:
        job: bits, feeds, holding, edges.
        boards: the ones that pieces lie on; what a strip is fed for several times counts as often.
        laid: pieces in board coordinates, by board.
    """
    sums: dict[tuple[Operation, str], tuple[float, float, float]] = {}
    for board in boards:
        runs = max(1, len(board.feeds))
        pieces = laid.get(board.id, ())
        for operation, bit, volume, length, feed in _on_board(job, board, pieces) if pieces else ():
            was = sums.get((operation, bit), (0.0, 0.0, 0.0))
            as_long = length * job.cut_data(bit).feed_mm_min / feed if feed else length
            sums[operation, bit] = was[0] + volume * runs, was[1] + length * runs, was[2] + as_long * runs
    order = list(Operation)
    return tuple(
        _row(job, operation, bit, *sums[operation, bit])
        for operation, bit in sorted(sums, key=lambda key: order.index(key[0]))
        if any(sums[operation, bit])
    )


def _row(
    job: Job, operation: Operation, bit_id: str, volume_mm3: float, finish_mm: float, as_long_mm: float
) -> WorkBound:
    """A row of the bound; the walls take as long as so many mm at the bit's own feed."""
    bit, data = job.bit(bit_id), job.cut_data(bit_id)
    rate_mm3_min = bit.diameter_mm * data.stepdown_mm * data.feed_mm_min
    minutes = volume_mm3 / rate_mm3_min + as_long_mm / data.feed_mm_min
    return WorkBound(
        operation=operation, bit=bit_id, volume_mm3=volume_mm3, finish_mm=finish_mm, seconds_s=60 * minutes
    )


def _on_board(job: Job, board: Board, pieces: Sequence[Piece]) -> Iterable[tuple[Operation, str, float, float, float]]:
    """Operation, bit, volume in mm3, length of walls in mm and their feed, 0 for the bit's; one after another."""
    task = outline_task(pieces[0], job=job, board=board, clearance_mm=0.0)
    through, floor = cut_depth_mm(job, board), task.floor_mm
    is_parted = task.is_parted and not board.is_strip  # a strip's ends are finished through
    joints, outlines = job.bit(job.joints_bit), job.bit(job.outlines_bit)
    rims = [to_area(rim_of(piece).contour, chord_mm=_CHORD_MM) for piece in pieces]
    for piece, rim in zip(pieces, rims, strict=True):
        for groove in piece.grooves:
            volume = groove.path.length_mm * groove.width_mm * groove.depth_mm
            yield Operation.GROOVES, job.grooves_bit, volume, 0.0, 0.0
        openings_mm2 = math.fsum(to_area(one, chord_mm=_CHORD_MM).area for one in piece.inner)
        sockets_mm2 = difference(rim, solid(piece, chord_mm=_CHORD_MM)).area - openings_mm2
        sockets, pegs, others = _walls_mm(job, board, piece)
        inner, outer = _way(job, joints, through), walls_way(task)
        yield Operation.SOCKETS, sockets_opener(job), sockets_mm2 * through, 0.0, 0.0
        yield Operation.SOCKETS, joints.id, openings_mm2 * through, len(inner.levels) * sockets, _feed(inner)
        yield Operation.NOTCHES, joints.id, 0.0, len(inner.levels) * pegs, _feed(inner)
        yield Operation.FINISH, outlines.id, 0.0, len(outer.levels) * others, _feed(outer)
        parted = len(task.parting_levels) * others
        yield Operation.PARTING if is_parted else Operation.FINISH, outlines.id, 0.0, parted, 0.0
        yield from _edges(job, piece)
    slots_mm2 = _slots(board, rims, outlines).area
    left_mm2 = math.fsum(_left_at_pegs_mm2(job, piece, rim) for piece, rim in zip(pieces, rims, strict=True))
    yield Operation.NOTCHES, joints.id, left_mm2 * through, 0.0, 0.0
    yield Operation.SLOTS, outlines.id, (slots_mm2 - left_mm2) * floor, 0.0, 0.0


def _slots(board: Board, rims: Sequence[Area], bit: Bit) -> Area:
    """What roughing takes round the pieces, seen from above."""
    wood = to_area(board.outline or rectangle((0.0, 0.0), (board.width_mm, board.height_mm)), chord_mm=_CHORD_MM)
    spared, swept = (
        union_all([EMPTY, *(buffered(rim, reach, chord_mm=_CHORD_MM) for rim in rims)])
        for reach in (FINISH_ALLOWANCE_MM, FINISH_ALLOWANCE_MM + bit.diameter_mm)
    )
    cut = intersection(difference(swept, spared), wood)
    return union_all([EMPTY, *parts(cut)])  # where rim and board end together there are lines too


def _left_at_pegs_mm2(job: Job, piece: Piece, rim: Area) -> float:
    """The waste beside pegs that the outlines bit leaves to one for joints; none where it cuts them itself."""
    if not job.has_own_joints_bit:
        return 0.0
    radius_mm = job.bit(job.outlines_bit).radius_mm
    loop = loop_round(rim_of(piece, off_pegs_mm=radius_mm + FINISH_ALLOWANCE_MM), radius_mm)
    return 0.0 if loop is None else difference(wood_within(loop.contour, radius_mm), rim).area


def _way(job: Job, bit: Bit, depth_mm: float) -> FinishWay:
    return finish_way(depth_mm, bit=bit, data=job.cut_data(bit.id), side_mm=FINISH_ALLOWANCE_MM)


def _feed(way: FinishWay) -> float:
    return way.thin.feed_mm_min if way.thin is not None else 0.0


def _walls_mm(job: Job, board: Board, piece: Piece) -> tuple[float, float, float]:
    """Walls of sockets and openings, of pegs that the outlines bit does not cut, and the rest that it does.

    The long edges of a strip stay as they are, and the board's own edge at a fence.
    """
    sockets = _along(piece, _OF_SOCKETS) + math.fsum(opening.length_mm for opening in piece.inner)
    around = {Role.FACE} if board.is_strip else {Role.FACE, Role.SIDE}
    pegs = _along(piece, _OF_PEGS)
    own = lines_on_near_edge(piece) if board.fence_error_mm is not None else ()
    spared = math.fsum(line.length_mm for line in own)
    is_one_bit = not job.has_own_joints_bit
    others = _along(piece, frozenset(around)) - spared
    return sockets, 0.0 if is_one_bit else pegs, others + (pegs if is_one_bit else 0.0)


def _along(piece: Piece, roles: frozenset[Role]) -> float:
    pairs = zip(piece.outline.segments, piece.labels, strict=True)
    return math.fsum(segment.length_mm for segment, label in pairs if label.role in roles)


def _edges(job: Job, piece: Piece) -> Iterable[tuple[Operation, str, float, float, float]]:
    if job.edges.outer_bit:
        around = piece.outline.length_mm + math.fsum(opening.length_mm for opening in piece.inner)
        yield Operation.EDGES, job.edges.outer_bit, 0.0, around, 0.0
    if job.edges.groove_bit:
        yield (
            Operation.EDGES,
            job.edges.groove_bit,
            0.0,
            2 * math.fsum(one.path.length_mm for one in piece.grooves),
            0.0,
        )
