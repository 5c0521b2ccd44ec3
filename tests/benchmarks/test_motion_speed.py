"""Moves timed in a second: run with --benchmark-only."""

import numpy as np
import pytest

from gcode.motions import machine_of
from platelayer.gcode.motion import move_times
from platelayer.values.motion import Motion

COUNT = 200_000


def many_moves():
    rng = np.random.default_rng(5)
    places = np.cumsum(rng.uniform(-2, 2, (COUNT + 1, 3)) * (1, 1, 0.1), axis=0)
    return Motion(
        name="many.nc",
        kind=np.where(rng.uniform(size=COUNT) < 0.1, 0, 1).astype(np.int8),
        line=np.arange(1, COUNT + 1, dtype=np.int32),
        start=places[:-1],
        end=places[1:],
        centre=np.full((COUNT, 2), np.nan),
        feed=rng.uniform(300, 3000, COUNT),
        speed=np.full(COUNT, 18000.0),
        spindle_on=np.ones(COUNT, bool),
        bit=np.zeros(COUNT, np.int16),
        events=(),
        line_count=COUNT,
        is_ended=True,
    )


def plain_seconds(motion: Motion, machine) -> float:
    """The same model in plain numpy, move by move: limits, corners, one sweep back, one forward, trapezoids."""
    way = motion.end - motion.start
    length = np.sqrt((way**2).sum(axis=1))
    unit = way / length[:, None]
    accel_of, rapid_of, feed_of = (
        np.array(each) for each in (machine.accel_mm_s2, machine.rapid_mm_min, machine.feed_max_mm_min)
    )
    speed, accel = np.zeros(len(way)), np.zeros(len(way))
    for i, direction in enumerate(unit):
        share = np.abs(direction)
        accel[i] = np.min(accel_of[share > 0] / share[share > 0])
        most = rapid_of if motion.kind[i] == 0 else feed_of
        speed[i] = np.min(most[share > 0] / share[share > 0]) / 60
        if motion.kind[i]:
            speed[i] = min(speed[i], motion.feed[i] / 60)
    corner = np.zeros(len(way) + 1)
    for i in range(1, len(way)):
        change = np.abs(unit[i] - unit[i - 1])
        grip = np.min(accel_of[change > 1e-6]) if (change > 1e-6).any() else np.inf
        half = np.sqrt(max((1 + unit[i] @ unit[i - 1]) / 2, 0.0))
        rounded = np.sqrt(grip * machine.corner_deviation_mm * half / max(1 - half, 1e-12)) if half else 0.0
        corner[i] = min(rounded, speed[i], speed[i - 1])
    for i in range(len(way) - 1, -1, -1):
        corner[i] = min(corner[i], np.sqrt(corner[i + 1] ** 2 + 2 * accel[i] * length[i]))
    total = 0.0
    for i in range(len(way)):
        corner[i + 1] = min(corner[i + 1], np.sqrt(corner[i] ** 2 + 2 * accel[i] * length[i]))
        first, last = corner[i], corner[i + 1]
        peak = max(min(speed[i], np.sqrt((first**2 + last**2) / 2 + accel[i] * length[i])), first, last)
        covered = (2 * peak**2 - first**2 - last**2) / (2 * accel[i])
        total += (2 * peak - first - last) / accel[i] + max(length[i] - covered, 0.0) / peak
    return total


@pytest.mark.benchmark(group="motion, 200,000 moves")
def test_columns(benchmark):
    motion, machine = many_moves(), machine_of()
    assert benchmark(move_times, motion, machine).total_s > 0


@pytest.mark.benchmark(group="motion, 200,000 moves")
def test_plain_numpy_move_by_move(benchmark):
    motion, machine = many_moves(), machine_of()
    plain = benchmark.pedantic(plain_seconds, (motion, machine), rounds=1)
    assert plain == pytest.approx(move_times(motion, machine).total_s, rel=1e-6)
