"""Pieces put into a job's cut list, everything else in its file left as it stands. The one door to tomlkit."""

import math
from collections.abc import Sequence

import tomlkit
from tomlkit.items import AoT, Table

from platelayer.pieces.catalogue import kind_of
from platelayer.pieces.kind import Measure
from platelayer.values.tooling import PieceOrder


def with_pieces(text: str, orders: Sequence[PieceOrder], *, title: str = "", in_place: bool = False) -> str:
    """The job's text with those pieces after its own; or in place of its own, and under that title.

    Args:
        text: of a job that loads.
        orders: what is to be made.
        title: of the new job; empty leaves it as it is.
        in_place: the pieces that stand there already are left out.
    """
    document = tomlkit.parse(text)
    listed = document.get("piece")
    if in_place or not isinstance(listed, AoT):
        document.pop("piece", None)
        listed = tomlkit.aot()
        document.append("piece", listed)
    for order in orders:
        listed.append(_table(order))
    if title:
        document["job"]["title"] = title
        document["job"].pop("name", None)
    return tomlkit.dumps(document)


def _table(order: PieceOrder) -> Table:
    """One table of the cut list: what is as usual is left out."""
    kind = kind_of(order)
    table = tomlkit.table()
    table["name"] = order.name
    table["kind"] = order.kind
    for key in kind.keys:
        value = order.sizes[key.name]
        match key.measure:
            case Measure.LENGTH:
                table[key.name] = f"{float(value):.3f} mm"
            case Measure.ANGLE:
                table[key.name] = round(math.degrees(float(value)), 6)
            case Measure.CHOICE:
                table[key.name] = str(value)
    for (name, usual), end in zip(kind.ends, order.ends, strict=True):
        if end is not usual:
            table[name] = end.value
    if order.grooves_bottom:
        table["grooves"] = "both"
    if order.count > 1:
        table["count"] = order.count
    return table
