"""Words and comments as text: numbers without exponent, comments that every controller can skip.

Glossary:
    digits: a length as a whole number of the program's last digit, 125000 for 12.5 mm at four decimals. Not a count.
    comment: text for people, and for the dry run where it begins with BIT or PAUSE.
"""

import re
import textwrap
import unicodedata
from typing import Final

from platelayer.values.dialect import CommentStyle

LINE_LENGTH_MOST: Final = 69
"""Longest line written: under 70, far below the 256 of NISTIR 6556, 3.3, since small controllers have small buffers."""

COMMENT_LENGTH_MOST: Final = 64
"""Longest text of a comment, its brackets and a semicolon apart."""

_SWAPS: Final[dict[str, str | int | None]] = {"(": "-", ")": "-", ";": ",", "%": " ", "\n": " ", "\t": " ", "\r": " "}
_MESSAGE: Final = "MSG, "
_RESERVED: Final = re.compile(r"BIT\s+[0-9]|PAUSE|MSG", re.IGNORECASE)


def show_digits(digits: int, *, decimals: int) -> str:
    """The number in the fewest characters: no exponent, no trailing noughts, no point at the end, no minus zero."""
    sign = "-" if digits < 0 else ""
    whole, rest = divmod(abs(digits), 10**decimals)
    tail = f"{rest:0{decimals}d}".rstrip("0") if decimals else ""
    return f"{sign}{whole}.{tail}" if tail else f"{sign}{whole}"


def word(letter: str, digits: int, *, decimals: int) -> str:
    """A word, ``X12.5``."""
    return letter + show_digits(digits, decimals=decimals)


def plain_text(text: str) -> str:
    """The text in printing ASCII, without the signs that end a comment or a file: brackets, semicolon, per cent."""
    flat = unicodedata.normalize("NFKD", text)
    kept = "".join(sign for sign in flat if not unicodedata.combining(sign))
    swapped = kept.translate(str.maketrans(_SWAPS))
    return "".join(sign if " " <= sign <= "~" else "?" for sign in swapped).strip()


def comment_text(text: str) -> str:
    """What stands inside one comment: printing, and cut off where it is too long."""
    return plain_text(text)[:COMMENT_LENGTH_MOST]


def comment_line(text: str, style: CommentStyle) -> str:
    """One comment line of at most LINE_LENGTH_MOST characters; longer text is cut off."""
    inner = comment_text(text)
    return f"; ({inner})" if style is CommentStyle.SEMICOLON else f"({inner})"


def message_lines(text: str) -> list[str]:
    """The text as messages that a controller shows, broken between words.

    Source: NISTIR 6556, 3.3.4: a comment that begins with MSG and a comma is a message.
    """
    parts = textwrap.wrap(plain_text(text), COMMENT_LENGTH_MOST - len(_MESSAGE)) or [""]
    return [comment_line(_MESSAGE + part, CommentStyle.BRACKETS) for part in parts]


def comment_texts(text: str) -> list[str]:
    """What stands inside a comment broken between words into as many lines as it needs.

    Free text that happens to begin with a word the dry run heeds is set off by a dash.
    """
    parts = textwrap.wrap(plain_text(text), COMMENT_LENGTH_MOST - 2) or [""]
    return [f"- {part}" if _RESERVED.match(part) else part for part in parts]


def comment_lines(text: str, style: CommentStyle) -> list[str]:
    """A comment broken between words into as many lines as it needs."""
    return [comment_line(part, style) for part in comment_texts(text)]
