"""Lengths as the dry run says them: both units, millimetres first, inches as decimals since they are measured."""

from platelayer.units import to_inches


def shown(length_mm: float) -> str:
    """``0.213 mm (0.0084 in)``."""
    return f"{length_mm:.3f} mm ({to_inches(length_mm):.4f} in)"


def place(point: tuple[float, ...]) -> str:
    """``x 12.3 y 4.5 mm``."""
    return f"x {point[0]:.1f} y {point[1]:.1f} mm"
