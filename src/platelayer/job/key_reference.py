"""Every table and key that a person may write, as values: read off the very models and tables that check them.

Glossary:
    head: how a table begins in its file, ``[track]`` or ``[[piece]]``; none for keys before any table.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Annotated, Any, Final, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from platelayer.errors import Fault, JobError
from platelayer.fit.bought import LETTERS, WORDS, BoughtSize
from platelayer.job.entry_models import PieceTable
from platelayer.job.field_types import Said, Span
from platelayer.job.job_models import JobFile
from platelayer.job.layout_models import FloorFile
from platelayer.job.near_names import did_you_mean
from platelayer.job.own_files import BitsFile, WoodsFile
from platelayer.job.profile_models import ProfileFile
from platelayer.job.reading import model_in
from platelayer.job.record_keys import RECORD
from platelayer.units import show_angle, show_length
from platelayer.values.key_words import Bound, FileWords, KeyWords, TableWords, ValueKind


def key_files() -> tuple[FileWords, ...]:
    """Every kind of file that a person may write, each with its tables and keys in the order of the file."""
    return (
        FileWords(
            name="job",
            place="job.toml, under any name",
            summary="What is to be made. platelayer new writes one to begin with.",
            tables=tuple(_tables(JobFile)),
        ),
        FileWords(
            name="machine profile",
            place='NAME.toml in a folder that profiles = "FOLDER" under [job] names',
            summary="What one machine can do. platelayer machines says where the shipped ones lie.",
            tables=tuple(_tables(ProfileFile, name="profile")),
        ),
        FileWords(
            name="bits file",
            place='bits.toml, or what bits = "FILE" under [job] names',
            summary="The bits you own, each in a [[bit]] as in a job. platelayer new --bits writes one to fill in.",
            tables=tuple(_tables(BitsFile, name="own-bits"))[:1],
        ),
        FileWords(
            name="woods file",
            place='woods.toml, or what woods = "FILE" under [job] names',
            summary="Woods of your own. platelayer new --woods writes one to fill in.",
            tables=tuple(_tables(WoodsFile)),
        ),
        FileWords(
            name="shop file",
            place='shop.toml, or what shop = "FILE" under [job] names',
            summary="What bits, woods and machines really do. platelayer fit read adds to it.",
            tables=(TableWords(name="record", heads=("[[record]]",), summary=_RECORD, keys=_limited(RECORD)),),
        ),
        FileWords(
            name="floor",
            place="floor.toml, under any name",
            summary="What is owned and how it lies on the floor. platelayer floor new writes one to begin with.",
            tables=tuple(_tables(FloorFile)),
        ),
        FileWords(
            name="bought set",
            place="bought.toml, under any name",
            summary="Sizes of a bought set by caliper. platelayer fit bought --new writes one to fill in.",
            tables=(TableWords(name="bought", heads=(), summary=_BOUGHT, keys=_limited(_bought_keys())),),
        ),
    )


_RECORD: Final = "One fit card as read: what a bit did in a wood on a machine."
_BOUGHT: Final = "One list for each size, a reading for each piece measured; the first six make the joint."


def _bought_keys() -> list[KeyWords]:
    return [
        KeyWords(
            name=size.value,
            kind=ValueKind.LENGTHS,
            meaning=f"{LETTERS[size]} in the drawing: {WORDS[size]}.",
            unsaid="not measured",
            example="[8.1, 8.15, 8.1]",
            least=Bound(0, is_in=False),
        )
        for size in BoughtSize
    ]


def _tables(kind: type[BaseModel], *, name: str = "", prefix: str = "", is_array: bool = False) -> Iterator[TableWords]:
    """The table of a model, where it has keys of its own, and those within it; tables of one model are told once."""
    keys = [_key(at, field) for at, field in kind.model_fields.items() if _is_told(kind, at)]
    if keys:
        heads = (f"[[{prefix}]]" if is_array else f"[{prefix}]",) if prefix else ()
        yield _table(kind, name or prefix, heads, keys)
    inner = {at: found for at, field in kind.model_fields.items() if (found := model_in(field.annotation))}
    for model in dict.fromkeys(inner.values()):
        names = [at for at, one in inner.items() if one is model]
        alike = [f"{prefix}.{at}" if prefix else at for at in names]
        is_list = get_origin(kind.model_fields[names[0]].annotation) is list
        first, *others = _tables(model, prefix=alike[0], is_array=is_list)
        yield replace(first, heads=(*first.heads, *(f"[{one}]" for one in alike[1:])))
        yield from others


def _is_told(kind: type[BaseModel], at: str) -> bool:
    """The field is a key, and none that a table has from another one, which tells it."""
    field = kind.model_fields[at]
    lent = PieceTable.model_fields.get(at) if kind is not PieceTable and issubclass(kind, PieceTable) else None
    return model_in(field.annotation) is None and (lent is None or lent.description != field.description)


def _table(kind: type[BaseModel], name: str, heads: tuple[str, ...], keys: Sequence[KeyWords]) -> TableWords:
    said = " ".join((kind.__doc__ or "").split())
    summary = re.sub(r"^``\S+``: ", "", said).replace("``", "")
    return TableWords(name=name, heads=heads, summary=summary[:1].upper() + summary[1:], keys=_limited(keys))


def _key(name: str, field: FieldInfo) -> KeyWords:
    said, span = _said(field), _span(field)
    extra = Said() if said is None else said
    kind = span.kind
    origin = next((one for one in _within(field.annotation) if get_origin(one) in (list, tuple)), None)
    if origin is not None and kind is ValueKind.TEXT:
        kind = ValueKind.TEXTS
    elif origin is not None and kind is ValueKind.LENGTH:
        is_list = get_origin(origin) is list
        is_nested = any(get_origin(one) is tuple for one in get_args(origin))
        kind = (ValueKind.CORNERS if is_nested else ValueKind.LENGTHS) if is_list else ValueKind.PLACE
    return KeyWords(
        name=name,
        kind=kind,
        meaning=field.description or "",
        unsaid=extra.unsaid or _default(field, kind),
        example=str(field.examples[0]) if field.examples else "",
        choices=tuple(dict.fromkeys(_choices(field.annotation))),
        rule="; ".join(one for one in (span.rule, extra.rule) if one),
        least=extra.least or span.least,
        most=extra.most or span.most,
    )


def _said(field: FieldInfo) -> Said | None:
    extra: Any = field.json_schema_extra
    found = extra.get("said") if isinstance(extra, dict) else None
    return found if isinstance(found, Said) else None


def _within(annotation: object) -> Iterator[object]:
    """The annotation and all that it is made of."""
    yield annotation
    for part in get_args(annotation):
        yield from _within(part)


def _span(field: FieldInfo) -> Span:
    """What the key's type takes; the last said counts, as it is the narrower one."""
    spans = [one for one in field.metadata if isinstance(one, Span)]
    for part in _within(field.annotation):
        if get_origin(part) is Annotated:
            spans += [one for one in part.__metadata__ if isinstance(one, Span)]  # type: ignore[attr-defined]
            break
    return spans[-1] if spans else Span(ValueKind.CHOICE)


def _choices(annotation: object) -> Iterator[str]:
    for part in _within(annotation):
        if isinstance(part, type) and issubclass(part, StrEnum):
            yield from (one.value for one in part)
        elif get_origin(part) is Literal:
            yield from (str(one) for one in get_args(part) if one != "")


def _default(field: FieldInfo, kind: ValueKind) -> str:
    """The default in words; a length is a mark."""
    value: Any = field.get_default()
    if isinstance(value, bool):
        return str(value).lower()
    if kind is ValueKind.ANGLE:
        return show_angle(value)
    return show_length(value) if kind is ValueKind.LENGTH else shown_number(value)


def shown_number(value: object) -> str:
    """A number without trailing noughts, anything else as it is."""
    return f"{value:g}" if isinstance(value, float) else str(value)


def _limited(keys: Sequence[KeyWords]) -> tuple[KeyWords, ...]:
    return tuple(_with_limits(one) for one in keys)


def _with_limits(one: KeyWords) -> KeyWords:
    """The key with its least, most and rule as one sentence."""
    words = []
    if one.least is not None:
        words.append(f"{'at least' if one.least.is_in else 'more than'} {_bound_words(one.least, one.kind)}")
    if one.most is not None:
        words.append(f"{'at most' if one.most.is_in else 'less than'} {_bound_words(one.most, one.kind)}")
    limits = "; ".join(part for part in (", ".join(words), one.rule) if part)
    return replace(one, limits=limits)


def _bound_words(bound: Bound, kind: ValueKind) -> str:
    if not bound.value:
        return "0"
    if kind is ValueKind.ANGLE:
        return show_angle(bound.value)
    if kind is ValueKind.FORCE:
        return f"{bound.value:g} N"
    if kind not in (ValueKind.LENGTH, ValueKind.LENGTHS, ValueKind.PLACE, ValueKind.CORNERS):
        return shown_number(bound.value)
    return show_length(bound.value) if abs(bound.value) < _METRE_MM else f"{bound.value / _METRE_MM:g} m"


_METRE_MM: Final = 1000


def keys_named(files: Sequence[FileWords], wanted: str) -> tuple[FileWords, ...]:
    """The files with what goes by a name: a table with all within it, one key of a table, or a key wherever it stands.

    A table is named with or without brackets, as in ``track`` or ``[[board.no_go]]``; ``track.width`` is a key.

    Raises:
        JobError: no table and no key goes by that name; with the nearest that does.
    """
    name = ".".join(re.split(r"[\s.]+", wanted.translate(_NO_BRACKETS).strip()))
    table, _, key = name.rpartition(".")
    for is_meant, one_key in (
        (lambda one: _goes_by(one, name), ""),
        (lambda one: _goes_by(one, table), key),
        (lambda _: not table, key),
    ):
        if name and (found := _kept(files, is_meant, one_key)):
            return found
    known = [one for file in files for table in file.tables for one in (table.name, *(key.name for key in table.keys))]
    fix = did_you_mean(name, sorted(set(known))) or "platelayer keys lists all tables."
    raise JobError(Fault(where="TABLE", found=wanted, problem="no table and no key is called that", fix=fix))


_NO_BRACKETS: Final = str.maketrans("[]", "  ")


def _goes_by(table: TableWords, name: str) -> bool:
    return f"{table.name}.".startswith(f"{name}.") or any(name == head.strip("[]") for head in table.heads)


def _kept(files: Sequence[FileWords], is_meant: Callable[[TableWords], bool], key: str) -> tuple[FileWords, ...]:
    """The files with the tables that are meant, and of these the one key where there is one."""
    kept = []
    for file in files:
        meant = [
            replace(table, keys=tuple(one for one in table.keys if key in ("", one.name)))
            for table in file.tables
            if is_meant(table)
        ]
        if found := tuple(table for table in meant if table.keys):
            kept.append(replace(file, tables=found))
    return tuple(kept)
