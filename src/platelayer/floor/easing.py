"""A floor as it lies when its joints make up what a stretch misses.

Glossary:
    eased: a piece where its joints carry it; pieces that only hang on it go along.
"""

from collections.abc import Sequence
from dataclasses import replace

from platelayer.floor.chains import PlayOf, across_joint, chain_of, way_round
from platelayer.geometry.contours import inverse_pose, transform_contour, transform_pose
from platelayer.geometry.placing import facing
from platelayer.values.layout import LaidFloor, LaidPiece, Miss
from platelayer.values.pieces import Route
from platelayer.values.shapes import Pose


def eased(laid: LaidFloor, miss: Miss, poses: Sequence[Sequence[float]], *, play_of: PlayOf) -> LaidFloor:
    """The floor with the joints of a miss's chain at those poses, in the order of the chain; the miss is met then.

    As it is where the miss has no chain.
    """
    chain = chain_of(laid, miss, play_of=play_of)
    if chain is None:
        return laid
    on, back_up, _ = way_round(laid, miss)
    carried: dict[int, Pose] = {}
    (first, entry, _), left = on[0], iter(poses)
    at = facing(laid.pieces[first].ends[entry].pose)
    for (index, entered, leaves_by), joint in zip([*on, *back_up], chain.joints, strict=True):
        ends = laid.pieces[index].ends
        carried[index] = transform_pose(inverse_pose(facing(ends[entered].pose)), at)
        at = transform_pose(ends[leaves_by].pose, carried[index])
        if joint is not None:
            at = transform_pose(across_joint(joint, next(left)), at)
    for index, piece in enumerate(laid.pieces):
        if index not in carried and piece.before is not None and piece.before[0] in carried:
            carried[index] = carried[piece.before[0]]
    pieces = tuple(_carried(one, carried[at]) if at in carried else one for at, one in enumerate(laid.pieces))
    open_end = pieces[miss.last].ends[miss.last_end].pose if miss.last is not None else miss.at
    met = replace(miss, at=open_end, gap=Pose(0.0, 0.0))
    return replace(laid, pieces=pieces, misses=tuple(met if one is miss else one for one in laid.misses))


def _carried(piece: LaidPiece, by: Pose) -> LaidPiece:
    return replace(
        piece,
        pose=transform_pose(piece.pose, by),
        ends=tuple(replace(end, pose=transform_pose(end.pose, by)) for end in piece.ends),
        routes=tuple(Route(transform_contour(one.path, by), one.ends) for one in piece.routes),
    )
