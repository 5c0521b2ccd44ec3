"""The least share of play by which a chain of joints can be closed, and whether any play could close it.

Theory: the share is to be least over all joints together, each joint's pose within its region shrunk about home to that
share, and the end of the chain at its goal. Regions are all but convex, so they are written as planes between sampled
corners; the goal is linear in the poses but for the turns. Each round solves that linear programme about the poses
of the round before, and the ends close as Newton's method does. The answer is then asked of the regions themselves.
So it is a share by which the chain does close; that no smaller one does is true to the sampling, some two per cent.

Glossary:
    bound: how far any poses of the joints can move and turn the end, taken generously; a miss beyond it cannot close.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import coo_array, hstack

from platelayer.floor.chains import Chain, ChainJoint, miss_of, slid, slide_slope, slopes
from platelayer.floor.play import hull_of, most_of, share_of_hull, share_used
from platelayer.tolerances import CLOSED_MM, ROUGH_GAIN_RATIO, STEPS_GAIN_RATIO

Floats = npt.NDArray[np.float64]

_ROUNDS: Final = 30
_ROUGH_ROUNDS: Final = 18
_FAR_ABOVE: Final = 2.0
_ROUND_TURN_RAD: Final = 0.2
"""A chain bends by no more than this in the first rounds, all its joints together: so far it is all but linear."""
_LEFT_OVER_COST: Final = 1e4
_MOST_SLIDE_MM: Final = 20.0
_AT_LIMIT_RATIO: Final = 0.98


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """How a chain closes.

    Attributes:
        share_ratio: the greatest share of its play that any joint uses; above 1 it would need more than there is.
        poses: (n, 3) opening, shift and angle of each joint from home.
        shares: of each joint.
        hardest: names of the joints that use as good as the greatest share.
        slid_mm: how much longer the step that slides is to be; negative for shorter.
    """

    share_ratio: float
    poses: tuple[tuple[float, float, float], ...]
    shares: tuple[float, ...]
    hardest: tuple[str, ...]
    slid_mm: float = 0.0


def least_share(chain: Chain, *, most_ratio: float | None = None) -> Closed | None:
    """The chain closed by the least share found; None where no poses were found that close it, however large.

    An answer above 1 says how much more play would do.

    Args:
        chain: what is to be closed.
        most_ratio: where given, the answer is a rough one and sooner there: None also where it would be well above
            that, and shares are those of the bodies between sampled corners, right to some two per cent.
    """
    is_rough = most_ratio is not None
    joints = [joint for joint in chain.joints if joint is not None]
    poses = np.zeros((len(joints), 3))
    if not joints:
        return _answer(joints, poses, is_rough) if _is_closed(chain, poses) else None
    planes = _planes(joints)
    share, turn, away, length = np.inf, _ROUND_TURN_RAD, np.inf, 0.0
    for _ in range(_ROUGH_ROUNDS if is_rough else _ROUNDS):
        found = _programme(chain, poses, planes, turn)
        if found is None:
            return None
        poses, last, share = found[0], share, found[1]
        chain, length = slid(chain, found[2]), length + found[2]
        if most_ratio is not None and share > _FAR_ABOVE * most_ratio:
            return None
        before, away = away, float(np.abs(chain.counted @ miss_of(chain, poses)).max())
        if away > before / 2:
            turn /= 4  # the same corners in turn, further apart than the chain is linear
        gain = ROUGH_GAIN_RATIO if is_rough else STEPS_GAIN_RATIO
        if _is_closed(chain, poses) and abs(last - share) <= gain * max(share, 1.0):
            return replace(_answer(joints, poses, is_rough), slid_mm=length)
    return None


def _is_closed(chain: Chain, poses: Floats) -> bool:
    return bool(np.abs(chain.counted @ miss_of(chain, poses)).max() <= CLOSED_MM)


def _answer(joints: list[ChainJoint], poses: Floats, is_rough: bool) -> Closed:
    rows = tuple((float(o), float(s), float(a)) for o, s, a in poses)
    shares = tuple(
        share_of_hull(hull_of(joint.region), row) if is_rough else share_used(joint.region, row)
        for joint, row in zip(joints, rows, strict=True)
    )
    most = max(shares, default=0.0)
    hardest = tuple(
        joint.name for joint, share in zip(joints, shares, strict=True) if share and share >= _AT_LIMIT_RATIO * most
    )
    return Closed(share_ratio=most, poses=rows, shares=shares, hardest=hardest)


def _planes(joints: list[ChainJoint]) -> coo_array:
    """Facets of all joints as rows over poses and share: normal . pose - offset * share <= 0."""
    data, rows, columns = [], [], []
    row = 0
    for number, joint in enumerate(joints):
        hull = hull_of(joint.region)
        count = len(hull.offsets)
        own = np.arange(row, row + count)
        for axis in range(3):
            data.append(hull.normals[:, axis])
            rows.append(own)
            columns.append(np.full(count, 3 * number + axis))
        data.append(-hull.offsets)
        rows.append(own)
        columns.append(np.full(count, 3 * len(joints)))
        row += count
    where = (np.concatenate(rows), np.concatenate(columns))
    return coo_array((np.concatenate(data), where), shape=(row, 3 * len(joints) + 1))


def _programme(chain: Chain, poses: Floats, planes: coo_array, turn_rad: float) -> tuple[Floats, float, float] | None:
    """Poses of the least share that close the chain, as far as it is linear about the poses given; share; and slide.

    What cannot be closed within one round's turn is left over at a price that no share outweighs.
    """
    count, counted = poses.size, chain.counted
    rows = len(counted)
    slope = counted @ slopes(chain, poses).reshape(3, count)
    goal = counted @ miss_of(chain, poses) + slope @ poses.ravel()
    scale = np.abs(slope).max(axis=1)
    slides = (counted @ slide_slope(chain, poses))[:, None]
    closes = np.hstack((slope, np.zeros((rows, 1)), slides)) / scale[:, None]
    closes = np.hstack((closes, np.eye(rows), -np.eye(rows)))
    cost = np.concatenate((np.zeros(count), [1.0, 0.0], np.full(2 * rows, _LEFT_OVER_COST)))
    turn = turn_rad / len(poses)
    limits: list[tuple[float | None, float | None]] = []
    for angle in poses[:, 2]:
        limits += [(None, None), (None, None), (float(angle) - turn, float(angle) + turn)]
    limits += [(0.0, None), (-_MOST_SLIDE_MM, _MOST_SLIDE_MM), *[(0.0, None)] * (2 * rows)]
    done = linprog(
        cost,
        A_ub=hstack((planes, coo_array((planes.shape[0], 1 + 2 * rows)))).tocsr(),
        b_ub=np.zeros(planes.shape[0]),
        A_eq=closes,
        b_eq=goal / scale,
        bounds=limits,
        method="highs",
    )
    if done.status != 0:
        return None
    return np.asarray(done.x[:count]).reshape(poses.shape), float(done.x[count]), float(done.x[count + 1])


def share_bound(chain: Chain) -> float:
    """A share that closing the chain takes at the very least, as far as it is linear about its home.

    Source: derived here, by duality: along any direction w what is missing is no more than the sum over all joints of
        the most that their corners do along w, times the share. Directions are those of the miss and of a few more.
    """
    poses = np.zeros((len(chain.places), 3))
    missing = chain.counted @ miss_of(chain, poses)
    if not len(poses):
        return 0.0 if np.abs(missing).max() <= CLOSED_MM else np.inf
    slope = np.tensordot(chain.counted, slopes(chain, poses), axes=1)
    length = max(float(np.hypot(chain.goal.x, chain.goal.y)), sum(float(np.hypot(s.x, s.y)) for s in chain.steps) / 4)
    ways = _directions(missing, length)
    slide = chain.counted @ slide_slope(chain, poses)
    ways = ways - np.outer(ways @ slide, slide)  # what a slide makes up for costs no play
    pulls = np.tensordot(ways, slope, axes=1)
    most = np.zeros(len(ways))
    for row, joint in enumerate(one for one in chain.joints if one is not None):
        most += (pulls[:, row] @ hull_of(joint.region).corners.T).max(axis=1)
    wanted = ways @ missing
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.where(wanted > CLOSED_MM, wanted / most, 0.0)
    return float(np.nan_to_num(shares, posinf=np.inf).max())


def _directions(missing: Floats, length_mm: float) -> Floats:
    """(n, k) directions in which a miss is weighed, turns by the length of the chain."""
    if len(missing) == 1:
        return np.sign(missing)[:, None]
    spread = np.array([(x, y, a) for x in (-1, 0, 1) for y in (-1, 0, 1) for a in (-1.0, -0.5, 0, 0.5, 1.0)])
    size = np.array([1.0, 1.0, length_mm])
    own = missing * size
    return np.asarray(np.vstack((spread, own / max(float(np.linalg.norm(own)), CLOSED_MM))) * size)


def cannot_close(chain: Chain) -> bool:
    """No poses of the joints close the chain: what is missing lies beyond what they could do at the very most.

    Source: derived here. Turns add, so the end turns by no more than the sum of all kinks. A joint that moves by r and
        turns by a moves the end by no more than r + 2 sin(a / 2) d, where d is the length of all that comes after it,
        openings included, however that is bent; joints are moved one after the other from the last to the first. Nor
        is the goal further from the start than all steps and openings in one line.
    """
    poses = np.zeros((len(chain.places), 3))
    missing = chain.counted @ miss_of(chain, poses)
    moves = turns = after = 0.0
    for step, joint in zip(reversed(chain.steps), reversed(chain.joints), strict=True):
        if joint is not None:
            reach, kink = most_of(hull_of(joint.region))
            moves += reach + 2 * float(np.sin(kink / 2)) * after
            turns += kink
            after += reach + joint.region.home_mm
        after += float(np.hypot(step.x, step.y))
    if chain.meets_wall:
        return bool(abs(missing[0]) > moves)
    too_far = np.hypot(chain.goal.x, chain.goal.y) > after
    return bool(too_far or abs(missing[2]) > turns or np.hypot(missing[0], missing[1]) > moves)
