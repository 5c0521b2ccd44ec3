"""Lengths in and out: fractions, decimals, inches and millimetres. The one file where 25.4 is written.

Glossary:
    length: a distance in mm inside the program; text only at its door.
    fraction: an inch fraction shown to 1/64; not a decimal inch.
"""

import math
import re
from fractions import Fraction
from typing import Final, Literal

from platelayer.errors import Fault, JobError

MM_PER_INCH: Final = 25.4
_MM_PER_INCH_EXACT: Final = Fraction(254, 10)
_SIXTY_FOURTHS: Final = 64

LengthUnit = Literal["mm", "in"]

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_LENGTH = re.compile(
    rf"""^\s*(?P<sign>[+-])?\s*
    (?:
        (?P<whole>\d+)\s*(?:-|\s)\s*(?P<top1>\d+)\s*/\s*(?P<under1>\d+)
      | (?P<top>\d+)\s*/\s*(?P<under>\d+)
      | (?P<decimal>{_NUMBER})
    )
    \s*(?P<unit>mm|millimetres?|millimeters?|cm|m|in|inch|inches|"|”|″|ft|feet|foot|'|′)?\.?\s*$""",
    re.VERBOSE | re.IGNORECASE,
)
_UNIT_MM: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "millimetre": Fraction(1),
    "millimetres": Fraction(1),
    "millimeter": Fraction(1),
    "millimeters": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": _MM_PER_INCH_EXACT,
    "inch": _MM_PER_INCH_EXACT,
    "inches": _MM_PER_INCH_EXACT,
    '"': _MM_PER_INCH_EXACT,
    "”": _MM_PER_INCH_EXACT,
    "″": _MM_PER_INCH_EXACT,
    "ft": 12 * _MM_PER_INCH_EXACT,
    "feet": 12 * _MM_PER_INCH_EXACT,
    "foot": 12 * _MM_PER_INCH_EXACT,
    "'": 12 * _MM_PER_INCH_EXACT,
    "′": 12 * _MM_PER_INCH_EXACT,
}


def inches(value_in: float) -> float:  # platelayer: the one place where a float is inches
    """The length in mm of so many inches, exact to the last bit of the product."""
    return value_in * MM_PER_INCH


def to_inches(length_mm: float) -> float:
    """The number of inches in a length."""
    return length_mm / MM_PER_INCH


def parse_length(text: str | float, *, unit: LengthUnit | None = None, where: str = "") -> float:
    """The length in mm that a person wrote.

    Accepts ``1 9/16 in``, ``1-9/16"``, ``9/16 in``, ``39.7 mm``, ``0.25in``, ``3.5 cm``, ``2 ft``, and a bare number
    or fraction when ``unit`` says what bare numbers mean. A sign is allowed; limits are the caller's business.

    Args:
        text: what was written; a number counts as bare.
        unit: unit of a bare number; None refuses bare numbers.
        where: table and key, for the error.

    Raises:
        JobError: not a length, no unit, a fraction over zero.
    """
    shown = text if isinstance(text, str) else f"{text:g}"
    if isinstance(text, bool):
        raise JobError(Fault(where=where, found=str(text).lower(), problem="not a length", mend=_LENGTH_HINT))
    match = _LENGTH.match(shown) if isinstance(text, str) else None
    if isinstance(text, str):
        if match is None:
            raise JobError(Fault(where=where, found=shown, problem="not a length", mend=_LENGTH_HINT))
        value, written = _value_of(match, where=where, shown=shown)
    else:
        if not math.isfinite(text):
            raise JobError(Fault(where=where, found=shown, problem="not a length", mend=_LENGTH_HINT))
        value, written = Fraction(repr(text)), None
    name = written or unit
    if name is None:
        raise JobError(
            Fault(where=where, found=shown, problem="has no unit", mend='Write mm or in, as in "5 15/16 in".')
        )
    return float(value * _UNIT_MM[name.lower()])


_LENGTH_HINT: Final = 'Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".'


def _value_of(match: re.Match[str], *, where: str, shown: str) -> tuple[Fraction, str | None]:
    whole = Fraction(match["whole"] or 0)
    top, under = match["top1"] or match["top"], match["under1"] or match["under"]
    if under is not None and int(under) == 0:
        raise JobError(Fault(where=where, found=shown, problem="a fraction over zero is no length", mend=_LENGTH_HINT))
    value = whole + (Fraction(int(top), int(under)) if top and under else Fraction(match["decimal"] or 0))
    return (-value if match["sign"] == "-" else value), match["unit"]


def show_fraction(length_mm: float) -> str:
    """The length in inches as a fraction to the nearest 1/64, ``5 15/16 in``; ``~`` before it when not exact."""
    sixty_fourths = Fraction(round(abs(length_mm) / MM_PER_INCH * _SIXTY_FOURTHS), _SIXTY_FOURTHS)
    whole, rest = divmod(sixty_fourths, 1)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(f"{rest.numerator}/{rest.denominator}")
    is_exact = math.isclose(float(sixty_fourths * _MM_PER_INCH_EXACT), abs(length_mm), abs_tol=1 / 2000)
    sign = "-" if length_mm < 0 and sixty_fourths else ""
    return f"{'' if is_exact else '~'}{sign}{' '.join(parts)} in"


def show_mm(length_mm: float, *, decimals: int = 3) -> str:
    """The length as ``12.700 mm``."""
    return f"{length_mm:.{decimals}f} mm"


def show_length(length_mm: float, *, first: LengthUnit = "in") -> str:
    """The length in both units, the reader's own first: ``1/2 in (12.700 mm)`` or ``12.700 mm (1/2 in)``."""
    if first == "in":
        return f"{show_fraction(length_mm)} ({show_mm(length_mm)})"
    return f"{show_mm(length_mm)} ({show_fraction(length_mm)})"
