"""How many boards are needed at the least, by area alone."""

from collections.abc import Iterable


def fewest_boards(needed_mm2: float, boards_mm2: Iterable[float]) -> int:
    """Boards, taken in order, whose area first reaches what is needed; all of them when it never does."""
    total, count = 0.0, 0
    for area in boards_mm2:
        if total >= needed_mm2:
            break
        total, count = total + area, count + 1
    return count
