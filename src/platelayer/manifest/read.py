"""The manifest read from its text: what was meant, taken from the file alone.

Glossary:
    path: where in the text a value stands, ``pieces[3].outline[7].arc``; every fault names one.
    rule: what the values of one object owe each other (``rules``).

Keys that version 1 does not know are passed over, since keys may be added; a missing key, a wrong type or a shape
that cannot be is refused, all faults at once; a rule is asked of an object that is sound so far. A key need not stand
where the schema has a default, which means unknown.
"""

import json
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import MISSING, replace
from enum import StrEnum
from functools import cache, partial
from types import UnionType
from typing import Annotated, Any, Final, Literal, NoReturn, TypeVar, Union, get_args, get_origin

from platelayer.errors import Fault, ReadError
from platelayer.manifest.keys import Entry, Limits, OneOf, Runs, Says
from platelayer.manifest.rules import RULES, contour_faults
from platelayer.manifest.schema import VERSION, Manifest, entries_of
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.cuts import Tab
from platelayer.values.shapes import Arc, Contour, Line, Pose, Segment

T = TypeVar("T")

_VERSION: Final = Entry(field="manifest", path=("manifest",), hint=float, default=MISSING)
_UNITS: Final = Entry(field="units", path=("units",), hint=Annotated[str, OneOf(("mm",))], default=MISSING)
_LARGEST: Final = 1.7e308
"""A number beyond this is infinite, or as good as that."""
_SHOWN: Final = 40
"""Letters of a wrong value that are shown."""


def parse_manifest(text: str) -> Manifest:
    """The manifest in the text.

    Raises:
        ReadError: not JSON, another version, or anything missing, of the wrong type or impossible; each fault names
            its key path, and all are listed.
    """
    try:
        data = json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise ReadError(Fault(where="", problem=f"the manifest is not JSON: {place}: {error.msg}")) from error
    except (ValueError, RecursionError) as error:
        raise ReadError(Fault(where="", problem=f"the manifest is not JSON: {error}")) from error
    version = data.get("manifest") if isinstance(data, dict) else None
    if type(version) in {int, float} and version != VERSION:
        raise ReadError(
            Fault(
                where="manifest",
                found=str(version)[:_SHOWN],
                problem=f"this program reads version {VERSION}",
                fix="Make the job again with this version of the program.",
            )
        )
    heads = (partial(_member, entry, data, "") for entry in (_VERSION, _UNITS))
    manifest: Manifest = _all_of((*heads, partial(_record, Manifest, data, "")))[-1]
    return manifest


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f'the key "{key}" stands twice in one object')
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _wrong(path: str, problem: str, *found: object) -> ReadError:
    return ReadError(Fault(where=path, found="".join(repr(one)[:_SHOWN] for one in found), problem=problem))


def _all_of(reads: Iterable[Callable[[], T]]) -> list[T]:
    """What each of them reads.

    Raises:
        ReadError: what is wrong in any of them, each fault once.
    """
    values: list[T] = []
    faults: list[Fault] = []
    for read in reads:
        try:
            values.append(read())
        except ReadError as error:
            faults += error.faults
    if faults:
        raise ReadError(*dict.fromkeys(faults))
    return values


def _kept(value: T, path: str, faults: Iterable[Fault]) -> T:
    """The value, sound by itself, when it keeps its rule as well."""
    if found := [replace(fault, where=_at(path, fault.where)) for fault in faults]:
        raise ReadError(*found)
    return value


def _at(path: str, key: str) -> str:
    return f"{path}.{key}" if path and key and not key.startswith("[") else path + key


def _record(cls: type, data: object, path: str) -> Any:  # noqa: ANN401 a value of that class
    """The value of a dataclass in an object."""
    entries = entries_of(cls)
    values = _all_of(partial(_member, entry, data, path) for entry in entries)
    made = cls(**{entry.field: value for entry, value in zip(entries, values, strict=True)})
    return _kept(made, path, RULES[cls](made)) if cls in RULES else made


def _member(entry: Entry, data: object, path: str) -> Any:  # noqa: ANN401 a value of the annotated type
    """The value of a field in an object, or its default when it has one and its key is not there."""
    at, inside = path, data
    for key in entry.path:
        if not isinstance(inside, dict):
            raise _wrong(at, "must be an object in braces", inside)
        at = _at(at, key)
        if key not in inside:
            if entry.same_as:
                return _member(replace(entry, path=(entry.same_as,), same_as=""), data, path)
            if entry.default is MISSING:
                raise _wrong(at, "is missing")
            return entry.default
        inside = inside[key]
    value = _value(entry.hint, inside, at)
    return math.radians(value) if entry.is_angle else value


def _value(hint: Any, found: object, path: str) -> Any:  # noqa: ANN401 a value of the annotated type
    """The value of an annotated type."""
    kind, parts, marks = _told(hint)
    if kind in {Union, UnionType}:  # with None
        return None if found is None else _value(parts[0], found, path)
    if kind is tuple:
        return _items(parts, found, path, _mark(marks, Says("")))
    if kind is Contour:
        return _contour(found, path, _mark(marks, Runs.CLOSED))
    if kind in {float, int}:
        return kind(_number(found, path, _mark(marks, Limits()), is_whole=kind is int))
    if kind is bool:
        return _truth(found, path)
    if kind in {str, Literal}:
        return _text(found, path, _mark(marks, OneOf(parts)))
    if issubclass(kind, StrEnum):
        return kind(_text(found, path, OneOf(tuple(kind))))
    if kind is Pose:
        x, y, degrees = _numbers(3, found, path)
        return Pose(x, y, math.radians(degrees))
    if kind is Tab:
        x, y, width, height = _numbers(4, found, path)
        return Tab((x, y), width, height)
    return _record(kind, found, path)


@cache
def _told(hint: Any) -> tuple[Any, tuple[Any, ...], tuple[object, ...]]:  # noqa: ANN401 any annotation
    """The type of an annotation, the types of its parts, and its marks."""
    hint, *marks = get_args(hint) if get_origin(hint) is Annotated else (hint,)
    return get_origin(hint) or hint, get_args(hint), tuple(marks)


def _mark(marks: Iterable[object], default: T) -> T:
    """The mark of the default's kind, or the default."""
    return next((mark for mark in marks if isinstance(mark, type(default))), default)


def _number(found: object, path: str, limits: Limits, *, is_whole: bool) -> float:
    if isinstance(found, bool) or not isinstance(found, int | float) or not abs(found) <= _LARGEST:
        raise _wrong(path, "must be a number", found)
    if is_whole and found != int(found):
        raise _wrong(path, "must be a whole number", found)
    if limits.low is not None and found < limits.low:
        raise _wrong(path, f"must be at least {limits.low:g}", found)
    if limits.above is not None and found <= limits.above:
        raise _wrong(path, f"must be more than {limits.above:g}", found)
    return found


def _truth(found: object, path: str) -> bool:
    if not isinstance(found, bool):
        raise _wrong(path, "must be true or false", found)
    return found


def _text(found: object, path: str, one_of: OneOf) -> str:
    if not isinstance(found, str):
        raise _wrong(path, "must be a string", found)
    if one_of.choices and found not in one_of.choices:
        raise _wrong(path, f"must be one of {', '.join(choice for choice in one_of.choices if choice)}", found)
    return found


def _items(parts: Sequence[Any], found: object, path: str, says: Says) -> tuple[Any, ...]:
    """A list of one type, or one of fixed length."""
    if parts[-1] is Ellipsis:
        if not isinstance(found, list):
            raise _wrong(path, "must be a list", found)
        parts = [parts[0]] * len(found)
    elif not isinstance(found, list) or len(found) != len(parts):
        raise _wrong(path, says.problem or f"must be a list of {len(parts)} numbers", found)
    pairs = enumerate(zip(parts, found, strict=True))
    return tuple(_all_of(partial(_value, part, item, f"{path}[{index}]") for index, (part, item) in pairs))


def _numbers(count: int, found: object, path: str) -> tuple[float, ...]:
    if isinstance(found, list) and len(found) == count and all(type(n) is float and abs(n) <= _LARGEST for n in found):
        return tuple(found)  # nearly all of a manifest is coordinates, and they are sound
    return _items([float] * count, found, path, Says(""))


def _contour(found: object, path: str, runs: Runs) -> Contour:
    if not isinstance(found, list) or not found:
        raise _wrong(path, "must be a list of one segment or more")
    segments = _all_of(partial(_segment, item, f"{path}[{index}]") for index, item in enumerate(found))
    contour = Contour(tuple(segments), runs is not Runs.OPEN)
    return _kept(contour, path, contour_faults(contour, runs))


def _segment(found: object, path: str) -> Segment:
    """A line or an arc; ends of an arc that coincide make a full circle."""
    if not isinstance(found, dict) or len(found.keys() & {"line", "arc"}) != 1:
        raise _wrong(path, 'must be an object with either "line" or "arc"')
    if "line" in found:
        x0, y0, x1, y1 = _numbers(4, found["line"], f"{path}.line")
        return Line((x0, y0), (x1, y1))
    words = found["arc"]
    if not isinstance(words, list) or len(words) != 7 or words[6] not in ("ccw", "cw"):
        raise _wrong(f"{path}.arc", 'must be a list of six numbers and "ccw" or "cw"')
    x0, y0, x1, y1, x, y = _numbers(6, words[:6], f"{path}.arc")
    is_round = math.dist((x0, y0), (x1, y1)) <= COINCIDENT_MM
    return Arc((x0, y0), (x0, y0) if is_round else (x1, y1), (x, y), words[6] == "ccw")
