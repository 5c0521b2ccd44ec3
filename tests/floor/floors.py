"""Floors for tests, in text: what is owned, and stretches of it."""

from platelayer.floor.composing import lay_floor
from platelayer.job.layout_load import load_floor

CROSS = """
[[owned]]
name = "cross"
ends = { a = "socket", b = "peg", c = "socket", d = "peg" }
[[owned.route]]
enters = "a"
leaves = "b"
run = [{ length = 150 }]
[[owned.route]]
enters = "c"
leaves = "d"
crosses = 90
run = [{ length = 150 }]
"""

SET = (
    """
[floor]
units = "mm"

[[owned]]
name = "bend"
kind = "curve"
radius = 200
angle = 45
count = 20

[[owned]]
name = "flat"
length = 150
count = 20

[[owned]]
name = "short"
length = 60
count = 20

[[owned]]
name = "either"
kind = "curve"
radius = 200
angle = 45
grooves = "both"
count = 20

[[owned]]
name = "points"
ends = { toe = "socket", through = "peg", branch = "peg" }
[[owned.route]]
enters = "toe"
leaves = "through"
run = [{ length = 170 }]
[[owned.route]]
enters = "toe"
leaves = "branch"
run = [{ radius = 200, angle = 45, hand = "left" }]

[[owned]]
name = "ramp"
length = 300
over = true
"""
    + CROSS
)


def stretch(*pieces: str, name: str = "line", begins: str = "[500, 500, 0]", more: str = "") -> str:
    listed = ", ".join(f'"{one}"' for one in pieces)
    return f'\n[[stretch]]\nname = "{name}"\nbegins = {begins}\npieces = [{listed}]\n{more}\n'


def laid(*stretches: str, start: str = SET):
    return lay_floor(load_floor(start + "".join(stretches), file="floor.toml"))
