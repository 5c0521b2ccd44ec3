import math
from dataclasses import replace

import numpy as np
import pytest

import preview_scene as scene
from platelayer.forces.bites import bites_of
from platelayer.forces.forces import (
    BEND_MOST_MM,
    bend_findings,
    bend_of,
    chip_thickness,
    force_findings,
    forces,
)
from platelayer.units import inches, worded
from platelayer.values.findings import Severity

NAME = "A-1-flat-3.175.nc"
SIZE = (120.0, 60.0)


def bite(moves, bit=None):
    motion, _ = moves.motion()
    file = scene.file_of(NAME, [bit or scene.bit()])
    return motion, file, bites_of([(motion, file)], size_mm=SIZE)[0]


def array(*values):
    return np.array(values, dtype=np.float64)


def test_chip_thinning_as_published():
    # source: machinecalcs.com, chip thinning: D 0.5 in, width 0.05 in, factor 0.60, engaged 36.9 degrees
    assert chip_thickness(array(1.0), array(0.05), array(0.5))[0] == pytest.approx(0.6, abs=1e-12)
    # from half the diameter on nothing is thinned
    assert chip_thickness(array(1.0, 1.0), array(0.25, 0.5), array(0.5, 0.5)).tolist() == [1.0, 1.0]


def test_chip_load_as_published():
    # source: cncshop.eu, calculating feeds and speeds: 18000 rev/min, 2 flutes, 0.1 mm make 3600 mm/min
    moves = scene.Moves(NAME, feed=3600.0, rpm=18000.0)
    moves.line(30, 30, -1)
    moves.line(60, 30)
    motion, file, bites = bite(moves)
    assert forces(motion, file, bites).chip_load[1] == pytest.approx(0.1)


def test_bend_of_a_bar_scales_as_a_tool_maker_teaches():
    # source: mmc-carbide.com, course 70: twice the overhang bends 8 times, twice the diameter a sixteenth
    one = bend_of(array(10.0), array(20.0), array(3.0), stiffness=600_000.0)[0]
    assert bend_of(array(10.0), array(40.0), array(3.0), stiffness=600_000.0)[0] == pytest.approx(8 * one)
    assert bend_of(array(10.0), array(20.0), array(6.0), stiffness=600_000.0)[0] == pytest.approx(one / 16)


@pytest.mark.parametrize(("eighths", "bend_mm"), [(1, 0.0446), (2, 0.00278)])
def test_bend_of_usual_bits(eighths, bend_mm):
    # worked by hand: W L^3 / (3 E pi d^4 / 64), 10 N, 25.4 mm, E 600 kN/mm2, d 0.8 of the bit
    found = bend_of(array(10.0), array(inches(1.0)), array(0.8 * inches(eighths / 8)), stiffness=600_000.0)
    assert found[0] == pytest.approx(bend_mm, rel=0.005)


def test_a_slot_takes_its_width_depth_and_length():
    moves = scene.Moves(NAME)
    moves.rapid(20, 30, 0.6)
    moves.line(20, 30, -2)
    moves.line(80, 30)
    _, _, bites = bite(moves)
    row = 4 - 1
    assert bites.length[row] == 60
    assert bites.depth[row] == pytest.approx(2)
    assert bites.width[row] == pytest.approx(3.175, rel=0.12)
    # worked by hand: the plunge before it has taken half a disc of it, and it ends in half a disc
    assert bites.volume[row] == pytest.approx(60 * 3.175 * 2, rel=0.03)


def test_a_second_pass_over_the_same_place_takes_nothing_and_a_deeper_one_its_step():
    moves = scene.Moves(NAME)
    moves.line(20, 30, -2)
    moves.line(80, 30)
    moves.line(20, 30)
    moves.line(20, 30, -3)
    moves.line(80, 30)
    _, _, bites = bite(moves)
    first, again, deeper = 1, 2, 4
    assert bites.volume[again] == pytest.approx(0, abs=1)
    assert bites.depth[deeper] == pytest.approx(1, abs=1e-5)
    assert bites.volume[deeper] == pytest.approx(bites.volume[first] / 2, rel=0.05)


def test_a_finish_pass_is_deep_and_narrow():
    moves = scene.Moves(NAME)
    for depth in (-4.0, -8.0, -12.0):
        moves.line(20, 30, depth)
        moves.line(80, 30)
        moves.line(20, 30)
    moves.line(20, 31.0)
    moves.line(80, 31.0)
    motion, file, bites = bite(moves)
    assert bites.depth[-2] == pytest.approx(12)
    assert bites.width[-2] == pytest.approx(1.0, abs=0.3)
    work = forces(motion, file, bites)
    assert work.chip[-2] < work.chip_load[-2]
    assert work.removal[-2] == pytest.approx(12 * 1.0 * 1200, rel=0.3)


def test_bites_add_up_to_the_wood_that_is_gone():
    rng = np.random.default_rng(5)
    moves = scene.Moves(NAME)
    for x, y, z in rng.uniform((10, 10, -4), (110, 50, 1), (60, 3)).tolist():
        moves.line(x, y, z)
        moves.arc(x, y, x + 5, y, ccw=bool(x > 50))
    motion, file, bites = bite(moves)
    from referees.height_field import height_field

    cell = 3.175 / 4
    field = height_field([(motion, file)], size_mm=SIZE, cell_mm=cell)
    assert bites.volume.sum() == pytest.approx(-float(field.z.astype(np.float64).sum()) * cell**2, rel=0.01)


def test_force_rises_with_chip_and_depth_and_the_band_has_room():
    # source: Iskra and Hernandez: force along the path rises with the thickness of the chip (ordering only)
    works = []
    for feed, depth in ((600.0, -1.0), (1200.0, -1.0), (1200.0, -2.0)):
        moves = scene.Moves(NAME, feed=feed)
        moves.line(20, 30, depth)
        moves.line(80, 30)
        motion, file, bites = bite(moves)
        works.append(forces(motion, file, bites).push[1])
    assert works[0][1] < works[1][1] < works[2][1]
    assert all(high > 2 * low > 0 for low, high in works)


def test_no_speed_no_figures_but_the_planned_speed_gives_them():
    for planned in (0.0, 18000.0):
        moves = scene.Moves(NAME, rpm=math.nan)
        moves.line(20, 30, -1)
        moves.line(80, 30)
        motion, file, bites = bite(moves, replace(scene.bit(), spindle_rpm=planned))
        assert np.isnan(forces(motion, file, bites).push[1]).all() == (planned == 0)


def test_a_second_file_bites_only_what_the_first_has_left():
    files = []
    for name in ("A-1.nc", "A-2.nc"):
        moves = scene.Moves(name, feed=4000.0)
        moves.rapid(20, 30, 0.6)
        moves.line(20, 30, -6)
        moves.line(80, 30)
        files.append((moves.motion()[0], scene.file_of(name, [scene.bit()])))
    first, second = bites_of(files, size_mm=SIZE)
    assert first.volume.sum() > 1000
    assert second.volume.sum() == 0
    manifest = scene.manifest_of([], [file for _, file in files], size=SIZE)
    found = bend_findings(manifest, {motion.name: motion for motion, _ in files})
    assert [finding.where.file for finding in found] == ["A-1.nc"]


def test_rapids_and_moves_in_air_have_no_force():
    moves = scene.Moves(NAME)
    moves.line(20, 30, 2)
    moves.line(80, 30)
    motion, file, bites = bite(moves)
    assert np.isnan(forces(motion, file, bites).bend).all()
    assert force_findings(motion, file, forces(motion, file, bites)) == ()


def hard_work(feed, cutting_length=16.0):
    moves = scene.Moves(NAME, feed=feed)
    moves.rapid(20, 30, 0.6)
    moves.line(20, 30, -6)
    moves.line(80, 30)
    motion, file, bites = bite(moves, replace(scene.bit(), cutting_length_mm=cutting_length))
    return force_findings(motion, file, forces(motion, file, bites))


def test_a_bend_that_may_spoil_the_fit_is_noted_and_one_that_must_is_warned_of():
    assert hard_work(300.0) == ()
    (note,) = hard_work(4000.0)
    assert note.severity is Severity.NOTE
    (warning,) = hard_work(12000.0, cutting_length=40.0)
    assert warning.severity is Severity.WARNING
    assert warning.measured > warning.limit == BEND_MOST_MM
    assert warning.where.line == 8
    # worked by hand: chip 12000 / 36000 by 6 mm deep is 2 mm2, by 30 x 0.3 and 100 N/mm2; bars of 2.54 and 2.2225 mm,
    # 37 and 45 mm to the middle of the cut
    assert worded(warning.text, "in") == (
        "flat-3.175 is pushed sideways by some 18.0 to 200.0 N here and bends by some 0.010 to 0.363 in "
        "(0.248 to 9.222 mm); half of what a hand feels in a joint is 0.002 in (0.050 mm)."
    )
    assert warning.advice == "Take a shorter or thicker bit, a shallower finish pass, or leave less for it."


def test_cuts_that_all_lie_off_the_board_bite_nothing():
    # regression: a file with its units swapped cuts nowhere on its board, and the dry run fell over it
    moves = scene.Moves(NAME, feed=1000.0, rpm=18000.0)
    moves.line(3000, 3000, -1)
    moves.line(3100, 3000)
    motion, file, bites = bite(moves)
    assert bites.volume.sum() == 0.0
    assert force_findings(motion, file, forces(motion, file, bites)) == ()
