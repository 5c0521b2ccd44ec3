"""The name a person most likely meant."""

import difflib
from collections.abc import Iterable
from typing import Final

_LIKENESS: Final = 0.6
_WORD_LIKENESS: Final = 0.75


def nearest(written: str, names: Iterable[str]) -> str:
    """The name most like the one written; empty when none is like it.

    Case and the choice between ``_``, ``-`` and a space count for nothing. Next comes the first name one of whose
    words is like the one written, then a name that holds the written word whole or is held by it.
    """
    plain = {_plain(name): name for name in reversed(list(names))}
    wanted = _plain(written)
    close = difflib.get_close_matches(wanted, list(plain), n=1, cutoff=_LIKENESS)
    if close:
        return plain[close[0]]
    words = [
        name for key, name in plain.items() if difflib.get_close_matches(wanted, key.split("-"), 1, _WORD_LIKENESS)
    ]
    if words:
        return words[-1]
    holding = [key for key in plain if len(wanted) > 2 and (wanted in key or (len(key) > 2 and key in wanted))]
    return plain[min(holding, key=lambda key: (abs(len(key) - len(wanted)), key))] if holding else ""


def did_you_mean(written: str, names: Iterable[str]) -> str:
    """A question that offers the nearest name, or all that have what is written as one of their words; else empty."""
    known = list(names)
    sharing = [name for name in known if _plain(written) in _plain(name).split("-")]
    near = " or ".join(sharing) if len(sharing) > 1 else nearest(written, known)
    return f"Did you mean {near}?" if near else ""


def fix_for(written: str, names: Iterable[str]) -> str:
    """A sentence that offers the nearest name, or all of them when none is near."""
    known = list(names)
    if question := did_you_mean(written, known):
        return question
    return f"Known: {', '.join(known)}." if known else ""


def _plain(name: str) -> str:
    return name.lower().replace("_", "-").replace(" ", "-")
