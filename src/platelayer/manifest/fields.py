"""One object of a JSON text, asked for its keys one by one; what is wrong is noted with the key's path.

Every question returns a value of the right type even when it notes a fault, so that all faults of a text are found
in one reading; whoever asks must refuse the whole when any was noted.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from platelayer.errors import Fault

Number: TypeAlias = float
Numbers: TypeAlias = tuple[Number, ...]


@dataclass(frozen=True, slots=True)
class Fields:
    """The object ``data`` at ``path``; ``faults`` is the list that all objects of one text share."""

    data: Any
    path: str
    faults: list[Fault]

    def _at(self, key: str) -> str:
        return f"{self.path}.{key}" if self.path and key else self.path or key

    def fault(self, key: str, problem: str, found: object = None) -> None:
        """Note that something is wrong at the key."""
        shown = "" if found is None else repr(found)[:40]
        self.faults.append(Fault(where=self._at(key), found=shown, problem=problem))

    def _get(self, key: str) -> object:
        if not isinstance(self.data, dict):
            problem = "is an object in braces"
            if not any(fault.where == self.path and fault.problem == problem for fault in self.faults):
                self.fault("", problem, self.data)
            return None
        if key not in self.data:
            self.fault(key, "is missing")
            return None
        return self.data[key]

    def has(self, key: str) -> bool:
        """The key stands in the object."""
        return isinstance(self.data, dict) and key in self.data

    def is_null(self, key: str) -> bool:
        """The key is null or does not stand in the object."""
        return not self.has(key) or self.data[key] is None

    def number(
        self, key: str, default: Number | None = None, *, low: Number | None = None, above: Number | None = None
    ) -> float:
        """The number at the key, or the default when one is given and the key is not there."""
        if default is not None and not self.has(key):
            return default
        value = self._get(key)
        if value is None and not self.has(key):
            return 1.0
        return self._number(key, value, low=low, above=above)

    def _number(self, key: str, value: object, *, low: Number | None = None, above: Number | None = None) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self.fault(key, "is a number", value)
        elif low is not None and value < low:
            self.fault(key, f"is at least {low:g}", value)
        elif above is not None and value <= above:
            self.fault(key, f"is more than {above:g}", value)
        else:
            return float(value)
        return 1.0

    def numbers(self, key: str, count: int, default: Numbers | None = None, *, low: Number | None = None) -> Numbers:
        """So many numbers at the key, or the default when one is given and the key is not there."""
        if default is not None and not self.has(key):
            return default
        value = self._get(key)
        if value is None and not self.has(key):
            return (1.0,) * count
        return self.numbers_at(key, value, count, low=low)

    def numbers_at(self, key: str, value: object, count: int, *, low: Number | None = None) -> Numbers:
        """So many numbers in a value already taken out; the key only names the place."""
        if not isinstance(value, list) or len(value) != count:
            self.fault(key, f"is a list of {count} numbers", value)
            return (1.0,) * count
        return tuple(self._number(f"{key}[{index}]", item, low=low) for index, item in enumerate(value))

    def text(self, key: str, default: str | None = None) -> str:
        """The string at the key."""
        if default is not None and not self.has(key):
            return default
        value = self._get(key)
        if isinstance(value, str):
            return value
        if self.has(key):
            self.fault(key, "is a string", value)
        return ""

    def texts(self, key: str) -> tuple[str, ...]:
        """The strings in the list at the key."""
        items = self.items(key)
        if not all(isinstance(item, str) for item in items):
            self.fault(key, "is a list of strings", items)
            return ()
        return tuple(items)

    def choice(self, key: str, choices: Sequence[str], default: str | None = None) -> str:
        """One of the strings at the key."""
        value = self.text(key, default)
        if value in choices:
            return value
        if self.has(key) and isinstance(self.data[key], str):
            self.fault(key, f"is one of {', '.join(choice for choice in choices if choice)}", value)
        return choices[0]

    def truth(self, key: str, *, default: bool) -> bool:
        """True or false at the key."""
        value = self.data[key] if self.has(key) else default
        if not isinstance(value, bool):
            self.fault(key, "is true or false", value)
            return default
        return value

    def items(self, key: str, *, optional: bool = False) -> list[Any]:
        """The list at the key."""
        if optional and not self.has(key):
            return []
        value = self._get(key)
        if isinstance(value, list):
            return value
        if self.has(key):
            self.fault(key, "is a list", value)
        return []

    def inside(self, key: str) -> "Fields":
        """The object at the key."""
        value = self._get(key)
        return Fields({} if value is None and not self.has(key) else value, self._at(key), self.faults)

    def objects(self, key: str, *, optional: bool = False) -> Iterator["Fields"]:
        """The objects in the list at the key; none when it is not there and need not be."""
        for index, item in enumerate(self.items(key, optional=optional)):
            yield Fields(item, self._at(f"{key}[{index}]"), self.faults)

    def table(self, key: str) -> tuple[tuple[str, float], ...]:
        """Names and numbers of the object at the key, in its order; none when it is not there."""
        if not self.has(key):
            return ()
        inner = self.inside(key)
        if not isinstance(inner.data, dict):
            self.fault(key, "is an object in braces", inner.data)
            return ()
        return tuple((name, inner.number(name)) for name in inner.data)

    def dial(self, key: str) -> tuple[tuple[str, float], ...]:
        """Pairs of a dial's mark and its speed."""
        pairs: list[tuple[str, float]] = []
        for index, item in enumerate(self.items(key, optional=True)):
            if isinstance(item, list) and len(item) == 2 and isinstance(item[0], str):
                pairs.append((item[0], self._number(f"{key}[{index}][1]", item[1], low=0)))
            else:
                self.fault(f"{key}[{index}]", "is a pair of a mark and a speed", item)
        return tuple(pairs)
