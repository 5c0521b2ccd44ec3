"""Chip-load arithmetic and a published band to hold it against.

Glossary:
    chip load: how far the wood comes forward for each tooth, mm; feed = spindle speed x flutes x chip load.
    band: the range of chip loads that a table gives for a bit and a group of woods. It only warns: nothing is ever
    raised to reach it.
"""

from typing import Final

from platelayer.job.materials import WoodGroup
from platelayer.units import inches
from platelayer.values.thin_cuts import depth_share_ratio

THOUSANDTH_MM: Final = inches(1) / 1000

_BAND_THOUSANDTHS: Final = {
    WoodGroup.MDF: ((4, 7), (12, 15), (17, 19), (20, 25)),
    WoodGroup.HARDWOOD: ((2, 4), (5, 7), (13, 15), (17, 19)),
    WoodGroup.SOFTWOOD: ((3, 5), (6, 8), (15, 17), (19, 21)),
}
"""Chip loads in thousandths of an inch for bits of 1/8, 1/4, 3/8 and 1/2 in, cutting one diameter deep.

Source: a router-bit maker's chart, asttooling.com speeds-and-feeds-charts. Other charts differ for softwood and MDF.
"""

_DIAMETERS_MM: Final = (inches(1 / 8), inches(1 / 4), inches(3 / 8), inches(1 / 2))


def chip_load_mm(*, feed_mm_min: float, spindle_rpm: float, flutes: int) -> float:
    """Chip load of a cut: feed over spindle speed and flutes.

    Source:
        the definition; worked at cncshop.eu: 18000 rev/min, 2 flutes and 0.1 mm make 3600 mm/min.
    """
    return feed_mm_min / (spindle_rpm * flutes)


def chip_band_mm(group: WoodGroup, *, bit_diameter_mm: float, depth_mm: float) -> tuple[float, float] | None:
    """Least and most chip load that the chart gives, in mm; None for bits wider than its widest.

    Between the chart's diameters the band is drawn straight; below 1/8 in it shrinks with the diameter.
    """
    rows = _BAND_THOUSANDTHS[group]
    share = depth_share_ratio(depth_mm, bit_diameter_mm=bit_diameter_mm) * THOUSANDTH_MM
    if bit_diameter_mm <= _DIAMETERS_MM[0]:
        small = bit_diameter_mm / _DIAMETERS_MM[0]
        return rows[0][0] * small * share, rows[0][1] * small * share
    for index, wide in enumerate(_DIAMETERS_MM[1:], start=1):
        if bit_diameter_mm <= wide:
            part = (bit_diameter_mm - _DIAMETERS_MM[index - 1]) / (wide - _DIAMETERS_MM[index - 1])
            low, high = (a + (b - a) * part for a, b in zip(rows[index - 1], rows[index], strict=True))
            return low * share, high * share
    return None
