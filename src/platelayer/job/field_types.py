"""The kinds of value a job file or a profile holds, as pydantic field types.

Glossary:
    length, feed, acceleration, angle: text or bare numbers at the door, mm, mm/min, mm/s2 and radians inside.
    bare number: one without a unit; the context of a validation says in which unit it is meant.
    span: what a type takes, as told to a person. What a key has beyond its type, ``key`` says.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BeforeValidator,
    ConfigDict,
    Field,
    StrictBool,
    StrictInt,
    StrictStr,
    ValidationInfo,
)
from pydantic_core import PydanticCustomError

from platelayer.errors import JobError
from platelayer.parsing import (
    parse_acceleration,
    parse_angle,
    parse_duration,
    parse_feed,
    parse_force,
    parse_length,
)
from platelayer.units import LengthUnit
from platelayer.values.key_words import Bound, ValueKind

FAULT_TYPE: Final = "platelayer_fault"
"""Type of the pydantic errors that carry a problem and a mend of ours."""

CLOSED: Final = ConfigDict(extra="forbid", frozen=True, validate_default=False)
"""Every table is closed: an unknown key is a fault, never ignored."""


@dataclass(frozen=True, slots=True)
class Span:
    """What a type takes: the kind of value, least and most, and what else is asked of it, in words."""

    kind: ValueKind
    least: Bound | None = None
    most: Bound | None = None
    rule: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a key says of itself beyond meaning and example; empty and None leave it to the type and the default."""

    unsaid: str = ""
    rule: str = ""
    least: Bound | None = None
    most: Bound | None = None


def key(
    default: Any,  # noqa: ANN401 - what pydantic takes as a default
    meaning: str,
    example: str,
    *,
    unsaid: str = "",
    rule: str = "",
    least: Bound | None = None,
    most: Bound | None = None,
) -> Any:  # noqa: ANN401 - pydantic's own Field is Any too
    """A key of a table, with what the reference of keys tells of it.

    Args:
        default: as for a pydantic field.
        meaning: what it says, in a sentence or two.
        example: what may stand behind its ``=``, as TOML.
        unsaid: what holds where it is left out, in words; needed where the default does not say it.
        rule: what it owes to other keys, or to what is there.
        least: the least that may stand there, where that is not what the type takes.
        most: the same of the most.
    """
    said: Any = Said(unsaid=unsaid, rule=rule, least=least, most=most)
    return Field(default, description=meaning, examples=[example], json_schema_extra={"said": said})


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


def _unitless(parse: Callable[..., float]) -> Callable[[object], float]:
    def validate(value: object) -> float:
        try:
            return parse(value)
        except JobError as error:
            raise fault_error(error.faults[0].problem, error.faults[0].fix) from error

    return validate


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


_ANY: Final = Span(ValueKind.LENGTH, Bound(-_MOST_MM), Bound(_MOST_MM))
_ABOVE_ZERO: Final = Bound(0, is_in=False)

AnyLength = Annotated[float, BeforeValidator(_parsed(parse_length)), AfterValidator(_within_reason), _ANY]
Length = Annotated[AnyLength, AfterValidator(_positive), Span(ValueKind.LENGTH, _ABOVE_ZERO, Bound(_MOST_MM))]
LengthOrNone = Annotated[AnyLength, AfterValidator(_not_negative), Span(ValueKind.LENGTH, Bound(0), Bound(_MOST_MM))]
Feed = Annotated[
    float, BeforeValidator(_parsed(parse_feed)), AfterValidator(_positive), Span(ValueKind.FEED, _ABOVE_ZERO)
]
Acceleration = Annotated[
    float,
    BeforeValidator(_parsed(parse_acceleration)),
    AfterValidator(_positive),
    Span(ValueKind.ACCELERATION, _ABOVE_ZERO),
]
Angle = Annotated[float, BeforeValidator(_unitless(parse_angle)), Span(ValueKind.ANGLE)]
Grain = Annotated[float, BeforeValidator(_grain), Span(ValueKind.ANGLE, rule="along, across, or degrees")]
Force = Annotated[float, BeforeValidator(_unitless(parse_force)), Span(ValueKind.FORCE)]
Number = Annotated[float, BeforeValidator(_number)]
Share = Annotated[Number, AfterValidator(_share), Span(ValueKind.NUMBER, Bound(0), Bound(1))]
_PositiveNumber = Annotated[Number, AfterValidator(_positive)]
PositiveNumber = Annotated[_PositiveNumber, Span(ValueKind.NUMBER, _ABOVE_ZERO)]
Speed = Annotated[_PositiveNumber, Span(ValueKind.SPEED, _ABOVE_ZERO)]
Duration = Annotated[
    float, BeforeValidator(_unitless(parse_duration)), AfterValidator(_positive), Span(ValueKind.DURATION, _ABOVE_ZERO)
]
Seconds = Annotated[_PositiveNumber, Span(ValueKind.SECONDS, _ABOVE_ZERO)]
Flag = Annotated[StrictBool, Span(ValueKind.FLAG)]
Text = Annotated[StrictStr, Span(ValueKind.TEXT)]


def _at_least_one(value: int) -> int:
    if not 1 <= value <= _MOST_COUNT:
        raise fault_error(f"must be 1 to {_MOST_COUNT}")
    return value


_MOST_COUNT: Final = 1000
Count = Annotated[StrictInt, AfterValidator(_at_least_one), Span(ValueKind.COUNT, Bound(1), Bound(_MOST_COUNT))]


def _plain_name(value: str) -> str:
    if not value:
        return value
    kept = all(char.isascii() and (char.isalnum() or char in "-_.") for char in value)
    if not kept or not value[:1].isalnum() or len(value) > _LONGEST_NAME:
        raise fault_error(
            "not a name that a file can carry",
            f"Use {NAME_RULE}.",
        )
    return value


_LONGEST_NAME: Final = 32
NAME_RULE: Final = f"at most {_LONGEST_NAME} letters, digits, hyphens and points, a letter or digit first"
Name = Annotated[StrictStr, AfterValidator(_plain_name), Span(ValueKind.TEXT, rule=NAME_RULE)]


def _plain_title(value: str) -> str:
    if not value.isprintable() or len(value) > _LONGEST_TITLE:
        raise fault_error("not a title", f"Write {TITLE_RULE}.")
    return value


_LONGEST_TITLE: Final = 80
TITLE_RULE: Final = f"one line of at most {_LONGEST_TITLE} letters"
Title = Annotated[StrictStr, AfterValidator(_plain_title), Span(ValueKind.TEXT, rule=TITLE_RULE)]
