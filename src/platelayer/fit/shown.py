"""Plays and clearances in both units: too small for fractions, so inches go to a thousandth.

Glossary:
    small length: a play, clearance or offset, under a millimetre or so; sizes of pieces are shown by ``units``.
"""

from collections.abc import Collection

from platelayer.units import LengthUnit, to_inches


def show_small(length_mm: float, *, first: LengthUnit = "in") -> str:
    """``0.011 in (0.275 mm)``, or the other way round."""
    return _both(f"{to_inches(length_mm):.3f} in", f"{length_mm:.3f} mm", first)


def show_change(length_mm: float, *, first: LengthUnit = "in") -> str:
    """The same with its sign: ``+0.011 in (+0.275 mm)``."""
    return _both(f"{to_inches(length_mm):+.3f} in", f"{length_mm:+.3f} mm", first)


def show_unsure(length_mm: float, spread_mm: float, *, first: LengthUnit = "in") -> str:
    """The same with its standard uncertainty: ``0.122 in (3.109 +/- 0.008 mm)``."""
    return _both(f"{to_inches(length_mm):.3f} in", f"{length_mm:.3f} +/- {spread_mm:.3f} mm", first)


def show_range(lengths_mm: Collection[float], *, first: LengthUnit = "in") -> str:
    """``0.008 to 0.019 in (0.212 to 0.480 mm)``, or one length where they differ by less than a thousandth of a mm."""
    low, high = min(lengths_mm), max(lengths_mm)
    if f"{low:.3f}" == f"{high:.3f}":
        return show_small(high, first=first)
    inches = f"{to_inches(low):.3f} to {to_inches(high):.3f} in"
    return _both(inches, f"{low:.3f} to {high:.3f} mm", first)


def _both(inches: str, millimetres: str, first: LengthUnit) -> str:
    return f"{inches} ({millimetres})" if first == "in" else f"{millimetres} ({inches})"
