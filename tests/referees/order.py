"""What makes an order of cuts lawful, and how far the bit travels in the air for it."""

import math
from itertools import pairwise


def rapids_mm(visits, order, *, start=(0.0, 0.0), end=None):
    """Length of the rapids in the plane when visits are made in this order."""
    made = [visits[index] for index in order]
    if not made:
        return 0.0
    last = 0.0 if end is None else math.dist(made[-1].exit, end)
    return math.dist(start, made[0].entry) + sum(math.dist(a.exit, b.entry) for a, b in pairwise(made)) + last


def keeps_precedence(visits, order):
    """Every visit stands once, after all it waits for, and stages never fall."""
    if sorted(order) != list(range(len(visits))):
        return False
    place = {index: position for position, index in enumerate(order)}
    return all(visits[a].stage <= visits[b].stage for a, b in pairwise(order)) and all(
        place[before] < place[index] for index, visit in enumerate(visits) for before in visit.after
    )
