"""Minutes of a file by another road: words read anew, arcs run as chords as controllers do, speeds by look-ahead.

Nothing is shared with the program: it times arcs whole, by their own limits, where this one runs corner after corner.
"""

import math
import re
from itertools import pairwise

CHORD_MM = 0.002
_WORD = re.compile(r"([A-Z])(-?[\d.]+)")


def seconds_of(text, machine):
    """Moves and dwells of a program, on a machine as the manifest has it (plain data)."""
    axes = [machine[key] for key in ("accel", "feed_max", "rapid")]
    accel, feeds, rapids = axes[0], [one / 60 for one in axes[1]], [one / 60 for one in axes[2]]
    dwells, run, total = 0.0, [], 0.0
    at, scale, feed, mode = [None, None, None], 1.0, 0.0, 0.0
    for line in text.splitlines():
        words = [(letter, float(number)) for letter, number in _WORD.findall(re.sub(r"\([^)]*\)", "", line))]
        said = {letter: number for letter, number in words if letter not in "GM"}
        codes = [number for letter, number in words if letter == "G"]
        scale = 25.4 if 20 in codes else 1.0 if 21 in codes else scale
        feed = said["F"] * scale / 60 if "F" in said else feed
        mode = next((one for one in codes if one in (0, 1, 2, 3)), mode)
        if 4 in codes:
            dwells += said["P"] / (1000 if machine["dwell_unit"] == "ms" else 1)
        if 4 in codes or any(letter == "M" for letter, _ in words):
            total, run = total + _run_s(run, machine), []
        if not said.keys() & set("XYZ"):
            continue
        to = [said[axis] * scale if axis in said else was for axis, was in zip("XYZ", at, strict=True)]
        if None not in at:
            centre = (at[0] + said.get("I", 0.0) * scale, at[1] + said.get("J", 0.0) * scale)
            for start, end in pairwise(_points(at, to, centre, mode)):
                length = math.dist(start, end)
                if length > 1e-9:
                    way = [(b - a) / length for a, b in zip(start, end, strict=True)]
                    most = _least(rapids if mode == 0 else feeds, way)
                    run.append((length, way, most if mode == 0 else min(most, feed), _least(accel, way)))
        at = to
    return total + _run_s(run, machine) + dwells


def _points(start, end, centre, mode):
    """A line's ends, or the corners of an arc's chords."""
    if mode < 2:
        return [start, end]
    radius = math.dist(start[:2], centre)
    first, last = (math.atan2(one[1] - centre[1], one[0] - centre[0]) for one in (start, end))
    turn = (last - first) % math.tau or math.tau
    turn = turn if mode == 3 else turn - math.tau or -math.tau
    count = max(2, math.ceil(abs(turn) / (2 * math.acos(max(0.0, 1 - CHORD_MM / radius)))))
    inner = [
        (
            centre[0] + radius * math.cos(first + turn * share),
            centre[1] + radius * math.sin(first + turn * share),
            start[2] + (end[2] - start[2]) * share,
        )
        for share in (step / count for step in range(1, count))
    ]
    return [start, *inner, end]


def _least(limits, way):
    return min((limit / abs(one) for limit, one in zip(limits, way, strict=True) if abs(one) > 1e-12), default=math.inf)


def _corner(before, after, machine):
    """The speed at which a corner may be taken: by the deviation, or by how far an axis's speed may jump."""
    bend = [b - a for a, b in zip(before[1], after[1], strict=True)]
    most = min(before[2], after[2])
    if machine["corner_speed"]:
        return min(most, _least([machine["corner_speed"] / 60] * 3, bend))
    size = math.hypot(*bend)
    half = math.sqrt(max(0.0, 1 - (size / 2) ** 2))
    if half > 1 - 1e-9:
        return most
    accel = _least(machine["accel"], [one / size for one in bend])
    return min(most, math.sqrt(accel * machine["corner_deviation"] * half / (1 - half)))


def _run_s(run, machine):
    """Of moves between two stops: corners first, then braking looked ahead, then starting."""
    speeds = [0.0, *(_corner(*pair, machine) for pair in pairwise(run)), 0.0]
    for at in range(len(run) - 1, -1, -1):
        speeds[at] = min(speeds[at], math.sqrt(speeds[at + 1] ** 2 + 2 * run[at][3] * run[at][0]))
    total = 0.0
    for at, (length, _, most, accel) in enumerate(run):
        speeds[at + 1] = min(speeds[at + 1], math.sqrt(speeds[at] ** 2 + 2 * accel * length))
        begin, end = speeds[at], speeds[at + 1]
        peak = min(most, math.sqrt(accel * length + (begin**2 + end**2) / 2))
        even = length - (2 * peak**2 - begin**2 - end**2) / (2 * accel)
        total += (2 * peak - begin - end) / accel + max(even, 0.0) / peak
    return total
