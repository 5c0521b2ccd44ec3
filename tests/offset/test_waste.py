"""Waste that slots ring: it hangs or is milled, all of it, and whole boards are proved so."""

import numpy as np
import pytest

from cli.jobs import small_job
from offset.test_slots import LAYOUTS, made, steps_in
from platelayer.geometry.contours import rectangle
from platelayer.geometry.discs import closed
from platelayer.geometry.regions import buffered, difference, parts, points_area, to_area, union_all
from platelayer.offset.pockets import sweep
from platelayer.offset.waste import clearings, waste_of
from platelayer.tolerances import SLUG_WIDTH_MM
from platelayer.values.cuts import CutKind
from platelayer.values.shapes import Contour
from proved import errors, written


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", ["eighth", "quarter"])
def test_no_waste_is_left_that_hangs_on_nothing(job, layout):
    bodies, cuts = made(job, layout)
    task = bodies[0].task
    deep = [
        step
        for step in steps_in([one for cut in cuts.cuts for one in cut.passes])
        if max(step.z_start, step.z_end) <= -task.board.thickness_mm
    ]
    gone = union_all(sweep(Contour((step.segment,), is_closed=False), task.bit.radius_mm) for step in deep)
    board = to_area(rectangle((0.0, 0.0), (task.board.width_mm, task.board.height_mm)), chord_mm=0.01)
    # corners that the bit does not reach hang on their pieces
    solids = union_all(
        closed(to_area(body.outline, chord_mm=0.01), task.bit.radius_mm, chord_mm=0.01) for body in bodies
    )
    left = difference(board, union_all((gone, solids, *(body.joints for body in bodies))))
    for part in parts(buffered(left, -SLUG_WIDTH_MM / 2, chord_mm=0.01)):
        tabs = points_area([tab.at for own in cuts.tabs for tab in own])
        hangs = any(part.distance(tab) <= task.bit.diameter_mm + task.widening_mm + 1.0 for tab in tabs)
        assert hangs or part.distance(board.exterior) < SLUG_WIDTH_MM


def test_waste_that_is_milled_lies_right_through_the_board():
    seen = 0
    for layout in LAYOUTS:
        bodies, cuts = made("quarter", layout)
        for cut in (cut for cut in cuts.cuts if cut.kind is CutKind.WASTE):
            seen += 1
            for one in cut.passes:
                assert min(step.z_end for step in one.steps) == -bodies[0].task.depth_mm
                assert one.steps[0].z_start == 0.0
    assert seen


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", ["eighth", "skin"])
def test_a_tail_shorter_than_the_bit_is_wide_is_left_on_what_stands(job, layout):
    """Beside each peg there are two alike; by noise in their outlines some were milled and some were not."""
    bodies, _ = made(job, layout)
    task = bodies[0].task
    waste = waste_of(task.board, bodies)
    for milled in clearings(waste, union_all((waste.rim, *waste.blocks)), bodies):
        corners = np.asarray(milled.area.minimum_rotated_rectangle.exterior.coords)
        assert np.hypot(*np.diff(corners, axis=0).T).max() > task.bit.diameter_mm


def board_of(pieces, width, height, more=""):
    """A job whose pieces fill a board."""
    text = small_job(bits=more)
    head = text[: text.index("[[board]]")]
    return f'{head}[[board]]\nthickness = "1/2 in"\nwidth = {width}\nheight = {height}\n{pieces}'


def piece(name, count, length):
    return f'[[piece]]\nname = "{name}"\nlength = "{length}"\ncount = {count}\n'


BENT = '[[piece]]\nname = "bent"\nkind = "curve"\nradius = 8\nangle = 45\nhand = "{hand}"\ncount = {count}\n'


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(board_of(piece("long", 4, "5 15/16"), 16, 5), id="two in each of two rows"),
        pytest.param(board_of(piece("long", 2, "5 15/16") + piece("short", 2, "3"), 26, 5), id="mixed lengths"),
        pytest.param(board_of(BENT.format(hand="left", count=3), 12, 9), id="curves"),
        pytest.param(board_of(piece("long", 3, "5 15/16"), 9, 7, '[holding]\nkind = "tape"\n'), id="three on tape"),
    ],
)
def test_a_whole_board_of_neighbours_is_proved(text):
    """Nothing comes loose at any time, no piece is gouged, all walls are reached: worked out from the bytes alone."""
    assert errors(written(text)) == {}
