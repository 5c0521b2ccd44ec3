"""Edits put into a TOML text: remarks, order, and keys that nobody edits stay as they are."""

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Final

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AbstractTable, AoT, Array, Comment, Item, Null, Table, Trivia

from platelayer.errors import Fault, JobError

Path = tuple[str | int, ...]
_BOM: Final = "\ufeff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One value to be changed.

    Attributes:
        path: keys and indexes from the top, as in ``("piece", 2, "length")``; empty for the whole text.
        old: what the person saw there; None where nothing was written.
        new: what is to stand there; None takes the key or the entry out. A path one past the end of a list adds to it.
        beside: other keys of the same table as the person saw them, so that an entry that moved is not mistaken.
    """

    path: Path
    old: object = None
    new: object = None
    beside: Mapping[str, object] = field(default_factory=dict)


class Conflict(JobError):
    """What stands on disk is not what the person saw. Nothing was written."""

    edit = Edit(path=())
    found: object = None

    @classmethod
    def at(cls, fault: Fault, edit: Edit, found: object) -> "Conflict":
        """The conflict of an edit with what was found in its place."""
        conflict = cls(fault)
        conflict.edit, conflict.found = edit, found
        return conflict


def edited(text: str, edits: Sequence[Edit], *, file: str = "") -> str:
    """The text with every edit in it, in their order.

    Raises:
        Conflict: a value is not what the person saw.
        JobError: the text is no TOML, or has no such place.
    """
    for edit in edits:
        text = _with_edit(text, edit, file)
    return text


def _with_edit(text: str, edit: Edit, file: str) -> str:
    if not edit.path:
        _check(edit, text, edit.old, file)
        return str(edit.new)
    bare = text.removeprefix(_BOM)
    try:
        data, document = tomllib.loads(bare), tomlkit.parse(bare)
    except (tomllib.TOMLDecodeError, TOMLKitError, RecursionError) as error:
        problem = f"not TOML, so that no single value can be changed: {error}"
        raise JobError(Fault(where="", file=file, problem=problem, fix="Mend the text first.")) from error
    found = _at(data, edit.path)
    table = _at(data, edit.path[:-1])
    for key, seen in edit.beside.items():
        _check(edit, table.get(key) if isinstance(table, Mapping) else None, seen, file)
    if same(found, edit.new):
        return text  # somebody wrote the same meanwhile, or this very edit came twice
    _check(edit, found, edit.old, file)
    _put(document, edit.path, edit.new)
    _put(data, edit.path, edit.new)
    after = text[: len(text) - len(bare)] + _with_line_ends(tomlkit.dumps(document), bare)
    if not same(_loaded(after.removeprefix(_BOM)), data):
        problem = "is written in a way that only a text editor can change"
        raise JobError(Fault(where=words_of(edit.path), file=file, problem=problem, fix="Change it in the file."))
    return after


def _check(edit: Edit, found: object, seen: object, file: str) -> None:
    """Nothing, where the value is the one that the person saw.

    Raises:
        Conflict: it is another.
    """
    if not same(found, seen):
        problem = f"was changed meanwhile; it was {shown(edit.old)} when you saw it, and you want {shown(edit.new)}"
        fault = Fault(where=words_of(edit.path), file=file, found=shown(found), problem=problem)
        raise Conflict.at(fault, edit, found)


def same(one: object, other: object) -> bool:
    """Two TOML values are alike: a whole number is itself with or without a point, and no number is a truth value."""
    return _plain(one) == _plain(other)


def _plain(value: object) -> str:
    def bare(part: object) -> object:
        match part:
            case float() if part.is_integer():
                return int(part)
            case dict():
                return {key: bare(inner) for key, inner in part.items() if inner is not None}
            case list() | tuple():
                return [bare(inner) for inner in part]
        return part

    return json.dumps(bare(value), sort_keys=True, default=str)


def _loaded(text: str) -> object:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return None


def _at(data: object, path: Path) -> object:
    for part in path:
        if isinstance(data, Mapping):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and 0 <= part < len(data):
            data = data[part]
        else:
            return None
    return data


def _put(data: object, path: Path, value: object) -> None:
    """The value put in its place, tables made on the way; in a tomlkit document or in plain data.

    Raises:
        JobError: a place that no table or list leads to.
    """
    is_plain = not isinstance(data, tomlkit.TOMLDocument)
    for part, after in pairwise(path):
        if isinstance(data, list):
            data = data[part] if isinstance(part, int) and 0 <= part < len(data) else None
        elif isinstance(data, dict):
            if part not in data:
                ways = ([], {}) if is_plain else (tomlkit.aot(), tomlkit.table())
                data[part] = ways[0] if isinstance(after, int) else ways[1]
            data = data[part]
    last = path[-1]
    if isinstance(data, list) and isinstance(last, int) and 0 <= last <= len(data):
        _put_in_list(data, last, value)
    elif isinstance(data, dict) and isinstance(last, str):
        _put_at_key(data, last, value)
    else:
        raise JobError(Fault(where=words_of(path), problem="no such place in the file"))


def _put_in_list(data: list[Any], index: int, value: object) -> None:
    if value is None:
        del data[index : index + 1]
    elif index < len(data):
        data[index] = value
    elif isinstance(data, AoT):
        table = tomlkit.item(value)
        table.trivia.indent = "\n"
        data.append(table)
    else:
        data.append(value)


def _put_at_key(data: dict[str, Any], key: str, value: object) -> None:
    """A key that goes leaves its remark where it stood."""
    if value is not None:
        data[key] = _inline(value) if isinstance(data.get(key), Array) and isinstance(value, list) else value
        return
    item = data.pop(key, None)
    body = data.value.body if isinstance(data, Table) else data.body if isinstance(data, Container) else []
    if isinstance(item, Item) and not isinstance(item, AbstractTable | AoT) and item.trivia.comment:
        gone = next(index for index, (name, left) in enumerate(body) if name is None and isinstance(left, Null))
        body[gone] = (None, Comment(Trivia(indent=item.trivia.indent, comment=item.trivia.comment)))


def _inline(values: list[Any]) -> Array:
    """The values in brackets, tables among them in braces, as the list stood that they take the place of."""
    array = tomlkit.array()
    for one in values:
        if isinstance(one, dict):
            table = tomlkit.inline_table()
            table.update(one)
            array.append(table)
        else:
            array.append(one)
    return array.multiline(any(isinstance(one, dict) for one in values))


def _with_line_ends(text: str, like: str) -> str:
    """The text with the line ends of another: a line that was added ends as all the others do."""
    return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in like else text


def words_of(path: Path) -> str:
    """A path as faults name it: ``[track] width``, ``[[piece]] 3 length``; entries by their number from 1."""
    if not path:
        return ""
    table, *rest = path
    has_entries = any(isinstance(part, int) for part in rest[:1])
    head = f"[[{table}]]" if has_entries else f"[{table}]" if rest else str(table)
    return " ".join([head, *(str(part + 1) if isinstance(part, int) else part for part in rest)])


def shown(value: object) -> str:
    """A value as a person reads it, no longer than a line."""
    text = "nothing" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}..."


_MOST_SHOWN: Final = 80
