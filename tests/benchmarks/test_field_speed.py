"""Field in moves a second against a plain numpy version of the same, in one run.

Run with ``pytest tests/benchmarks/test_field_speed.py --benchmark-only``.
"""

import numpy as np
import pytest

import preview_scene as scene
from platelayer.forces.field import height_field, is_fast_installed
from platelayer.values.motion import Motion


def wander(count, size, step):
    """So many sloped moves of about one length on a path that wanders over the board."""
    rng = np.random.default_rng(7)
    heading = np.cumsum(rng.normal(0, 0.6, count + 1))
    path = np.cumsum(step * rng.uniform(0.5, 1.5, (count + 1, 1)) * np.c_[np.cos(heading), np.sin(heading)], axis=0)
    span = np.array(size)
    path = np.abs(path % (2 * span) - span)
    z = -(1.6 * ((np.arange(count + 1) // 200) % 8 + 1) + 0.2 * np.sin(np.arange(count + 1) / 7))
    points = np.column_stack([path, z])
    motion = Motion(
        name="wander.nc",
        kind=np.ones(count, np.int8),
        line=np.arange(1, count + 1, dtype=np.int32),
        start=points[:-1],
        end=points[1:],
        centre=np.full((count, 2), np.nan),
        feed=np.full(count, 1200.0),
        speed=np.full(count, 18000.0),
        spindle_on=np.ones(count, np.bool_),
        bit=np.zeros(count, np.int16),
        events=(),
        line_count=count,
        is_ended=True,
    )
    return [(motion, scene.file_of("wander.nc", [scene.bit()]))]


def stamp(cut, size, cell):
    """The plain way: one move after another, distance of every cell of its box, lowest wins."""
    z = np.zeros([round(side / cell) for side in reversed(size)], np.float32)
    rows, columns = z.shape
    for motion, file in cut:
        radius = file.bits[0].diameter_mm / 2
        for a, b in zip(motion.start, motion.end, strict=True):
            low = np.maximum(((np.minimum(a, b)[:2] - radius) / cell).astype(int), 0)
            high = np.minimum(((np.maximum(a, b)[:2] + radius) / cell).astype(int) + 2, [columns, rows])
            x = (np.arange(low[0], high[0]) + 0.5) * cell - a[0]
            y = ((np.arange(low[1], high[1]) + 0.5) * cell - a[1])[:, None]
            dx, dy = (b - a)[:2]
            t = np.clip((x * dx + y * dy) / (dx * dx + dy * dy), 0, 1)
            near = (x - t * dx) ** 2 + (y - t * dy) ** 2 <= radius**2
            tip = a[2] + t * (b[2] - a[2])
            part = z[low[1] : high[1], low[0] : high[0]]
            np.minimum(part, np.where(near, tip, 0), out=part)
    return z


USUAL = (20_000, (600.0, 400.0), 8.0, 0.2)
LARGE = (500_000, (1000.0, 600.0), 1.0, 0.1)


@pytest.mark.benchmark(group="field, 20,000 moves, 600 x 400 mm, 0.2 mm")
@pytest.mark.parametrize("way", ["plain numpy, move by move", "runs", "compiled"])
def test_usual_job(benchmark, way):
    count, size, step, cell = USUAL
    cut = wander(count, size, step)
    if way == "compiled" and not is_fast_installed():
        pytest.skip("numba, the fast extra, is not installed")
    if way == "plain numpy, move by move":
        benchmark.pedantic(stamp, (cut, size, cell), rounds=1)
    else:
        is_fast = way == "compiled"
        if is_fast:
            height_field(wander(10, size, step), size_mm=size, cell_mm=1.0, is_fast=True)
        benchmark.pedantic(height_field, (cut,), {"size_mm": size, "cell_mm": cell, "is_fast": is_fast}, rounds=3)
    benchmark.extra_info["moves a second"] = round(count / benchmark.stats.stats.min)


@pytest.mark.benchmark(group="field, 500,000 moves, 1000 x 600 mm, 0.1 mm")
@pytest.mark.skipif(not is_fast_installed(), reason="numba, the fast extra, is not installed")
def test_large_job_compiled(benchmark):
    count, size, step, cell = LARGE
    cut = wander(count, size, step)
    benchmark.pedantic(height_field, (cut,), {"size_mm": size, "cell_mm": cell, "is_fast": True}, rounds=1)
    benchmark.extra_info["moves a second"] = round(count / benchmark.stats.stats.min)
