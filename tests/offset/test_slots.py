"""All outlines of one board: no path comes near any piece, slots are cut once, wide only beside waste that stays."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from geometry.usual import sized
from platelayer.geometry.discs import closed
from platelayer.geometry.intersect import distances_mm
from platelayer.geometry.regions import distances_mm as area_distances_mm
from platelayer.geometry.regions import holds_points, to_area, union_all
from platelayer.offset.depths import deep_from_mm
from platelayer.offset.paths import nearest_along, points_along, views_along
from platelayer.offset.pockets import sweep
from platelayer.offset.room import gap_mm, outline_depth_mm
from platelayer.offset.slots import cut_slots
from platelayer.tolerances import FINISH_ALLOWANCE_MM, LEFTOVER_MM
from platelayer.values.cuts import CutKind
from platelayer.values.pieces import EndKind, MouthCorner, PegRoot
from platelayer.values.shapes import Contour
from strategies_offset import CURVE, INCH, SKIN, STRAIGHT, TABS, bit_of, job_of, laid_bodies, passes_of

EIGHTH, QUARTER = bit_of(INCH / 8), bit_of(INCH / 4)
SHORT = sized(STRAIGHT, length=110.0)
PLAIN = replace(STRAIGHT, ends=(EndKind.PLAIN, EndKind.PLAIN))
DEEP = job_of(joints=EIGHTH)
SHALLOW = job_of(joints=QUARTER, grooves=EIGHTH, peg_root=PegRoot.NONE, mouth=MouthCorner.NONE)
LAYOUTS = {
    "two rows": ((STRAIGHT, STRAIGHT), 200.0, 160.0),
    "two in each of two rows": ((STRAIGHT,) * 4, 390.0, 160.0),
    "plain ends": ((PLAIN,) * 3, 200.0, 220.0),
    "four rows": ((PLAIN,) * 4, 200.0, 240.0),
    "curves": ((CURVE, CURVE, CURVE), 240.0, 300.0),
    "mixed lengths": ((STRAIGHT, SHORT, SHORT, STRAIGHT, CURVE, SHORT), 400.0, 280.0),
}
JOBS = {
    "eighth": DEEP,
    "quarter": SHALLOW,
    "skin": replace(DEEP, holding=SKIN),
    "one tab": replace(DEEP, holding=replace(TABS, tab_count=1)),
}


@cache
def made(job, layout):
    """The pieces of a layout where they lie, and what cuts them out."""
    orders, width, height = LAYOUTS[layout]
    bodies = laid_bodies(JOBS[job], orders, width_mm=width, height_mm=height)
    return bodies, cut_slots([str(number) for number in range(len(bodies))], bodies)


def steps_in(passes):
    return [step for one in passes for step in one.steps if step.segment.length_mm]


def places_on(steps):
    ways = dict.fromkeys(step.segment for step in steps)  # gone again, level by level
    return np.vstack([points_along(Contour((way,), is_closed=False), 0.4)[1] for way in ways])


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", ["eighth", "quarter", "skin"])
def test_no_path_comes_nearer_than_the_bits_radius_to_any_piece(job, layout):
    bodies, cuts = made(job, layout)
    radius = bodies[0].task.bit.radius_mm
    every = [one for cut in cuts.cuts for one in cut.passes]
    finish, rough = (places_on(steps_in(one for one in every if one.is_finish is kind)) for kind in (True, False))
    for body in bodies:
        solid = to_area(body.outline, chord_mm=1e-3)
        for points, allowance in ((finish, 0.0), (rough, FINISH_ALLOWANCE_MM)):
            assert not holds_points(solid, points).any()
            assert distances_mm(points, body.outline.segments).min() >= radius - 1e-6
            for side in body.sites.sides:  # roughing dabs into reliefs, and there alone
                assert distances_mm(points, side.contour.segments).min() >= radius + allowance - 1e-6


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", ["eighth", "quarter", "skin"])
def test_a_slot_is_roughed_before_it_is_finished_and_pieces_are_parted_last(job, layout):
    bodies, cuts = made(job, layout)
    task = bodies[0].task
    for number, body in enumerate(bodies):
        mine = [cut for cut in cuts.cuts if cut.piece_id == str(number)]
        kinds = [cut.kind for cut in mine]
        assert kinds.count(CutKind.OUTLINE) == 1
        assert kinds.count(CutKind.PARTING) == (job != "skin")
        *walls, last = passes_of(mine, CutKind.SLOT, CutKind.OUTLINE, CutKind.PARTING)
        assert min(s.z_end for s in steps_in(walls)) == pytest.approx(-task.floor_mm)
        deep = -outline_depth_mm(JOBS[job], task.board)
        assert min(s.z_end for s in steps_in([last])) == pytest.approx(deep)
        at_last = sum(s.segment.length_mm for s in steps_in([last]) if max(s.z_start, s.z_end) < deep + 1e-9)
        assert at_last >= body.finish.length_mm * (1.0 if job == "skin" else 0.6)  # but for tabs


@pytest.mark.parametrize("layout", LAYOUTS)
def test_finish_meets_no_wood_but_the_allowance(layout):
    """Down to the floor roughing, a neighbour's too, has been wherever a finish pass goes, but for what it leaves."""
    bodies, cuts = made("quarter", layout)
    task = bodies[0].task
    rough = [one for one in passes_of(cuts.cuts, CutKind.SLOT, CutKind.WASTE) if not one.is_finish]
    level = [s for s in steps_in(rough) if max(s.z_start, s.z_end) <= -task.floor_mm + 1e-6]
    gone = union_all(sweep(Contour((s.segment,), is_closed=False), task.bit.radius_mm) for s in level)
    finish = [one for one in passes_of(cuts.cuts, CutKind.OUTLINE) if one.is_finish]
    for body in bodies:
        places, outwards = views_along(body.finish, np.arange(0.0, body.finish.length_mm, 1.0))
        clear = holds_points(gone, places + outwards * (task.bit.radius_mm - 0.01))
        tabs = [tab for own in cuts.tabs for tab in own]
        beside = [np.hypot(*(places - tab.at).T) < tab.width_mm / 2 + 2 * task.bit.diameter_mm + 3 for tab in tabs]
        assert (clear | np.any(beside, axis=0)).all()
    assert finish


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_deep_slot_is_widened_where_waste_stays_and_nowhere_else(layout):
    bodies, cuts = made("eighth", layout)
    task = bodies[0].task
    assert task.depth_mm > deep_from_mm(task.bit) and task.widening_mm > 0
    radius = task.bit.radius_mm
    far = radius + FINISH_ALLOWANCE_MM + task.widening_mm
    slots = [one for cut in cuts.cuts if cut.kind is CutKind.SLOT for one in cut.passes]
    near = [{point for step in steps_in([one]) for point in (step.segment.start, step.segment.end)} for one in slots]
    loops = [{segment.start for segment in body.near.segments} for body in bodies]
    wide = [one for one, points in zip(slots, near, strict=True) if not any(loop <= points for loop in loops)]
    assert len(wide) == len(slots) - len(bodies)
    places = places_on(steps_in(wide))
    is_on_a_lane = np.zeros(len(places), bool)
    for body in bodies:
        assert distances_mm(places, body.outline.segments).min() >= radius + FINISH_ALLOWANCE_MM - 1e-6
        sides = [distances_mm(places, side.contour.segments).min(axis=1) for side in body.sites.sides]
        whole = closed(to_area(body.outline, chord_mm=1e-3), 100.0, chord_mm=0.01)  # mouths it passes by
        beside = area_distances_mm(whole, places) <= far + 0.2  # the closing dips so far into an eased mouth
        is_on_a_lane |= beside & (np.min(sides, axis=0) >= far - 1e-6)
    assert is_on_a_lane.mean() > 0.5  # as far from a piece as said, but for the near lane from one stretch to the next
    whole = union_all(closed(to_area(body.outline, chord_mm=1e-3), 100.0, chord_mm=0.01) for body in bodies)
    assert area_distances_mm(whole, places).max() <= far + 0.2
    lowest, wide = min(bodies, key=lambda body: min(s.start[1] for s in body.outline.segments)), CutKind.SLOT
    gone = union_all(
        sweep(Contour((s.segment,), is_closed=False), radius) for s in steps_in(passes_of(cuts.cuts, wide))
    )
    (side, *_) = sorted(lowest.sites.sides, key=lambda one: np.mean([s.start[1] for s in one.contour.segments]))
    x, y = side.at(side.length_mm / 2)
    down = task.bit.diameter_mm + FINISH_ALLOWANCE_MM + task.widening_mm
    reached = [bool(holds_points(gone, [(x, y - down + spare)])[0]) for spare in (0.3, -0.3)]
    assert reached == [True, False]  # beside the rim


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("job", ["eighth", "skin"])
def test_what_widens_a_slot_begins_and_ends_where_its_own_lane_is_cut_before(job, layout):
    """There the bit comes straight down, and goes on to the next stretch without lifting where that is near."""
    bodies, cuts = made(job, layout)
    radius = bodies[0].task.bit.radius_mm
    for number, body in enumerate(bodies):
        near, *wide = passes_of([cut for cut in cuts.cuts if cut.piece_id == str(number)], CutKind.SLOT)
        level = min((s.z_end for one in wide for s in one.steps), default=0.0)
        deep = [s for s in near.steps if s.segment.length_mm and max(s.z_start, s.z_end) <= level]
        gone = union_all(sweep(Contour((s.segment,), is_closed=False), radius) for s in deep)
        turn = np.linspace(0.0, 2 * np.pi, 60)
        rim = (radius - LEFTOVER_MM) * np.column_stack((np.cos(turn), np.sin(turn)))
        for place in (place for one in wide for place in (one.start, one.end)):
            assert holds_points(gone, rim + place).all()
        for one, after in pairwise(wide):
            if one.steps[0].z_start == after.steps[0].z_start:
                begin, end = nearest_along(body.near, one.end), nearest_along(body.near, after.start)
                assert (end - begin) % body.near.length_mm > 50.0


def test_lanes_that_coincide_are_cut_once():
    """Shallow slots are one bit and both allowances wide: there both pieces' lanes are one."""
    assert gap_mm(SHALLOW) == pytest.approx(QUARTER.diameter_mm + 2 * FINISH_ALLOWANCE_MM)
    bodies, cuts = made("quarter", "plain ends")
    shared = PLAIN.sizes["length"]
    for body in bodies:
        for other in bodies:
            beside = distances_mm(places_on_loop(body.near), other.near.segments).min(axis=1) < 1e-3
            assert beside.mean() in (0.0, 1.0) or 0.3 < beside.mean() < 0.5  # the long side of the loop, or none of it
    for number, body in enumerate(bodies):
        for other in range(number + 1, len(bodies)):
            steps = steps_in(passes_of([cut for cut in cuts.cuts if cut.piece_id == str(other)], CutKind.SLOT))
            again = distances_mm(places_on(steps), body.near.segments).min(axis=1) < 1e-3
            turns = len({step.z_end for step in steps if step.z_start == step.z_end})
            assert again.mean() * sum(step.segment.length_mm for step in steps) < turns * 0.4 * shared


def places_on_loop(loop):
    return points_along(loop, 0.5)[1]
