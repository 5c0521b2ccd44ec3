"""How the bit works, measured on written files: which way it goes round, and what a pass meets that goes deep."""

import math

import numpy as np
import shapely
from shapely.ops import nearest_points, substring

from cli.jobs import small_job
from platelayer.gcode.reader import read_program
from proved import data_of, text_of, written

ALLOWANCE_MM = 0.2  # what roughing leaves on a wall, as stated in the tolerances
WIDE_MM = 2 * ALLOWANCE_MM
GRID_MM = 1e-4  # hundreds of rounds that nearly coincide have corners closer than this


def points_of(segment, count=24):
    if "line" in segment:
        x0, y0, x1, y1 = segment["line"]
        return [(x0, y0), (x1, y1)]
    x0, y0, x1, y1, cx, cy, way = segment["arc"]
    first, last = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    turn = (last - first) % math.tau if way == "ccw" else -((first - last) % math.tau)
    radius = math.hypot(x0 - cx, y0 - cy)
    angles = [first + turn * index / count for index in range(count + 1)]
    return [(cx + radius * math.cos(angle), cy + radius * math.sin(angle)) for angle in angles]


def outlines(data):
    return [shapely.Polygon([p for s in piece["outline"] for p in points_of(s)]) for piece in data["pieces"]]


def moves_of(contents):
    """Every move in wood as its points in the plane, its lowest z and the bit's radius; z from the board's top."""
    data = data_of(contents)
    (file,) = data["files"]
    motion = read_program(text_of(contents, file["name"]), name=file["name"])
    down = 0.0 if data["boards"][0]["zero"] == "top" else data["boards"][0]["thickness"]
    found = []
    for kind, a, b, c in zip(motion.kind, motion.start, motion.end, motion.centre, strict=True):
        way = {2: "cw", 3: "ccw"}.get(int(kind))
        plain = {"line": [*a[:2], *b[:2]]} if way is None else {"arc": [*a[:2], *b[:2], *c, way]}
        if int(kind) and max(a[2], b[2]) - down < -1e-6:
            found.append((points_of(plain), max(a[2], b[2]) - down, min(a[2], b[2]) - down))
    return found, file["bits"][0]["diameter"] / 2


def bits_of(line, longest):
    """A path in bits no longer than that."""
    count = max(1, math.ceil(line.length / longest))
    return [substring(line, n / count, (n + 1) / count, normalized=True) for n in range(count)]


def test_roughing_beside_a_piece_keeps_it_on_the_side_that_the_bit_is_pushed_off():
    # worked by hand: a bit that turns clockwise throws its chips' force to the left of travel, so the piece is right
    contents = written(small_job())
    moves, radius = moves_of(contents)
    rims = shapely.MultiLineString([shape.exterior for shape in outlines(data_of(contents))])
    sides = {True: 0.0, False: 0.0}
    been = []
    for points, high, low in moves:
        line = shapely.LineString(points)
        been.append((low, line))
        middle = line.interpolate(0.5, normalized=True)
        off = rims.distance(middle) - radius
        if line.length < 0.5 or abs(off - ALLOWANCE_MM) > 0.01 or high > low:
            continue  # a ramp goes to and fro, and takes less than the step
        ahead = line.interpolate(line.length / 2 + 0.01)
        wall, _ = nearest_points(rims, middle)
        cross = (ahead.x - middle.x) * (wall.y - middle.y) - (ahead.y - middle.y) * (wall.x - middle.x)
        before = [other for deep, other in been[:-1] if deep <= low] if cross >= 0 else []
        before = np.array(before, object)[shapely.dwithin(before, line, 0.01)] if before else before
        if shapely.union_all(before).buffer(0.01).covers(line):
            continue  # along a lane that is open so deep already: it takes nothing
        sides[cross < 0] += line.length
    assert sides[True] > 3300.0
    assert sides[False] == 0.0


def test_what_a_pass_takes_deeper_than_the_stepdown_is_narrow_in_the_relief_too():
    # regression: the finish ring took a root's relief at full depth in one go, up to 2.9 mm wide
    contents = written(small_job())
    moves, radius = moves_of(contents)
    data = data_of(contents)
    step = data["files"][0]["bits"][0]["stepdown"]
    x, y, turn = next(end["pose"] for piece in data["pieces"] for end in piece["ends"] if end["kind"] == "peg")
    beside = math.radians(turn) + math.pi / 2
    root = shapely.Point(x + 4.8 * math.cos(beside), y + 4.8 * math.sin(beside))
    near, window = root.buffer(2.4), root.buffer(2.5 + radius)  # what is cut near the root, and where a bit is then
    upper, lower = -1.0, -1.0 - 1.2 * step
    gone = {upper: shapely.Polygon(), lower: shapely.Polygon()}
    widest, taken = 0.0, 0.0
    for points, high, _ in moves:
        whole = shapely.LineString(points)
        if whole.length == 0 or high > upper or whole.distance(root) > 2.5 + radius:
            continue
        for line in bits_of(whole.intersection(window), 0.25):
            swept = line.buffer(radius, quad_segs=16).intersection(near)
            if swept.is_empty:
                continue
            new = {level: swept.difference(gone[level]) for level in gone if high <= level}
            for level in new:
                gone[level] = gone[level].union(swept).simplify(GRID_MM)
            if len(new) == 2:
                both = new[upper].intersection(new[lower]).area
                taken += both
                widest = max(widest, both / max(line.length, 0.1))
    assert taken > 0.2, "the finish ring goes deep at once"
    assert widest <= WIDE_MM
