import math
from dataclasses import replace

import numpy as np
import pytest

import preview_scene as scene
from platelayer.forces.bites import bites_of
from platelayer.forces.forces import (
    BEND_MOST_MM,
    bend_findings,
    force_findings,
    forces,
)
from platelayer.units import inches
from platelayer.values.bit_bend import CARBIDE_N_MM2, RESISTANCE_BAND, bend_mm_n, chip_thickness, push_n
from platelayer.values.findings import Severity
from platelayer.values.shapes import Line

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
    chip = chip_thickness(array(0.1), bites.width[1:2], array(file.bits[0].diameter_mm))
    assert forces(motion, file, bites).push[1] == pytest.approx(push_n(chip, bites.depth[1:2])[0])


def bar(diameter, length, **more):
    """A bit that is all flutes, so that it bends like a plain bar of 0.8 of its diameter."""
    return replace(scene.bit(diameter), cutting_length_mm=length, reach_mm=length, shank_mm=diameter, **more)


def test_bend_of_a_bar_scales_as_a_tool_maker_teaches():
    # source: mmc-carbide.com, course 70: twice the overhang bends 8 times, twice the diameter a sixteenth
    one, longer, thicker = (float(bend_mm_n(bar(d, n), array(0.0))[0]) for d, n in ((3, 20), (3, 40), (6, 20)))
    assert longer == pytest.approx(8 * one)
    assert thicker == pytest.approx(one / 16)


@pytest.mark.parametrize(("eighths", "bend_mm"), [(1, 0.0446), (2, 0.00278)])
def test_bend_of_usual_bits(eighths, bend_mm):
    # worked by hand: W L^3 / (3 E pi d^4 / 64), 10 N, 25.4 mm, E 600 kN/mm2, d 0.8 of the bit
    found = 10 * bend_mm_n(bar(inches(eighths / 8), inches(1.0)), array(0.0))[0] * CARBIDE_N_MM2 / 600_000
    assert found == pytest.approx(bend_mm, rel=0.005)


def test_a_load_all_along_the_bar_bends_it_three_eighths_as_far():
    # source: any handbook's table of beams, from memory: f L^4 / 8 E I evenly spread, W L^3 / 3 E I at the tip
    tip, spread = bend_mm_n(bar(3.0, 20.0), array(0.0, 20.0))
    assert spread == pytest.approx(3 / 8 * tip)


def over_a_tab():
    """A slot in six levels over a tab 9.5 mm wide and 1.7 high; rows of its last level."""
    moves = scene.Moves(NAME, feed=1700.0, rpm=13000.0)
    for level in (1, 2, 3, 4, 5):
        moves.rapid(20, 30, 0.6)
        moves.line(20, 30, -13 * level / 6)
        moves.line(100, 30)
    moves.rapid(20, 30, 0.6)
    moves.line(20, 30, -13)
    for x, z in ((50, -13), (53, -11), (62.5, -11), (65.5, -13), (68, -13), (100, -13)):
        moves.line(x, 30, z)
    return bite(moves, replace(scene.bit(), cutting_length_mm=17.0, reach_mm=25.0, shank_mm=3.175))


def test_a_ramp_over_a_tab_works_as_hard_as_worked_by_hand():
    # regression: the greatest fall of a cell, 10.77 mm, stood for the depth, and a job for '5.8 to 64.0 N'
    # worked by hand: chip 1700 / 26000 = 0.0654 mm, depth 13 / 6 = 2.167, by 75 N/mm2: 10.6 N on a tooth
    motion, file, bites = over_a_tab()
    work = forces(motion, file, bites)
    before, up, on_tab, down, short, after = range(len(motion) - 7, len(motion) - 1)
    for row in (before, after):
        assert bites.depth[row] == pytest.approx(13 / 6, rel=0.03)
        assert bites.width[row] == pytest.approx(3.175, rel=0.02)
        assert work.push[row] == pytest.approx(10.6, rel=0.05)
        assert work.push[row] * file.bits[0].flutes / 4 == pytest.approx(5.3, rel=0.05)
        # worked by hand: a bar of 2.54 mm for 17 mm and one of 3.175 for 8 more: 0.0026 mm/N
        assert 0.02 < work.bend[row] < 0.04
    assert bites.depth[on_tab] == pytest.approx(1 / 6, abs=0.05)
    assert max(bites.depth[[up, down, short]]) <= 13 / 6 + 0.25
    assert max(work.push[[up, on_tab, down, short]]) <= 12.0


@pytest.mark.parametrize("slope", [0.0, 0.3, 1.0])
def test_a_finish_pass_narrower_than_a_cell_has_its_true_width(slope):
    # regression: a cell a quarter of the bit wide either missed such a pass or took it for 0.8 mm
    moves = scene.Moves(NAME, feed=1700.0, rpm=13000.0)
    for y, depths in ((20.0, (-2.0, -4.0, -6.0)), (20.2, (-6.0,))):
        for z in depths:
            moves.rapid(20, y, 0.6)
            moves.line(20, y, z)
            moves.line(45, y + 25 * slope)
    _, _, bites = bite(moves)
    # worked by hand: 0.2 mm across the board's y, so 0.2 cos(slope) across the cut
    assert bites.width[-2] == pytest.approx(0.2 / math.hypot(1.0, slope), rel=0.15)
    assert bites.depth[-2] == pytest.approx(6.0, rel=0.02)


def test_a_slot_takes_its_width_depth_and_length():
    moves = scene.Moves(NAME)
    moves.rapid(20, 30, 0.6)
    moves.line(20, 30, -2)
    moves.line(80, 30)
    _, _, bites = bite(moves)
    row = 4 - 1
    assert bites.length[row] == 60
    assert bites.depth[row] == pytest.approx(2)
    assert bites.width[row] == pytest.approx(3.175, rel=0.02)
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
    bites = bite(moves)[2]
    assert bites.depth[-2] == pytest.approx(12, rel=0.01)
    assert bites.width[-2] == pytest.approx(1.0, abs=0.05)


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
    assert works[0] < works[1] < works[2]
    assert RESISTANCE_BAND[1] > 2 * RESISTANCE_BAND[0] > 0


def test_no_speed_no_figures_but_the_planned_speed_gives_them():
    for planned in (0.0, 18000.0):
        moves = scene.Moves(NAME, rpm=math.nan)
        moves.line(20, 30, -1)
        moves.line(80, 30)
        motion, file, bites = bite(moves, replace(scene.bit(), spindle_rpm=planned))
        assert np.isnan(forces(motion, file, bites).push[1]) == (planned == 0)


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


def hard_work(feed, cutting_length=16.0, walls=()):
    moves = scene.Moves(NAME, feed=feed)
    moves.rapid(20, 30, 0.6)
    moves.line(20, 30, -6)
    moves.line(80, 30)
    motion, file, bites = bite(moves, replace(scene.bit(), cutting_length_mm=cutting_length))
    return force_findings(motion, file, forces(motion, file, bites), walls=walls)


def test_a_bend_that_may_spoil_the_fit_is_noted_and_one_that_must_is_warned_of():
    assert hard_work(300.0) == ()
    (note,) = hard_work(3000.0)
    assert note.severity is Severity.NOTE
    (warning,) = hard_work(12000.0, cutting_length=40.0)
    assert warning.severity is Severity.WARNING
    assert warning.measured > warning.limit == BEND_MOST_MM
    assert warning.where.line == 8
    # worked by hand: chip 12000 / 36000 by 6 mm deep is 2 mm2, by 75 N/mm2, 37.6 to 100; flutes as a bar of 2.54 mm for
    # 40 mm and the shank's diameter more, reach not being known: 9267 + 1022 of mm3/mm4 by 150 N over 580 kN/mm2
    assert warning.measured == pytest.approx(2.661, rel=0.01)
    assert warning.text.startswith("flat-3.175 is pushed sideways by some 150 N here (75 to 200) and bends by some ")
    assert warning.advice == (
        "Let the bit stand out less (stick_out in its [[bit]]), take a shorter or thicker one (joints or outlines in "
        "[bits]), or a lower feed (feed in the profile's feeds)."
    )


@pytest.mark.parametrize(("allowance", "count"), [(0.0, 1), (0.2, 0)])
def test_roughing_may_bend_the_bit_by_the_wood_it_leaves_for_the_finish(allowance, count):
    # regression: roughing was told to bend the bit by what spoils a wall, with a finish pass still to come
    edge = 30 + 3.175 / 2 + allowance
    assert len(hard_work(4000.0, walls=(Line((20.0, edge), (80.0, edge)),))) == count


def test_cuts_that_all_lie_off_the_board_bite_nothing():
    # regression: a file with its units swapped cuts nowhere on its board, and the dry run fell over it
    moves = scene.Moves(NAME, feed=1000.0, rpm=18000.0)
    moves.line(3000, 3000, -1)
    moves.line(3100, 3000)
    motion, file, bites = bite(moves)
    assert bites.volume.sum() == 0.0
    assert force_findings(motion, file, forces(motion, file, bites)) == ()
