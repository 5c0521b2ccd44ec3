"""What a floor wants of each piece, what is owned of it, and what is to be made.

Glossary:
    wanted: laid by some stretch. to make: wanted beyond what is owned.
"""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Final

from platelayer.floor_road.ground import Ground
from platelayer.floor_road.makeable import Cost, cost_words, makeable
from platelayer.values.tooling import PieceOrder

HEAD: Final = ("piece", "wanted", "owned", "to make")


@dataclass(frozen=True, slots=True)
class Counted:
    """Rows of the table, the orders of what is to be made, names of what cannot be, and what making takes."""

    rows: tuple[tuple[str, ...], ...]
    orders: tuple[PieceOrder, ...]
    unmade: tuple[str, ...]
    cost: Cost


def count_pieces(ground: Ground) -> Counted:
    """The count of a floor; plan and proof are asked what its missing pieces take.

    Raises:
        PlatelayerError: as planning does.
    """
    wanted = Counter(piece.stock.name for piece in ground.laid.pieces)
    short = [(one, max(wanted[one.name] - one.count, 0)) for one in ground.floor.stock]
    rows = tuple(
        (one.name, str(wanted[one.name]), str(one.count), str(missing) if missing else "") for one, missing in short
    )
    orders = tuple(
        replace(one.order, name=one.name, count=missing) for one, missing in short if missing and one.order is not None
    )
    unmade = tuple(one.name for one, missing in short if missing and one.order is None)
    return Counted(rows, orders, unmade, makeable(ground.job).cost_of(orders))


def count_lines(counted: Counted) -> list[str]:
    """What making the missing pieces takes, in sentences."""
    lines = []
    if counted.unmade:
        lines.append(f"Known by a recipe alone, and not to be made here: {', '.join(counted.unmade)}.")
    if not counted.orders:
        return [*lines, "Nothing is to be made."]
    if counted.cost.refused:
        return [*lines, f"They cannot be made so: {counted.cost.refused}"]
    count = sum(order.count for order in counted.orders)
    return [*lines, f"To make: {count} {'piece' if count == 1 else 'pieces'}, {cost_words(counted.cost)}."]
