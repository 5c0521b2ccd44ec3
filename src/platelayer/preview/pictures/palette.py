"""Colours and shades shared by the pictures and the page, readable by those who do not see colours apart.

Glossary:
    hue: tells kinds apart, always together with a shape or a dash. shade: tells depth, by lightness alone.

Source:
    hues: M. Okabe and K. Ito, "Color Universal Design", 2008 (palette for colour-blind readers); values from memory.
    shades of wood: chosen here, each step darker than the one before.
"""

from typing import Final

BLUE: Final = "#0072B2"
GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
VERMILLION: Final = "#D55E00"
INK: Final = "#2B2118"
FAINT_INK: Final = "#6F5F4E"
PAPER: Final = "#FBF7EE"
WASTE: Final = "#E3CA9C"
GRAIN: Final = "#CFAF78"
MAPLE: Final = "#F6E6C4"

_DEPTH: Final = ((224, 184, 121), (178, 125, 66), (116, 72, 36), (58, 34, 18))


def depth_rgb(depth_ratio: float) -> tuple[int, int, int]:
    """Colour of a cut by its depth's share of the thickness: light when shallow, near black when through."""
    place = min(max(depth_ratio, 0.0), 1.0) * (len(_DEPTH) - 1)
    low = min(int(place), len(_DEPTH) - 2)
    part = place - low
    red, green, blue = (round(a + (b - a) * part) for a, b in zip(_DEPTH[low], _DEPTH[low + 1], strict=True))
    return red, green, blue


def depth_colour(depth_ratio: float) -> str:
    """The same as ``#rrggbb``."""
    return "#{:02x}{:02x}{:02x}".format(*depth_rgb(depth_ratio))
