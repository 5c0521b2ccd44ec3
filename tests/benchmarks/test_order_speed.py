"""How fast cuts are ordered, and how near to what a long search or an outside solver finds.

Run with ``pytest -o addopts= tests/benchmarks``. The outside solver, fast-tsp, is
asked where it is installed; it knows no precedence and no separate entry and exit, so it is asked about closed cuts of
one stage only.
"""

import math
from itertools import pairwise

import pytest

from platelayer.sequence.order import Visit, order_cuts
from referees.order import keeps_precedence, rapids_mm


def board_of(pieces):
    """Grooves, socket and notch of each piece, then its outline: five cuts a piece, rows of five pieces."""
    visits = []
    for piece in range(pieces):
        x, y = (piece % 5) * 172.0 + 10, (piece // 5) * 45.0 + 10
        visits += [
            Visit(entry=(x - 3, y + 7), exit=(x + 153, y + 7)),
            Visit(entry=(x - 3, y + 32), exit=(x + 153, y + 32)),
            Visit(entry=(x + 5, y + 20), exit=(x + 8, y + 18)),
            Visit(entry=(x + 150, y + 12), exit=(x + 160, y + 30)),
            Visit(entry=(x + 75, y), exit=(x + 75, y), stage=1),
        ]
    return visits


def scattered(count):
    """Closed cuts spread evenly but without pattern (multiples of two irrational numbers)."""
    places = [(900 * (i * math.sqrt(2) % 1), 600 * (i * math.sqrt(3) % 1)) for i in range(1, count + 1)]
    return [Visit(entry=place, exit=place) for place in places]


@pytest.mark.parametrize("visits", [board_of(100), scattered(500)], ids=["board of 100 pieces", "500 scattered"])
def test_five_hundred_cuts_in_under_a_second(benchmark, visits):
    order = benchmark.pedantic(order_cuts, args=(visits,), rounds=3, iterations=1)
    assert keeps_precedence(visits, order)


@pytest.mark.parametrize("visits", [board_of(100), scattered(500)], ids=["board of 100 pieces", "500 scattered"])
def test_near_what_a_long_search_finds(benchmark, visits):
    order = benchmark.pedantic(order_cuts, args=(visits,), rounds=1, iterations=1)
    long = rapids_mm(visits, order_cuts(visits, looks=400))
    benchmark.extra_info["excess_ratio"] = rapids_mm(visits, order) / long - 1
    assert rapids_mm(visits, order) <= 1.05 * long


def test_near_what_an_outside_solver_finds(benchmark):
    fast_tsp = pytest.importorskip("fast_tsp")
    visits = scattered(500)
    places = [(0.0, 0.0), *(visit.entry for visit in visits)]
    post, far = len(places), 65_535  # the solver's greatest distance
    # the post makes the closed tour an open one: near the start, equally far from all else
    grid = [[round(50 * math.dist(a, b)) for b in places] + [far] for a in places]
    grid.append([far] * (post + 1))
    grid[0][post] = grid[post][0] = grid[post][post] = 0
    tour = fast_tsp.find_tour(grid, duration_seconds=10)
    path = tour[tour.index(post) + 1 :] + tour[: tour.index(post)]
    path = path if path[0] == 0 else path[::-1]
    assert path[0] == 0
    theirs = sum(math.dist(places[a], places[b]) for a, b in pairwise(path))
    order = benchmark.pedantic(order_cuts, args=(visits,), rounds=1, iterations=1)
    benchmark.extra_info["excess_ratio"] = rapids_mm(visits, order) / theirs - 1
    assert rapids_mm(visits, order) <= 1.05 * theirs
