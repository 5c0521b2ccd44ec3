"""Whole programs: what they say, in which order, and that they read back as the plan they came from."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings

from platelayer.errors import CannotCut
from platelayer.gcode.reader import read_program
from platelayer.post import program_text, timed_text
from platelayer.tolerances import ARC_RADII_MM, COINCIDENT_MM, FLATTEN_CHORD_MM, PROGRAM_STEP_MM, RAPID_CLEARANCE_MM
from platelayer.units import inches
from platelayer.values.cuts import FeedKind, Pass, Step
from platelayer.values.dialect import CommentStyle
from platelayer.values.motion import EventKind, MoveKind
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Arc, Contour, Line
from platelayer.values.tooling import BitChange, NoGo, SpindleKind
from strategies_post import (
    BIT,
    BOARD,
    DATA,
    GROOVE,
    INCH_DIALECT,
    MACHINE,
    MM_DIALECT,
    WIDE_BIT,
    make_plan,
    plans,
    two_sections,
)

SPINDLES = [SpindleKind.SPEED_WORD, SpindleKind.DIAL, SpindleKind.SWITCH]
CHANGER = replace(MACHINE, can_zero_in_pause=True)


def text_of(plan):
    return program_text(plan.programs[0], plan=plan)


def read(plan):
    return read_program(text_of(plan), name=plan.programs[0].name)


def step_mm(plan):
    """Distance between two places the program can write."""
    dialect = plan.machine.dialect
    return (inches(1.0) if dialect.units == "in" else 1.0) / 10**dialect.decimals


def as_run(plan):
    """Planned steps as the machine must run them: z from the machine's zero, y mirrored for a bottom face."""
    program, board = plan.programs[0], plan.boards[0]
    shift = board.thickness_mm if board.zero == "spoilboard" else 0.0
    is_turned = program.face is BoardFace.BOTTOM

    def over(point):
        return (point[0], board.height_mm - point[1]) if is_turned else point

    for section in program.sections:
        for one in itertools.chain.from_iterable(cut.passes for cut in section.cuts):
            for step in one.steps:
                seg = step.segment
                points = tuple(
                    over(point)
                    for point in ((seg.start, seg.end) if isinstance(seg, Line) else (seg.start, seg.end, seg.centre))
                )
                is_ccw = isinstance(seg, Arc) and seg.is_ccw != is_turned
                yield points, is_ccw, step.z_start + shift, step.z_end + shift


def points_along(points, is_ccw, z_start, z_end):
    """Places along a planned step, (n, 3)."""
    share = np.linspace(0, 1, 13)
    z = z_start + (z_end - z_start) * share
    if len(points) == 2:
        (ax, ay), (bx, by) = points
        return np.column_stack([ax + (bx - ax) * share, ay + (by - ay) * share, z])
    start, end, (cx, cy) = points
    arc = Arc(start, end, (cx, cy), is_ccw)
    first = math.atan2(start[1] - cy, start[0] - cx)
    angle = first + (1 if is_ccw else -1) * arc.sweep_rad * share
    return np.column_stack([cx + arc.radius_mm * np.cos(angle), cy + arc.radius_mm * np.sin(angle), z])


def points_of_rows(motion, rows):
    """Places along the moves read back, close together, (n, 3)."""
    found = []
    for row in rows:
        start, end = motion.start[row], motion.end[row]
        if motion.kind[row] == MoveKind.LINE:
            points = (tuple(start[:2]), tuple(end[:2]))
        else:
            points = (tuple(start[:2]), tuple(end[:2]), tuple(motion.centre[row]))
        found.append((points, motion.kind[row] == MoveKind.ARC_CCW, start[2], end[2]))
    return found


def distance_to(place, leg):
    """Distance of a place from a move, of a helix the least at the same angle or at the same height."""
    points, is_ccw, z_start, z_end = leg
    x, y, z = place
    if len(points) == 2:
        a, b = np.array([*points[0], z_start]), np.array([*points[1], z_end])
        length = float(np.dot(b - a, b - a))
        share = 0.0 if length == 0 else min(1.0, max(0.0, float(np.dot(np.array(place) - a, b - a)) / length))
        return float(np.linalg.norm(a + (b - a) * share - place))
    start, end, (cx, cy) = points
    arc = Arc(start, end, (cx, cy), is_ccw)
    first = math.atan2(start[1] - cy, start[0] - cx)
    turn = (math.atan2(y - cy, x - cx) - first) * (1 if is_ccw else -1) % math.tau
    candidates = [0.0, arc.sweep_rad] + ([turn] if turn < arc.sweep_rad else [])
    if min(z_start, z_end) < z < max(z_start, z_end):
        candidates.append(arc.sweep_rad * (z - z_start) / (z_end - z_start))
    places = []
    for at in candidates:
        angle = first + (at if is_ccw else -at)
        level = z_start + (z_end - z_start) * at / arc.sweep_rad
        places.append((cx + arc.radius_mm * math.cos(angle), cy + arc.radius_mm * math.sin(angle), level))
    return min(math.dist(candidate, place) for candidate in places)


def runs_steps(motion):
    """Moves at feed, and those straight up: at rapid to where a pass begins above the end of the one before."""
    is_across = (motion.start[:, :2] != motion.end[:, :2]).any(axis=1)
    return (motion.kind != MoveKind.RAPID) | (~is_across & (motion.end[:, 2] > motion.start[:, 2]))


STILL = Line((0.0, 0.0), (0.0, 0.0))
LIFTED = make_plan(Pass((Step(STILL, -2.0, -2.0),)), Pass((Step(STILL, 0.0, 0.0),)))


@settings(max_examples=60)
@given(plans())
@example(LIFTED)
def test_what_is_read_back_is_what_was_planned(plan):
    """Every place of every planned step lies on the moves read back, in order, within a few last digits."""
    motion = read(plan)
    legs = points_of_rows(motion, np.flatnonzero(runs_steps(motion)))
    allowed = 4 * step_mm(plan) + (0.0 if plan.machine.dialect.arcs else FLATTEN_CHORD_MM)
    at = 0
    for step in as_run(plan):
        for place in points_along(*step):
            while at < len(legs) and distance_to(place, legs[at]) > allowed:
                at += 1
            assert at < len(legs), f"{place} of {step} is not on the way"


@settings(max_examples=30)
@given(plans(arcs=True))
@example(LIFTED)
def test_ends_of_planned_steps_are_within_a_program_step_and_never_deeper(plan):
    """Heights are rounded up: in inches a rounded depth went further into the spoilboard than the job allows."""
    motion = read(plan)
    ends = motion.end[runs_steps(motion)]
    step = step_mm(plan)
    for points, _, _, z_end in as_run(plan):
        aside = np.abs(ends[:, :2] - points[1]).max(axis=1) <= 0.501 * step
        above = ends[:, 2] - z_end
        assert (aside & (above >= -0.101 * step) & (above <= 1.001 * step)).any()


@settings(max_examples=30)
@given(plans(arcs=True))
def test_no_more_is_run_than_was_planned(plan):
    """Lengths in the plane agree, so that no short arc has become a whole turn and nothing is cut twice."""
    motion = read(plan)
    run = 0.0
    for points, is_ccw, _, _ in points_of_rows(motion, np.flatnonzero(motion.kind != MoveKind.RAPID)):
        run += Line(*points).length_mm if len(points) == 2 else Arc(*points, is_ccw).length_mm
    planned = [
        Line(*points).length_mm if len(points) == 2 else Arc(*points, is_ccw).length_mm
        for points, is_ccw, _, _ in as_run(plan)
    ]
    assert run == pytest.approx(sum(planned), abs=10 * step_mm(plan) * len(planned))


@settings(max_examples=40)
@given(plans(arcs=True))
def test_no_arc_has_radii_that_differ_or_ends_where_it_starts(plan):
    motion = read(plan)
    arcs = motion.kind >= MoveKind.ARC_CW
    first = np.hypot(*(motion.start[arcs, :2] - motion.centre[arcs]).T)
    last = np.hypot(*(motion.end[arcs, :2] - motion.centre[arcs]).T)
    assert np.all(np.abs(first - last) <= ARC_RADII_MM)
    assert np.all((motion.start[arcs, :2] != motion.end[arcs, :2]).any(axis=1))


@settings(max_examples=40)
@given(plans())
def test_rapids_stay_above_the_wood_and_z_moves_alone(plan):
    motion, board = read(plan), plan.boards[0]
    top = board.thickness_mm if board.zero == "spoilboard" else 0.0
    is_rapid = motion.kind == MoveKind.RAPID
    across = (motion.start[:, :2] != motion.end[:, :2]).any(axis=1)
    rises = ~across & (motion.end[:, 2] > motion.start[:, 2])  # where the bit stands, nothing is above it
    assert motion.end[is_rapid & ~rises, 2].min(initial=np.inf) >= top + RAPID_CLEARANCE_MM
    sideways = is_rapid & across
    assert motion.start[sideways, 2].min() >= top + RAPID_CLEARANCE_MM
    assert not (is_rapid & across & (motion.start[:, 2] != motion.end[:, 2])).any()
    assert is_rapid[0]
    assert not across[0]
    assert motion.end[0, 2] == pytest.approx(top + MACHINE.safe_z_mm, abs=step_mm(plan))


@settings(max_examples=30)
@given(plans())
def test_every_cutting_move_has_a_feed_within_the_machine_and_the_spindle_on(plan):
    motion = read(plan)
    cuts = motion.kind != MoveKind.RAPID
    assert motion.spindle_on[cuts].all()
    assert (motion.feed[cuts] > 0).all()
    in_wood = cuts & (motion.end[:, 2] < (plan.boards[0].thickness_mm if plan.boards[0].zero == "spoilboard" else 0.0))
    assert (motion.feed[in_wood] <= max(DATA.feed_mm_min, DATA.plunge_mm_min)).all()
    assert motion.bit.tolist() == [0] * len(motion)
    down = motion.start[:, 2] - motion.end[:, 2]
    flat = np.hypot(*(motion.end - motion.start)[:, :2].T)
    straight_down = cuts & (flat == 0) & (down > 0) & (motion.kind == MoveKind.LINE)
    top = plan.boards[0].thickness_mm if plan.boards[0].zero == "spoilboard" else 0.0
    in_air = motion.end[:, 2] >= top + RAPID_CLEARANCE_MM - 1e-9
    assert (motion.feed[straight_down & ~in_air] <= DATA.plunge_mm_min + 1e-9).all()
    assert (motion.feed[straight_down & in_air] <= MACHINE.feed_max_mm_min[2] + 1e-9).all()


@settings(max_examples=20)
@given(plans())
def test_text_is_the_same_twice_and_of_short_ascii_lines(plan):
    text = text_of(plan)
    assert text == text_of(plan)
    assert text.isascii()
    lines = text.split("\n")
    assert lines.pop() == ""
    assert max(map(len, lines)) < 70
    assert lines[-1] == plan.machine.dialect.end_word
    for line in lines:
        assert line == line.strip()
        assert "e" not in line.lower() or line.startswith(("(", ";"))
        assert not any(word.endswith(("-0", ".")) for word in line.split() if line[0] == "G")


def test_arcs_are_written_as_arcs_and_full_circles_as_halves():
    circle = Pass((Step(Arc((20.0, 10.0), (20.0, 10.0), (10.0, 10.0), False), -1.0, -2.0),))
    lines = text_of(make_plan(circle)).splitlines()
    at = lines.index("G1 Z-1 F300")
    assert lines[at + 1 : at + 3] == ["G2 X0 Y10 Z-1.5 I-10 J0 F1200", "G2 X20 Y10 Z-2 I10 J0"]


def test_a_controller_without_arcs_gets_chords_and_is_told_how_close():
    machine = replace(MACHINE, dialect=replace(MM_DIALECT, arcs=False))
    plan = make_plan(GROOVE, machine=machine)
    text = text_of(plan)
    assert "G2 " not in text
    assert "G3 " not in text
    assert "(Arcs are written as chords within 0.0005 mm)" in text.splitlines()
    motion = read(plan)
    on_arc = motion.end[(motion.end[:, 0] > 60.0) & (motion.kind == MoveKind.LINE), :2]
    assert len(on_arc) > 50
    assert np.abs(np.hypot(*(on_arc - (60.0, 30.0)).T) - 10).max() <= PROGRAM_STEP_MM


@pytest.mark.parametrize("spindle", SPINDLES)
@pytest.mark.parametrize("manner", [BitChange.PAUSE, BitChange.TOOL_WORD])
@pytest.mark.parametrize("dialect", [MM_DIALECT, INCH_DIALECT], ids=["mm", "in"])
def test_after_every_pause_everything_is_said_again(spindle, manner, dialect):
    machine = replace(CHANGER, spindle=spindle, bit_change=manner, dialect=replace(dialect, tool_change_word=True))
    plan = make_plan(machine=machine, sections=two_sections())
    lines = [line for line in text_of(plan).splitlines() if not line.startswith("(")]
    units = "G20" if dialect.units == "in" else "G21"
    stops = [at for at, line in enumerate(lines) if line in {"M0", "M6"}]
    assert len(stops) == {SpindleKind.SPEED_WORD: 1}.get(spindle, 5) + (manner is BitChange.TOOL_WORD)
    for at in stops:
        rest = lines[at + 1 :]
        assert rest[:7] == ["G17", units, "G90", "G94", "G40", "G49", "G54"]
        moves = [line for line in rest if line.startswith(("G0", "G1 ", "G2 ", "G3 "))]
        if not moves:
            assert rest[7:] == ["M5", "M2"]
            continue
        assert moves[0].startswith("G0 Z")
        first_cut = next((index for index, line in enumerate(rest) if line.startswith("G1 ")), None)
        if first_cut is None or "M5" in rest[:first_cut]:
            continue
        assert " F" in rest[first_cut]
        before = rest[:first_cut]
        assert [line for line in before if line[0] in "SM" and line != "M0"] == [before[before.index("M3") - 1], "M3"]
        assert before[before.index("M3") - 1].startswith("S")
        assert before[before.index("M3") + 1] == "G4 P4"
        assert next(line for line in moves if "X" in line).count("Y") == 1


def test_the_feed_is_said_again_after_a_pause_even_if_it_is_the_same():
    down = Pass((Step(Line((10.0, 20.0), (10.0, 20.0)), 0.0, -1.0, FeedKind.PLUNGE),))
    first, second = two_sections()
    sections = tuple(replace(section, cuts=(replace(section.cuts[0], passes=(down,)),)) for section in (first, second))
    lines = text_of(make_plan(machine=CHANGER, sections=sections)).splitlines()
    down = [f"G1 Z0.5 F{MACHINE.feed_max_mm_min[2]:.0f}", "G1 Z0 F300", "G1 Z-1"]
    assert [line for line in lines if line.startswith("G1 ")] == [*down, *down]


def test_a_bit_comes_down_fast_where_it_is_clear_and_goes_along_a_way_without_lifting_out():
    first = Pass((Step(Line((10.0, 20.0), (30.0, 20.0)), -4.0, -4.0),))
    down = Pass((Step(Line((10.0, 22.0), (20.0, 22.0)), -4.0, -4.0),), clear_z_mm=-3.0)
    along = replace(down, way_z_mm=-3.0, is_way_open=True)
    fast, wide = MACHINE.feed_max_mm_min[2], min(MACHINE.feed_max_mm_min[:2])
    lifted, gone = (text_of(make_plan(first, second)).splitlines() for second in (down, along))
    at = lifted.index("G1 X30 F1200")
    assert lifted[at + 1 : at + 5] == ["G0 Z4", "G0 X10 Y22", f"G1 Z-2.5 F{fast:.0f}", "G1 Z-4 F300"]
    at = gone.index("G1 X30 F1200")
    assert gone[at + 1 : at + 4] == ["G0 Z-3", f"G1 X10 Y22 F{wide:.0f}", "G1 Z-4 F300"]
    touching = text_of(make_plan(first, replace(along, is_way_open=False))).splitlines()
    assert touching[at + 1 : at + 4] == ["G0 Z-3", "G1 X10 Y22", "G1 Z-4 F300"]


@pytest.mark.parametrize("dialect", [MM_DIALECT, INCH_DIALECT], ids=["mm", "in"])
def test_the_fast_way_down_keeps_its_clearance_from_the_floor_as_it_was_written(dialect):
    """A floor is written up to a last digit higher than planned; the fast way down once went by the plan."""
    machine = replace(MACHINE, dialect=dialect)
    for floor_z in np.linspace(-1.0, -3.0, 29):
        cut = Pass((Step(Line((10.0, 20.0), (30.0, 20.0)), floor_z, floor_z),))
        down = Pass((Step(Line((10.0, 22.0), (20.0, 22.0)), -4.0, -4.0),), clear_z_mm=floor_z)
        plan = make_plan(cut, down, machine=machine)
        motion = read(plan)
        fast = (motion.kind == MoveKind.LINE) & np.isclose(motion.feed, machine.feed_max_mm_min[2], rtol=0.02)
        floor = motion.end[motion.end[:, 0] > 29.0, 2].min()
        over = motion.end[fast & (motion.end[:, 1] > 21.0), 2] - floor
        assert RAPID_CLEARANCE_MM - COINCIDENT_MM <= over.item() <= RAPID_CLEARANCE_MM + 2 * step_mm(plan)


def test_bits_are_marked_once_each_before_their_pause_and_the_spindle_is_off_then():
    plan = make_plan(machine=CHANGER, sections=two_sections())
    text = text_of(plan)
    lines = text.splitlines()
    assert [line for line in lines if line.startswith("(BIT")] == ["(BIT 1 flat-3.175)", "(BIT 2 flat-6.35)"]
    at = lines.index("(BIT 2 flat-6.35)")
    assert lines[at - 2 : at + 4] == [
        "G0 X0 Y140",
        "M5",
        "(BIT 2 flat-6.35)",
        "(Put in flat-6.35, zero z again, lift it, resume)",
        "M0",
        "G17",
    ]
    motion = read_program(text, name="a.nc")
    assert set(motion.bit.tolist()) == {0, 1}
    pauses = [event for event in motion.events if event.kind is EventKind.PAUSE]
    assert [pause.text for pause in pauses] == ["BIT 2 flat-6.35"]


@pytest.mark.parametrize("spindle", [SpindleKind.DIAL, SpindleKind.SWITCH])
def test_a_router_switched_by_hand_gets_a_pause_to_start_and_one_to_stop(spindle):
    machine = replace(MACHINE, spindle=spindle, dialect=replace(MM_DIALECT, spindle_speed_word=False))
    text = text_of(make_plan(GROOVE, machine=machine))
    lines = text.splitlines()
    start = lines.index("(PAUSE switch the router on at dial 3, then resume)")
    stop = lines.index("(PAUSE switch the router off, then resume)")
    assert lines[start + 1] == lines[stop + 1] == "M0"
    assert lines[stop - 2 : stop] == ["G0 Z15", "G0 X0 Y140"]
    assert not [line for line in lines if line.startswith("S")]
    motion = read_program(text, name="a.nc")
    cuts = np.flatnonzero(motion.kind)
    pauses = [event.before for event in motion.events if event.kind is EventKind.PAUSE]
    assert pauses[0] <= cuts[0]
    assert pauses[1] > cuts[-1]


def test_bits_in_one_file_need_a_machine_that_can_be_zeroed_in_a_pause():
    plan = make_plan(sections=two_sections(), name="A-1.nc")
    with pytest.raises(CannotCut) as caught:
        text_of(plan)
    assert str(caught.value) == (
        "[machine] bench-top: A-1.nc uses 2 bits (flat-3.175, flat-6.35), and this machine cannot be zeroed during a"
        " pause (can_zero_in_pause = false). Use one file a bit."
    )


def test_semicolon_comments_still_name_the_bit():
    machine = replace(MACHINE, dialect=replace(MM_DIALECT, comments=CommentStyle.SEMICOLON))
    plan = make_plan(GROOVE, machine=machine)
    assert "; (BIT 1 flat-3.175)" in text_of(plan).splitlines()
    assert set(read(plan).bit.tolist()) == {0}


@pytest.mark.parametrize(
    ("unit", "spin_up", "word"),
    [("s", 4.0, "P4"), ("ms", 4.0, "P4000"), ("s", 2.5, "P2.5"), ("s", 0.5, "P2"), ("ms", 60.0, "P10000")],
)
def test_spin_up_is_two_to_ten_seconds_in_the_unit_of_the_controller(unit, spin_up, word):
    machine = replace(MACHINE, spin_up_s=spin_up, dialect=replace(MM_DIALECT, dwell_unit=unit))
    assert f"G4 {word}" in text_of(make_plan(GROOVE, machine=machine)).splitlines()


def test_zero_on_the_spoilboard_lifts_everything_by_the_thickness():
    top = read(make_plan(GROOVE))
    under = read(make_plan(GROOVE, board=replace(BOARD, zero="spoilboard")))
    assert under.end[:, 2] - top.end[:, 2] == pytest.approx([12.7] * len(top), abs=PROGRAM_STEP_MM)
    assert np.array_equal(under.end[:, :2], top.end[:, :2])


def test_a_bottom_file_is_mirrored_about_the_boards_middle_line():
    top = read(make_plan(GROOVE))
    bottom = read(make_plan(GROOVE, face=BoardFace.BOTTOM))
    cuts = top.kind != MoveKind.RAPID
    assert bottom.end[cuts, 1] == pytest.approx(140.0 - top.end[cuts, 1], abs=PROGRAM_STEP_MM)
    assert np.array_equal(bottom.end[cuts, 0], top.end[cuts, 0])
    assert top.kind[cuts].tolist() == [1, 1, 1, 1, MoveKind.ARC_CCW]
    assert bottom.kind[cuts].tolist() == [1, 1, 1, 1, MoveKind.ARC_CW]
    assert (
        "(Face: bottom. The face that is to be the lower one lies up,)"
        in text_of(make_plan(GROOVE, face=BoardFace.BOTTOM)).splitlines()
    )


def test_rapids_clear_the_highest_clamp():
    clamp = NoGo(Contour((Line((0.0, 0.0), (9.0, 0.0)),), False), 30.0)
    motion = read(make_plan(GROOVE, GROOVE, board=replace(BOARD, no_go=(clamp,))))
    rapids = motion.kind == MoveKind.RAPID
    assert motion.end[rapids, 2].min() == 32.0


def test_passes_go_on_without_lifting_only_from_the_same_place():
    down = Pass((Step(Line((10.0, 20.0), (30.0, 20.0)), 0.0, 0.0), Step(Line((30.0, 20.0), (10.0, 20.0)), 0.0, 0.0)))
    deeper = Pass((Step(Line((10.0, 20.0), (30.0, 20.0)), -2.0, -2.0),))
    higher = Pass((Step(Line((30.0, 20.0), (40.0, 20.0)), -1.0, -1.0),))
    lines = [line for line in text_of(make_plan(down, deeper, higher)).splitlines() if line[0] == "G"]
    at = lines.index("G1 Z0 F300")
    assert lines[at : at + 8] == [
        "G1 Z0 F300",
        "G1 X30 F1200",
        "G1 X10",
        "G1 Z-2 F300",
        "G1 X30 F1200",
        "G0 Z-1",
        "G1 X40",
        "G0 Z15",
    ]


def test_ramps_go_down_no_faster_than_the_plunge():
    steep = Pass((Step(Line((0.0, 0.0), (4.0, 0.0)), 0.0, -3.0, FeedKind.RAMP),))
    gentle = Pass((Step(Line((0.0, 0.0), (100.0, 0.0)), 0.0, -3.0, FeedKind.RAMP),))
    lines = text_of(make_plan(steep, gentle)).splitlines()
    assert "G1 X4 Z-3 F500" in lines  # worked by hand: 3-4-5, so plunge 300 over 3/5
    assert "G1 X100 Z-3 F1200" in lines


def test_feeds_stay_within_each_axis():
    machine = replace(MACHINE, feed_max_mm_min=(900.0, 5000.0, 200.0))
    motion = read(make_plan(GROOVE, machine=machine))
    cuts = motion.kind != MoveKind.RAPID
    assert motion.feed[cuts].tolist() == [200.0, 200.0, 904.0, 900.0, 900.0]  # 900 / cos(atan(2 / 20)) = 904.49


@pytest.mark.parametrize("style", list(CommentStyle))
def test_time_is_put_in_afterwards_and_changes_no_line_numbers(style):
    text = text_of(make_plan(GROOVE, machine=replace(MACHINE, dialect=replace(MM_DIALECT, comments=style))))
    without, timed = text.splitlines(), timed_text(text, duration_s=333.0).splitlines()
    changed = [(a.lstrip("; "), b.lstrip("; ")) for a, b in zip(without, timed, strict=True) if a != b]
    assert changed == [("(Time: not worked out)", "(Time: about 6 min)")]


def test_an_inch_program_is_in_inches():
    plan = make_plan(GROOVE, machine=replace(MACHINE, dialect=INCH_DIALECT))
    lines = text_of(plan).splitlines()
    assert "G20" in lines
    assert "G21" not in lines
    assert "G1 X1.1811 Z-0.07874 F47.24" in lines  # worked by hand: 30, -2 and 1200 mm over 25.4
    assert read(plan).end[-1].tolist() == pytest.approx([0.0, 140.0, 15.0], abs=inches(1e-5))


def test_the_tool_word_counts_bits_over_the_whole_plan():
    machine = replace(CHANGER, bit_change=BitChange.TOOL_WORD, dialect=replace(MM_DIALECT, tool_change_word=True))
    plan = make_plan(machine=machine, sections=two_sections())
    second = replace(plan.programs[0], name="b.nc", sections=plan.programs[0].sections[1:])
    plan = replace(plan, programs=(*plan.programs, second))
    lines = program_text(second, plan=plan).splitlines()
    at = lines.index("T2")
    assert lines[at - 3 : at + 2] == [
        "(BIT 1 flat-6.35)",
        "(Put in flat-6.35, zero z again, lift it, resume)",
        "G0 Z15",
        "T2",
        "M6",
    ]
    assert (BIT.id, WIDE_BIT.id) == ("flat-3.175", "flat-6.35")


def test_header_of_a_file():
    text = timed_text(text_of(make_plan(GROOVE)), duration_s=600.0)
    assert text[: text.index("G17")] == (
        "(platelayer: hallway, file A-1-flat-3.175.nc)\n"
        "(Stock: hard maple, board A, 900.0 mm x 140.0 mm)\n"
        "(Thickness: 1/2 in = 12.700 mm)\n"
        "(Face: top, as the board was laid)\n"
        "(Zero: x and y at the board's near left corner, z on top of the)\n"
        "(wood)\n"
        "(Cutter flat-3.175: flat, 1/8 in = 3.175 mm, 18000 rev/min,)\n"
        "(dial 3)\n"
        "(Time: about 10 min)\n"
        "(START WITH THE BIT ABOVE SAFE HEIGHT, ~19/32 in = 15.000 mm)\n"
        "(over the wood)\n"
        "(CAUTION: wear eye and ear protection and keep the dust away.)\n"
        "(Hands away until the bit stands still. Never leave it running)\n"
        "(alone.)\n"
        "(The machine's manual and local rules come first.)\n"
    )
