"""Plays and clearances in both units: too small for fractions, so inches go to a thousandth.

Glossary:
    small length: a play, clearance or offset, under a millimetre or so; sizes of pieces are shown by ``units``.
"""

from platelayer.units import LengthUnit, to_inches


def show_small(length_mm: float, *, first: LengthUnit = "in") -> str:
    """``0.011 in (0.275 mm)``, or the other way round."""
    inches, millimetres = f"{to_inches(length_mm):.3f} in", f"{length_mm:.3f} mm"
    return f"{inches} ({millimetres})" if first == "in" else f"{millimetres} ({inches})"
