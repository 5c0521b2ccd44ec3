"""Tabs of neighbours: they face one another across the slot, and by them all pieces hang on what stands still."""

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.usual import sized
from offset.test_slots import JOBS, LAYOUTS, made, steps_in
from platelayer.geometry.contours import distance_to_segment_mm, rectangle
from platelayer.geometry.regions import buffered, difference, intersection, parts, to_area, union_all
from platelayer.offset.cutting import cut_piece
from platelayer.offset.pockets import sweep
from platelayer.offset.room import clearance_needed_mm, gap_mm
from platelayer.offset.slots import cut_slots
from platelayer.offset.waste import least_standing_mm
from platelayer.tolerances import SHORT_PIECE_MM, SHORT_PIECE_TABS
from platelayer.values.shapes import Contour, Line, Pose
from strategies_offset import STRAIGHT, piece_of

HELD = ("eighth", "quarter", "one tab")


def normal_of(body, at):
    """Outwards from the side of a piece at a point of it."""
    segment = min((s for side in body.sites.sides for s in side.contour.segments), key=lambda s: distance_to(s, at))
    if isinstance(segment, Line):
        (x0, y0), (x1, y1) = segment.start, segment.end
        return (y1 - y0) / segment.length_mm, (x0 - x1) / segment.length_mm
    out = (1.0 if segment.is_ccw else -1.0) / segment.radius_mm
    return out * (at[0] - segment.centre[0]), out * (at[1] - segment.centre[1])


def distance_to(segment, at):
    return distance_to_segment_mm(segment, at)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", HELD)
def test_a_tab_beside_a_neighbour_is_the_neighbours_as_well(job, layout):
    bodies, cuts = made(job, layout)
    gap = gap_mm(JOBS[job])
    faced = 0
    for number, body in enumerate(bodies):
        for tab in cuts.tabs[number]:
            out = normal_of(body, tab.at)
            for other, neighbour in enumerate(bodies):
                across = [tab.at[0] + gap * out[0], tab.at[1] + gap * out[1]]
                off = min(distance_to(s, across) for s in neighbour.outline.segments)
                if other == number or off > gap / 2:
                    continue
                way = min((np.subtract(one.at, tab.at) for one in cuts.tabs[other]), key=lambda way: np.hypot(*way))
                aside, along = abs(way[0] * out[1] - way[1] * out[0]), float(way @ out)
                sides = [*body.sites.sides, *neighbour.sites.sides]
                is_straight = all(isinstance(s, Line) for side in sides for s in side.contour.segments)
                # sides that are not parallel face one another within 8 degrees
                assert aside <= (1e-6 if is_straight else 2 * gap * math.tan(math.radians(8.0)))
                assert 0 < along <= 2 * gap
                faced += 1
    assert faced or layout == "curves"


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", HELD)
def test_every_piece_hangs_on_the_rim(job, layout):
    """Wood halfway up the tabs, by what the bits take: made thinner by nearly a tab, or a web of waste, it holds on."""
    bodies, cuts = made(job, layout)
    task = bodies[0].task
    (width,), (height,) = ({getattr(t, of) for own in cuts.tabs for t in own} for of in ("width_mm", "height_mm"))
    slice_z = -task.board.thickness_mm + height / 2
    every = [one for cut in cuts.cuts for one in cut.passes]
    deep = [step for step in steps_in(every) if min(step.z_start, step.z_end) < slice_z]
    gone = union_all(sweep(Contour((step.segment,), is_closed=False), task.bit.radius_mm) for step in deep)
    board = to_area(rectangle((0.0, 0.0), (task.board.width_mm, task.board.height_mm)), chord_mm=0.01)
    wood = difference(board, gone)
    core = buffered(wood, -(min(width, least_standing_mm(task)) / 2 - 0.15), chord_mm=0.01)
    held = [part for part in parts(core) if part.distance(board.exterior) < width / 2]
    assert held
    for body in bodies:
        solid = to_area(body.outline, chord_mm=0.01)
        assert any(intersection(solid, part).area > solid.area / 4 for part in held)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", HELD)
def test_every_piece_has_its_tabs_and_no_two_run_into_one(job, layout):
    bodies, cuts = made(job, layout)
    for body, tabs in zip(bodies, cuts.tabs, strict=True):
        least = SHORT_PIECE_TABS if body.task.piece.length_mm < SHORT_PIECE_MM else JOBS[job].holding.tab_count or 4
        assert len(tabs) >= least
        for at, tab in enumerate(tabs):
            assert min(distance_to(s, tab.at) for s in body.outline.segments) < 1e-6
            for other in tabs[:at]:
                assert math.dist(tab.at, other.at) > tab.width_mm + body.task.bit.diameter_mm


@pytest.mark.parametrize("turned", [False, True], ids=["as drawn", "turned round"])
def test_a_piece_whose_neighbour_gives_it_all_its_tabs_has_one_on_its_other_side_too(turned):
    """Below it a shorter piece lies at the board's very edge, puts all of its tabs on their slot and needs them."""
    job = JOBS["eighth"]
    board = replace(job.boards[0], width_mm=420.0, height_mm=200.0)
    long, short = (piece_of(job, sized(STRAIGHT, length=length)) for length in (310.0, 200.0))
    room = clearance_needed_mm(job, board)
    above, below = (cut_piece(piece, job=job, board=board, clearance_mm=room)[1] for piece in (long, short))
    half = job.track.width_mm / 2
    middle = 3 * half + gap_mm(job)
    bodies = [below.at(Pose(60.0, half, 0.0)), above.at(Pose(365.0, middle, math.pi) if turned else Pose(55.0, middle))]
    tabs = cut_slots(["below", "above"], bodies).tabs
    assert all(tab.at[1] > half for tab in tabs[0])
    shared = [tab for tab in tabs[1] if tab.at[1] < middle and any(math.dist(tab.at, o.at) < 6.0 for o in tabs[0])]
    assert len(shared) == len(tabs[0]) >= 4
    assert any(tab.at[1] > middle for tab in tabs[1])


def test_pieces_held_by_a_skin_have_no_tabs():
    assert not any(made("skin", "two rows")[1].tabs)
