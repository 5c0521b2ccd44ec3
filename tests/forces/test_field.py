"""The height field, a referee itself, against exact areas and brute force; and the shapes of bits it stands on."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import preview_scene as scene
from platelayer.forces.capsules import rings_of
from platelayer.gcode.board_frame import on_board
from platelayer.values.bit_shape import rise_mm
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import BitKind
from referees.height_field import board_field, height_field

NAME = "A-1-flat-3.175.nc"
RIGHT_ANGLE = math.pi / 2
BITS = {
    "flat": scene.bit(3.175),
    "ball": scene.bit(6.0, BitKind.BALL),
    "vee": scene.bit(8.0, BitKind.VEE, included_rad=RIGHT_ANGLE),
    "round-over": scene.bit(9.0, BitKind.ROUND_OVER, corner_radius_mm=3.0),
}


def middles(field):
    """x and y of the middles of all cells."""
    rows, columns = field.z.shape
    return np.meshgrid((np.arange(columns) + 0.5) * field.cell_mm, (np.arange(rows) + 0.5) * field.cell_mm)


def field_of(moves, *, bit=BITS["flat"], size=(60.0, 40.0), cell=0.2):
    motion, _ = moves.motion()
    return height_field([(motion, scene.file_of(NAME, [bit]))], size_mm=size, cell_mm=cell)


def brute(moves, bit, field, step=0.02):
    """Lowest of tip and rise over the bit's places, `step` apart: another way to the same surface."""
    motion, _ = moves.motion()
    x, y = middles(field)
    z = np.zeros_like(x)
    for kind, a, b, c in zip(motion.kind, motion.start, motion.end, motion.centre, strict=True):
        if min(a[2], b[2]) >= 0:
            continue
        angle = 0.0
        length = math.hypot(*(b - a)[:2])
        if kind >= 2:
            first, last = (math.atan2(p[1] - c[1], p[0] - c[0]) for p in (a, b))
            angle = (last - first) % math.tau if kind == 3 else -((first - last) % math.tau)
            length = abs(angle) * math.dist(a[:2], c)
        for t in np.linspace(0, 1, max(math.ceil(max(length, abs(b[2] - a[2])) / step), 1) + 1):
            p = a + (b - a) * t
            if kind >= 2:
                turn = first + angle * t
                radius = math.dist(a[:2], c)
                p[:2] = c[0] + radius * math.cos(turn), c[1] + radius * math.sin(turn)
            low = np.maximum(((p[:2] - bit.diameter_mm / 2) / field.cell_mm).astype(int) - 1, 0)
            high = ((p[:2] + bit.diameter_mm / 2) / field.cell_mm).astype(int) + 2
            near = (slice(low[1], high[1]), slice(low[0], high[0]))
            far = np.hypot(x[near] - p[0], y[near] - p[1])
            z[near] = np.minimum(z[near], np.where(far <= bit.diameter_mm / 2, p[2] + rise_mm(bit, far), 0.0))
    return z


def within_a_cell(field, truth, *, drop):
    """True where a height lies between the lowest and the highest of the truth in the cells round it, and a drop."""
    low, high = truth.copy(), truth.copy()
    for di in (-1, 0, 1):
        for dj in (-1, 0, 1):
            moved = np.roll(truth, (di, dj), (0, 1))
            low, high = np.minimum(low, moved), np.maximum(high, moved)
    inner = (slice(1, -1), slice(1, -1))
    return ((field.z >= low - drop) & (field.z <= high + drop))[inner]


def test_flat_cuts_agree_with_exact_swept_areas_within_a_cell():
    manifest, motions, _ = scene.board(1, columns=1)
    board, file = manifest.boards[0], manifest.files[0]
    motion = on_board(motions[file.name], file, board)
    field = board_field(manifest, motions, cell_mm=0.2)
    chosen = slice(None, None, 7)
    x, y = (grid.ravel()[chosen] for grid in middles(field))
    points = shapely.points(x, y)
    radius, z = file.bits[0].diameter_mm / 2, field.z.ravel()[chosen]
    for level in (-1.6, -3.571875, -8.0, -12.8):
        deep = (motion.start[:, 2] <= level + 1e-6) & (motion.end[:, 2] <= level + 1e-6)
        lines = [
            shapely.LineString([a[:2], b[:2]]) if kind < 2 else _arc_line(a, b, c, kind)
            for kind, a, b, c in zip(
                motion.kind[deep], motion.start[deep], motion.end[deep], motion.centre[deep], strict=True
            )
        ]
        ways = shapely.multilinestrings(lines)
        shapely.prepare(ways)
        gap = shapely.distance(ways, points)
        assert (z[gap <= radius - field.cell_mm / 8] <= level + 1e-6).all()
        sloped = shapely.multilinestrings(
            [
                shapely.LineString([a[:2], b[:2]])
                for a, b in zip(motion.start, motion.end, strict=True)
                if min(a[2], b[2]) <= level + 1e-6 < max(a[2], b[2]) - 1e-6
            ]
            or [[(-99, -99), (-98, -99)]]
        )
        shapely.prepare(sloped)
        away = (gap > radius + field.cell_mm / 8) & (shapely.distance(sloped, points) > radius + field.cell_mm / 8)
        assert (z[away] > level + 1e-6).all()


def _arc_line(a, b, c, kind):
    first, last = (math.atan2(p[1] - c[1], p[0] - c[0]) for p in (a, b))
    turn = (last - first) % math.tau if kind == 3 else -((first - last) % math.tau)
    angles = first + np.linspace(0, turn, 400)
    radius = math.dist(a[:2], c)
    return shapely.LineString(np.column_stack([c[0] + radius * np.cos(angles), c[1] + radius * np.sin(angles)]))


@pytest.mark.parametrize("name", BITS)
def test_ramps_helices_and_every_kind_of_bit_agree_with_brute_force(name):
    moves = scene.Moves(NAME)
    moves.rapid(8, 8, 0.6)
    moves.line(20, 11, -2.4)
    moves.line(20, 24)
    moves.arc(34, 24, 27, 24, ccw=False, z=-0.8)
    moves.rapid(40, 10, 0.6)
    moves.line(40, 10, -1.5)
    moves.arc(40, 18, 40, 14, ccw=True, z=-3.0)
    field = field_of(moves, bit=BITS[name], size=(48.0, 36.0), cell=0.25)
    truth = brute(moves, BITS[name], field)
    assert truth.min() < -2.3
    # a ramp of 1 in 5 falls 0.05 mm in a cell
    assert within_a_cell(field, truth, drop=0.06).all()


@pytest.mark.parametrize("order", ["deep last", "deep first", "there and back"])
def test_passes_over_one_another_leave_the_deepest(order):
    moves = scene.Moves(NAME)
    depths = {"deep last": (-1, -2, -3), "deep first": (-3, -1, -2), "there and back": (-2, -3, -1)}[order]
    for n, z in enumerate(depths):
        ends = ((10, 20), (50, 20)) if order != "there and back" or n % 2 else ((50, 20), (10, 20))
        moves.rapid(*ends[0], 0.6)
        moves.line(*ends[0], z)
        moves.line(*ends[1])
        moves.arc(50, 30, 50, 25, ccw=True) if n % 2 else moves.line(moves.at[0], 30)
    field = field_of(moves)
    assert field.at(30, 20) == -3
    assert field.at(30, 20 + 3.175 / 2 - 0.15) == -3
    assert field.at(30, 20 + 3.175 / 2 + 0.15) == 0


def test_a_ramp_is_not_lost_under_a_higher_pass_and_is_lost_under_a_lower_one():
    moves = scene.Moves(NAME)
    moves.line(10, 20, -0.5)
    moves.line(50, 20, -2.5)
    moves.line(10, 20, -0.5)
    shallow = field_of(moves)
    # worked by hand: the bit's rim reaches 1.5875 ahead on a slope of 1 in 20
    assert shallow.at(45, 20) == pytest.approx(-2.25 - 1.5875 / 20, abs=0.03)
    moves.line(10, 20, -3)
    moves.line(50, 20)
    assert field_of(moves).at(45, 20) == -3


def test_a_rapid_through_wood_cuts_it():
    moves = scene.Moves(NAME)
    moves.line(10, 20, 1)
    moves._row(0, (50, 20, -1.0))
    assert field_of(moves).at(40, 20) < -0.4


def test_a_plunge_and_a_full_circle():
    moves = scene.Moves(NAME)
    moves.rapid(30, 20, 0.6)
    moves.line(30, 20, -4)
    moves.rapid(40, 20, 0.6)
    moves.line(40, 20, -2)
    moves.arc(40, 20, 45, 20, ccw=False)
    field = field_of(moves, cell=0.05)
    area = (field.z == -4).sum() * field.cell_mm**2
    assert area == pytest.approx(math.pi * 3.175**2 / 4, rel=0.01)
    ring = (field.z == -2).sum() * field.cell_mm**2
    assert ring == pytest.approx(math.tau * 5 * 3.175, rel=0.01)  # area of a ring: middle circle times width


def test_moves_off_the_board_are_cut_off_at_its_edges():
    moves = scene.Moves(NAME)
    moves.line(-10, -10, -1)
    moves.line(70, 50)
    moves.line(70, -30)
    moves.line(30, -1)
    field = field_of(moves)
    assert field.z.shape == (200, 300)
    assert field.at(30, 20) == -1
    assert field.at(-5, -5) == 0


def test_a_turned_board_is_read_with_its_y_turned_over_and_zero_on_the_spoilboard():
    moves = scene.Moves("B.nc")
    moves.rapid(10, 5, scene.THICK + 1)
    moves.line(10, 5, scene.THICK - 2)
    moves.line(40, 5)
    moves.arc(40, 15, 40, 10, ccw=True)
    motion, _ = moves.motion()
    file = scene.file_of("B.nc", [BITS["flat"]], face=BoardFace.BOTTOM, turn=20.0)
    manifest = scene.manifest_of([], [file], size=(60.0, 40.0), zero="spoilboard")
    field = board_field(manifest, {"B.nc": motion}, cell_mm=0.4, face=BoardFace.BOTTOM)
    assert field.at(25, 35) == pytest.approx(-2)
    assert field.at(45, 30) == pytest.approx(-2), "the arc bulges to the right on either face"
    assert field.at(35, 30) == 0
    assert field.at(25, 5) == 0


@pytest.mark.parametrize("name", ["ball", "vee", "round-over"])
def test_rings_of_a_bit_lie_a_cell_apart_and_rise_outwards(name):
    rings = rings_of(BITS[name], cell_mm=0.2)
    assert rings[-1, 0] == BITS[name].diameter_mm / 2
    assert (np.diff(rings[:, 0]) <= 0.2 + 1e-9).all()
    assert (np.diff(rings[:, 1]) > 0).all()


places = st.tuples(st.floats(-5, 45), st.floats(-5, 35), st.floats(-6, 1))


@given(st.lists(places, min_size=1, max_size=8), st.sampled_from(sorted(BITS)))
def test_one_more_move_never_raises_the_wood(points, name):
    moves = scene.Moves(NAME)
    before = None
    for x, y, z in points:
        moves.line(x, y, z)
        field = field_of(moves, bit=BITS[name], size=(40.0, 30.0), cell=0.5)
        assert before is None or (field.z <= before).all()
        before = field.z
    assert field.z.min() >= min(0.0, *(z for _, _, z in points)) - 1e-6
