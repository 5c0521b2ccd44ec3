"""Limits of keys that are asked for in one place and told in another. Each: common practice, no source, unless it says.

Here stand those that hold whatever else the file says; what one key owes another is in the module that asks for it.
"""

from typing import Final

from platelayer.tolerances import ARC_CHORD_MM, PLAY_MM

MOST_OFF_MM: Final = 0.5
"""A bit that measures further from its nominal size than this is another bit."""
MOST_FLUTES: Final = 6
MOST_SCATTER_MM: Final = 2.0
"""A board less even than this wants a plane before anything else."""
MOST_FENCE_ERROR_MM: Final = 1.0
"""An edge further out of line than this wants a plane before it is anybody's edge."""
MOST_PLAY_MM: Final = 3.0
"""More play than this is a joint no more; a bare number in inches was meant as mm."""

LEAST_DOWELS: Final = 2
"""One dowel lets the board swing about it."""
MOST_DOWELS: Final = 12
MOST_TURNED_OFF_MM: Final = 1.0
"""A board that may lie further off than this is not in line by anything."""
LEAST_DOWEL_MM: Final = 3.0
MOST_DOWEL_MM: Final = 20.0
"""A thinner dowel bends, a thicker one splits the board's end."""
LEAST_DOWEL_DEPTH_MM: Final = 3.0
"""A dowel less deep in the spoilboard tips."""

LEAST_DECIMALS: Final = {"mm": 4, "in": 5}
"""Digits after the point that keep an arc's two radii as equal as NISTIR 6556, 3.5.3.2 wants; tried on random arcs."""
MOST_DECIMALS: Final = 6
HARDNESS_N: Final = (100.0, 30_000.0)
"""Softer than balsa or harder than any wood: the unit was mistaken."""

SPIN_UP_S: Final = (2.0, 10.0)
PATH_TOLERANCE_MM: Final = (ARC_CHORD_MM, PLAY_MM / 2)
"""From what a controller's own chords stray from an arc to where two walls of a joint take up play a hand feels."""
