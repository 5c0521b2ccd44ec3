"""How wide slots are that go deeper than three diameters, measured on the moves of the written files."""

import numpy as np
import pytest

from platelayer.gcode.reader import read_program
from proved import data_of, refusals, text_of, written

JOB = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
placing = "rows"

[bits]
joints = "flat-3.175-long"

[holding]
{holding}

[[board]]
width = 400
height = 200
thickness = 12.7
zero = "spoilboard"

[[piece]]
name = "long"
length = 150
count = 2
"""
HOLDINGS = {
    "skin": 'kind = "skin"\nstock = "tape"',
    "tabs on a taped board": 'kind = "tabs"\nstock = "tape"',
    "tabs on a clamped board": 'kind = "tabs"\nstock = "clamps"',
}


@pytest.mark.parametrize("holding", HOLDINGS.values(), ids=HOLDINGS)
def test_a_slot_one_bit_wide_is_nowhere_deeper_than_three_diameters(holding):
    """What goes right through at last counts, not the floor that walls are finished to: 9.975 mm were left at 3.175."""
    contents = written(JOB.format(holding=holding))
    assert refusals(contents) == []
    data = data_of(contents)
    (file,) = data["files"]
    diameter = file["bits"][0]["diameter"]
    motion = read_program(text_of(contents, file["name"]), name=file["name"])
    at_feed = motion.kind == 1  # straight moves: those along a straight side
    starts, ends = motion.start[at_feed], motion.end[at_feed]
    tops = np.maximum(starts[:, 2], ends[:, 2])
    for piece in data["pieces"]:
        ys = [y for one in piece["outline"] for y in (one.get("line") or one["arc"])[1:4:2]]
        xs = [x for one in piece["outline"] for x in (one.get("line") or one["arc"])[0:3:2]]
        middle = (min(xs) + max(xs)) / 2
        for side, outwards in ((min(ys), -1), (max(ys), 1)):
            gone = {}
            for aside in np.arange(0.1, 1.5 * diameter, 0.05):
                point = np.array((middle, side + outwards * aside))
                is_by = (np.minimum(starts[:, 0], ends[:, 0]) < middle) & (
                    np.maximum(starts[:, 0], ends[:, 0]) > middle
                )
                is_by &= (starts[:, 1] == ends[:, 1]) & (np.abs(starts[:, 1] - point[1]) <= diameter / 2)
                gone[aside] = tops[is_by].min(initial=12.7)
            bottom = min(gone.values())
            assert bottom == pytest.approx(0.6 if "skin" in holding else -0.3)
            wide = max(z for aside, z in gone.items() if aside <= 1.2 * diameter)
            assert wide - bottom <= 3 * diameter + 1e-6
