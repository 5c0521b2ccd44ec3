"""Places of a TOML text in words, and the lines they stand on.

Glossary:
    where: a path in words, as faults carry it: ``[joint] mouth_width``, ``[[piece]] long length``.
"""

import re
import tomllib
from collections.abc import Mapping
from typing import Final

from platelayer.job.key_lines import Path, key_lines
from platelayer.job.names import entry_labels, entry_names


def where_of(path: Path, data: Mapping[str, object]) -> str:
    """The path in the words a fault uses: ``[joint] mouth_width``, ``[[piece]] long length``, ``[axis.x] travel``.

    An element of an array of tables goes by its name or id where no other has the same, else by its number from 1.
    """
    table: list[str] = []
    rest: list[str] = []
    here: object = data
    is_array = False
    for step, part in enumerate(path):
        inner = inside(here, part)
        if isinstance(part, int):
            is_array = is_array or not rest
            rest.append(entry_labels(str(path[step - 1]), here if isinstance(here, list) else [])[part])
        elif not rest and (isinstance(inner, Mapping) or is_tables(inner) or (step == 0 and len(path) > 1)):
            table.append(part)
        else:
            rest.append(part)
        here = inner
    shown = ".".join(table)
    head = f"[[{shown}]]" if is_array or (table and is_tables(here)) else f"[{shown}]"
    return " ".join([head, *rest] if table else rest)


def inside(here: object, part: str | int) -> object:
    """The value under a key of a table or an index of an array; None when there is none."""
    if isinstance(here, Mapping):
        return here.get(part)
    if isinstance(here, list) and isinstance(part, int) and 0 <= part < len(here):
        return here[part]
    return None


def is_tables(value: object) -> bool:
    """The value is an array of tables, not empty."""
    return isinstance(value, list) and bool(value) and all(isinstance(entry, Mapping) for entry in value)


_WHERE: Final = re.compile(r"\s*\[{1,2}([^\]]+)\]{1,2}\s*(.*)$")
_PIECE_NUMBER: Final = re.compile(r"-\d+$")


def locate(text: str, where: str) -> int:
    """The line of the place that a fault names; of the nearest thing round it when the key is not written; else 0.

    Args:
        text: the TOML text; one that does not parse has no places.
        where: ``[joint] mouth_width``, ``[[piece]] long length``, ``[[piece]] long.length``,
            ``[[piece]] long-03`` or a bare key.
    """
    try:
        data = tomllib.loads(text.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError):
        return 0
    lines = key_lines(text)
    path: Path = ()
    best = 0
    for part in path_of(where, data):
        path = (*path, part)
        if path not in lines:
            break
        best = lines[path]
    return best


def path_of(where: str, data: Mapping[str, object]) -> Path:
    """The path of the place that a fault names, as far as it leads; its last key need not be written."""
    match = _WHERE.match(where)
    words = match[2].split() if match else where.split()
    path: list[str | int] = list(match[1].split(".")) if match else []
    here: object = data
    for part in path:
        here = inside(here, part)
    while words:
        word = words.pop(0)
        steps = _steps(str(path[-1]), here, word) if isinstance(here, list) else (word,)
        if (
            steps is None and isinstance(here, list) and len(here) == 1
        ):  # "[[board]] thickness" where there is one board
            steps = (0, word)
        if steps is None:
            break
        for step in steps:
            path.append(step)
            here = inside(here, step)
    return tuple(path)


def _steps(table: str, entries: list[object], word: str) -> Path | None:
    """Index of the entry that a word names, and the key when the word is ``NAME.key``; None when it names no entry."""
    index = _element(table, entries, word)
    if index is not None:
        return (index,)
    name, _, key = word.rpartition(".")
    index = _element(table, entries, name)
    return None if index is None else (index, key)


def _element(table: str, entries: list[object], word: str) -> int | None:
    names = entry_names(table, entries)
    for wanted in (word, _PIECE_NUMBER.sub("", word)):
        for index, called in enumerate(names):
            if wanted in called:
                return index
    return int(word) - 1 if word.isdigit() and 0 < int(word) <= len(entries) else None
