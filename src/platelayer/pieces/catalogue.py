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
from platelayer.values.pieces import Piece, Route
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


def piece_from_order(order: PieceOrder, making: Making) -> Piece:
    """The first piece of an order, in its own frame, with the id ``NAME-01``.

    Raises:
        JobError: no such kind of piece; every size of joint, track and order that cannot be.
    """
    kind = kind_of(order)
    faults = check_orders((order,), making)
    if faults:
        raise JobError(*faults)
    return replace(kind.build(order, making), id=_id_of(order, 1), title=kind.title(order.sizes))


def pieces_from_order(order: PieceOrder, making: Making) -> tuple[Piece, ...]:
    """All pieces of an order, which differ in their ids alone; faults as ``piece_from_order``."""
    first = piece_from_order(order, making)
    return tuple(replace(first, id=_id_of(order, index)) for index in range(1, order.count + 1))


def _id_of(order: PieceOrder, index: int) -> str:
    return f"{order.name}-{index:02d}"


def check_orders(orders: Sequence[PieceOrder], making: Making) -> tuple[Fault, ...]:
    """Every fault of a whole cut list, each once, or of joint and track where those are wrong already.

    Raises:
        JobError: no such kind of piece.
    """
    wrong = check_sizes(making.joint, making.track, corners=making.corners)
    if wrong:
        return wrong
    return tuple(dict.fromkeys(fault for order in orders for fault in check_order(order, making)))


def check_order(order: PieceOrder, making: Making) -> tuple[Fault, ...]:
    """Every fault of one line of the cut list, for joint and track that ``check_sizes`` finds good.

    Raises:
        JobError: no such kind of piece.
    """
    return (*web_faults(order, making), *kind_of(order).faults(order, making))
