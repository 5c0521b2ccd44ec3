"""Straights of one length laid one bit apart, so that one cut parts two of them: which may, which do, and where.

Glossary:
    stack: as in ``pieces.stacks``. pitch: from centre line to centre line in it.
    block: what is laid as one piece: a stack, or a piece that is in none.

Who shares a cut is read off the placements alone, so that places kept from an earlier make share as they did then.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby, pairwise
from typing import Final

from platelayer.geometry.contours import inverse_pose, transform_point, transform_pose
from platelayer.pieces.stacks import lain_in_stack, stack_of
from platelayer.tolerances import COINCIDENT_MM, PROGRAM_STEP_MM
from platelayer.values.pieces import Piece, Placement
from platelayer.values.shapes import Point, Pose
from platelayer.values.tooling import Board


@dataclass(frozen=True, slots=True)
class Sharing:
    """Indices of the pieces that may share cuts, how wide these are, and the pitch of neighbours that share one.

    The pieces are straights of one track; nobody shares by default.
    """

    pitch_mm: float = 0.0
    kerf_mm: float = 0.0
    members: frozenset[int] = frozenset()


NOBODY: Final = Sharing()
"""No piece shares a cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidStack:
    """A stack on a board: its frame's pose there, and its pieces near to far: index, and whether turned in it."""

    board_id: str
    pose: Pose
    members: tuple[tuple[int, bool], ...]

    @property
    def indices(self) -> tuple[int, ...]:
        """Indices of its pieces, near to far."""
        return tuple(index for index, _ in self.members)


@dataclass(frozen=True, slots=True)
class Block:
    """What is laid as one piece, and the indices of the pieces in it, near to far."""

    piece: Piece
    members: tuple[int, ...]


def tallest_stack(board: Board, sharing: Sharing, *, clearance_mm: float) -> int:
    """How many straights a stack has at most that lies along the grain of a board."""
    is_across = abs(math.sin(board.grain_rad)) > math.sqrt(0.5)
    height = board.width_mm if is_across else board.height_mm
    inside = height - 2 * (board.margin_mm + clearance_mm) + sharing.kerf_mm
    return max(1, math.floor(inside / sharing.pitch_mm + COINCIDENT_MM))


def blocks_of(pieces: Sequence[Piece], sharing: Sharing, *, most: int) -> tuple[Block, ...]:
    """Stacks of as many as that at most, evenly filled, and every other piece by itself; by their first pieces."""
    single = [(index,) for index in range(len(pieces)) if index not in sharing.members]
    stacks: list[tuple[int, ...]] = []
    by_length = sorted(sharing.members, key=lambda index: (round(pieces[index].length_mm, 6), index))
    for _, group in groupby(by_length, key=lambda index: round(pieces[index].length_mm, 6)):
        stacks += _evenly(list(group), most)
    return tuple(
        Block(pieces[members[0]] if len(members) == 1 else _stacked(pieces, members, sharing), members)
        for members in sorted([*single, *stacks])
    )


def _stacked(pieces: Sequence[Piece], members: Sequence[int], sharing: Sharing) -> Piece:
    return stack_of([(pieces[index], False) for index in members], pitch_mm=sharing.pitch_mm).around


def _evenly(indices: Sequence[int], most: int) -> Iterator[tuple[int, ...]]:
    """The indices in as few groups as can be, whose sizes differ by one at most."""
    count = math.ceil(len(indices) / most)
    for number in range(count):
        yield tuple(indices[number * len(indices) // count : (number + 1) * len(indices) // count])


def laid_apart(blocks: Sequence[Block], placements: Sequence[Placement], sharing: Sharing) -> tuple[Placement, ...]:
    """Placements of the pieces, in their order, from those of the blocks they are in."""
    found = []
    for placement in placements:
        block = blocks[placement.index]
        for number, index in enumerate(block.members):
            own = lain_in_stack(number, length_mm=block.piece.length_mm, pitch_mm=sharing.pitch_mm)
            found.append(Placement(index, placement.board_id, transform_pose(own, placement.pose)))
    return tuple(sorted(found, key=lambda placement: placement.index))


def stacks_of(pieces: Sequence[Piece], placements: Sequence[Placement], sharing: Sharing) -> tuple[LaidStack, ...]:
    """The stacks that these placements make, by board and first index; end faces and kerfs fit to PROGRAM_STEP_MM."""
    beside: dict[int, list[int]] = {}
    where = {placement.index: placement for placement in placements if placement.index in sharing.members}
    for first, second in combinations(sorted(where), 2):
        if _are_beside(pieces, where[first], where[second], sharing.pitch_mm):
            beside.setdefault(first, []).append(second)
            beside.setdefault(second, []).append(first)
    found: list[LaidStack] = []
    seen: set[int] = set()
    for index in sorted(beside):
        if index not in seen and len(beside[index]) == 1:
            run = _run(index, beside)
            seen.update(run)
            found.append(_laid(pieces, [where[one] for one in run], sharing.pitch_mm))
    return tuple(sorted(found, key=lambda stack: (stack.board_id, min(stack.indices))))


def neighbours_of(stacks: Sequence[LaidStack]) -> frozenset[frozenset[int]]:
    """Every two pieces that one cut parts."""
    return frozenset(frozenset(pair) for stack in stacks for pair in pairwise(stack.indices))


def _run(first: int, beside: Mapping[int, Sequence[int]]) -> list[int]:
    """From one end of a stack to the other."""
    run = [first]
    while more := [other for other in beside[run[-1]] if other not in run[-2:]]:
        run.append(more[0])
    return run


def _line(piece: Piece, pose: Pose, frame: Pose) -> tuple[Point, Point]:
    """The centre line of a placed straight, as seen in a frame on its board."""
    home = inverse_pose(frame)
    start, end = piece.routes[0].path.start, piece.routes[0].path.end
    return transform_point(transform_point(start, pose), home), transform_point(transform_point(end, pose), home)


def _are_beside(pieces: Sequence[Piece], one: Placement, other: Placement, pitch_mm: float) -> bool:
    """One lies in a stack next to the other: of one length, face beside face, a kerf between their long edges."""
    length = pieces[one.index].length_mm
    if one.board_id != other.board_id or abs(length - pieces[other.index].length_mm) > COINCIDENT_MM:
        return False
    start, end = _line(pieces[other.index], other.pose, one.pose)
    return any(
        math.dist(start, (near, across)) <= PROGRAM_STEP_MM and math.dist(end, (far, across)) <= PROGRAM_STEP_MM
        for near, far in ((0.0, length), (length, 0.0))
        for across in (pitch_mm, -pitch_mm)
    )


def _laid(pieces: Sequence[Piece], run: Sequence[Placement], pitch_mm: float) -> LaidStack:
    """The stack of a run of neighbours, in the frame in which all others lie on the first one's left."""
    first, length = run[0], pieces[run[0].index].length_mm
    second, _ = _line(pieces[run[1].index], run[1].pose, first.pose)
    pose = first.pose
    if second[1] < 0:
        pose = transform_pose(lain_in_stack(0, length_mm=length, pitch_mm=pitch_mm, is_turned=True), first.pose)
    lines = [_line(pieces[placement.index], placement.pose, pose) for placement in run]
    return LaidStack(
        board_id=first.board_id,
        pose=pose,
        members=tuple((one.index, start[0] > end[0]) for one, (start, end) in zip(run, lines, strict=True)),
    )
