"""The line of every key of a TOML text.

tomllib gives values without places; this walks the same text once more and keeps the lines. It trusts tomllib to have
accepted the text, so it checks nothing.

Glossary:
    path: the way to a value from the top, keys and indexes: ``("piece", 2, "length")``.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

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
