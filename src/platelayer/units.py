"""Lengths and angles as a reader sees them. The one file where 25.4 is written.

What is said of a length, deep in the program, does not know who reads it. So a sentence holds its lengths in marks
(``show_length`` and its kin), and ``worded`` at the edge puts them into words, the reader's own unit first.

Glossary:
    fraction: an inch fraction shown to 1/64; not a decimal inch.
    mark: a length as it stands in a sentence that is not worded yet: style and mm between two private characters.
    length: as drawn or ordered, in fractions. small length: a play, clearance, offset or measure, in thousandths.
"""

import math
import re
from collections.abc import Callable, Collection
from fractions import Fraction
from typing import Final, Literal

MM_PER_INCH: Final = 25.4
MM_PER_INCH_EXACT: Final = Fraction(254, 10)
_SIXTY_FOURTHS: Final = 64

LengthUnit = Literal["mm", "in"]

NEWTON_PER_LBF: Final = 4.448222
"""Source: exact pound-force, 4.4482216152605 N, rounded."""


def inches(value_in: float) -> float:  # platelayer: the one place where a float is inches
    """The length in mm of so many inches: the float nearest to the exact product, so that 7/16 is 11.1125."""
    return float(Fraction(value_in) * MM_PER_INCH_EXACT)


def to_inches(length_mm: float) -> float:
    """The number of inches in a length."""
    return length_mm / MM_PER_INCH


def show_angle(angle_rad: float) -> str:
    """The angle in degrees, ``45 deg``."""
    return f"{math.degrees(angle_rad):.6g} deg"


def is_fraction(length_mm: float) -> bool:
    """The length is a fraction of an inch to 1/64, to half of a thousandth of a mm."""
    return math.isclose(float(_sixty_fourths(length_mm) * MM_PER_INCH_EXACT), abs(length_mm), abs_tol=1 / 2000)


def _sixty_fourths(length_mm: float) -> Fraction:
    return Fraction(round(abs(length_mm) / MM_PER_INCH * _SIXTY_FOURTHS), _SIXTY_FOURTHS)


def show_fraction(length_mm: float) -> str:
    """The length in inches as a fraction to the nearest 1/64, ``5 15/16 in``; ``~`` before it when not exact.

    A fraction says nothing of what is shorter than 1/32 in: that is shown in thousandths, unless it is zero or 1/64.
    """
    if not math.isfinite(length_mm) or (abs(length_mm) < _LEAST_FRACTION_MM and not is_fraction(length_mm)):
        return f"{_thousandths(length_mm)} in"
    sixty_fourths = _sixty_fourths(length_mm)
    whole, rest = divmod(sixty_fourths, 1)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(f"{rest.numerator}/{rest.denominator}")
    sign = "-" if length_mm < 0 and sixty_fourths else ""
    return f"{'' if is_fraction(length_mm) else '~'}{sign}{' '.join(parts)} in"


def show_mm(length_mm: float, *, decimals: int = 3) -> str:
    """The length as ``12.700 mm``."""
    return f"{_decimal(length_mm, places=decimals)} mm"


def show_length(length_mm: float) -> str:
    """The mark of a length as drawn: ``1/2 in (12.700 mm)``; thousandths below 1/32 in, unless it is 1/64."""
    return _mark("length", length_mm)


def show_short(length_mm: float) -> str:
    """The mark of a length in the reader's unit alone, for titles: ``200 mm``, ``5 15/16 in``, ``5.91 in``."""
    return _mark("short", length_mm)


def show_small(length_mm: float) -> str:
    """The mark of a small length: ``0.011 in (0.275 mm)``."""
    return _mark("small", length_mm)


def show_chip(chip_mm: float) -> str:
    """The mark of a chip's thickness: ``4.0 thousandths of an inch (0.102 mm)``."""
    return _mark("chip", chip_mm)


def show_change(length_mm: float) -> str:
    """The mark of a small length with its sign: ``+0.011 in (+0.275 mm)``."""
    return _mark("change", length_mm)


def show_unsure(length_mm: float, spread_mm: float) -> str:
    """The mark of a small length with its standard uncertainty: ``0.122 in (3.109 +/- 0.008 mm)``."""
    return _mark("unsure", length_mm, spread_mm)


def show_range(lengths_mm: Collection[float]) -> str:
    """The mark of ``0.008 to 0.019 in (0.212 to 0.480 mm)``; of one length where they differ by less than 0.001 mm."""
    return _mark("range", min(lengths_mm), max(lengths_mm))


def show_place(point: tuple[float, ...]) -> str:
    """The mark of a point of a board: ``x 12.3 y 4.5 mm``, or ``x 0.48 y 0.18 in (x 12.3 y 4.5 mm)``."""
    return _mark("place", point[0], point[1])


def minutes(seconds_s: float) -> str:
    """``12 min``, ``1 h 05 min``, or seconds under a minute."""
    whole = round(seconds_s / 60)
    if seconds_s < 60:
        return f"{seconds_s:.0f} s"
    return f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min"


def worded(text: str, first: LengthUnit) -> str:
    """The text with every mark in words, the reader's own unit first; the same length reads the same everywhere."""
    return _MARK.sub(lambda mark: _WORDS[mark[1]](float(mark[2]), float(mark[3]), first), text)


def _mark(style: str, length_mm: float, other_mm: float = 0.0) -> str:
    return f"\ue000{style} {round(float(length_mm), _PLACES)!r} {round(float(other_mm), _PLACES)!r}\ue001"


_PLACES: Final = 9
"""A mark holds a length to a millionth of what is shown, so that equal lengths make equal sentences."""


def _length_words(length_mm: float, _: float, first: LengthUnit) -> str:
    return _both(show_fraction(length_mm), f"{_decimal(length_mm)} mm", first)


_LEAST_FRACTION_MM: Final = float(MM_PER_INCH_EXACT / 32)


def _short_words(length_mm: float, _: float, first: LengthUnit) -> str:
    if first == "mm":
        return f"{_decimal(length_mm).rstrip('0').rstrip('.')} mm"
    return show_fraction(length_mm) if is_fraction(length_mm) else f"{to_inches(length_mm):.5g} in"


def _small_words(length_mm: float, _: float, first: LengthUnit) -> str:
    return _both(f"{_thousandths(length_mm)} in", f"{_decimal(length_mm)} mm", first)


def _chip_words(chip_mm: float, _: float, first: LengthUnit) -> str:
    return _both(f"{to_inches(chip_mm) * 1000:.1f} thousandths of an inch", f"{_decimal(chip_mm)} mm", first)


def _change_words(length_mm: float, _: float, first: LengthUnit) -> str:
    return _both(f"{_thousandths(length_mm, '+')} in", f"{_decimal(length_mm, '+')} mm", first)


def _unsure_words(length_mm: float, spread_mm: float, first: LengthUnit) -> str:
    return _both(f"{_thousandths(length_mm)} in", f"{_decimal(length_mm)} +/- {_decimal(spread_mm)} mm", first)


def _range_words(low_mm: float, high_mm: float, first: LengthUnit) -> str:
    if _decimal(low_mm) == _decimal(high_mm):
        return _small_words(high_mm, 0.0, first)
    low, high = _thousandths(low_mm), _thousandths(high_mm)
    inches = f"{high} in" if low == high else f"{low} to {high} in"
    return _both(inches, f"{_decimal(low_mm)} to {_decimal(high_mm)} mm", first)


def _place_words(x_mm: float, y_mm: float, first: LengthUnit) -> str:
    millimetres = f"x {_decimal(x_mm, places=1)} y {_decimal(y_mm, places=1)} mm"
    if first == "mm":
        return millimetres
    return f"x {_decimal(to_inches(x_mm), places=2)} y {_decimal(to_inches(y_mm), places=2)} in ({millimetres})"


def _thousandths(length_mm: float, sign: str = "") -> str:
    """Inches to a thousandth; a digit more where that says what three would not: 0.0002 in is no 0.000 in."""
    length_in = to_inches(length_mm)
    return _decimal(
        length_in, sign, places=3 if float(_decimal(length_in)) or not float(_decimal(length_in, places=4)) else 4
    )


def _decimal(value: float, sign: str = "", *, places: int = 3) -> str:  # platelayer: of either unit
    """So many decimals, half away from zero as on paper, whatever a float makes of the half: 1/16 in is 1.588 mm."""
    if math.isfinite(value):
        units = math.floor(round(abs(value) * 10**_PLACES) / 10 ** (_PLACES - places) + 0.5)
        value = math.copysign(units, value) / 10**places + 0.0  # + 0.0: never -0.000
    return f"{value:{sign}.{places}f}"


def _both(inches: str, millimetres: str, first: LengthUnit) -> str:
    return f"{inches} ({millimetres})" if first == "in" else f"{millimetres} ({inches})"


_WORDS: Final[dict[str, Callable[[float, float, LengthUnit], str]]] = {
    "length": _length_words,
    "short": _short_words,
    "small": _small_words,
    "chip": _chip_words,
    "change": _change_words,
    "unsure": _unsure_words,
    "range": _range_words,
    "place": _place_words,
}
_NUMBER: Final = r"-?(?:inf|nan|[0-9]+(?:\.[0-9]+)?(?:e[-+][0-9]+)?)"
_MARK: Final = re.compile(f"\ue000({'|'.join(_WORDS)}) ({_NUMBER}) ({_NUMBER})\ue001")
