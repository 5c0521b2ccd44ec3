"""Lengths, feeds and angles as a person writes them: fractions, decimals, inches and millimetres.

Glossary:
    length: a distance in mm inside the program; text only at its door.
    feed: a length a minute. acceleration: a length a second, every second.
    angle: radians inside the program, degrees in text.
"""

import math
import re
from fractions import Fraction
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.units import MM_PER_INCH_EXACT, NEWTON_PER_LBF, LengthUnit

_DIGITS = r"[0-9]{1,15}"
_NUMBER = rf"(?:{_DIGITS}(?:\.[0-9]{{0,15}})?|\.{_DIGITS})"
_FOOT = r"ft|feet|foot|'|′|’"
_LENGTH = re.compile(
    rf"""^\s*(?P<sign>[+-])?\s*
    (?:(?P<feet>{_NUMBER})\s*(?:{_FOOT})\.?\s*-?\s*(?=[0-9.]))?
    (?:
        (?P<whole>{_DIGITS})\s*(?:-|\s)\s*(?P<top1>{_DIGITS})\s*/\s*(?P<under1>{_DIGITS})
      | (?P<top>{_DIGITS})\s*/\s*(?P<under>{_DIGITS})
      | (?P<decimal>{_NUMBER})
    )
    \s*(?P<unit>mm|millimetres?|millimeters?|cm|m|in|inch|inches|"|”|″|{_FOOT})?\.?\s*$""",
    re.VERBOSE | re.IGNORECASE,
)
_VULGAR: Final = {
    ord(sign): f" {top}/{under}"
    for sign, top, under in (
        ("½", 1, 2), ("¼", 1, 4), ("¾", 3, 4), ("⅛", 1, 8), ("⅜", 3, 8), ("⅝", 5, 8), ("⅞", 7, 8),
    )
} | {ord("⁄"): "/"}  # fmt: skip
_UNIT_MM: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "millimetre": Fraction(1),
    "millimetres": Fraction(1),
    "millimeter": Fraction(1),
    "millimeters": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_INCH_EXACT,
    "inch": MM_PER_INCH_EXACT,
    "inches": MM_PER_INCH_EXACT,
    '"': MM_PER_INCH_EXACT,
    "”": MM_PER_INCH_EXACT,
    "″": MM_PER_INCH_EXACT,
    "ft": 12 * MM_PER_INCH_EXACT,
    "feet": 12 * MM_PER_INCH_EXACT,
    "foot": 12 * MM_PER_INCH_EXACT,
    "'": 12 * MM_PER_INCH_EXACT,
    "′": 12 * MM_PER_INCH_EXACT,
    "’": 12 * MM_PER_INCH_EXACT,
}


def parse_length(text: str | float, *, unit: LengthUnit | None = None, where: str = "") -> float:
    """The length in mm that a person wrote.

    Accepts ``1 9/16 in``, ``1-9/16"``, ``9/16 in``, ``1½ in``, ``39.7 mm``, ``0.25in``, ``3.5 cm``, ``2 ft``,
    ``2' 3 1/2"``, and a bare number or fraction when ``unit`` says what bare numbers mean. A sign is allowed; limits
    are the caller's business. Every spelling of a length gives the same float.

    Args:
        text: what was written; a number counts as bare.
        unit: unit of a bare number; None refuses bare numbers.
        where: table and key, for the error.

    Raises:
        JobError: not a length, no unit, a fraction over zero or not less than one beside a whole number.
    """
    if isinstance(text, str):
        match = _LENGTH.match(text.translate(_VULGAR))
        if match is None or (match["feet"] and (match["unit"] or "").lower() not in _AFTER_FEET):
            raise _no_length(text, where)
        value, written = _value_of(match, where=where, shown=text)
    else:
        value, written = _bare_number(text, where), None
    name = written or unit
    if name is None:
        shown = text if isinstance(text, str) else f"{text:g}"
        raise JobError(
            Fault(where=where, found=shown, problem="has no unit", fix='Write mm or in, as in "5 15/16 in".')
        )
    return float(value * _UNIT_MM[name.lower()])


def parse_sizes(
    text: str, *, count: int, unit: LengthUnit | None, where: str, fix: str
) -> tuple[tuple[float, ...], LengthUnit]:
    """So many lengths in mm parted by ``x``, and the unit that counts for all that have none: that of the last one.

    Without any unit bare numbers are refused, and a bare fraction where they are millimetres: it is meant in inches.

    Args:
        text: what was written, as in ``36 x 11 x 1/2 in``.
        count: how many lengths there must be.
        unit: of all of them where the last has none; None refuses that.
        where: key or option, for the error.
        fix: how such sizes are written.

    Raises:
        JobError: another number of lengths, one that is none, has no unit or is not above zero.
    """
    parts = [part.strip() for part in text.lower().replace("×", "x").split("x")]
    if len(parts) != count:
        is_flat = count == 3 and len(parts) == 2
        problem = "says nothing of the thickness: measure it" if is_flat else f"not {_COUNTS[count]} lengths"
        raise JobError(Fault(where=where, found=text, problem=problem, fix=fix))
    written: LengthUnit | None = "in" if parts[-1].endswith(("in", '"')) else "mm" if parts[-1].endswith("mm") else None
    known = written or unit
    if written is None and unit != "in":
        for part in parts:
            refuse_bare_fraction(part, where=where)
    if known is None:
        raise JobError(Fault(where=where, found=text, problem="has no unit", fix=fix))
    lengths = tuple(parse_length(part, unit=known, where=where) for part in parts)
    if min(lengths) <= 0:
        raise JobError(Fault(where=where, found=text, problem="lengths of a board are above zero", fix=fix))
    return lengths, known


_COUNTS: Final = {2: "two", 3: "three"}


def refuse_bare_fraction(text: str, *, where: str) -> None:
    """Refuses a fraction that is meant in inches and would be read as millimetres.

    Raises:
        JobError: a fraction without its unit.
    """
    if re.fullmatch(r"[0-9 ]*[0-9]/[0-9]+", text.strip()):
        fix = f'Write "{text.strip()} in".'
        raise JobError(Fault(where=where, found=text, problem="a fraction without its unit", fix=fix))


_LENGTH_HINT: Final = 'Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".'
_AFTER_FEET: Final = ("in", "inch", "inches", '"', "”", "″")
_FEED_END: Final = re.compile(r"\s*(?:/|per)\s*(?:min|minute)\.?\s*$", re.IGNORECASE)
_ACCEL_END: Final = re.compile(r"\s*/\s*s(?:\^?2|²)\s*$", re.IGNORECASE)
_ANGLE_END: Final = re.compile(r"\s*(?:°|deg(?:rees?)?\.?)\s*$", re.IGNORECASE)
_PLAIN_NUMBER: Final = re.compile(rf"\s*[+-]?{_NUMBER}\s*$")


def _no_length(text: object, where: str) -> JobError:
    shown = str(text).lower() if isinstance(text, bool) else str(text)
    short = shown if len(shown) <= _LONGEST_SHOWN else f"{shown[:_LONGEST_SHOWN]}..."
    return JobError(Fault(where=where, found=short or '""', problem="not a length", fix=_LENGTH_HINT))


_LONGEST_SHOWN: Final = 40


def _bare_number(number: object, where: str) -> Fraction:
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise _no_length(number, where)
    if not abs(number) < _ABSURD:  # refuses nan and infinity as well
        raise JobError(Fault(where=where, found="a number past all measure", problem="not a length", fix=_LENGTH_HINT))
    return Fraction(repr(number))


_ABSURD: Final = 10**15
"""No length, feed or angle has a number this big; a number with no end is not turned into text."""


def parse_feed(text: str | float, *, unit: LengthUnit | None = None, where: str = "") -> float:
    """The feed in mm/min that a person wrote: ``1200 mm/min``, ``45 in/min``, or a bare number in ``unit`` a minute.

    Raises:
        JobError: as parse_length.
    """
    return parse_length(_FEED_END.sub("", text) if isinstance(text, str) else text, unit=unit, where=where)


def parse_acceleration(text: str | float, *, unit: LengthUnit | None = None, where: str = "") -> float:
    """The acceleration in mm/s2 that a person wrote: ``500 mm/s2``, ``20 in/s2``, or a bare number in ``unit``/s2.

    Raises:
        JobError: as parse_length.
    """
    return parse_length(_ACCEL_END.sub("", text) if isinstance(text, str) else text, unit=unit, where=where)


def parse_duration(text: object, *, where: str = "") -> float:
    """The seconds that a person wrote as a time with its unit: ``45 min``, ``1 h``, ``1 h 30 min``, ``90 s``.

    Raises:
        JobError: not such a time.
    """
    match = _DURATION.fullmatch(text) if isinstance(text, str) else None
    if match is None or not any(match.groupdict().values()):
        shown = text if isinstance(text, str) else str(text).lower()
        fix = 'Write it with its unit, such as "45 min" or "1 h 30 min".'
        raise JobError(Fault(where=where, found=shown[:_LONGEST_SHOWN], problem="not a time", fix=fix))
    return math.fsum(_SECONDS[name] * float(number or 0) for name, number in match.groupdict().items())


_SECONDS: Final = {"h": 3600.0, "min": 60.0, "s": 1.0}
_DURATION: Final = re.compile(
    rf"\s*(?:(?P<h>{_NUMBER})\s*h\b)?\s*(?:(?P<min>{_NUMBER})\s*min\b)?\s*(?:(?P<s>{_NUMBER})\s*s\b)?\s*"
)


def parse_angle(text: str | float, *, where: str = "") -> float:
    """The angle in radians that a person wrote in degrees: ``45``, ``22.5``, ``45 deg``, ``45°``.

    Raises:
        JobError: not an angle.
    """
    written = _ANGLE_END.sub("", text) if isinstance(text, str) else text
    if isinstance(written, str) and _PLAIN_NUMBER.match(written):
        written = float(written)
    if isinstance(written, str | bool) or not isinstance(written, int | float) or not abs(written) < _ABSURD:
        shown = text if isinstance(text, str) else str(text).lower()[:20]
        raise JobError(
            Fault(where=where, found=shown, problem="not an angle", fix='Write degrees, such as 45 or "22.5 deg".')
        )
    return math.radians(written)


def parse_force(text: str | float, *, where: str = "") -> float:
    """The force in newtons that a person wrote with its unit: ``1450 lbf``, ``6450 N``, ``6.45 kN``.

    Raises:
        JobError: not a number with one of these units.
    """
    match = _FORCE.match(text) if isinstance(text, str) else None
    if match is None:
        shown = text[:_LONGEST_SHOWN] if isinstance(text, str) else str(text).lower()[:20]
        fix = 'Write it with its unit, as in "1450 lbf" or "6450 N".'
        raise JobError(Fault(where=where, found=shown or '""', problem="not a force", fix=fix))
    return float(match[1]) * _FORCE_N[match[2].lower()]


_FORCE: Final = re.compile(rf"\s*({_NUMBER})\s*(lbf|lb|kN|N)\.?\s*$", re.IGNORECASE)
_FORCE_N: Final = {"lbf": NEWTON_PER_LBF, "lb": NEWTON_PER_LBF, "n": 1.0, "kn": 1000.0}


def _value_of(match: re.Match[str], *, where: str, shown: str) -> tuple[Fraction, str | None]:
    whole = Fraction(match["whole"] or 0)
    top, under = match["top1"] or match["top"], match["under1"] or match["under"]
    if under is not None and int(under) == 0:
        raise JobError(Fault(where=where, found=shown, problem="a fraction over zero is no length", fix=_LENGTH_HINT))
    if match["top1"] and under is not None and int(match["top1"]) >= int(under):
        problem = f"{match['top1']}/{under} beside a whole number is not less than one"
        raise JobError(Fault(where=where, found=shown, problem=problem, fix=_LENGTH_HINT))
    value = whole + (Fraction(int(top), int(under)) if top and under else Fraction(match["decimal"] or 0))
    if match["feet"]:
        value += 12 * Fraction(match["feet"])
    return (-value if match["sign"] == "-" else value), match["unit"]
