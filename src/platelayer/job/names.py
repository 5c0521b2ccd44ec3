"""What boards and pieces are called when the person gave them no name.

Glossary:
    entry: one ``[[board]]`` or ``[[piece]]`` as written. One entry may stand for several boards or pieces.
"""

import itertools
import string
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from platelayer.pieces import CATALOGUE

_LETTERS: Final = string.ascii_uppercase
_MOST: Final = 1000
_USUAL_KIND: Final = CATALOGUE[0].name


def entry_names(table: str, entries: Sequence[object]) -> list[tuple[str, ...]]:
    """The names that each entry of an array of tables goes by, never empty; for boards one for each board.

    Boards without an id get letters in order, of those no other board has; a counted board with an id gets
    ``id-1``, ``id-2``. Pieces without a name go by their kind, with a letter from the second on. Other tables go by
    ``name`` or ``id`` where they have one, else by their number from 1. Entries may be anything a TOML array holds.
    """
    if table == "board":
        return _board_names(entries)
    if table == "piece":
        return _piece_names(entries)
    return [(_written(entry) or str(index + 1),) for index, entry in enumerate(entries)]


def entry_labels(table: str, entries: Sequence[object]) -> list[str]:
    """What messages call each entry: its first name where that is one word and its own, else its number."""
    names = entry_names(table, entries)
    return [
        called[0]
        if called[0].split() == [called[0]] and sum(called[0] in other for other in names) == 1
        else str(number)
        for number, called in enumerate(names, start=1)
    ]


def _written(entry: object) -> str:
    if isinstance(entry, Mapping):
        for key in ("name", "id"):
            if isinstance(entry.get(key), str) and entry[key]:
                return str(entry[key])
    return ""


def _count(entry: object) -> int:
    count = entry.get("count", 1) if isinstance(entry, Mapping) else 1
    return count if type(count) is int and 1 <= count <= _MOST else 1


def _board_names(entries: Sequence[object]) -> list[tuple[str, ...]]:
    taken = {_written(entry) for entry in entries}
    letters = (name for name in _letter_names() if name not in taken)
    names = []
    for entry in entries:
        count, written = _count(entry), _written(entry)
        if written:
            names.append((written,) if count == 1 else tuple(f"{written}-{n}" for n in range(1, count + 1)))
        else:
            names.append(tuple(next(letters) for _ in range(count)))
    return names


def _letter_names() -> Iterator[str]:
    """A to Z, AA to ZZ, and on without end."""
    for length in itertools.count(1):
        yield from ("".join(letters) for letters in itertools.product(_LETTERS, repeat=length))


def _piece_names(entries: Sequence[object]) -> list[tuple[str, ...]]:
    taken = {_written(entry) for entry in entries}
    names: list[tuple[str, ...]] = []
    for entry in entries:
        name = _written(entry)
        if not name:
            kind = entry.get("kind", _USUAL_KIND) if isinstance(entry, Mapping) else _USUAL_KIND
            name = next(name for name in _kind_names(str(kind)) if name not in taken)
            taken.add(name)
        names.append((name,))
    return names


def _kind_names(kind: str) -> Iterator[str]:
    """``straight``, ``straight-b``, ``straight-c`` and on without end."""
    yield kind
    yield from (f"{kind}-{letters.lower()}" for letters in itertools.islice(_letter_names(), 1, None))
