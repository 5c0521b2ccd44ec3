"""Times of moves: by hand, and against an integrator that knows nothing of closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcode.motions import machine_of, motion_of
from platelayer.gcode.motion import arc_sweeps_rad, move_lengths_mm, move_times
from platelayer.values.motion import EventKind, MoveKind

LINE, RAPID, CW, CCW = MoveKind.LINE, MoveKind.RAPID, MoveKind.ARC_CW, MoveKind.ARC_CCW


def test_a_long_line_takes_its_length_over_its_feed_and_one_ramp():
    # worked by hand: 50 mm/s, a = 500: 0.1 s and 2.5 mm up, the same down, 95 mm at 50 mm/s = 1.9 s
    times = move_times(motion_of([(LINE, (100.0, 0.0, 0.0), 3000.0)]), machine_of())
    assert times.total_s == pytest.approx(2.1)
    assert times.peak_mm_min[0] == pytest.approx(3000)


def test_a_short_line_never_reaches_its_feed():
    # worked by hand: 2 mm up and down at 500: v = sqrt(500 * 2) = 31.623 mm/s, t = 2 v / a = 0.126491 s
    times = move_times(motion_of([(LINE, (2.0, 0.0, 0.0), 3000.0)]), machine_of())
    assert times.peak_mm_min[0] == pytest.approx(60 * math.sqrt(1000))
    assert times.total_s == pytest.approx(2 * math.sqrt(1000) / 500)


def test_a_slow_axis_slows_the_whole_move():
    # worked by hand: z at most 20 mm/s and 200 mm/s2; at 45 degrees the path is sqrt 2 faster than either axis
    machine = machine_of()
    times = move_times(motion_of([(LINE, (40.0, 0.0, -40.0), 5000.0)]), machine)
    speed, accel, length = 20 * math.sqrt(2), 200 * math.sqrt(2), 40 * math.sqrt(2)
    assert times.peak_mm_min[0] == pytest.approx(60 * speed)
    assert times.total_s == pytest.approx(length / speed + speed / accel)


def test_a_small_circle_is_held_back_by_the_corners_between_its_chords():
    # worked by hand: chord angle f = 2 acos(1 - 0.002 / 0.5); sin of half the corner is cos(f / 2)
    half = math.acos(1 - 0.002 / 0.5)
    speed = math.sqrt(500 * 0.02 * math.cos(half) / (1 - math.cos(half)))
    circle = motion_of([(CCW, (0.0, 0.0, 0.0), 5000.0, (0.5, 0.0))])
    times = move_times(circle, machine_of(feed_max_mm_min=(0.0, 0.0, 0.0), accel_mm_s2=(500.0, 500.0, 200.0)))
    assert times.peak_mm_min[0] <= 60 * speed * (1 + 1e-9)
    with_corner_speed = move_times(circle, machine_of(corner_deviation_mm=0.0, corner_speed_mm_min=300.0))
    # worked by hand: a R = 500 * 0.5, reached within a quarter millimetre
    assert with_corner_speed.peak_mm_min[0] == pytest.approx(60 * math.sqrt(250))


def test_corner_speed_is_the_jump_of_the_axis_that_jumps_most():
    # worked by hand: at a right angle x drops from v to 0, so v = corner speed
    moves = [(LINE, (100.0, 0.0, 0.0), 3000.0), (LINE, (100.0, 100.0, 0.0), 3000.0)]
    times = move_times(motion_of(moves), machine_of(corner_deviation_mm=0.0, corner_speed_mm_min=480.0))
    assert times.exit_mm_min[0] == pytest.approx(480)


def corner_speed(machine, *modes):
    """mm/s at a right angle between two long moves, the modes in force before the corner."""
    moves = [(LINE, (100.0, 0.0, 0.0), 3000.0), (LINE, (100.0, 100.0, 0.0), 3000.0)]
    events = [(EventKind.MODE, 1, 0, value, text) for text, value in modes]
    return move_times(motion_of(moves, events=events), machine).exit_mm_min[0] / 60


@pytest.mark.parametrize("own", [{}, {"corner_deviation_mm": 0.0, "corner_speed_mm_min": 480.0}], ids=["round", "jump"])
def test_the_path_mode_in_force_rules_the_corner(own):
    machine = machine_of(**own)
    # worked by hand: half a right angle, v^2 = a d sin 45 / (1 - sin 45), sin 45 / (1 - sin 45) = 2.41421
    assert corner_speed(machine, ("G64", 0.05)) == pytest.approx(math.sqrt(500 * 0.05 * 2.41421), rel=1e-5)
    assert corner_speed(machine, ("G64", 0.001), ("G64", 0.02)) == pytest.approx(math.sqrt(24.1421), rel=1e-5)
    assert corner_speed(machine, ("G61", 0.0)) < 0.4, "to the letter is all but a stop"
    assert corner_speed(machine, ("G61.1", 0.0)) == 0
    assert corner_speed(machine, ("G61.1", 0.0), ("G64", 0.0)) == corner_speed(machine), "as well as the machine can"


def test_a_path_mode_counts_from_the_line_on_which_it_stands():
    moves = [(LINE, (100.0 * n, 0.0, 0.0), 3000.0) for n in (1, 2, 3)]
    times = move_times(motion_of(moves, events=[(EventKind.MODE, 3, 2, 0.0, "G61.1")]), machine_of())
    assert times.exit_mm_min[:2] == pytest.approx([3000, 0])


def test_to_the_letter_does_not_stop_where_one_move_runs_on_into_the_next():
    moves = [(LINE, (100.0, 0.0, 0.0), 3000.0), (LINE, (200.0, 0.0001, 0.0), 3000.0)]
    times = move_times(motion_of(moves, events=[(EventKind.MODE, 1, 0, 0.0, "G61")]), machine_of())
    assert times.exit_mm_min[0] == pytest.approx(3000)


def test_dwells_count_by_the_machines_unit_and_pauses_do_not():
    moves = [(LINE, (100.0, 0.0, 0.0), 3000.0), (LINE, (200.0, 0.0, 0.0), 3000.0)]
    events = [(EventKind.PAUSE, 1, 0, 0.0, "load"), (EventKind.DWELL, 2, 1, 4.0, "")]
    seconds = move_times(motion_of(moves, events=events), machine_of())
    assert (seconds.total_s, seconds.dwell_s, seconds.pauses) == (pytest.approx(8.2), 4.0, 1)
    assert seconds.start_s[1] == pytest.approx(6.1)
    milliseconds = move_times(motion_of(moves, events=events), machine_of(dwell_unit="ms"))
    assert milliseconds.total_s == pytest.approx(4.204)


def test_a_machine_of_unknown_acceleration_goes_at_its_feed():
    machine = machine_of(accel_mm_s2=(0.0, 0.0, 0.0), corner_deviation_mm=0.0)
    moves = [(LINE, (100.0, 0.0, 0.0), 3000.0), (LINE, (100.0, 50.0, 0.0), 1500.0)]
    assert move_times(motion_of(moves), machine).total_s == pytest.approx(2 + 2)


def test_lengths_and_sweeps_of_arcs_and_helices():
    motion = motion_of([
        (CCW, (10.0, 10.0, 0.0), 600.0, (0.0, 10.0)),
        (CW, (0.0, 0.0, -3.0), 600.0, (0.0, 10.0)),
        (CW, (0.0, 0.0, -3.0), 600.0, (4.0, 0.0)),
    ])
    quarter = 5 * math.pi
    assert arc_sweeps_rad(motion) == pytest.approx([math.pi / 2, math.pi / 2, math.tau])
    assert move_lengths_mm(motion) == pytest.approx([quarter, math.hypot(quarter, 3), 8 * math.pi])


def integrated_s(points_of_speed):
    """Seconds of a speed profile v(s) sampled finely: the plain sum of ds / v, midpoints."""
    along, speed = points_of_speed
    mid = (speed[1:] + speed[:-1]) / 2
    return float((np.diff(along) / mid).sum())


def brute_force_s(moves, machine, step_mm=0.002):
    """Time by creeping along the path in tiny steps, each axis braked by what is ahead; lines only.

    Speed squared at every little station is the limit there; then it is swept forward and backward so that no step
    changes it by more than 2 a ds. No trapezoid, no closed form, its own junction formula by angle.
    """
    at = np.zeros(3)
    stations = []
    before = None
    for _, end, feed, *_ in moves:
        end = np.asarray(end)
        length = np.linalg.norm(end - at)
        u = (end - at) / length
        accel = min((a / abs(k) for a, k in zip(machine.accel_mm_s2, u, strict=True) if abs(k) > 1e-9))
        top = min(
            feed / 60, *(v / 60 / abs(k) for v, k in zip(machine.feed_max_mm_min, u, strict=True) if abs(k) > 1e-9)
        )
        count = max(4, int(length / step_mm))
        corner = 0.0
        if before is not None:
            theta = math.acos(max(-1.0, min(1.0, float(-before @ u))))
            sine = math.sin(theta / 2)
            changed = [a for a, one, two in zip(machine.accel_mm_s2, before, u, strict=True) if abs(one - two) > 1e-6]
            corner = (
                math.inf
                if sine >= 1 or not changed
                else math.sqrt(min(changed) * machine.corner_deviation_mm * sine / (1 - sine))
            )
        stations.append((corner, top, accel, length / count, count))
        before, at = u, end
    squared, steps, accels = [0.0], [], []
    for index, (corner, top, accel, ds, count) in enumerate(stations):
        if index:
            squared[-1] = min(squared[-1], corner**2, top**2)
        squared += [top**2] * count
        steps += [ds] * count
        accels += [accel] * count
    squared[-1] = 0.0
    for i in range(len(steps)):
        squared[i + 1] = min(squared[i + 1], squared[i] + 2 * accels[i] * steps[i])
    for i in range(len(steps) - 1, -1, -1):
        squared[i] = min(squared[i], squared[i + 1] + 2 * accels[i] * steps[i])
    speed = np.sqrt(squared)
    return integrated_s((np.concatenate(([0.0], np.cumsum(steps))), speed))


coordinate = st.floats(-12, 12).map(lambda v: round(v, 3))


@given(
    st.lists(st.tuples(coordinate, coordinate, st.floats(-4, 4).map(lambda v: round(v, 3))), min_size=2, max_size=7),
    st.sampled_from([300.0, 1200.0, 3000.0]),
    st.sampled_from([(500.0, 500.0, 200.0), (150.0, 80.0, 50.0)]),
)
def test_planned_time_is_within_one_per_cent_of_the_integrators(ends, feed, accel):
    moves, at = [], (0.0, 0.0, 0.0)
    for end in ends:
        if math.dist(at, end) > 0.05:
            moves.append((LINE, end, feed))
            at = end
    if moves:
        machine = machine_of(accel_mm_s2=accel)
        assert move_times(motion_of(moves), machine).total_s == pytest.approx(brute_force_s(moves, machine), rel=0.01)


@given(st.floats(0.5, 40), st.floats(0.05, 2.0), st.sampled_from([600.0, 3000.0]))
def test_an_arc_takes_within_one_per_cent_of_the_chords_a_controller_makes_of_it(radius, share, feed):
    # equal axes bent to one acceleration in every direction are not to be had, so both take the largest share: the
    # arc never beats its own chords, and loses little on a whole turn
    sweep = share * math.pi
    count = max(2, math.ceil(sweep / (2 * math.acos(1 - 0.002 / radius))))
    angles = np.linspace(0, sweep, count + 1)
    points = [(radius * math.sin(a), radius - radius * math.cos(a), 0.0) for a in angles]
    machine = machine_of()
    chords = move_times(motion_of([(LINE, point, feed) for point in points[1:]]), machine)
    arc = move_times(motion_of([(CCW, points[-1], feed, (0.0, radius))]), machine)
    assert arc.total_s >= chords.total_s * 0.99
    assert arc.total_s <= chords.total_s * (1.25 if radius * sweep < 10 else 1.1)


def test_no_move_passes_a_limit_and_speeds_meet_at_corners():
    rng = np.random.default_rng(7)
    moves = [(LINE, tuple(rng.uniform(-20, 20, 3) * (1, 1, 0.1)), float(rng.uniform(200, 4000))) for _ in range(400)]
    machine = machine_of()
    motion = motion_of(moves)
    times = move_times(motion, machine)
    assert np.all(times.peak_mm_min <= motion.feed * (1 + 1e-9))
    np.testing.assert_allclose(times.exit_mm_min[:-1], times.entry_mm_min[1:], atol=1e-6)
    gained = np.abs(times.exit_mm_min**2 - times.entry_mm_min**2) / 3600
    assert np.all(gained <= 2 * 500 * math.sqrt(3) * move_lengths_mm(motion) + 1e-6)
    assert times.total_s == pytest.approx(times.start_s[-1] + times.seconds_s[-1])
