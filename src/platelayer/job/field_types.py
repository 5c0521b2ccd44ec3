"""The kinds of value a job file or a profile holds, as pydantic field types.

Glossary:
    length, feed, acceleration, angle: text or bare numbers at the door, mm, mm/min, mm/s2 and radians inside.
    bare number: one without a unit; the context of a validation says in which unit it is meant.
"""

import math
from collections.abc import Callable
from typing import Annotated, Final

from pydantic import AfterValidator, BeforeValidator, ConfigDict, StrictBool, StrictInt, StrictStr, ValidationInfo
from pydantic_core import PydanticCustomError

from platelayer.errors import JobError
from platelayer.parsing import parse_acceleration, parse_angle, parse_feed, parse_length
from platelayer.units import LengthUnit

FAULT_TYPE: Final = "platelayer_fault"
"""Type of the pydantic errors that carry a problem and a mend of ours."""

CLOSED: Final = ConfigDict(extra="forbid", frozen=True, validate_default=False)
"""Every table is closed: an unknown key is a fault, never ignored."""


_PROBLEM: Final = "{" + "problem" + "}"
"""pydantic's own placeholder: it fills in the word from the context."""


def fault_error(problem: str, fix: str = "") -> PydanticCustomError:
    """An error for pydantic to collect, in our words."""
    return PydanticCustomError(FAULT_TYPE, _PROBLEM, {"problem": problem, "mend": fix})


def unit_in(info: ValidationInfo) -> LengthUnit | None:
    """The unit in which bare numbers of a validation are meant; None where they are refused."""
    context: dict[str, LengthUnit | None] = info.context or {}
    return context.get("unit")


def _parsed(parse: Callable[..., float]) -> Callable[[object, ValidationInfo], float]:
    def validate(value: object, info: ValidationInfo) -> float:
        try:
            return parse(value, unit=unit_in(info))
        except JobError as error:
            fault = error.faults[0]
            raise fault_error(fault.problem, fault.fix) from error

    return validate


def _angle(value: object) -> float:
    try:
        return parse_angle(value)  # type: ignore[arg-type]  # refuses all that is no number or text
    except JobError as error:
        raise fault_error(error.faults[0].problem, error.faults[0].fix) from error


def _grain(value: object) -> float:
    if value in ("along", "across"):
        return 0.0 if value == "along" else math.pi / 2
    try:
        return parse_angle(value)  # type: ignore[arg-type]  # refuses all that is no number or text
    except JobError as error:
        raise fault_error("neither along, across nor an angle", "Write along, across, or degrees from x.") from error


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < _MOST_NUMBER:
        raise fault_error("not a number", "Write a plain number without quotes.")
    return float(value)


def _share(value: float) -> float:
    if not 0 <= value <= 1:
        raise fault_error("not a share", "Write 0 for none, 1 for all, or a number between.")
    return value


_MOST_NUMBER: Final = 10**9
_MOST_MM: Final = 20_000.0


def _positive(value: float) -> float:
    if value <= 0:
        raise fault_error("must be more than zero")
    return value


def _not_negative(value: float) -> float:
    if value < 0:
        raise fault_error("must not be less than zero")
    return value


def _within_reason(value: float) -> float:
    if abs(value) > _MOST_MM:
        raise fault_error("longer than 20 m, which no board is", 'Look at the unit: is it "in" or "mm"?')
    return value


AnyLength = Annotated[float, BeforeValidator(_parsed(parse_length)), AfterValidator(_within_reason)]
Length = Annotated[AnyLength, AfterValidator(_positive)]
LengthOrNone = Annotated[AnyLength, AfterValidator(_not_negative)]
Feed = Annotated[float, BeforeValidator(_parsed(parse_feed)), AfterValidator(_positive)]
Acceleration = Annotated[float, BeforeValidator(_parsed(parse_acceleration)), AfterValidator(_positive)]
Angle = Annotated[float, BeforeValidator(_angle)]
Grain = Annotated[float, BeforeValidator(_grain)]
Number = Annotated[float, BeforeValidator(_number)]
Share = Annotated[Number, AfterValidator(_share)]
PositiveNumber = Annotated[Number, AfterValidator(_positive)]
Flag = StrictBool
Text = StrictStr


def _at_least_one(value: int) -> int:
    if not 1 <= value <= _MOST_COUNT:
        raise fault_error(f"must be 1 to {_MOST_COUNT}")
    return value


_MOST_COUNT: Final = 1000
Count = Annotated[StrictInt, AfterValidator(_at_least_one)]


def _plain_name(value: str) -> str:
    if not value:
        return value
    kept = all(char.isascii() and (char.isalnum() or char in "-_.") for char in value)
    if not kept or not value[:1].isalnum() or len(value) > _LONGEST_NAME:
        raise fault_error(
            "not a name that a file can carry",
            f"Use at most {_LONGEST_NAME} letters, digits, hyphens and points, a letter or digit first.",
        )
    return value


_LONGEST_NAME: Final = 32
Name = Annotated[StrictStr, AfterValidator(_plain_name)]


def _plain_title(value: str) -> str:
    if not value.isprintable() or len(value) > _LONGEST_TITLE:
        raise fault_error("not a title", f"Write one line of at most {_LONGEST_TITLE} letters.")
    return value


_LONGEST_TITLE: Final = 80
Title = Annotated[StrictStr, AfterValidator(_plain_title)]
