"""How thin the chips of moves are, by the wood that stands before the bit when they come by.

Glossary:
    thin cut: as in ``values.thin_cuts``. front: the part of the bit's rim further ahead of its middle than some share
        of its radius; a tooth there takes chips of more than that share of the chip load. way of the front: all that
        fronts pass over on a move.

At the rim, so far ahead of the middle as x of the radius, a tooth moves against the wood with x of the feed: the chip
there is x times the chip load. So the chips of a move are no thicker than that share when no wood stands before its
front. Source: derived here; with a strip a wide along a straight wall x is 2 sqrt(q (1 - q)), q = a / (2 r), which is
the formula in ``values.bit_bend``.
"""

import math
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    line_through,
    points_area,
    polygon_through,
    union,
)
from platelayer.proof.engagement import is_cleared, way_of
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM
from platelayer.values.motion import Floats, MoveKind

_CAP_POINTS: Final = 48


def is_clear_ahead(moves: BoardMoves, rows: Rows, share: Floats) -> Bools:
    """(k,) no wood stands before the front of the bit anywhere on the move, what is thinner than wood left apart.

    Args:
        moves: of the board.
        rows: level moves.
        share: (k,) of the radius, how far ahead the front begins.
    """
    return np.array(
        [
            one >= 1 or is_cleared(moves, row, _way_of_front(moves, row, one), depth_mm=deepest - DEPTH_MM)
            for row, one, deepest in zip(rows, share, moves.depth[rows].max(axis=1).tolist(), strict=True)
        ],
        np.bool_,
    )


def is_clear_above(moves: BoardMoves, rows: Rows, deep_mm: Floats) -> Bools:
    """(k,) earlier moves have cleared the whole bit's way down to so far above its tip."""
    found = np.ones(len(rows), np.bool_)
    for index, row in enumerate(rows.tolist()):
        above_mm = float(moves.depth[row].max() - deep_mm[index])
        if above_mm > DEPTH_MM:
            found[index] = is_cleared(moves, row, way_of(moves, row), depth_mm=above_mm - DEPTH_MM)
    return found


def _way_of_front(moves: BoardMoves, row: int, share: float) -> Area:
    """What the front passes over: a band of half its breadth to either side of the path, and the front at its end.

    On an arc of radius p the front's corners, w aside, run at sqrt(p^2 + r^2 +- 2 p w) from its middle.
    """
    radius, plan = float(moves.radius[row]), moves.plan(row)
    aside = radius * math.sqrt(1 - share**2)
    front = _front(plan, radius, math.acos(share))
    if moves.kind[row] == MoveKind.LINE:
        return union(buffered(line_through(plan), aside, chord_mm=FLATTEN_CHORD_MM), front)
    centre, bend = _circle(plan)
    outer, inner = (math.sqrt(max(0.0, bend**2 + radius**2 + side * 2 * bend * aside)) for side in (1, -1))
    band = buffered(line_through(plan), outer - bend, chord_mm=FLATTEN_CHORD_MM)
    return union(difference(band, buffered(points_area([centre])[0], inner, chord_mm=FLATTEN_CHORD_MM)), front)


def _front(plan: Floats, radius: float, half_rad: float) -> Area:
    """The segment of the bit's round that lies ahead at the end of a plan."""
    heading = math.atan2(*(plan[-1] - plan[-2])[::-1])
    angles = heading + np.linspace(-half_rad, half_rad, _CAP_POINTS)
    return polygon_through(plan[-1] + radius * np.column_stack((np.cos(angles), np.sin(angles))))


def _circle(plan: Floats) -> tuple[tuple[float, float], float]:
    """Middle and radius of the circle through an arc's points."""
    a, b, c = plan[0], plan[len(plan) // 3], plan[2 * len(plan) // 3]
    rows = 2 * np.stack((b - a, c - a))
    x, y = np.linalg.solve(rows, np.array([b @ b - a @ a, c @ c - a @ a])).tolist()
    return (x, y), math.dist((x, y), a)
