"""The cut list, from the models to values."""

from collections.abc import Sequence

from platelayer.errors import Fault
from platelayer.job.entry_models import AnyPieceTable
from platelayer.job.names import entry_labels, entry_names
from platelayer.pieces import CATALOGUE
from platelayer.pieces.catalogue import routes_of
from platelayer.pieces.kind import Key, Kind
from platelayer.units import show_angle
from platelayer.values.tooling import PieceOrder


def orders_of(
    tables: Sequence[AnyPieceTable], entries: Sequence[object], *, faults: list[Fault]
) -> tuple[PieceOrder, ...]:
    """The cut list in the order written.

    Args:
        tables: as read.
        entries: as written, for their names.
        faults: what is wrong is added here.
    """
    names, labels = entry_names("piece", entries), entry_labels("piece", entries)
    orders: list[PieceOrder] = []
    for table, (name, *_), label in zip(tables, names, labels, strict=True):
        where = f"[[piece]] {label}"
        if name in {order.name for order in orders}:
            problem, fix = "there is another piece of this name", "Give each its own."
            faults.append(Fault(where=f"{where} name", found=name, problem=problem, fix=fix))
        orders.append(order_of(table, name=name, where=where, faults=faults))
    if not tables:
        fix = "Write a [[piece]] with a length."
        faults.append(Fault(where="[[piece]]", problem="missing: nothing to cut", fix=fix))
    return tuple(orders)


def order_of(table: AnyPieceTable, *, name: str, where: str, faults: list[Fault]) -> PieceOrder:
    """The order of one table; what is wrong with it is added to the faults, said of the place ``where``."""
    kind = next(kind for kind in CATALOGUE if kind.name == table.kind)
    faults += _foreign_keys(table, where)
    faults += [fault for key in kind.keys for fault in _size_faults(table, key, where)]
    return _order(table, kind, name)


def _foreign_keys(table: AnyPieceTable, where: str) -> list[Fault]:
    """A fault for each key that stands in the table and belongs to other kinds only."""
    homes: dict[str, list[str]] = {}
    for kind in CATALOGUE:
        for key in kind.own_keys:
            homes.setdefault(key, []).append(f'"{kind.name}"')
    return [
        Fault(
            where=f"{where} {key}",
            problem=f"a {table.kind} has no {key}",
            fix=f"Write kind = {' or '.join(names)}, or leave it out.",
        )
        for key, names in homes.items()
        if f'"{table.kind}"' not in names and getattr(table, key) is not None
    ]


def _size_faults(table: AnyPieceTable, key: Key, where: str) -> list[Fault]:
    value = getattr(table, key.name)
    if value is None:
        needed = Fault(where=f"{where} {key.name}", problem="missing", fix=key.missing)
        return [needed] if key.default is None else []
    if key.span is None or key.span[0] < value <= key.span[1]:
        return []
    return [Fault(where=f"{where} {key.name}", found=show_angle(value), problem=key.span_words)]


def _order(table: AnyPieceTable, kind: Kind, name: str) -> PieceOrder:
    written = {key.name: getattr(table, key.name) for key in kind.keys}
    return PieceOrder(
        name=name,
        kind=kind.name,
        count=table.count,
        sizes={key.name: key.blank if written[key.name] is None else written[key.name] for key in kind.keys},
        ends=tuple(getattr(table, key) or usual for key, usual in kind.ends),
        grooves_top=kind.has_grooves,
        grooves_bottom=kind.has_grooves and table.grooves == "both",
        turns=table.turns,
    )


def route_length_mm(order: PieceOrder) -> float:
    """Length of a piece along its longest route; 0 where it has none, or its sizes are missing."""
    return max((route.length_mm for route in routes_of(order)), default=0.0)
