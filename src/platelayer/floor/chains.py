"""A chain of pieces and joints between two fixed places, composed exactly for any pose of its joints.

Glossary:
    step: what a piece does to a pose, from where it is entered to where it is left.
    leaves by a peg: the piece before the joint has the peg; the joint's pose is that of its socket all the same.

A pose is written as a complex number z = x + i y and a heading; poses compose as z = z1 + exp(i h1) z2, h = h1 + h2.
A joint at opening o, shift s and angle a, in its socket's end frame, carries on by o + i s and turns by a where the
socket is left, and by exp(-i a) (o + i s) and -a where the peg is (derived here: one pose is the inverse of the other,
seen the other way).
"""

import cmath
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from platelayer.floor.composing import MATE, Way, through
from platelayer.floor.gaps import Gap
from platelayer.floor.play import PlayRegion
from platelayer.geometry.contours import inverse_pose, transform_pose, wrapped
from platelayer.geometry.placing import facing
from platelayer.values.layout import LaidFloor, Miss, Stock, WallName
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Pose

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ChainJoint:
    """A joint of a chain: its region of play, and whether the piece before it has the peg; ``name`` says where."""

    name: str
    region: PlayRegion
    leaves_by_peg: bool


@dataclass(frozen=True, slots=True)
class Chain:
    """Steps with a joint after each but where there is none, and the goal that all of it is to come to.

    Where only a wall is to be met, what counts is how far the end is from it, straight ahead. A step that slides is a
    straight whose length is still to be chosen.
    """

    steps: tuple[Pose, ...]
    joints: tuple[ChainJoint | None, ...]
    goal: Pose
    meets_wall: bool = False
    slides: int | None = None

    @property
    def counted(self) -> Floats:
        """(k, 3) what of a miss counts, by rows: all three of it, or the one straight ahead."""
        ahead = self.goal.heading_rad
        return np.array([[math.cos(ahead), math.sin(ahead), 0.0]]) if self.meets_wall else np.eye(3)

    @property
    def places(self) -> tuple[int, ...]:
        """Steps after which a joint stands."""
        return tuple(index for index, joint in enumerate(self.joints) if joint is not None)


def end_of(chain: Chain, poses: Floats) -> Pose:
    """Where the chain ends with its joints at (n, 3) poses, counted from home."""
    z, heading = 0j, 0.0
    row = 0
    for step, joint in zip(chain.steps, chain.joints, strict=True):
        z, heading = z + cmath.exp(1j * heading) * complex(step.x, step.y), heading + step.heading_rad
        if joint is not None:
            move, turn = _move(joint, poses[row])
            z, heading = z + cmath.exp(1j * heading) * move, heading + turn
            row += 1
    return Pose(z.real, z.imag, wrapped(heading))


def miss_of(chain: Chain, poses: Floats) -> Floats:
    """(3,) how far the goal is from the end: x, y in the first step's frame, and the turn that is missing."""
    end = end_of(chain, poses)
    goal = chain.goal
    return np.array([goal.x - end.x, goal.y - end.y, wrapped(goal.heading_rad - end.heading_rad)])


def slopes(chain: Chain, poses: Floats) -> Floats:
    """(3, n, 3) how the end moves with each joint's opening, shift and angle, in the first step's frame."""
    count = len(chain.places)
    headings, after = _headings(chain, poses)
    found = np.zeros((3, count, 3))
    for row, index in enumerate(chain.places):
        joint, way = chain.joints[index], cmath.exp(1j * headings[row])
        assert joint is not None
        opening, shift, angle = poses[row] + np.array([joint.region.home_mm, 0.0, 0.0])
        if joint.leaves_by_peg:
            turned = cmath.exp(-1j * angle)
            pulls = (turned, 1j * turned, -1j * (turned * complex(opening, shift)) - 1j * turned * after[row])
            turn = -1.0
        else:
            pulls = (1 + 0j, 1j, 1j * cmath.exp(1j * angle) * after[row])
            turn = 1.0
        for axis, pull in enumerate(pulls):
            found[:2, row, axis] = (way * pull).real, (way * pull).imag
        found[2, row, 2] = turn
    return found


def slide_slope(chain: Chain, poses: Floats) -> Floats:
    """(3,) how the end moves with the length of the step that slides; nothing where none does."""
    if chain.slides is None:
        return np.zeros(3)
    before = replace(chain, steps=chain.steps[: chain.slides], joints=chain.joints[: chain.slides])
    heading = end_of(before, poses).heading_rad
    return np.array([math.cos(heading), math.sin(heading), 0.0])


def slid(chain: Chain, by_mm: float) -> Chain:
    """The chain with its sliding step so much longer."""
    steps = list(chain.steps)
    if chain.slides is not None:
        steps[chain.slides] = Pose(steps[chain.slides].x + by_mm, 0.0)
    return replace(chain, steps=tuple(steps))


def _headings(chain: Chain, poses: Floats) -> tuple[list[float], list[complex]]:
    """Heading before each joint, and the rest of the chain after it in the frame that the joint turns into."""
    heading, row = 0.0, 0
    headings: list[float] = []
    for step, joint in zip(chain.steps, chain.joints, strict=True):
        heading += step.heading_rad
        if joint is not None:
            headings.append(heading)
            heading += _move(joint, poses[row])[1]
            row += 1
    rest = 0j
    after: list[complex] = [0j] * row
    for step, joint in zip(reversed(chain.steps), reversed(chain.joints), strict=True):
        if joint is not None:
            row -= 1
            after[row] = rest
            move, turn = _move(joint, poses[row])
            rest = move + cmath.exp(1j * turn) * rest
        rest = complex(step.x, step.y) + cmath.exp(1j * step.heading_rad) * rest
    return headings, after


def across_joint(joint: ChainJoint, pose: Sequence[float]) -> Pose:
    """What a joint at that pose does, from the end that is left to where the next piece is entered, looking in."""
    move, turn = _move(joint, pose)
    return Pose(move.real, move.imag, turn)


def _move(joint: ChainJoint, pose: Sequence[float] | Floats) -> tuple[complex, float]:
    shift, angle = float(pose[1]), float(pose[2])
    face = complex(float(pose[0]) + joint.region.home_mm, shift)
    return (cmath.exp(-1j * angle) * face, -angle) if joint.leaves_by_peg else (face, angle)


PlayOf = Callable[[Stock, Stock], PlayRegion]
"""The play of a joint whose peg is of the first stock and whose socket is of the second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """What lies on either side of a gap, from one fixed place to another or round a loop, gap left out.

    Attributes:
        down: steps from the fixed place to the open end. down_joints: between each two of them.
        up: steps from the goal on. up_joints: after each of them but where none stands.
        here, there: what the closing pieces couple with, None for a bare place; and the kinds of end there.
        goal: of the whole chain, as seen from its first step.
    """

    down: tuple[Pose, ...]
    down_joints: tuple[ChainJoint, ...]
    up: tuple[Pose, ...]
    up_joints: tuple[ChainJoint | None, ...]
    here: Stock | None
    here_kind: EndKind
    there: Stock | None
    goal: Pose
    meets_wall: bool = False


def chain_through(bed: Bed, pieces: Sequence[tuple[Stock, Way]], *, play_of: PlayOf) -> Chain:
    """The chain of a bed with those pieces laid in its gap, each as its way goes."""
    steps, joints = list(bed.down), [*bed.down_joints]
    before, kind = bed.here, bed.here_kind
    for number, (stock, way) in enumerate(pieces, start=1):
        if before is not None:
            joints.append(_joint(before, stock, kind, f"gap {number}", play_of))
        steps.append(through(stock, way))
        before, kind = stock, stock.ends[way.leaves_by].kind
    last = None
    if before is not None and bed.there is not None:
        last = _joint(before, bed.there, kind, "gap end" if pieces else "the gap", play_of)
    steps += bed.up
    return Chain(tuple(steps), (*joints, last, *bed.up_joints)[: len(steps)], bed.goal, bed.meets_wall)


def _joint(one: Stock, other: Stock, kind: EndKind, name: str, play_of: PlayOf) -> ChainJoint:
    is_peg = kind is EndKind.PEG
    return ChainJoint(name, play_of(*((one, other) if is_peg else (other, one))), is_peg)


def bed_of_gap(gap: Gap, stock: Stock) -> Bed:
    """The bed of a gap both sides of which are fixed, with joints to pieces like that stock."""
    home = Pose(0.0, 0.0)
    return Bed(
        down=(home,),
        down_joints=(),
        up=(),
        up_joints=(),
        here=stock,
        here_kind=gap.here,
        there=None if gap.is_open_ended else stock,
        goal=gap.pose,
        meets_wall=gap.meets_wall,
    )


def bed_of_miss(laid: LaidFloor, miss: Miss, *, play_of: PlayOf) -> Bed:
    """The bed of the gap that a stretch leaves."""
    on, back_up, is_loop = way_round(laid, miss)
    closing = [*back_up, on[0]] if is_loop and back_up else back_up
    stretch = next(one for one in laid.floor.stretches if one.name == miss.stretch)
    up_joints: list[ChainJoint | None] = [*_joints(laid, closing, play_of)]
    return Bed(
        down=tuple(_step(laid, one) for one in on),
        down_joints=_joints(laid, on, play_of),
        up=tuple(_step(laid, one) for one in back_up),
        up_joints=(*up_joints, *[None] * (len(back_up) - len(up_joints))),
        here=None if miss.last is None else laid.pieces[miss.last].stock,
        here_kind=miss.here or EndKind.PEG,
        there=None if miss.met is None else laid.pieces[miss.met[0]].stock,
        goal=Pose(0.0, 0.0) if is_loop else _goal(laid, miss, [*on, *back_up]),
        meets_wall=isinstance(stretch.goal, WallName),
    )


def chain_of(laid: LaidFloor, miss: Miss, *, play_of: PlayOf) -> Chain | None:
    """The pieces and joints by which a miss may be made up as it is.

    None where no piece is laid, or where what would meet are not a peg and a socket.
    """
    if miss.last is None or (miss.there is not None and miss.there is not MATE.get(miss.here or EndKind.PLAIN)):
        return None
    return chain_through(bed_of_miss(laid, miss, play_of=play_of), (), play_of=play_of)


Through = tuple[int, int, int]
"""A laid piece and the ends it is entered and left by."""


def way_round(laid: LaidFloor, miss: Miss) -> tuple[list[Through], list[Through], bool]:
    """The pieces from a fixed place to the open end, those from the goal on to another, and whether it is one loop."""
    down = [] if miss.last is None else _up_from(laid, (miss.last, miss.last_end))
    up = [] if miss.met is None else _up_from(laid, miss.met)
    shared = next((piece for piece, _, _ in down if piece in {one for one, _, _ in up}), None)
    if shared is not None:
        down = down[: [piece for piece, _, _ in down].index(shared) + 1]
        up = up[: [piece for piece, _, _ in up].index(shared) + 1]
        (_, _, back), up = up[-1], up[:-1]
        down[-1] = (shared, back, down[-1][2])
    return [*reversed(down)], [(piece, leaves_by, entry) for piece, entry, leaves_by in up], shared is not None


def _up_from(laid: LaidFloor, end: tuple[int, int]) -> list[Through]:
    """The pieces from an end back to where its stretches begin, each as it is gone through on the way to that end."""
    found: list[Through] = []
    at: tuple[int, int] | None = end
    while at is not None:
        piece = laid.pieces[at[0]]
        found.append((at[0], piece.way[0], at[1]))
        at = piece.before
    return found


def _joints(laid: LaidFloor, way: Sequence[Through], play_of: PlayOf) -> tuple[ChainJoint, ...]:
    found = []
    for (one, _, leaves_by), (other, _, _) in pairwise(way):
        first, second = laid.pieces[one], laid.pieces[other]
        name = f"{first.id}/{second.id}"
        found.append(_joint(first.stock, second.stock, first.ends[leaves_by].kind, name, play_of))
    return tuple(found)


def _step(laid: LaidFloor, one: Through) -> Pose:
    index, entry, leaves_by = one
    ends = laid.pieces[index].ends
    return transform_pose(ends[leaves_by].pose, inverse_pose(facing(ends[entry].pose)))


def _goal(laid: LaidFloor, miss: Miss, way: Sequence[Through]) -> Pose:
    if not way:
        return miss.gap
    (first, entry, _), (last, _, leaves_by) = way[0], way[-1]
    goal = transform_pose(miss.gap, miss.at) if miss.met is None else laid.pieces[last].ends[leaves_by].pose
    return transform_pose(goal, inverse_pose(facing(laid.pieces[first].ends[entry].pose)))
