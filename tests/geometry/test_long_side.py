"""How long a slender part is, whichever way it bends."""

import math

import pytest

from platelayer.geometry.long_side import long_side_mm
from platelayer.geometry.regions import box, buffered, line_through, union_all


def test_the_long_side_of_a_rectangle_is_its_own():
    assert long_side_mm(box((1, 2), (31, 6))) == pytest.approx(30)
    assert long_side_mm(box((0, 0), (4, 30))) == pytest.approx(30)


def test_a_strip_bent_square_is_as_long_as_its_outer_edges_less_half_the_corner():
    # worked by hand: legs 20 and 30 long, 2 wide: edge 2 (20 + 30), area 2 (20 + 30 - 2) = 96, so a b = 96, a + b = 50
    bent = union_all([box((0, 0), (30, 2)), box((0, 0), (2, 20))])
    assert long_side_mm(bent) == pytest.approx(48)


def test_a_compact_part_is_a_quarter_of_its_edge_long():
    disc = buffered(line_through([(0, 0), (1e-6, 0)]), 5, chord_mm=1e-4)
    assert long_side_mm(disc) == pytest.approx(math.tau * 5 / 4, abs=1e-2)
