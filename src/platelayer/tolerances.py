"""Every tolerance of the program, with unit, reason, and who may exceed whom.

Order that must hold (a test asserts it): coincident < program step; chord + step < gouge < leftover < play.
"""

from typing import Final

COINCIDENT_MM: Final = 1e-6
"""Two points this close are one. Far above float noise at a metre (1e-13), far below the last digit written."""

PROGRAM_STEP_MM: Final = 1e-4
"""Last digit written in a millimetre program: four decimals keep every arc's two radii equal (see ARC_RADII_MM)."""

FLATTEN_CHORD_MM: Final = 5e-4
"""Arc to polygon, largest distance between chord and arc; a tenth of what the dry run calls a gouge."""

GOUGE_MM: Final = 5e-3
"""Dry run's verdict: deeper than this into the design is a gouge. Below what a caliper shows (0.01 mm)."""

LEFTOVER_MM: Final = 0.02
"""Dry run's verdict: wood standing this far proud of the design, outside the listed corners, is wood left."""

PLAY_MM: Final = 0.1
"""What a hand feels in a sliding joint; a joint with less total play than this will jam in use."""

SEAT_MM: Final = 0.01
"""Faces of a mated joint count as closed below this opening."""

ARC_RADII_MM: Final = 0.002
"""Start and end radius of an arc may differ by this in a millimetre program. Source: NISTIR 6556, 3.5.3.2."""

ARC_RADII_IN: Final = 0.0002
"""The same in an inch program. Source: NISTIR 6556, 3.5.3.2."""

LAND_MM: Final = 1.5
"""Least wood between relief or ease and the flared groove, and between groove and edge; thinner chips off maple."""

RAPID_CLEARANCE_MM: Final = 0.5
"""A rapid with any point lower than this above the wood is refused, pure lifts excepted."""

DEPTH_MM: Final = 0.005
"""Depths of grooves and passes are held to this; the same as a gouge, since it is one, downwards."""

ANGLE_RAD: Final = 1e-9
"""Two headings this close are one; at a metre it moves a point by a nanometre."""

SLUG_WIDTH_MM: Final = 0.5
"""A freed island narrower than this everywhere is dust, not a projectile."""

THIN_SLAB_MM: Final = 1e-9
"""Slabs between two polygon vertices thinner than this are float noise: a thousandth of COINCIDENT_MM."""

KINK_RAD: Final = 2e-5
"""A joint's kink angle is found to this: 0.001 degrees, a twentieth of what is promised."""
