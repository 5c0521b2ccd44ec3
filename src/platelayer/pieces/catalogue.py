"""The family of pieces by name, and a piece from a line of the cut list.

Glossary:
    kind: name of a piece in the catalogue. Not a title: that names one size of it.
    order: one line of the cut list, of which several pieces may be made.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.pieces.curve import CURVE
from platelayer.pieces.kind import Kind, Making
from platelayer.pieces.limits import web_faults
from platelayer.pieces.sizes import check_sizes
from platelayer.pieces.straight import STRAIGHT
from platelayer.pieces.wheels import Running
from platelayer.values.pieces import CornerRadii, JointSizes, Piece, Route, TrackSizes
from platelayer.values.tooling import PieceOrder

CATALOGUE: Final = (STRAIGHT, CURVE)
"""Every kind of piece, in the order of a list; the first is meant where none is named."""


def kind_of(order: PieceOrder) -> Kind:
    """The kind of an order.

    Raises:
        JobError: there is no such kind.
    """
    for kind in CATALOGUE:
        if kind.name == order.kind:
            return kind
    raise JobError(
        Fault(
            where=f"[[piece]] {order.name} kind",
            found=order.kind,
            problem="no such kind of piece",
            fix=f"Use one of: {', '.join(kind.name for kind in CATALOGUE)}.",
        )
    )


def routes_of(order: PieceOrder) -> tuple[Route, ...]:
    """The ways through a piece of this order, in its own frame.

    Raises:
        JobError: no such kind of piece.
    """
    return kind_of(order).routes(order.sizes)


def runs_straight(order: PieceOrder) -> bool:
    """Its pieces are straights: one line from end to end.

    Raises:
        JobError: no such kind of piece.
    """
    routes = routes_of(order)
    return len(routes) == 1 and routes[0].is_straight and len(order.ends) == 2


def piece_from_order(
    order: PieceOrder,
    index: int,
    *,
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
    running: Running | None = None,
) -> Piece:
    """One piece of an order, in its own frame, with the id ``NAME-NN``.

    Args:
        order: the line of the cut list.
        index: which of its pieces, from 1.
        track: cross-section; its flare as finally chosen.
        joint: as designed, shop offsets included.
        corners: relief and ease as finally chosen.
        running: what its grooves are widened for where it bends; None leaves them of one width.

    Raises:
        JobError: no such kind of piece; every size of joint, track and order that cannot be.
    """
    kind = kind_of(order)
    faults = check_orders((order,), joint=joint, track=track, corners=corners)
    if faults:
        raise JobError(*faults)
    piece = kind.build(order, Making(track=track, joint=joint, corners=corners, running=running))
    return replace(piece, id=_id_of(order, index), title=kind.title(order.sizes))


def pieces_from_order(
    order: PieceOrder,
    *,
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
    running: Running | None = None,
) -> tuple[Piece, ...]:
    """All pieces of an order, which differ in their ids alone; arguments and faults as ``piece_from_order``."""
    first = piece_from_order(order, 1, track=track, joint=joint, corners=corners, running=running)
    return tuple(replace(first, id=_id_of(order, index)) for index in range(1, order.count + 1))


def _id_of(order: PieceOrder, index: int) -> str:
    return f"{order.name}-{index:02d}"


def check_orders(
    orders: Sequence[PieceOrder],
    *,
    joint: JointSizes,
    track: TrackSizes,
    corners: CornerRadii | None = None,
) -> tuple[Fault, ...]:
    """Every fault of a whole cut list, each once, or of joint and track where those are wrong already.

    Raises:
        JobError: no such kind of piece.
    """
    wrong = check_sizes(joint, track, corners=corners)
    if wrong:
        return wrong
    found = (check_order(order, joint=joint, track=track, corners=corners) for order in orders)
    return tuple(dict.fromkeys(fault for faults in found for fault in faults))


def check_order(
    order: PieceOrder,
    *,
    joint: JointSizes,
    track: TrackSizes,
    corners: CornerRadii | None = None,
) -> tuple[Fault, ...]:
    """Every fault of one line of the cut list, for joint and track that ``check_sizes`` finds good.

    Raises:
        JobError: no such kind of piece.
    """
    making = Making(track=track, joint=joint, corners=corners or CornerRadii())
    return (*web_faults(order, making), *kind_of(order).faults(order, making))
