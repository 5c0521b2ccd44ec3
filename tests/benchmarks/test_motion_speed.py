"""Moves timed in a second: run with --benchmark-only."""

import numpy as np

from platelayer.preview.motion import move_times
from platelayer.values.motion import Motion
from preview.motions import machine_of

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


def test_two_hundred_thousand_moves_take_less_than_a_second(benchmark):
    motion, machine = many_moves(), machine_of()
    benchmark(move_times, motion, machine)
    assert benchmark.stats.stats.median < 1.0
