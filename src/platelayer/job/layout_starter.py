"""The floor file that a new user begins with, and which sizes to take of bought pieces."""

from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.job.near_names import fix_for

_STARTER: Final = """\
# What is owned and how it lies on the floor. Change what you like; a line that starts with # is a remark.
# A length is a number with a unit in quotes, such as "13 ft 4 in" or "151 mm".

[floor]
title = "My first floor"
units = "in"                       # what a bare number means: in or mm
# job = "job.toml"                 # whose bit, joint and holding count; the usual ones unless you name it
size = ["8 ft", "6 ft"]            # of the room, along x and y; its walls are near, right, far and left

# [play]                           # what joints give, measured by hand; as the job's bit cuts them unless you say
# pull = "0.4 mm"                  # along the track
# side = "0.3 mm"                  # sideways each way
# kink = 1.0                       # degrees each way

[[owned]]                          # platelayer floor sizes says what to measure
name = "long"
length = "5 15/16"                 # between the end faces
count = 6
# made = true                      # of your own making; else bought, whose lengths scatter by spread = "0.3 mm"

[[owned]]
name = "bend"
kind = "curve"
radius = 8                         # of the centre line
angle = 45
count = 8
# grooves = "both"                 # where it may be turned over, so that it bends the other way

[[stretch]]                        # pieces end to end; a count and a name, and left, right, turned, ends, or as NAME
name = "loop"
begins = ["3 ft", "2 ft", 0]       # x, y and heading in degrees; or an end, as in "loop-3.end"
pieces = ["2 long", "4 bend", "2 long", "4 bend"]
meets = "loop.start"               # an end, a place [x, y, degrees] or a wall; or length = "13 ft 4 in" straight ahead

# [[gap]]                          # a gap by tape, both edges and a diagonal
# name = "window"
# left = "10 1/4 in"
# right = "10 1/8 in"
# diagonal = "10 5/16 in"          # from the left mark here to the right mark there
# base = "6 in"                    # between the marks of one end: lay a straight of 6 in or more across each
# here = "peg"                     # what stands at either side
# there = "socket"
"""


def starter_floor() -> str:
    """The text of a small commented floor that loads as it stands and closes."""
    return _STARTER


_SIZES: Final[dict[str, tuple[str, ...]]] = {
    "straight": (
        "Length between the end faces, without the peg. Lay ten in a row and divide by ten.",
        "",
        '[[owned]]\nname = "long"\nlength = "5 15/16 in"\ncount = 12',
    ),
    "curve": (
        "How many make a full circle: the angle is 360 degrees divided by that.",
        "Width of that circle from outer edge to outer edge: the radius is half of it, less half the track's width.",
        "",
        '[[owned]]\nname = "bend"\nkind = "curve"\nradius = "8 in"\nangle = 45\ncount = 8',
    ),
    "turnout": (
        "Length of the straight way between its end faces.",
        "Of the branch: how far its end face's middle lies along the straight way from the toe, and how far across.",
        "A branch that begins straight gets that length as a part of its own, and along counts from there.",
        "",
        '[[owned]]\nname = "points"\ncount = 2\nends = { toe = "socket", through = "peg", branch = "peg" }',
        '[[owned.route]]\nenters = "toe"\nleaves = "through"\nrun = [{ length = "6 in" }]',
        '[[owned.route]]\nenters = "toe"\nleaves = "branch"\n'
        'run = [{ along = "5 5/8 in", across = "2 3/8 in", hand = "left" }]',
    ),
    "crossing": (
        "Length of each way between its end faces, and the angle between them.",
        "The angle: with ways of one length, 2 x arcsine of (distance of neighbouring end faces' middles / length).",
        "",
        '[[owned]]\nname = "cross"\ncount = 1\nends = { a = "socket", b = "peg", c = "socket", d = "peg" }',
        '[[owned.route]]\nenters = "a"\nleaves = "b"\nrun = [{ length = "6 in" }]',
        '[[owned.route]]\nenters = "c"\nleaves = "d"\ncrosses = 90\nrun = [{ length = "6 in" }]',
    ),
    "bridge": (
        "Length over the floor between its end faces, not along the slope. Write over = true.",
        "",
        '[[owned]]\nname = "ramp"\nlength = "12 in"\nover = true\ncount = 2',
    ),
}


def sizes_of(piece: str) -> Sequence[str]:
    """What to measure of a piece and how it is written, line by line; of every piece where none is named.

    Raises:
        JobError: no such piece.
    """
    if piece and piece not in _SIZES:
        problem = "nothing is known of what to measure there"
        raise JobError(Fault(where=piece, problem=problem, fix=fix_for(piece, _SIZES)))
    lines: list[str] = []
    for name in [piece] if piece else list(_SIZES):
        lines += [name, *(f"  {row}".rstrip() for line in _SIZES[name] for row in line.splitlines() or [""]), ""]
    return lines[:-1]
