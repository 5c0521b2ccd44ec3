"""Pieces held by one another across shared slots: tabs, chains, blocks of waste, what hangs while it is finished."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from broken_files.neighbours import BIT, SKIN, SLOT, TAB_WIDTH, Bridge, Grid, R, pair
from broken_files.small_job import THICK
from platelayer.gcode.moves import moves_on
from platelayer.gcode.reader import read_program
from platelayer.geometry.contours import circle
from platelayer.proof.as_cut import piece_as_cut
from platelayer.proof.crossings import Chords, cut_along
from platelayer.proof.design import designs_of
from platelayer.proof.slivers import waste_of
from platelayer.proof.tabs import WASTE, tabs_as_cut
from platelayer.proof.yields import PUSH_N, tab_stiffness_n_mm, weak_pieces
from platelayer.values.findings import Code, Severity
from platelayer.values.tooling import NoGo

FOUR = Grid(
    names=(("a", "", "b"), ("", "", ""), ("c", "", "d")),
    widths=(80.0, 13.5, 60.0),
    heights=(40.0, 24.0, 40.0),
    bridges=(
        *(Bridge(True, 0, at, name) for name, some in (("a", (55.0, 85.0)), ("b", (150.0, 175.0))) for at in some),
        *(Bridge(True, 3, at, name) for name, some in (("c", (55.0, 85.0)), ("d", (150.0, 175.0))) for at in some),
    ),
)


def found(grid: Grid, *codes: Code):
    return [one for one in grid.report().findings if one.code in codes]


def errors(grid: Grid):
    return [one.code for one in grid.report().findings if one.severity is Severity.ERROR]


def as_cut(grid: Grid):
    """Moves, pieces and tabs as the dry run sees them."""
    manifest, text = grid.files()
    (board,) = manifest.boards
    moves = moves_on(board, manifest.files, {"A-1.nc": read_program(text, name="A-1.nc")})
    woods = [piece_as_cut(one, moves) for one in designs_of(manifest.pieces, board, bit_diameter_mm=BIT)]
    return moves, woods, tabs_as_cut(moves, woods)


# tabs across a slot


def test_a_piece_held_by_its_neighbour_alone_is_held():
    assert errors(pair()) == []


def test_tabs_are_measured_across_the_whole_slot_to_what_they_hold_to():
    _, _, tabs = as_cut(pair())
    assert [one.far for one in tabs] == [WASTE, WASTE, 0, 0]
    for one in tabs:
        assert one.slot_mm == pytest.approx(SLOT, abs=0.001)
        assert one.width_mm == pytest.approx(TAB_WIDTH, abs=0.05)


def test_a_tab_that_the_neighbours_lane_cuts_is_missing():
    """It was measured a bit's diameter out from its piece alone, where it stood."""
    grid = pair()
    (fault,) = found(replace(grid, bare=grid.bridges[2:3]), Code.HOLDING_TAB_MISSING)
    assert fault.where.piece == "high"
    assert fault.where.line
    assert "tab 1 of high" in fault.text
    assert "is missing: its wood is gone." in fault.text


def test_a_tab_to_nothing_is_refused():
    grid = pair(size=(160.0, 30.0 + 40.0 + SLOT + 40.0 + SLOT / 2))
    grid = replace(grid, bridges=(*grid.bridges, Bridge(True, 2, 80.0, "high")))
    (fault,) = found(grid, Code.HOLDING_TAB_MISSING)
    assert "tab 3 of high" in fault.text
    assert "ends in the air: nothing stands on the far side of its slot." in fault.text


def test_a_neighbours_tab_at_a_piece_is_no_wood_left_on_it():
    grid = pair()
    bare = replace(grid, bridges=grid.bridges[:2])  # none across the slot between the two, so "high" is loose
    assert Code.SHAPE_WOOD_LEFT not in errors(grid)
    assert errors(bare) == [Code.HOLDING_PIECE_FREED]


HUNDREDTHS = st.integers(-600, 600).map(lambda number: number / 100)


@given(st.lists(st.tuples(*[HUNDREDTHS] * 4), min_size=1, max_size=5), st.floats(0.5, 3), HUNDREDTHS)
def test_what_is_cut_of_a_line_is_what_shapely_cuts_of_it(ends, radius, heading):
    ends = np.asarray(ends)
    chords = Chords(ends[:, :2], ends[:, 2:], np.full(len(ends), radius), np.arange(len(ends)))
    way, start, length = (
        (math.cos(heading), math.sin(heading)),
        (-4.0 * math.cos(heading), -4.0 * math.sin(heading)),
        9.0,
    )
    _, mine = cut_along(chords, [(0.0, 0.0), start], way, length)
    line = shapely.LineString([start, (start[0] + length * way[0], start[1] + length * way[1])])
    gone = shapely.union_all([
        shapely.LineString([a, b]).buffer(radius, 256) for a, b in zip(ends[:, :2], ends[:, 2:], strict=False)
    ])
    assert float((mine[:, 1] - mine[:, 0]).sum()) == pytest.approx(line.intersection(gone).length, abs=0.05)


# chains to a hold


def test_without_the_tabs_between_them_the_upper_piece_comes_loose_at_the_cut_that_frees_it():
    grid = pair(bridges=pair().bridges[:2])
    (fault,) = found(grid, Code.HOLDING_PIECE_FREED)
    assert fault.text.startswith("high comes loose while the bit is down")
    _, text = grid.files()
    assert text.splitlines()[fault.where.line - 1].startswith("G1 ")


def test_two_pieces_that_hold_each_other_and_nothing_else_come_loose_together():
    (fault,) = found(pair(bridges=pair().bridges[2:]), Code.HOLDING_PIECE_FREED)
    assert fault.text.startswith("low and high comes loose")


def test_a_screw_in_the_wood_that_pieces_hang_on_holds_them_and_one_elsewhere_does_not():
    grid = pair()
    screw = NoGo(circle((8.0, 8.0), 4.0), 3.0, "screw")
    assert errors(replace(grid, board={"held_by": "screws", "no_go": (screw,)})) == []
    block = replace(FOUR, board={"held_by": "screws", "no_go": (NoGo(circle((70.0, 86.8), 4.0), 3.0, "screw"),)})
    faults = found(block, Code.HOLDING_PIECE_FREED)
    assert [one.text.split(" comes")[0] for one in faults] == ["a and b and c and d"]


def test_a_board_cut_up_to_its_edges_is_held_by_the_tape_under_it_and_by_nothing_without():
    """Pieces up to all four edges leave no frame; as a whole, tied by tabs, they stay on the tape."""
    size = (60.0 + 100.0 - 2 * (30.0 - SLOT), 40.0 + SLOT + 40.0 + 2 * SLOT)
    grid = replace(
        pair(), begin=(SLOT, SLOT), beyond=R, size=size, bridges=tuple(Bridge(True, 1, x, "high") for x in (30.0, 80.0))
    )
    assert errors(replace(grid, board={"held_by": "tape"})) == []
    assert errors(
        replace(grid, board={"held_by": "screws", "no_go": (NoGo(circle((-5.0, 8.0), 4.0), 3.0, "screw"),)})
    ) == [Code.HOLDING_PIECE_FREED]


# blocks of waste


def test_every_block_that_slots_ring_is_loose_at_the_very_last_cut_and_counted():
    faults = found(FOUR, Code.HOLDING_SLUG)
    assert len(faults) == 5
    assert all(one.severity is Severity.ERROR for one in faults)
    middle = [
        one
        for one in faults
        if one.where.point and abs(one.where.point[0] - 121.5) < 1 and 80 < one.where.point[1] < 95
    ]
    assert len(middle) == 1  # 13.5 x 24 mm between four pieces
    _, text = FOUR.files()
    last = max(number for number, line in enumerate(text.splitlines(), start=1) if line.startswith("G1 "))
    assert max(one.where.line for one in faults) <= last
    (board,) = FOUR.report().boards
    assert board.blocks == 5
    assert board.least_block_mm2 == pytest.approx(13.5 * 24.0, abs=0.5)


def test_on_tape_a_large_block_stays_and_a_small_one_flies():
    grid = replace(FOUR, board={"held_by": "tape"})
    assert len(found(grid, Code.HOLDING_SLUG)) == 4
    (told,) = found(grid, Code.HOLDING_FROM_BELOW)
    assert told.severity is Severity.WARNING
    assert "of board A a part is cut off from the rest and held by tape alone" in told.text


def test_a_block_that_hangs_by_a_tab_is_held_but_counted():
    grid = replace(FOUR, names=(("a",), ("",), ("c",)), widths=(80.0,))
    both = (Bridge(True, 1, 55.0, "a"), Bridge(True, 2, 85.0, "c"))
    ends = tuple(Bridge(True, slot, at, name) for slot, name in ((0, "a"), (3, "c")) for at in (50.0, 90.0))
    assert errors(replace(grid, bridges=ends)) == [Code.HOLDING_SLUG]
    tied = replace(grid, bridges=(*ends, *both)).report()
    assert [one.code for one in tied.findings if one.severity is Severity.ERROR] == []
    assert tied.boards[0].blocks == 1


# finished on tabs alone


def test_walls_finished_after_the_slot_is_through_are_told_of_with_the_lines():
    (told,) = found(pair(allowance=0.2), Code.HOLDING_HANGING)
    assert told.measured == pytest.approx(THICK, abs=0.01)
    assert told.limit == pytest.approx(2 * SKIN)
    _, text = pair(allowance=0.2).files()
    assert text.splitlines()[told.where.line - 1].startswith("G1 ")


def test_walls_down_to_a_floor_and_a_thin_last_cut_are_none():
    assert found(pair(), Code.HOLDING_HANGING) == []
    (told,) = found(pair(last_from=THICK - 2 * SKIN - 0.2), Code.HOLDING_HANGING)
    assert told.measured == pytest.approx(2 * SKIN + 0.2, abs=0.01)


def test_tape_and_skin_hold_pieces_while_they_are_finished():
    assert found(pair(allowance=0.2, board={"held_by": "tape"}), Code.HOLDING_HANGING) == []


# yield


def test_a_tab_is_as_stiff_as_a_short_bar():
    # worked by hand: w 6, h 2, g 4.7625; 700 6 2 / g; 1 / (1.2 g / (800 12) + g^3 / (700 2 6^3)); 700 2 6^3 / (12 g)
    out, along, turn = tab_stiffness_n_mm(width_mm=6.0, height_mm=2.0, slot_mm=4.7625, out_mpa=700.0, along_mpa=800.0)
    assert out == pytest.approx(1763.8, abs=0.1)
    assert along == pytest.approx(1049.6, abs=0.5)
    assert turn == pytest.approx(5291.3, abs=0.1)


def test_each_piece_of_a_chain_gives_way_more_than_the_one_before():
    grid = pair()
    names = tuple((f"p{k}",) for k in range(4))
    bridges = tuple(Bridge(True, k, at, f"p{k}") for k in range(4) for at in (55.0, 105.0))
    grid = replace(grid, names=names, heights=(40.0,) * 4, bridges=bridges)
    moves, woods, tabs = as_cut(grid)
    weak = weak_pieces(woods, tabs, waste_of(moves, woods), {})
    assert [one.chain for one in weak] == [0, 1, 2, 3]
    yields = [one.yield_mm for one in weak]
    assert yields == sorted(yields)
    assert yields[3] > 2 * yields[0]
    assert all(one.push_n == PUSH_N for one in weak)
    half = weak_pieces(woods, tabs, waste_of(moves, woods), {3: PUSH_N / 2})
    assert half[3].yield_mm == pytest.approx(yields[3] / 2)


def test_a_long_chain_of_narrow_tabs_finished_hanging_is_warned_of():
    names = tuple((f"p{k}",) for k in range(6))
    bridges = tuple(Bridge(True, k, 80.0, f"p{k}") for k in range(6))
    grid = replace(pair(), names=names, heights=(40.0,) * 6, bridges=bridges)
    (told,) = found(replace(grid, allowance=0.2), Code.HOLDING_WEAK)
    assert told.where.piece == "p5"
    assert "holds to 5 neighbours, one after another, before wood that stands still" in told.text
    (less,) = found(grid, Code.HOLDING_WEAK)  # the last cut alone is so low that it pushes a tenth
    assert less.measured == pytest.approx(told.measured * 2 * SKIN / THICK, rel=0.01)
    two = replace(grid, bridges=tuple(Bridge(True, k, at, f"p{k}") for k in range(6) for at in (55.0, 105.0)))
    assert found(two, Code.HOLDING_WEAK) == []
