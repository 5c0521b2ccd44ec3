"""From TOML text to a model and the faults in it: every fault at once, each with its line.

Glossary:
    sound: a key that pydantic had nothing to say against. Keys that are not are left out before the rest is checked,
    so that one wrong length does not hide an unknown bit.
"""

import copy
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, Generic, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from platelayer.errors import Cure, Fault, JobError, PlatelayerError
from platelayer.job.field_types import FAULT_TYPE
from platelayer.job.key_lines import Path
from platelayer.job.near_names import did_you_mean, fix_for, nearest
from platelayer.job.places import locate, where_of
from platelayer.units import LengthUnit

Model = TypeVar("Model", bound=BaseModel)

_QUOTES: Final = 'A length with a unit or a fraction goes in quotes, as in width = "1 9/16 in".'


@dataclass(frozen=True, slots=True)
class Reading(Generic[Model]):
    """A file as read.

    Attributes:
        model: of all that is sound.
        data: as tomllib gave it.
        faults: of all that is not, without file and line.
        unsound: places of the faults, and of the keys that misspelt ones were most likely meant for.
    """

    model: Model
    data: Mapping[str, Any]
    faults: tuple[Fault, ...]
    unsound: frozenset[str] = frozenset()

    def entries(self, table: str) -> list[object]:
        """The tables of an array as written."""
        found = self.data.get(table, [])
        return found if isinstance(found, list) else []

    def are_sound(self, *starts: str) -> bool:
        """No fault lies at a place that begins with one of these."""
        return not any(place.startswith(starts) for place in self.unsound)

    def is_hollow(self, fault: Fault) -> bool:
        """The fault only follows from one that is known: at the same place, within it, or round it."""
        where = _bare(fault.where)
        return any(
            f"{where} ".startswith(f"{place} ") or place.startswith(f"{where} ") for place in map(_bare, self.unsound)
        )


def read_toml(text: str, *, file: str) -> dict[str, Any]:
    """The data of a TOML text.

    Raises:
        JobError: not TOML; with line and column.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        problem, line, column = _syntax(str(error), text)
        fix = _QUOTES if _looks_unquoted(text, line) else "Mend the line; the rest of the file is read after that."
        if _COMMA.search(text.splitlines()[line - 1] if text else ""):
            fix = "Decimals go with a point, as in 10.02."
        fault = Fault(where="", file=file, line=line, column=column, problem=problem, fix=fix)
        raise JobError(fault) from error
    except RecursionError as error:
        problem, fix = "lists within one another, too deep to be read", "Look for a bracket that is held down."
        raise JobError(Fault(where="", file=file, problem=f"not TOML: {problem}", fix=fix)) from error


def _syntax(message: str, text: str) -> tuple[str, int, int]:
    match = re.search(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$", message)
    words = _TWICE.sub(_twice, message[: match.start()] if match else message)
    if match and match[1]:
        line, column = int(match[1]), int(match[2])
    else:
        rows = text.splitlines() or [""]
        line, column = len(rows), len(rows[-1]) + 1
    return f"not TOML: {words[:1].lower()}{words[1:]}", line, column


_COMMA: Final = re.compile(r"=\s*[0-9]+,[0-9]|[0-9],0[0-9]")
_TWICE: Final = re.compile(r"Cannot (?:overwrite a value|(?:declare|mutate immutable namespace) (?P<names>\(.*\)).*)$")


def _twice(match: re.Match[str]) -> str:
    """What the reader of TOML says of a key or table that is there already, in plain words."""
    names = re.findall(r"'([^']*)'", match["names"] or "")
    return f"[{'.'.join(names)}] stands in the file twice" if names else "this key is set twice in its table"


def _looks_unquoted(text: str, line: int) -> bool:
    rows = text.splitlines()
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    return bool(re.search(r"=\s*[-+]?[\d.]++\s*([-/\d]|mm|cm|in\b|ft\b|[\"”'])", row.split("#")[0]))


def unit_of(table: object) -> LengthUnit | None:
    """The unit of bare numbers that a table's ``units`` names; mm when it names none that there is, None without it."""
    if not isinstance(table, Mapping) or "units" not in table:
        return None
    return "in" if table["units"] == "in" else "mm"


def written_unit(text: str) -> LengthUnit:
    """The unit that a job, a floor or a profile is written in; mm where it names none or cannot be read."""
    try:
        data = read_toml(text, file="")
    except JobError:
        return "mm"
    return unit_of(data.get("job")) or unit_of(data.get("floor")) or unit_of(data) or "mm"


def read_model(kind: type[Model], data: Mapping[str, Any], *, unit: LengthUnit | None) -> Reading[Model]:
    """The model of all sound keys in the data, and a fault for each of the others.

    Args:
        kind: a model all of whose keys have defaults.
        data: as tomllib gave it; not changed.
        unit: what bare numbers mean; None refuses them.

    Raises:
        JobError: something so wrong that the rest cannot be judged, such as a list where a table belongs.
    """
    context = {"unit": unit}
    try:
        return Reading(kind.model_validate(data, context=context), data, ())
    except ValidationError as error:
        details = error.errors(include_url=False)
    faults = tuple(_unique(_fault(kind, data, detail) for detail in details))
    rest = copy.deepcopy(dict(data))
    for path in sorted({_to_key(_path(data, detail["loc"]), data) for detail in details}, key=len, reverse=True):
        if not path or isinstance(path[-1], int):
            raise JobError(*faults)
        _leave_out(rest, path)
    try:
        return Reading(kind.model_validate(rest, context=context), data, faults, _unsound(kind, data, details))
    except ValidationError as error:
        raise JobError(*faults) from error


def _unsound(kind: type[BaseModel], data: Mapping[str, Any], details: Iterable[ErrorDetails]) -> frozenset[str]:
    places = set()
    for detail in details:
        path = _path(data, detail["loc"])
        places.add(where_of(path, data))
        if detail["type"] == "extra_forbidden":
            meant = nearest(str(path[-1]), _keys_at(kind, path[:-1]))
            if meant:
                places.add(where_of((*path[:-1], meant), data))
    return frozenset(places)


def _bare(where: str) -> str:
    return where.translate(_NO_BRACKETS)


_NO_BRACKETS: Final = str.maketrans("", "", "[]")


def _unique(faults: Iterable[Fault]) -> list[Fault]:
    return list({(fault.where, fault.found): fault for fault in reversed(list(faults))}.values())[::-1]


def _path(data: Mapping[str, Any], loc: tuple[str | int, ...], *, is_missing: bool = False) -> Path:
    """The part of pydantic's place that stands in the data: a union's branches are named there but not written."""
    path: list[str | int] = []
    here: Any = data
    for step, part in enumerate(loc):
        is_last = step == len(loc) - 1
        if isinstance(here, Mapping) and (part in here or (is_last and is_missing)):
            here = here.get(str(part))
        elif isinstance(here, list) and isinstance(part, int) and part < len(here):
            here = here[part]
        else:
            break
        path.append(part)
    return tuple(path)


def _to_key(path: Path, data: Mapping[str, Any]) -> Path:
    """The path cut back to the key whose value is a list of plain values, where it leads into one."""
    here: Any = data
    for step, part in enumerate(path):
        if isinstance(here, list) and not all(isinstance(entry, Mapping) for entry in here):
            return path[:step]
        here = here.get(str(part)) if isinstance(here, Mapping) else here[int(part)]
    return path


def _leave_out(data: dict[str, Any], path: Path) -> None:
    here: Any = data
    for part in path[:-1]:
        here = here[part]
    here.pop(path[-1], None)


def _fault(kind: type[BaseModel], data: Mapping[str, Any], detail: ErrorDetails) -> Fault:
    path = _path(data, detail["loc"], is_missing=detail["type"] == "missing")
    problem, fix = _sentence(kind, path, detail)
    found = "" if detail["type"] in ("extra_forbidden", "missing") else _shown(detail["input"])
    cure = Cure.TAKE_OUT if detail["type"] == "extra_forbidden" else None
    return Fault(where=where_of(path, data), found=found, problem=problem, fix=fix, cure=cure)


GONE: Final[Mapping[Path, tuple[str, str]]] = {
    ("cutting", "shared_cuts"): ("no longer needed: neighbours share one slot anyway", "Take it out."),
}
"""Keys that there were, and what is said of them now: what is wrong and what would do."""

_PLAIN_WORDS: Final = {
    "bool_type": ("neither true nor false", "Write true or false, without quotes."),
    "int_type": ("not a whole number", "Write a whole number without quotes."),
    "string_type": ("not a text", "Put it in quotes."),
    "model_type": ("not a table", ""),
    "list_type": ("not a list", "A table that may come more than once has two brackets, as in [[piece]]."),
    "tuple_type": ("not a list", "Write the numbers in brackets, as in [0, 0]."),
    "missing": ("missing", ""),
    "too_long": ("too many numbers", ""),
    "too_short": ("too few numbers", ""),
}


def _sentence(kind: type[BaseModel], path: Path, detail: ErrorDetails) -> tuple[str, str]:
    context = detail.get("ctx", {})
    if detail["type"] == "missing" and isinstance(detail["loc"][-1], int):
        return "too few numbers", ""
    if detail["type"] == FAULT_TYPE:
        return str(context["problem"]), str(context["mend"])
    if detail["type"] == "extra_forbidden" and path in GONE:
        return GONE[path]
    if detail["type"] == "extra_forbidden":
        keys = sorted(_keys_at(kind, path[:-1]))
        return f"unknown {'key' if len(path) > 1 else 'table or key'}", fix_for(str(path[-1]), keys)
    if detail["type"] in ("literal_error", "enum"):
        choices = re.findall(r"'([^']+)'", str(context.get("expected", "")))
        shown = detail["input"] if isinstance(detail["input"], str) else ""
        return f"must be {_either(choices)}", did_you_mean(shown, choices) if shown else ""
    return _PLAIN_WORDS.get(detail["type"], (detail["msg"].lower(), ""))


def _either(choices: list[str]) -> str:
    if len(choices) < 2:
        return "".join(choices)
    return f"{', '.join(choices[:-1])} or {choices[-1]}"


def _keys_at(kind: type[BaseModel], path: Path) -> tuple[str, ...]:
    """The keys that the table at this path may hold."""
    here = kind
    for part in path:
        if isinstance(part, int):
            continue
        field = here.model_fields.get(part)
        inner = model_in(field.annotation) if field else None
        if inner is None:
            return ()
        here = inner
    return tuple(here.model_fields)


def model_in(annotation: object) -> type[BaseModel] | None:
    """The model that an annotation is or is made of, such as that of a list of tables; None without one."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for found in map(model_in, get_args(annotation)) if found), None)


_MOST_SHOWN: Final = 60


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "{...}"
    try:
        text = repr(value) if isinstance(value, list | tuple) else str(value)
    except ValueError:  # a whole number of thousands of digits
        text = "a number past all measure"
    return (text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}...") or '""'


def placed(error: PlatelayerError, text: str, *, file: str) -> PlatelayerError:
    """The same error with the file's name, its unit and the line of its place in every fault that has none.

    Faults of this file come first, in the order of their lines.
    """
    error = error.in_unit(written_unit(text))
    faults = [_placed(fault, text, file) for fault in error.faults]
    return type(error)(*sorted(faults, key=lambda fault: (fault.file != file, fault.line if fault.file == file else 0)))


def _placed(fault: Fault, text: str, file: str) -> Fault:
    if fault.file not in ("", file):
        return fault
    return replace(fault, file=file, line=fault.line or locate(text, fault.where))
