"""A router of a shop with hidden errors, for the tests: it runs the very files that were written, move by move.

Its axes lag behind by their slack from the first rapid to the last cut and stray by their scale, and its bit is not the
size on the shank. The wood is what the bit did not sweep; the program under test sees only what a caliper says of it.
"""

import math

import numpy as np
from shapely import affinity, unary_union
from shapely.geometry import LineString, box

from fit.simulated_shop import Shop
from platelayer.gcode.reader import read_program
from platelayer.geometry.regions import to_area
from platelayer.manifest.read import parse_manifest
from platelayer.values.motion import MoveKind

STEP_MM = 0.25


def cut_folder(shop: Shop, folder, *, nominal_mm):
    """The pieces of a folder as that shop cuts them, by id, each a polygon in its own frame; with the manifest.

    What is swept at more than half the board's depth is gone: so tabs count as sawn, and grooves are left out.
    """
    manifest = parse_manifest((folder / "manifest.json").read_text(encoding="ascii"))
    (board,) = manifest.boards
    radius = (nominal_mm + shop.bit_error) / 2
    left = box(0, 0, *board.size_mm)
    for file in manifest.files:
        motion = read_program((folder / file.name).read_text(encoding="ascii"), name=file.name)
        left = left.difference(_swept(shop, motion, radius_mm=radius, deep_mm=board.thickness_mm / 2))
    return manifest, {piece.id: _in_own_frame(shop, left, piece) for piece in manifest.pieces}


def _swept(shop, motion, *, radius_mm, deep_mm):
    """What the bit sweeps from above, in moves that begin and end deep."""
    sent = [np.zeros((1, 2)), *(_steps(motion, number) for number in range(len(motion)))]
    ends = np.cumsum([len(steps) for steps in sent])
    where = shop.strayed(np.concatenate(sent))
    is_deep = (motion.start[:, 2] < -deep_mm) & (motion.end[:, 2] < -deep_mm)
    runs, run = [], []
    for number, deep in enumerate(is_deep):
        if deep:
            run = run or [where[ends[number] - 1]]
            run += list(where[ends[number] : ends[number + 1]])
        elif run:
            runs, run = [*runs, run], []
    runs = [*runs, run] if run else runs
    return unary_union([LineString([*run, run[-1]]).simplify(1e-4).buffer(radius_mm, quad_segs=32) for run in runs])


def _steps(motion, number):
    """Points of one move after its start, close together."""
    (x0, y0, _), (x1, y1, _) = motion.start[number], motion.end[number]
    kind = motion.kind[number]
    if kind in (MoveKind.RAPID, MoveKind.LINE):
        share = np.linspace(0, 1, 1 + max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / STEP_MM)))[1:, None]
        return np.array([[x0, y0]]) + share * np.array([[x1 - x0, y1 - y0]])
    x, y = motion.centre[number]
    begin, end = math.atan2(y0 - y, x0 - x), math.atan2(y1 - y, x1 - x)
    turn = (end - begin) % math.tau if kind == MoveKind.ARC_CCW else -((begin - end) % math.tau)
    if math.isclose(math.hypot(x1 - x0, y1 - y0), 0, abs_tol=1e-9):
        turn = math.tau if kind == MoveKind.ARC_CCW else -math.tau
    radius = math.hypot(x0 - x, y0 - y)
    count = max(4, math.ceil(radius * abs(turn) / STEP_MM))
    angles = begin + turn * np.arange(1, count + 1) / count
    return np.column_stack([x + radius * np.cos(angles), y + radius * np.sin(angles)])


def _in_own_frame(shop, left, piece):
    """A piece out of what is left of its board; its place has strayed by the scale, as all else did."""
    scale_x, scale_y = 1 + shop.scale
    inside = affinity.scale(to_area(piece.outline, chord_mm=1e-2), scale_x, scale_y, origin=(0, 0))
    whole = max(left.geoms, key=lambda part: part.intersection(inside).area)
    moved = affinity.translate(whole, -piece.pose.x * scale_x, -piece.pose.y * scale_y)
    return affinity.rotate(moved, -piece.pose.heading_rad, origin=(0, 0), use_radians=True).simplify(1e-3)
