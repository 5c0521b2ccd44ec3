"""Pieces put into a job's cut list, everything else in its file left as it stands."""

import math
import tomllib
from collections.abc import Sequence

from platelayer.editing.edits import Edit, edited
from platelayer.pieces.catalogue import kind_of
from platelayer.pieces.kind import Measure
from platelayer.values.tooling import PieceOrder


def with_pieces(text: str, orders: Sequence[PieceOrder], *, file: str, title: str = "", in_place: bool = False) -> str:
    """The job's text with those pieces after its own; or in place of its own, and under that title.

    Args:
        text: of a job that loads.
        orders: what is to be made.
        file: its name, for messages.
        title: of the new job; empty leaves it as it is.
        in_place: the pieces that stand there already are left out.

    Raises:
        JobError: a text that can only be changed by hand.
    """
    data = tomllib.loads(text)
    before, job = data.get("piece", []), data.get("job", {})
    edits = [Edit(path=("piece", len(before) + number), new=piece_table(order)) for number, order in enumerate(orders)]
    if in_place:
        edits += [Edit(path=("piece", index), old=before[index]) for index in reversed(range(len(before)))]
    if title:
        edits.append(Edit(path=("job", "title"), old=job.get("title"), new=title))
        edits += [Edit(path=("job", "name"), old=job["name"])] if "name" in job else []
    return edited(text, edits, file=file)


def piece_table(order: PieceOrder) -> dict[str, object]:
    """One table of the cut list: what is as usual is left out."""
    kind = kind_of(order)
    table: dict[str, object] = {"name": order.name, "kind": order.kind}
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
