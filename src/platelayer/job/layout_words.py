"""Pieces of a stretch as a person types them, and the names of ends.

Glossary:
    entry: one text of the list, such as ``3 bend left`` or ``points toe branch as yard``.

An entry is a count, the name of what is owned, and any of: ``left`` or ``right``, ``turned``, the end it is left by or
the two ends it is entered and left by, and ``as`` with a name of its own.
"""

import re
from collections.abc import Mapping
from typing import Final

from platelayer.errors import Fault
from platelayer.job.near_names import fix_for
from platelayer.values.layout import Asked, EndName, Stock

HANDS: Final = ("left", "right")
_COUNT: Final = re.compile(r"(\d{1,4})\s*[x×]?$", re.IGNORECASE)
_MOST: Final = 500


def asked_of(text: str, number: int, *, stock: Mapping[str, Stock], where: str, faults: list[Fault]) -> list[Asked]:
    """The pieces that one entry asks for; none, and a fault more, where it cannot be understood."""
    words = text.split()
    count = 1
    if words and (match := _COUNT.match(words[0])):
        count, words = int(match[1]), words[1:]
    if words and words[0].lower() in ("x", "×"):
        words = words[1:]
    if not words or not 1 <= count <= _MOST:
        fix = 'Write a count and the name of what is owned, as in "3 bend left".'
        faults.append(Fault(where=where, found=text or '""', problem="names no piece", fix=fix))
        return []
    if words[0] not in stock:
        faults.append(Fault(where=where, found=words[0], problem="not owned", fix=fix_for(words[0], stock)))
        return []
    found = _with_words(stock[words[0]], words[1:], text=text, where=where, faults=faults)
    if found is None:
        return []
    hand, is_turned, (entry, leaves_by), called = found
    if called and count > 1:
        problem = "gives one name to several pieces"
        faults.append(Fault(where=where, found=text, problem=problem, fix="Write the named one by itself."))
        return []
    one = Asked(
        stock=words[0],
        entry=entry,
        leaves_by=leaves_by,
        hand=hand,
        is_turned=is_turned,
        called=called,
        number=number,
    )
    return [one] * count


def _with_words(
    stock: Stock, words: list[str], *, text: str, where: str, faults: list[Fault]
) -> tuple[str, bool, tuple[str, str], str] | None:
    called = ""
    if "as" in words:
        at = words.index("as")
        called = words[at + 1] if at + 1 < len(words) else ""
        rest = words[at + 2 :]
        if not called or rest or "." in called:
            fix = "Write one word after as, without a point, at the end."
            faults.append(Fault(where=where, found=text, problem="as wants a name", fix=fix))
            return None
        words = words[:at]
    names = [end.name for end in stock.ends]
    hands = [word for word in words if word in HANDS and word not in names]
    ends = [word for word in words if word in names]
    strange = [word for word in words if word not in (*hands, *ends, "turned")]
    if strange:
        known = [*names, *HANDS, "turned", "as"]
        problem = f"{stock.name} has no end of that name"
        faults.append(Fault(where=where, found=strange[0], problem=problem, fix=fix_for(strange[0], known)))
        return None
    if len(hands) > 1 or len(ends) > 2 or len(set(ends)) < len(ends):
        fix = "Write one hand, and the end it is left by, or the two it is entered and left by."
        faults.append(Fault(where=where, found=text, problem="says too much", fix=fix))
        return None
    way = ("", "", *ends)[-2:]
    return "".join(hands), "turned" in words, (way[0], way[1]), called


def end_name(text: str) -> EndName | None:
    """``points.branch`` taken apart; None for a text without a point between two names."""
    of, _, end = text.rpartition(".")
    return EndName(of, end) if of and end else None
