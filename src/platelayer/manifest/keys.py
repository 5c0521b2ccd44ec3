"""How a field of a value stands in the JSON text, read off its name and its annotation.

A field's key is its name without the unit; a field whose name ends in ``_rad`` stands in degrees; a field with a
default need not stand there. What else there is to say is marked in its annotation,
``Annotated[float, Limits(low=0)]``.

Glossary:
    key: name of a value in a JSON object. Not a field: that is its name here.
    path: keys on the way to a value; ``holding.tabs`` stands in an object of its own.
    mark: what the annotation says besides the type.
"""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from enum import StrEnum
from typing import Annotated, Any, Final, TypeAlias, get_args, get_origin, get_type_hints

Number: TypeAlias = float

_UNITS: Final = ("_mm_min", "_mm_s2", "_mm", "_rpm", "_rad")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Marks a number: at least ``low``, more than ``above``."""

    low: Number | None = None
    above: Number | None = None


@dataclass(frozen=True, slots=True)
class OneOf:
    """Marks a string: one of these; an empty one means unknown."""

    choices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Says:
    """Marks a list of fixed length: what is said of one that is not so."""

    problem: str


class Runs(StrEnum):
    """Marks a contour: how it runs."""

    OPEN = "open"
    CLOSED = "closed"
    CCW = "closed, counter-clockwise"


@dataclass(frozen=True, slots=True)
class Key:
    """Marks a field: what its name and its default do not tell.

    Attributes:
        path: where it stands; empty = at its name without the unit.
        is_left_out: not written where it is the default.
        is_needed: has to stand there although the field has a default.
        same_as: the key in the same object that it is as good as where it does not stand there.
    """

    path: str = ""
    is_left_out: bool = False
    is_needed: bool = False
    same_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One field of a value with all that its writer and its reader need; ``default`` is MISSING where there is none."""

    field: str
    path: tuple[str, ...]
    hint: Any
    default: Any
    is_angle: bool = False
    is_left_out: bool = False
    same_as: str = ""


def entries(cls: type, marked: Mapping[str, Any]) -> tuple[Entry, ...]:
    """The fields of a dataclass in their order, with the annotations that ``marked`` puts in the place of its own."""
    hints = get_type_hints(cls, include_extras=True) | dict(marked)
    found = []
    for one in fields(cls):
        hint = hints[one.name]
        marks = get_args(hint)[1:] if get_origin(hint) is Annotated else ()
        key = next((mark for mark in marks if isinstance(mark, Key)), Key())
        found.append(
            Entry(
                field=one.name,
                path=tuple((key.path or _without_unit(one.name)).split(".")),
                hint=hint,
                default=MISSING if key.is_needed else one.default,
                is_angle=one.name.endswith("_rad"),
                is_left_out=key.is_left_out,
                same_as=key.same_as,
            )
        )
    return tuple(found)


def _without_unit(name: str) -> str:
    unit = next((unit for unit in _UNITS if name.endswith(unit)), "")
    return name.removesuffix(unit)
