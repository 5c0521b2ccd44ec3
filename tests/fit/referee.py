"""A slow judge of free play: moves solids about and looks whether they overlap. It shares no formula with the code."""

import math

import numpy as np
import shapely
from scipy.optimize import linprog
from shapely import affinity

TOUCH_MM2 = 5e-7
"""Overlap that is only the flattening of arcs: a lens 2 mm long and a quarter micrometre thick."""


def placed(peg, opening, shift, angle_rad):
    turned = affinity.rotate(peg, math.pi + angle_rad, origin=(0, 0), use_radians=True)
    return affinity.translate(turned, opening, shift)


def overlaps(peg, socket, opening, shift=0.0, angle_rad=0.0):
    return placed(peg, opening, shift, angle_rad).intersection(socket).area > TOUCH_MM2


def best_clearance(peg, socket, angle_rad, start):
    """Greatest least clearance over opening and shift near the start; negative: they overlap wherever they stand.

    Boundary points of each solid against the other's boundary, signed, made linear and moved by a linear program.
    """
    pose = np.array(start, float)
    clearance = -math.inf
    for _ in range(5):
        distances, normals = _signed(placed(peg, *pose, angle_rad), socket)
        keep = distances < distances.min() + 0.6
        distances, normals = distances[keep], normals[keep]
        # greatest t with distance + normal . move >= t
        found = linprog(
            [0, 0, -1],
            A_ub=np.column_stack((-normals, np.ones(len(distances)))),
            b_ub=distances,
            bounds=[(-0.05, 0.05), (-0.05, 0.05), (None, None)],
        )
        pose += found.x[:2]
        settled = abs(found.x[2] - clearance) < 2e-5
        clearance = found.x[2]
        if settled:
            break
    return clearance


def _signed(moved, fixed):
    """Clearance of each boundary point of one solid from the other, and how it grows as the moved solid moves."""
    parts = []
    for points_of, against, sense in ((moved, fixed, 1), (fixed, moved, -1)):
        ring = against.exterior
        shapely.prepare(ring)
        shapely.prepare(against)
        points = shapely.points(shapely.get_coordinates(points_of.exterior))
        near = points[shapely.dwithin(ring, points, 0.7)]
        lines = shapely.get_coordinates(shapely.shortest_line(ring, near)).reshape(-1, 2, 2)
        away = lines[:, 1] - lines[:, 0]
        length = np.hypot(*away.T)
        inside = shapely.contains_properly(against, near)
        signed = np.where(inside, -length, length)
        usable = length > 1e-7
        parts.append((signed[usable], sense * (away[usable] / signed[usable, None])))
    return np.concatenate([p[0] for p in parts]), np.vstack([p[1] for p in parts])
