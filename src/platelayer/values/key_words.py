"""What is said of the keys of a file that a person writes, so that a terminal and a page can tell the same.

Glossary:
    key: a name with a value in a table of a file. unsaid: what holds where a key is left out.
    bound: the least or the most that may stand at a key, whatever else the file says. rule: a limit that hangs on other
    keys, or on what is there, in words.
    example: what may stand behind the ``=`` of a key, as written.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

NEEDED: Final = "must be written"
"""What is unsaid of a key that a file cannot do without."""


class ValueKind(StrEnum):
    """What stands at a key, in the words a person reads."""

    LENGTH = "length"
    FEED = "feed, a length a minute"
    ACCELERATION = "acceleration, a length/s2"
    ANGLE = "angle in degrees"
    SECONDS = "seconds"
    DURATION = "time in min or h"
    SPEED = "rev/min"
    NUMBER = "number"
    FORCE = "force, in lbf or N"
    COUNT = "whole number"
    FLAG = "true or false"
    TEXT = "text"
    CHOICE = "one of"
    DAY = "day"
    LENGTHS = "list of lengths"
    TEXTS = "list of texts"
    PLACE = "place, in brackets"
    STANDING = "[x, y, degrees], or the name of an end"
    ENDS = "ends by name, in braces"
    CORNERS = "list of corners, each [x, y]"


@dataclass(frozen=True, slots=True)
class Bound:
    """An end of what may stand at a key, in mm, mm/min, mm/s2, N, radians or as it is; whether it may itself."""

    value: int | float
    is_in: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyWords:
    """One key. Lengths in ``unsaid`` and ``limits`` are marks, to be worded."""

    name: str
    kind: ValueKind
    meaning: str
    unsaid: str
    example: str
    choices: tuple[str, ...] = ()
    rule: str = ""
    least: Bound | None = None
    most: Bound | None = None
    limits: str = ""

    @property
    def is_needed(self) -> bool:
        """The file cannot do without it."""
        return self.unsaid == NEEDED


@dataclass(frozen=True, slots=True, kw_only=True)
class TableWords:
    """One table: its head as a file writes it, empty for keys before any table; several heads where they are alike."""

    name: str
    heads: tuple[str, ...]
    summary: str
    keys: tuple[KeyWords, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FileWords:
    """One kind of file: what it is called, where it lies, what it is for, and its tables in order."""

    name: str
    place: str
    summary: str
    tables: tuple[TableWords, ...]
