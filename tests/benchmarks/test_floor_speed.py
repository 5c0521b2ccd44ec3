"""How long a gap of 3 m takes to close from sets of several sizes; ``pytest -n 0 --benchmark-only`` runs it.

Time is the process's own, so that what else the machine does counts for nothing.
"""

import math
import time

import pytest

from outside.test_floor_search import PEG, SOCKET, TRACK, play_of
from platelayer.floor.chains import bed_of_gap
from platelayer.floor.closing import close
from platelayer.floor.fillers import NewSizes
from platelayer.floor.gaps import Gap
from platelayer.job.layout_load import load_floor
from platelayer.values.shapes import Pose

STRAIGHTS = {"long": (216, 8), "mid": (144, 6), "short": (108, 4), "least": (54, 2)}
CURVES = {"bend": (200, 45, 4), "tight": (100, 45, 2), "slight": (200, 22.5, 2), "wide": (300, 30, 2)}
GAPS = {
    "straight on": Pose(3000.0, 0.0),
    "aside": Pose(3000.0, 117.157),
    "turned": Pose(2900.0, 200.0, math.radians(45)),
    "round a corner": Pose(2600.0, -900.0, math.radians(-90)),
}


def owned(times):
    """Eight kinds of piece, thirty in all, so many times."""
    text = '[floor]\nunits = "mm"\n[[stretch]]\npieces = ["long"]\n'
    for name, (length, count) in STRAIGHTS.items():
        text += f'[[owned]]\nname = "{name}"\nlength = {length}\ncount = {round(count * times)}\n'
    for name, (radius, angle, count) in CURVES.items():
        text += f'[[owned]]\nname = "{name}"\nkind = "curve"\nradius = {radius}\nangle = {angle}\n'
        text += f'grooves = "both"\ncount = {round(count * times)}\n'
    return load_floor(text, file="floor.toml").stock


def closed(pose, times, *, seconds_s):
    """When answers that were better than all before came, and what was found."""
    gap = Gap(name="gap", goal="the other side", pose=pose, here=PEG, there=SOCKET)
    began, told = time.process_time(), []
    found = close(
        gap,
        bed_of_gap(gap, TRACK),
        owned(times),
        play_of=play_of,
        limits=NewSizes(least_mm=44.0, most_mm=700.0, radius_mm=100.0),
        most_share_ratio=0.5,
        is_over=lambda: time.process_time() - began > seconds_s,
        progress=lambda words: told.append((time.process_time() - began, words)),
    )
    return told, found


@pytest.mark.parametrize("way", GAPS)
@pytest.mark.parametrize("times", [0.5, 1, 1.5, 2], ids=["15 owned", "30 owned", "45 owned", "60 owned"])
def test_a_gap_of_3_m(benchmark, way, times):
    told, found = benchmark.pedantic(closed, args=(GAPS[way], times), kwargs={"seconds_s": 8.0}, rounds=1)
    if not told:
        assert times < 1, "fifteen pieces do not reach 3 m; thirty do"
        assert found.is_whole
        return
    benchmark.extra_info |= {"first_s": round(told[0][0], 2), "best_s": round(told[-1][0], 2), "best": told[-1][1]}
    assert min(found.scored, key=lambda one: one.rank).closed.share_ratio <= 0.5
    assert told[0][0] < 2.0
