"""A job file becomes a job: defaults, the shipped examples, the starter, and what each key leads to."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from job.sample_jobs import JOB, PROFILES, changed, job_of, thick
from platelayer.job import (
    describe_bits,
    describe_materials,
    load_job,
    load_profiles,
    starter_bits,
    starter_job,
    starter_woods,
)
from platelayer.job.bits import BITS, TITLES
from platelayer.job.materials import WOODS
from platelayer.units import worded
from platelayer.values.pieces import EndKind, MouthCorner, PegRoot
from platelayer.values.shapes import Arc, Line
from platelayer.values.tooling import HoldingKind

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/job.toml"))
SHIPPED = load_profiles()


def example(name):
    """A shipped example as a job."""
    path = ROOT / "examples" / name / "job.toml"
    return load_job(path.read_text(encoding="utf-8"), file=str(path), profiles=SHIPPED)


def test_a_short_job_has_the_usual_sizes():
    job = job_of(JOB)
    # common practice, no source; worked by hand from 1 9/16, 1/2, 11/64, 13/32, 9/64 in
    track = job.track
    assert (track.width_mm, track.thickness_mm) == (39.6875, 12.7)
    assert (track.groove_outer_mm, track.groove_inner_mm, track.groove_depth_mm) == (4.365625, 10.31875, 3.571875)
    # and from 1/4, 7/16, 9/32, 5/16, 1/2, 9/32 in
    joint = job.joint
    assert (joint.neck_width_mm, joint.head_diameter_mm, joint.head_setback_mm) == (6.35, 11.1125, 7.14375)
    assert (joint.mouth_width_mm, joint.hole_diameter_mm, joint.hole_setback_mm) == (7.9375, 12.7, 7.14375)
    assert job.mate == joint
    assert (job.peg_root, job.mouth, job.ease_radius_mm) == (PegRoot.RELIEVE, MouthCorner.EASE, 0.0)
    assert (job.grooves_bit, job.joints_bit, job.outlines_bit, job.finish_bit) == (*["flat-3.175-long"] * 3, "")
    assert [bit.id for bit in job.bits] == ["flat-3.175-long"]
    assert job.boards[0].scatter_mm == 0.2
    assert (job.holding.kind, job.holding.tab_count) == (HoldingKind.TABS, 0)
    assert job.orders[0].ends == (EndKind.SOCKET, EndKind.PEG)
    assert (job.orders[0].grooves_top, job.orders[0].grooves_bottom) == (True, False)
    assert job.warnings == ()


def test_sizes_typed_out_equal_the_ones_left_out():
    text = f"""{JOB}[joint]
neck_width = "1/4 in"
head_diameter = '7/16"'
head_setback = "0.28125 in"
mouth_width = "5/16in"
hole_diameter = 12.7
hole_setback = "9/32 in"
[track]
width = "1-9/16 in"
groove_inner = "13/32 in"
thickness = "1/2 in"
"""
    assert job_of(text) == job_of(JOB)


def test_the_hallway_job_is_the_one_described():
    job = example("hallway")
    assert (job.name, job.units, job.machine.id, job.material.id) == ("hallway", "in", "mid-screw", "hard-maple")
    assert [(order.kind, order.count, order.sizes.get("length")) for order in job.orders] == [
        ("straight", 12, 150.8125),  # worked by hand: 5 15/16 in
        ("straight", 4, 60.325),  # worked by hand: 2 3/8 in
        ("curve", 2, None),
        ("curve", 2, None),
    ]
    assert [order.sizes["hand"] for order in job.orders[2:]] == ["left", "right"]
    assert all(order.ends == (EndKind.SOCKET, EndKind.PEG) for order in job.orders)
    assert [bit.id for bit in job.bits] == ["flat-3.175-long"]
    assert job.bits[0].cutting_length_mm >= job.track.thickness_mm + job.spoilboard_allowance_mm


def test_the_two_bit_job_names_bits_in_the_order_of_use():
    job = example("two-bits")
    assert (job.grooves_bit, job.joints_bit, job.outlines_bit) == (
        "flat-3.175-long",
        "flat-3.175-long",
        "flat-6.35-compression",
    )
    assert [bit.id for bit in job.bits] == ["flat-3.175-long", "flat-6.35-compression"]
    assert [data.bit_id for data in job.feeds] == [bit.id for bit in job.bits]
    assert job.bit("flat-6.35-compression").diameter_mm == 6.32


def test_the_odd_lengths_are_in_millimetres_and_held_by_a_skin():
    job = example("odd-lengths")
    assert (job.units, job.holding.kind, job.holding.skin_mm) == ("mm", HoldingKind.SKIN, 0.6)
    assert {order.sizes["length"] for order in job.orders} == {131.5, 87.2, 64.8, 112.0}


@pytest.mark.parametrize("path", EXAMPLES, ids=[path.parent.name for path in EXAMPLES])
def test_an_example_says_it_is_invented_and_loads_without_a_warning(path):
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# Invented example")
    assert load_job(text, file=str(path), profiles=SHIPPED).warnings == ()


def test_the_examples_are_for_all_machines():
    machines = {example(path.parent.name).machine.id for path in EXAMPLES}
    assert machines == {"small-belt", "mid-screw", "bench-top"}


def test_the_starter_loads_as_it_stands_and_so_does_each_of_its_remarks():
    text = starter_job()
    job = load_job(text, file="first/job.toml", profiles=SHIPPED)
    assert (job.name, job.title, job.warnings) == ("first", "My first track", ())
    # every commented key or table, brought in
    lines = [
        line.removeprefix("# ") if line.startswith(("# [", "# ")) and ("=" in line or "[[" in line) else line
        for line in text.split("\n")
    ]
    own = {str(Path("first/bits.toml")): starter_bits(), str(Path("first/woods.toml")): starter_woods()}
    whole = load_job("\n".join(lines), file="first/job.toml", profiles=SHIPPED | own)
    assert whole.bit("flat-3.175-long").measured_mm == 3.14
    assert whole.outlines_bit == "flat-6.35-up"
    assert whole.boards[0].no_go[0].title == "clamp"
    assert whole.joint == job.joint
    assert whole.shop == "shop.toml"
    assert whole.fit.is_asked


@pytest.mark.parametrize(
    ("file", "name"),
    [("examples/hallway/job.toml", "hallway"), ("job.toml", "job"), ("garden loop.toml", "garden-loop"), ("", "job")],
)
def test_a_job_without_a_name_takes_one_from_its_file(file, name):
    assert load_job(thick(JOB), file=file, profiles=PROFILES).name == name


def test_pieces_are_as_thick_as_the_board_that_was_measured():
    """Track was half an inch thick unless [track] said otherwise, whatever board stood in the job."""
    measured = changed(JOB, ("width = 400", "width = 400\nthickness = 18.2"))
    job = job_of(measured)
    assert (job.boards[0].thickness_mm, job.track.thickness_mm) == (18.2, 18.2)
    close = job_of(f"{measured}[track]\nthickness = 18\n")
    assert (close.boards[0].thickness_mm, close.track.thickness_mm) == (18.2, 18.2)
    said = job_of(f"{JOB}[track]\nthickness = 18\n")
    assert (said.boards[0].thickness_mm, said.track.thickness_mm) == (18.0, 18.0)


def test_the_same_text_gives_the_same_job():
    assert job_of(JOB) == job_of(JOB)


def test_boards_are_counted_lettered_and_turned():
    text = f"""{JOB}
[[board]]
id = "oak"
count = 2
width = 300
height = 200
grain = "across"
[[board]]
width = 300
height = 200
grain = 30
thickness_measured = true
[[board.no_go]]
title = "screw"
x = 20
y = 30
diameter = 8
rise = 2
[[board.no_go]]
x = 1
y = 2
width = 30
height = 40
[[board.no_go]]
outline = [[0, 0], [0, 10], [10, 0]]
"""
    boards = job_of(text).boards
    assert [board.id for board in boards] == ["A", "oak-1", "oak-2", "B"]
    assert [board.grain_rad for board in boards] == [0.0, math.pi / 2, math.pi / 2, math.radians(30)]
    assert replace(boards[1], id="oak-2") == boards[2]
    assert boards[3].scatter_mm == 0.1
    screw, box, corner = boards[3].no_go
    assert (screw.title, screw.height_mm) == ("screw", 2.0)
    assert screw.outline.segments == (Arc((24.0, 30.0), (24.0, 30.0), (20.0, 30.0), is_ccw=True),)
    assert [line.start for line in box.outline.segments] == [(1.0, 2.0), (31.0, 2.0), (31.0, 42.0), (1.0, 42.0)]
    # written clockwise, kept counter-clockwise, closed
    assert corner.outline.segments == (
        Line((10.0, 0.0), (0.0, 10.0)),
        Line((0.0, 10.0), (0.0, 0.0)),
        Line((0.0, 0.0), (10.0, 0.0)),
    )


def test_pieces_without_names_go_by_their_kind():
    short = '[[piece]]\nlength = 90\ngrooves = "both"\nend = "plain"\n'
    curve = '[[piece]]\nkind = "curve"\nradius = "8 in"\nhand = "right"\n'
    text = JOB + short + curve
    orders = job_of(text).orders
    assert [order.name for order in orders] == ["straight", "straight-b", "curve"]
    assert orders[1].grooves_bottom
    assert orders[1].ends[1] is EndKind.PLAIN
    assert orders[2].sizes == {"radius": 203.2, "angle": math.pi / 4, "hand": "right"}


def test_holding_is_chosen_within_its_limits():
    # worked by hand: 1.5 and the scatter and 0.3 to spare, unless a quarter of the board is less
    assert job_of(JOB).holding.tab_height_mm == pytest.approx(2.0)
    thin = changed(JOB, ("width = 400", "width = 400\nthickness = 7"))
    assert job_of(thin).holding.tab_height_mm == pytest.approx(1.75)
    skin = changed(JOB, ("width = 400", "width = 400\nthickness_measured = true"))
    holding = job_of(f'{skin}[holding]\nkind = "skin"\n').holding
    assert (holding.skin_mm, holding.tab_height_mm) == (pytest.approx(0.5), 0.0)


def test_a_bit_of_ones_own_and_a_shipped_one_changed():
    text = f"""{JOB}
[bits]
joints = "mine"
outlines = "flat-3.175-long"
[[bit]]
id = "mine"
kind = "flat"
diameter = "3 mm"
cutting_length = 15
[[bit]]
id = "flat-3.175-long"
measured = "0.1235 in"
direction = "down"
"""
    mine, changed_one = job_of(text).bits
    assert (mine.diameter_mm, mine.shank_mm, mine.may_plunge) == (3.0, 3.0, False)
    assert changed_one.diameter_mm == pytest.approx(3.1369, abs=1e-9)  # worked by hand: 0.1235 x 25.4
    assert (changed_one.nominal_mm, changed_one.flute_direction, changed_one.may_plunge) == (3.175, "down", True)


def test_shipped_bits_hang_together():
    assert len({bit.id for bit in BITS}) == len(BITS) == len(TITLES)
    for bit in BITS:
        assert all(char.isalnum() or char in "-." for char in bit.id)
        assert bit.nominal_mm > 0
        assert bit.cutting_length_mm > 0
        assert bit.overall_mm > bit.cutting_length_mm
    reaching = [bit.id for bit in BITS if bit.nominal_mm == 3.175 and bit.cutting_length_mm >= 13.0]
    assert "flat-3.175-long" in reaching
    assert "flat-3.175" not in reaching  # the usual 1/2 in does not get through 12.7 + 0.3 mm


def test_woods_stand_hardest_first():
    hardness = [wood.material.hardness_n for wood in WOODS]
    assert hardness == sorted(hardness, reverse=True)


def test_lists_of_bits_and_woods_are_rows_as_long_as_their_head():
    for listing in (describe_bits(), describe_materials()):
        assert all(len(row) == len(listing.head) for row in listing.rows)
    assert tuple(worded(cell, "in") for cell in describe_bits().rows[2]) == (
        "flat-3.175-long",
        "1/8 in flat, up-cut, long enough for 1/2 in stock",
        "1/8 in (3.175 mm)",
        "~43/64 in (17.000 mm)",
        "1/8 in (3.175 mm)",
        "2, up",
        "may plunge",
    )
    assert describe_materials().rows[0] == ("hard-maple", "hard maple", "6450 N", "hardwood")
