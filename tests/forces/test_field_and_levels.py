"""The field and the exact levels, two ways to the same wood, held together within a cell."""

import math

import numpy as np
import pytest
import shapely

import preview_scene as scene
from platelayer.gcode.moves import moves_on
from platelayer.proof.removal import runs_at, swept
from platelayer.values.tooling import BitKind
from referees.height_field import board_field

NAME = "A-1-flat-3.175.nc"


def a_few_cuts(kind):
    """Slots, a ramp, a helix and a full circle with one bit; ramps only with a flat bit.

    On a ramp the levels of a shaped bit take its radius at the deepest end for the whole move, so they are wider there.
    """
    more = {"included_rad": math.pi / 2} if kind is BitKind.VEE else {}
    moves = scene.Moves(NAME)
    moves.rapid(12, 12, 0.6)
    moves.line(*((40, 12) if kind is BitKind.FLAT else (12, 12)), -3.0)
    moves.line(40, 40)
    moves.arc(60, 40, 50, 40, ccw=False, z=-1.2 if kind is BitKind.FLAT else None)
    moves.rapid(80, 30, 0.6)
    moves.line(80, 30, -2.0)
    moves.arc(80, 30, 88, 30, ccw=True)
    motion, _ = moves.motion()
    file = scene.file_of(NAME, [scene.bit(6.0, kind, **more)])
    return scene.manifest_of([], [file], size=(110.0, 60.0)), {NAME: motion}


def a_piece():
    manifest, motions, _ = scene.board(1, columns=1)
    return manifest, motions


@pytest.mark.parametrize(
    ("made", "depths"),
    [
        pytest.param(a_piece, (0.4, 1.7, 3.5, 6.5, 10.1, 10.3, 12.6), id="a piece, flat bit"),
        pytest.param(lambda: a_few_cuts(BitKind.FLAT), (0.3, 1.0, 1.9, 2.5, 2.9), id="ramps and helix, flat bit"),
        pytest.param(lambda: a_few_cuts(BitKind.BALL), (0.3, 1.0, 1.9, 2.5, 2.9), id="level cuts, ball"),
        pytest.param(lambda: a_few_cuts(BitKind.VEE), (0.3, 1.0, 1.9, 2.5, 2.9), id="level cuts, vee"),
    ],
)
def test_field_and_exact_levels_agree_within_a_cell(made, depths):
    manifest, motions = made()
    board = manifest.boards[0]
    field = board_field(manifest, motions, cell_mm=3 / 8)
    tracks = moves_on(board, manifest.files, motions)
    rows, columns = field.z.shape
    x, y = np.meshgrid((np.arange(columns) + 0.5) * field.cell_mm, (np.arange(rows) + 0.5) * field.cell_mm)
    chosen = slice(None, None, 3)
    points, z = shapely.points(x.ravel()[chosen], y.ravel()[chosen]), field.z.ravel()[chosen]
    for depth in depths:
        area = swept([runs_at(tracks, np.arange(len(tracks)), depth)])
        edge = area.boundary
        shapely.prepare(edge)
        shapely.prepare(area)
        gap = shapely.distance(edge, points)
        inside = shapely.contains(area, points)
        far = gap > field.cell_mm
        assert (z[inside & far] <= -depth + field.cell_mm / 4).all()
        assert (z[~inside & far] > -depth - field.cell_mm / 4).all()
        gone = float((field.z <= -depth).sum()) * field.cell_mm**2
        assert abs(gone - shapely.intersection(area, shapely.box(0, 0, *board.size_mm)).area) <= (
            field.cell_mm * shapely.length(area.boundary) / 2
        )
