"""How long a slender part of any shape is, a bent or branching one too, by its edge and its area alone."""

import math

from platelayer.geometry.regions import Area


def long_side_mm(part: Area) -> float:
    """The long side of the rectangle that has the area and edge of a part; of a compact part a quarter of its edge.

    Source:
        derived here: sides a and b with a + b = p (half the edge) and a b = A, so a = (p + sqrt(p^2 - 4 A)) / 2.
    """
    half_mm = float(part.length) / 2
    return (half_mm + math.sqrt(max(half_mm**2 - 4 * float(part.area), 0.0))) / 2
