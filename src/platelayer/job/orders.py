"""The cut list, from the models to values."""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.job.job_models import CURVE_ANGLE_RAD, PieceTable
from platelayer.job.names import entry_labels, entry_names
from platelayer.units import show_angle
from platelayer.values.tooling import PieceOrder

_KEYS_OF: Final = {"straight": ("length",), "curve": ("radius", "angle", "hand")}
_NEEDED: Final = {"straight": "length", "curve": "radius"}


def orders_of(
    tables: Sequence[PieceTable], entries: Sequence[object], *, faults: list[Fault]
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
            problem, mend = "there is another piece of this name", "Give each its own."
            faults.append(Fault(where=f"{where} name", found=name, problem=problem, mend=mend))
        faults += _kind_faults(table, where)
        orders.append(_order(table, name))
    if not tables:
        mend = "Write a [[piece]] with a length."
        faults.append(Fault(where="[[piece]]", problem="missing: nothing to cut", mend=mend))
    return tuple(orders)


def _kind_faults(table: PieceTable, where: str) -> list[Fault]:
    faults = []
    for kind, keys in _KEYS_OF.items():
        for key in keys:
            if kind != table.kind and getattr(table, key) is not None:
                problem = f"a {table.kind} has no {key}"
                mend = f'Write kind = "{kind}", or leave it out.'
                faults.append(Fault(where=f"{where} {key}", problem=problem, mend=mend))
    needed = _NEEDED[table.kind]
    if getattr(table, needed) is None:
        mend = "Write the length between the end faces." if needed == "length" else "Write that of the centre line."
        faults.append(Fault(where=f"{where} {needed}", problem="missing", mend=mend))
    if table.angle is not None and not 0 < table.angle <= math.pi:
        problem = "a curve turns by more than 0 and at most 180 degrees"
        faults.append(Fault(where=f"{where} angle", found=show_angle(table.angle), problem=problem))
    return faults


def _order(table: PieceTable, name: str) -> PieceOrder:
    is_curve = table.kind == "curve"
    angle = CURVE_ANGLE_RAD if table.angle is None else table.angle
    return PieceOrder(
        name=name,
        kind=table.kind,
        count=table.count,
        length_mm=0.0 if is_curve else table.length or 0.0,
        radius_mm=(table.radius or 0.0) if is_curve else 0.0,
        angle_rad=angle if is_curve else 0.0,
        is_left=table.hand != "right",
        ends=(table.start, table.end),
        grooves_top=True,
        grooves_bottom=table.grooves == "both",
        turns=table.turns,
    )


def centre_length_mm(order: PieceOrder) -> float:
    """Length of a piece along its centre line."""
    return order.radius_mm * order.angle_rad if order.kind == "curve" else order.length_mm
