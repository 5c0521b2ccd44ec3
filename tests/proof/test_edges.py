"""Broken edges as the dry run sees them, held against the height field, which is worked out another way."""

import math
from dataclasses import replace

import numpy as np
import pytest

import preview_scene as scene
from cli.jobs import make, small_job
from platelayer.gcode.board_frame import on_board
from platelayer.geometry.discs import closed
from platelayer.geometry.regions import distances_mm, edge_distances_mm, holds_points, points_area, to_area, within_mm
from platelayer.preview.report.edge_words import ALL_BY_HAND, edge_lines
from platelayer.proof.design import design_of, inset_mm
from platelayer.road.folders import read_folder
from platelayer.road.proving import read_back
from platelayer.units import worded
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace
from platelayer.values.tooling import BitKind
from referees.height_field import height_field

SIXTEENTH, SIXTY_FOURTH = 25.4 / 16, 25.4 / 64
ROUND = scene.bit(9.0, BitKind.ROUND_OVER, corner_radius_mm=3.0)
VEE = scene.bit(8.0, BitKind.VEE, included_rad=math.radians(60))
BALL = scene.bit(6.0, BitKind.BALL)


def edge(*, width=1.0, depth=1.0, radius=1.0, place=EdgePlace.OUTER, face=BoardFace.TOP):
    return EdgeBreak(place=place, face=face, width_mm=width, depth_mm=depth, radius_mm=radius, bit="bit")


@pytest.mark.parametrize(
    ("said", "down", "back"),
    [
        (edge(), 0.0, 1.0),
        (edge(), 0.4, 0.2),  # worked by hand: 3-4-5, 0.6 up from the centre leaves 0.8
        (edge(), 0.2, 0.4),
        (edge(), 1.0, 0.0),
        (edge(), 2.0, 0.0),
        (edge(width=0.2, depth=0.6), 0.0, 0.2),
        (edge(width=0.5, depth=1.0, radius=0.0), 0.0, 0.5),
        (edge(width=0.5, depth=1.0, radius=0.0), 0.5, 0.25),
        (edge(width=0.5, depth=1.0, radius=0.0), 1.5, 0.0),
    ],
)
def test_how_far_a_broken_edge_stands_back(said, down, back):
    assert inset_mm(said, down) == pytest.approx(back, abs=1e-12)


# the height field as referee


CELL = 0.1
BITS = 'edges = "round-over-1.588"\n{more}\n[edges]\nouter = "1/16 in"\ngroove = "1/64 in"\n'
JOB = small_job(bits=BITS.format(more='groove_edges = "vee-90"')).replace("width = 26", "width = 19")
ONE = JOB.replace('length = "5 15/16"', 'length = "3 1/2"')


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    folder = tmp_path_factory.mktemp("field")
    done = make(folder, ONE)
    assert done.exit_code == 0, done.output
    return read_back(read_folder(folder / "out"))


@pytest.fixture(scope="module")
def field(read):
    (board,) = read.manifest.boards
    cut = [(on_board(read.motions[file.name], file, board), file) for file in read.manifest.files]
    return height_field(cut, size_mm=board.size_mm, cell_mm=CELL)


def cells_of(field, piece, more=1.0):
    """Middles of every third cell each way over a piece's box, and their heights."""
    low_x, low_y, high_x, high_y = piece.solid.bounds
    columns = np.arange(int((low_x - more) / CELL), int((high_x + more) / CELL), 3)
    rows = np.arange(int((low_y - more) / CELL), int((high_y + more) / CELL), 3)
    x, y = np.meshgrid((columns + 0.5) * CELL, (rows + 0.5) * CELL)
    return np.column_stack((x.ravel(), y.ravel())), field.z[np.ix_(rows, columns)].ravel()


def round_z(inside):
    """Height of the quarter circle so far in from the wall; flat further in."""
    up = np.sqrt(np.maximum(SIXTEENTH**2 - (SIXTEENTH - np.clip(inside, 0.0, SIXTEENTH)) ** 2, 0.0))
    return up - SIXTEENTH


@pytest.mark.parametrize("number", [0, 1], ids=["straight", "curve"])
def test_the_wood_left_has_the_round_all_round_and_the_chamfer_along_the_grooves(read, field, number):
    """At the middle of every cell but those next to corners that no tip reaches and those at the grooves' ends."""
    design = design_of(read.manifest.pieces[number], read.manifest.boards[0])
    points, z = cells_of(field, design)
    grooves = [area for _, area in design.grooves]
    to_groove = np.min([distances_mm(area, points) for area in grooves], axis=0)
    corners = closed(design.solid, SIXTEENTH, chord_mm=0.002).difference(design.solid)
    near_corner = within_mm(points_area(points), corners.buffer(-0.02), 2.5)
    inside = edge_distances_mm(design.solid, points)
    on_piece = holds_points(design.solid, points) & ~near_corner & (inside > 0.05)
    on_land = on_piece & (to_groove > 0.02)
    # a cell's ring may be a cell off, so height at a cell further out and a cell further in bound the wood's
    slack = 1.1 * CELL
    chamfer = np.minimum(to_groove - SIXTY_FOURTH, 0.0)
    lowest = np.minimum(round_z(inside - slack), np.minimum(chamfer - slack, 0.0))
    highest = np.minimum(round_z(inside + slack), np.minimum(chamfer + slack, 0.0))
    assert on_land.sum() > 10_000
    assert (z[on_land] >= lowest[on_land] - 0.005).all()
    assert (z[on_land] <= highest[on_land] + 0.005).all()
    rounded = on_land & (inside < SIXTEENTH) & (to_groove > 1.0)
    assert np.abs(z - round_z(inside))[rounded].mean() < 0.02
    assert rounded.sum() > 2_000
    chamfered = on_land & (to_groove < SIXTY_FOURTH) & (inside > SIXTEENTH)
    assert np.abs(z - chamfer)[chamfered].mean() < 0.03
    assert chamfered.sum() > 500


# words


def manifest(*edges, grooves=(BoardFace.TOP,)):
    """A manifest of one piece with these broken edges."""
    from broken_files.small_job import small_job as by_hand

    made = by_hand(pieces=1).manifest
    (piece,) = made.pieces
    own = tuple(replace(groove, face=face) for groove in piece.grooves for face in grooves)
    return replace(made, pieces=(replace(piece, edges=edges, grooves=own),))


def test_all_edges_by_hand():
    assert edge_lines(manifest()) == (ALL_BY_HAND,)


def test_outer_edges_by_machine_and_grooves_by_hand():
    assert edge_lines(manifest(edge(width=SIXTEENTH)))[-1] == (
        "Left to hand: the lower edges, rounded to about 1/16 in (1.5 mm); inside corners that the bit does not reach, "
        "such as those between neck and head; the edges of the grooves, broken with fine paper; no edge may feel sharp."
    )


def test_grooves_by_machine_and_outer_edges_by_hand():
    groove = edge(width=0.5, depth=0.5, radius=0.0, place=EdgePlace.GROOVE)
    both = (groove, replace(groove, face=BoardFace.BOTTOM))
    assert tuple(worded(line, "mm") for line in edge_lines(manifest(*both, grooves=tuple(BoardFace)))) == (
        "Edges of the grooves in the top: chamfered by 0.500 mm (0.020 in), by bit, 0.500 mm (0.020 in) down the wall.",
        "Edges of the grooves in the underside: chamfered by 0.500 mm (0.020 in), by bit, 0.500 mm (0.020 in) down the "
        "wall.",
        "Left to hand: the outer edges, upper and lower, rounded to about 1/16 in (1.5 mm); no edge may feel sharp.",
    )


def test_the_design_stands_back_only_where_and_as_deep_as_said():
    made = manifest(edge(width=1.0), edge(width=0.5, depth=0.5, radius=0.0, place=EdgePlace.GROOVE))
    design = design_of(made.pieces[0], made.boards[0])
    solid = to_area(made.pieces[0].outline, chord_mm=0.0005)
    assert design.edge_mm(BoardFace.TOP) == 1.0
    assert design.edge_mm(BoardFace.BOTTOM) == 0.0
    whole, below = design.standing(BoardFace.TOP, 0.0), design.standing(BoardFace.TOP, 1.0)
    assert below.area == pytest.approx(design.grooved(BoardFace.TOP).area)
    assert design.standing(BoardFace.BOTTOM, 0.0).area == pytest.approx(solid.area)
    gone = below.area - whole.area
    groove = made.pieces[0].grooves[0].path.length_mm
    # derived here: 1 mm all round the outline and 0.5 mm along four walls, less what both take at the grooves' ends
    assert gone == pytest.approx(solid.length * 1.0 + 4 * 0.5 * groove, rel=0.06)
