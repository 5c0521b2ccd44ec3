"""Where in a TOML text each key stands, so that a fault can name its line.

tomllib gives values without places; this walks the same text once more and keeps the lines. It trusts tomllib to have
accepted the text, so it checks nothing.

Glossary:
    path: the way to a value from the top, keys and indexes: ``("piece", 2, "length")``.
    where: the same in words, as faults carry it: ``[[piece]] long length``.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from platelayer.job.names import entry_names

Path = tuple[str | int, ...]

_TOKEN: Final = re.compile(
    r"""(?P<skip>[ \t]+|\#[^\n]*)
    |(?P<newline>\r?\n)
    |(?P<string>\"\"\"(?:\\.|[^\\])*?\"{3,5}|'''.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<mark>[\[\]{}=,.])
    |(?P<bare>[^\s\[\]{}=,.#"']+)""",
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    line: int


@dataclass(slots=True)
class _Walk:
    """Tokens, how far the walk has come, and what it has seen."""

    tokens: list[_Token]
    at: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    counts: dict[Path, int] = field(default_factory=dict)

    def see(self, path: Path, line: int) -> None:
        self.lines.setdefault(path, line)

    def peek(self) -> str:
        token = self.tokens[self.at]
        return token.text if token.kind == "mark" else token.kind

    def take(self) -> _Token:
        token = self.tokens[self.at]
        self.at += 1
        return token

    def skip_newlines(self) -> None:
        while self.peek() == "newline":
            self.at += 1


def key_lines(text: str) -> dict[Path, int]:
    """Line, from 1, of every table, key and array element of a TOML text that tomllib accepts."""
    walk = _Walk([*_tokens(text), _Token("end", "", 0)])
    base: Path = ()
    while walk.peek() != "end":
        if walk.peek() == "newline":
            walk.take()
        elif walk.peek() == "[":
            base = _header(walk)
        else:
            _entry(walk, base)
    return walk.lines


def _tokens(text: str) -> Iterator[_Token]:
    line = 1
    for match in _TOKEN.finditer(text):
        if match.lastgroup != "skip" and match.lastgroup is not None:
            yield _Token(match.lastgroup, match[0], line)
        line += match[0].count("\n")


def _header(walk: _Walk) -> Path:
    line = walk.take().line
    is_array = walk.peek() == "["
    if is_array:
        walk.take()
    keys = _keys(walk)
    for _ in range(1 + is_array):
        walk.take()
    path: Path = ()
    for key in keys[:-1]:
        path = _into(walk, (*path, key))
        walk.see(path, line)
    path = (*path, keys[-1])
    walk.see(path, line)
    if not is_array:
        return _into(walk, path)
    walk.counts[path] = walk.counts.get(path, 0) + 1
    path = _into(walk, path)
    walk.see(path, line)
    return path


def _into(walk: _Walk, path: Path) -> Path:
    """The path itself, or its last element so far when it is an array of tables."""
    return (*path, walk.counts[path] - 1) if path in walk.counts else path


def _keys(walk: _Walk) -> list[str]:
    keys = [_key(walk.take())]
    while walk.peek() == ".":
        walk.take()
        keys.append(_key(walk.take()))
    return keys


def _key(token: _Token) -> str:
    if token.kind != "string":
        return token.text
    return next(iter(tomllib.loads(f"{token.text} = 0")))


def _entry(walk: _Walk, base: Path) -> None:
    line = walk.tokens[walk.at].line
    path = base
    for key in _keys(walk):
        path = (*path, key)
        walk.see(path, line)
    walk.take()
    _value(walk, path)


def _value(walk: _Walk, path: Path) -> None:
    opener = walk.peek()
    if opener == "[":
        _array(walk, path)
    elif opener == "{":
        _inline_table(walk, path)
    elif opener == "string":
        walk.take()
    else:
        while walk.peek() in ("bare", "."):
            walk.take()


def _array(walk: _Walk, path: Path) -> None:
    walk.take()
    index = 0
    while True:
        walk.skip_newlines()
        if walk.peek() == "]":
            break
        walk.see((*path, index), walk.tokens[walk.at].line)
        _value(walk, (*path, index))
        index += 1
        walk.skip_newlines()
        if walk.peek() == ",":
            walk.take()
    walk.take()


def _inline_table(walk: _Walk, path: Path) -> None:
    walk.take()
    while walk.peek() != "}":
        if walk.peek() in (",", "newline"):
            walk.take()
        else:
            _entry(walk, path)
    walk.take()


def where_of(path: Path, data: Mapping[str, Any]) -> str:
    """The path in the words a fault uses: ``[joint] mouth_width``, ``[[piece]] long length``, ``[axis.x] travel``.

    An element of an array of tables goes by its name or id, else by its number from 1.
    """
    table: list[str] = []
    rest: list[str] = []
    here: Any = data
    is_array = False
    for step, part in enumerate(path):
        inner = _inside(here, part)
        if isinstance(part, int):
            is_array = is_array or not rest
            rest.append(entry_names(table[0] if table else "", here)[part][0])
        elif not rest and (isinstance(inner, Mapping) or _is_tables(inner) or (step == 0 and len(path) > 1)):
            table.append(part)
        else:
            rest.append(part)
        here = inner
    shown = ".".join(table)
    head = f"[[{shown}]]" if is_array or (table and _is_tables(here)) else f"[{shown}]"
    return " ".join([head, *rest] if table else rest)


def _inside(here: Any, part: str | int) -> Any:
    try:
        return here[part]
    except (KeyError, IndexError, TypeError):
        return None


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(entry, Mapping) for entry in value)


_WHERE: Final = re.compile(r"\s*\[{1,2}([^\]]+)\]{1,2}\s*(.*)$")
_PIECE_NUMBER: Final = re.compile(r"-\d+$")


def locate(text: str, where: str) -> int:
    """The line of the place that a fault names; of the nearest thing round it when the key is not written; else 0.

    Args:
        text: the TOML text; one that does not parse has no places.
        where: ``[joint] mouth_width``, ``[[piece]] long length``, ``[[piece]] long-03`` or a bare key.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return 0
    lines = key_lines(text)
    path: Path = ()
    best = 0
    for part in _path_of(where, data):
        path = (*path, part)
        if path not in lines:
            break
        best = lines[path]
    return best


def _path_of(where: str, data: Mapping[str, Any]) -> Path:
    match = _WHERE.match(where)
    words = match[2].split() if match else where.split()
    path: list[str | int] = list(match[1].split(".")) if match else []
    here: Any = data
    for part in path:
        here = _inside(here, part)
    for word in words:
        step = _element(str(path[-1]), here, word) if isinstance(here, list) else word
        if step is None and len(here) == 1:  # "[[board]] thickness" of a job with one board
            path.append(0)
            here, step = here[0], word
        if step is None:
            break
        path.append(step)
        here = _inside(here, step)
    return tuple(path)


def _element(table: str, entries: list[Any], word: str) -> int | None:
    names = entry_names(table, entries)
    for wanted in (word, _PIECE_NUMBER.sub("", word)):
        for index, called in enumerate(names):
            if wanted in called:
                return index
    return int(word) - 1 if word.isdigit() and 0 < int(word) <= len(entries) else None
