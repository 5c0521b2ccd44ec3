"""The reference of keys for a terminal: lines whose lengths are marks."""

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final

from platelayer.values.key_words import NEEDED, FileWords, KeyWords, TableWords, ValueKind

_WIDE: Final = 100


def table_lines(files: Sequence[FileWords]) -> Iterator[str]:
    """Every table of every file with what it is for, a line each."""
    widest = max(len(heads_words(table)) for file in files for table in file.tables)
    for file in files:
        yield f"{file.name}: {file.place}"
        for table in file.tables:
            yield f"  {heads_words(table).ljust(widest)}  {table.summary.split('. ')[0].rstrip('.')}"
        yield ""
    yield "platelayer keys TABLE, or a key's name, tells each key: meaning, limits, example."


def key_lines(files: Sequence[FileWords]) -> Iterator[str]:
    """Every key of the tables given, with an example, meaning, what it takes and what holds without it."""
    for file in files:
        for table in file.tables:
            yield from textwrap.wrap(f"{heads_words(table)} in a {file.name}: {table.summary}", _WIDE)
            for key in table.keys:
                yield ""
                yield f"  {key.name} = {key.example}"
                yield from textwrap.wrap(key.meaning, _WIDE, initial_indent="      ", subsequent_indent="      ")
                yield f"      {takes_words(key)}"
                yield f"      {unsaid_words(key)}"
            yield ""


def heads_words(table: TableWords) -> str:
    """How a table begins: its heads, or words for keys that stand before any table."""
    return " ".join(table.heads) or "before any table"


def takes_words(key: KeyWords) -> str:
    """Kind of value and limits: ``Length; more than 0, at most 3.000 mm``."""
    kind = f"{key.kind} {', '.join(key.choices)}" if key.kind is ValueKind.CHOICE else str(key.kind)
    return "; ".join(part for part in (kind[:1].upper() + kind[1:], key.limits) if part)


def unsaid_words(key: KeyWords) -> str:
    """What holds where the key is left out, or that it must be written."""
    is_needed = key.unsaid.startswith(NEEDED)
    return key.unsaid[:1].upper() + key.unsaid[1:] if is_needed else f"Left out: {key.unsaid}"
