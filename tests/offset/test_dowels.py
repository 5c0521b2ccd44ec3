"""The bore of a dowel: all of its hole and nothing else, as deep as the bit reaches, by climb in the file."""

import math
from dataclasses import replace

import pytest
import shapely

from job.sample_jobs import JOB, job_of
from platelayer.errors import CannotCut
from platelayer.offset.dowels import bore_dowel
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Arc
from platelayer.values.tooling import Turning

BOTH = f'{JOB}grooves = "both"\n'


def bored(text=BOTH, **turning):
    job = job_of(text)
    job = replace(job, turning=replace(Turning(), **turning))
    return job, bore_dowel(job, job.boards[0])


def places(bore, *, below):
    """Points on all steps that lie wholly below a depth, arcs every degree."""
    for one in bore.cut.passes:
        for step in one.steps:
            if max(step.z_start, step.z_end) > -below + 1e-6:
                continue
            segment = step.segment
            yield segment.start
            yield segment.end
            if isinstance(segment, Arc):
                first = math.atan2(segment.start[1] - segment.centre[1], segment.start[0] - segment.centre[0])
                sweep = segment.sweep_rad if segment.is_ccw else -segment.sweep_rad
                count = math.ceil(abs(math.degrees(sweep)))
                for number in range(count):
                    angle = first + sweep * number / count
                    x, y = segment.centre
                    yield x + segment.radius_mm * math.cos(angle), y + segment.radius_mm * math.sin(angle)


@pytest.mark.parametrize("diameter", [4.8, 6.35, 8.0, 12.7, 20.0])
def test_the_hole_is_cleared_all_over_and_no_wider(diameter):
    job, bore = bored(dowel_diameter_mm=diameter)
    bit = job.bit(bore.cut.bit_id)
    deepest = job.boards[0].thickness_mm + bore.depth_mm
    gone = shapely.union_all([
        shapely.Point(place).buffer(bit.radius_mm, quad_segs=64) for place in places(bore, below=deepest)
    ])
    hole = shapely.Point(0, 0).buffer(diameter / 2, quad_segs=256)
    assert gone.difference(hole.buffer(0.002)).area == 0
    assert hole.buffer(-0.005).difference(gone).area == pytest.approx(0, abs=1e-9)


def test_it_goes_as_deep_as_the_bit_reaches_and_no_deeper_than_usual():
    _, bore = bored()
    assert bore.depth_mm == pytest.approx(17.0 - 12.7, abs=1e-12)
    _, bore = bored(f'{BOTH}[[bit]]\nid = "flat-3.175-long"\ncutting_length = 25\n')
    assert bore.depth_mm == 6.0
    _, bore = bored(dowel_depth_mm=3.5)
    assert bore.depth_mm == 3.5
    lowest = min(step.z_end for one in bore.cut.passes for step in one.steps)
    assert lowest == pytest.approx(-(12.7 + 3.5), abs=1e-12)


def test_walls_are_finished_clockwise_as_seen_from_above_so_that_the_turned_file_climbs():
    _, bore = bored()
    assert bore.cut.face is BoardFace.BOTTOM
    for one in bore.cut.passes:
        if one.is_finish:
            round_the_wall = [step.segment for step in one.steps if isinstance(step.segment, Arc)]
            longest = max(round_the_wall, key=lambda arc: arc.length_mm)
            assert not longest.is_ccw


def test_it_goes_down_by_a_helix_and_never_straight_into_wood():
    _, bore = bored()
    for one in bore.cut.passes:
        for step in one.steps:
            fall = step.z_start - step.z_end
            assert fall <= 0 or step.segment.length_mm >= 3.5 * fall


def test_the_bit_for_outlines_bores_where_that_for_grooves_does_not_reach():
    job, bore = bored(f'{BOTH}[bits]\ngrooves = "flat-3.175"\noutlines = "flat-3.175-down"\n')
    assert bore.cut.bit_id == job.outlines_bit == "flat-3.175-down"


def said(**turning):
    with pytest.raises(CannotCut) as error:
        bored(**turning)
    return str(error.value.in_unit("mm")).splitlines()


def test_holes_that_no_bit_can_bore_are_refused_in_words():
    assert said(dowel_diameter_mm=4.0) == [
        "[turning] dowel_diameter = 4.000 mm (~5/32 in): too narrow to be bored by a helix of flat-3.175-long, which "
        "takes 4.763 mm (3/16 in). Use thicker dowels, or a smaller bit for the grooves."
    ]
    assert said(dowel_depth_mm=6.0) == [
        "[turning] dowel_depth = 6.000 mm (~15/64 in): through board A that is 18.700 mm (~47/64 in), and "
        "flat-3.175-long cuts 17.000 mm (~43/64 in) deep at most. Use a bit with a longer cutting edge, or turn the "
        'board against a fence: by = "fence".'
    ]


def test_a_machine_that_does_not_travel_so_deep_is_named():
    job = job_of(BOTH)
    job = replace(job, machine=replace(job.machine, travel_mm=(600.0, 500.0, 25.0)))
    with pytest.raises(CannotCut) as error:
        bore_dowel(job, job.boards[0])
    assert str(error.value.in_unit("mm")) == (
        "[turning] dowel_depth = 4.300 mm (~11/64 in): with the board and the safe height over it that is 27.000 mm "
        "(~1 1/16 in) of z, and the test machine travels 25.000 mm (~63/64 in). Let the dowels go less deep."
    )
