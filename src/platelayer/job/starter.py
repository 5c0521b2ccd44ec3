"""The files that a new user begins with: a job, the bits in the drawer, and a wood of one's own."""

from typing import Final

_STARTER: Final = """\
# A first job: two straights and a curve, cut with one bit. Change what you like; a line that starts with # is a remark.
# A length is a number with a unit in quotes, such as "5 15/16 in" or "151 mm"; fractions go in quotes as well.

[job]
title = "My first track"
units = "in"                       # what a bare number means: in or mm
machine = "mid-screw"              # platelayer machines lists them; yours wants a profile of its own
material = "hard-maple"            # platelayer materials lists them
# profiles = "machines"            # folder of your own machine profiles, beside this file
# bits = "bits.toml"               # the bits you own, by platelayer new --bits
# woods = "woods.toml"             # woods of your own, by platelayer new --woods
# shop = "shop.toml"               # what your bits and machine really do, by platelayer fit read

[bits]
joints = "flat-3.175-long"         # platelayer bits lists them; it cuts grooves and outlines too unless you say:
# grooves = "flat-3.175-long"
# outlines = "flat-6.35-up"
# edges = "round-over-1.588"       # breaks edges, see [edges]

# [[bit]]                          # what your caliper says of a bit
# id = "flat-3.175-long"
# measured = "3.14 mm"

[joint]                            # all of it may be left out; these are the usual sizes
# neck_width = "1/4 in"
# head_diameter = "7/16 in"
# mouth_width = "5/16 in"
# hole_diameter = "1/2 in"
peg_root = "relieve"               # relieve, finish or none
mouth = "ease"                     # ease or none
# relief_play = 1.0                # share of side play kept in a bought mouth with sharp corners

[track]                            # cross-section; the usual sizes unless you say, all in platelayer fit bought --new
# floor_height = "9.13 mm"         # in place of groove_depth: what wheels feel where your track meets another set's

[wheel]                            # what runs on it, assumed until you measure yours; curves are widened for it
# thickness = "4 mm"
# diameter = "20 mm"
# wheelbase = "40 mm"              # between the two axles of a waggon

[fit]                              # how joints should feel, see platelayer fit wish; as designed unless you say:
# feel = "easy"                    # snug, easy, loose, or best for your best peg; or side and pull = "0.3 mm"
# part = "peg"                     # whose sizes give way: peg, socket or both

[edges]                            # broken by the machine; left to your hand unless you say:
# outer = "1/16 in"                # round the piece, by the bit's own radius
# groove = "1/64 in"               # along the grooves, how far in from the wall

[holding]
kind = "tabs"                      # tabs, or a skin left under everything, or tape or a vacuum below
# Without tabs one cut may part two straights of one length: shared_cuts in [cutting].

[[board]]                          # one of these for each board
width = 14                         # along the grain
height = 8
thickness = "1/2 in"
scatter = "0.2 mm"                 # how far its thickness may stray; measure in four places

# [[board.no_go]]                  # a clamp, a screw or a knot, from the board's near left corner
# title = "clamp"
# x = 0
# y = 0
# width = 2
# height = 1
# rise = 1                         # how far it stands up above the wood

[[piece]]
name = "straight"
length = "5 15/16"                 # between the end faces
count = 2
start = "socket"                   # socket, peg or plain
end = "peg"

[[piece]]
name = "curve"
kind = "curve"
radius = 8                         # of the centre line
angle = 45
hand = "left"                      # left or right
"""


def starter_job() -> str:
    """The text of a small commented job that loads as it stands."""
    return _STARTER


_BITS: Final = """\
# The bits you own, one [[bit]] each; a job names this file: bits = "bits.toml" under [job].
# A bit that platelayer bits lists needs its id and what your caliper says; any other is told whole. platelayer keys bit
# tells every key. Measure with the caliper's flats over the cutting edges, turning the bit: the widest reading counts.

units = "mm"                       # what a bare number means

[[bit]]
id = "flat-3.175-long"
# measured = 3.14

# [[bit]]
# id = "quarter-short"             # a name of your own
# kind = "flat"                    # flat, ball, vee or round_over
# diameter = "1/4 in"              # as sold
# cutting_length = 15
# direction = "up"                 # up, down, straight or compression
# may_plunge = true                # it cuts to its middle
"""

_WOODS: Final = """\
# Woods that platelayer materials does not list, one [[wood]] each; a job names this file: woods = "woods.toml" under
# [job], and then the wood's id as its material. Feeds follow from the hardness: try them in scrap.

[[wood]]
id = "walnut"
title = "black walnut"
hardness = "1010 lbf"              # side hardness; look yours up, this one is from memory
group = "hardwood"                 # hardwood, softwood or MDF
# has_grain = true                 # false for what has none, as plywood
"""


def starter_bits() -> str:
    """The text of a small commented file of bits that reads as it stands."""
    return _BITS


def starter_woods() -> str:
    """The text of a small commented file of woods that reads as it stands."""
    return _WOODS
