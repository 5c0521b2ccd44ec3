"""One line of G-code taken apart into words and comments, by the rules of RS274/NGC.

Glossary:
    word: a letter and its number, as in ``X12.5``. Not a code: a code is what a G or M word asks for.
    code: the number of a G or M word in tenths (G1 is 10, G61.1 is 611), so that it is an integer.
    group: codes of which a line may hold one; the last one of a modal group stays in force.
    column: place in the line, from 1.

Source: NISTIR 6556, 3.3 (lines, numbers, comments), table 4 (groups). Semicolon comments are not in that standard;
they are tolerated because common controllers write them.
"""

import re
from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault, ReadError
from platelayer.values.findings import Code

Word = tuple[str, float, int]
"""Letter in upper case, number, column of the letter."""

LINE_LENGTH_MOST: Final = 256
"""Characters in a line. Source: NISTIR 6556, 3.3."""

PLACE_MOST_MM: Final = 100_000.0
"""A place or a centre further off is a slip of the pen: no router is so large. Common practice, no source."""

LINE_NUMBER_DIGITS_MOST: Final = 5
"""Digits after N. Source: NISTIR 6556, 3.3.1."""

M_WORDS_MOST: Final = 4
"""M words in a line. Source: NISTIR 6556, 3.3.5."""

INTEGER_SLACK: Final = 1 / 10_000
"""How far a number meant as an integer may stray; no length. Source: NISTIR 6556, 3.3.2.1."""

LETTERS: Final = "FGIJKMNPRSTXYZ"
"""Letters that are read. K is known only to be refused by name."""

G_GROUPS: Final[dict[int, str]] = {
    0: "motion",
    10: "motion",
    20: "motion",
    30: "motion",
    800: "motion",
    40: "dwell",
    170: "plane",
    200: "units",
    210: "units",
    400: "compensation",
    490: "length offset",
    540: "coordinates",
    610: "path",
    611: "path",
    640: "path",
    900: "distance",
    910: "distance",
    911: "arc centres",
    940: "feed mode",
}
"""Group of every G code that is read. Source: NISTIR 6556, table 4."""

M_GROUPS: Final[dict[int, str]] = {
    0: "stop",
    10: "stop",
    20: "stop",
    300: "stop",
    30: "spindle",
    40: "spindle",
    50: "spindle",
    60: "tool",
    70: "coolant",
    80: "coolant",
    90: "coolant",
}
"""Group of every M code that is read. Source: NISTIR 6556, table 4."""

_TOOL_LENGTH: Final = ("tool length offsets are not read", "Zero each bit by hand and use one file a bit.")
_MACHINE_PLACE: Final = ("machine places are not read", "Write the place in the board's coordinates.")
_ZERO_MOVED: Final = ("moving the zero is not read", "Set the zero by hand before the run.")
_OUT_OF_LINE: Final = (
    "parts of a program that are called from elsewhere are not read",
    "Write all moves out, one after the other.",
)
_CYCLE: Final = ("drilling cycles are not read", "Write their moves out, one after the other.")
_OTHER_AXIS: Final = ("only the axes X, Y and Z are read", "Write the program for three axes.")

_REFUSED_LETTERS: Final[dict[str, tuple[str, str]]] = {
    "H": _TOOL_LENGTH,
    "D": ("cutter compensation is not read", "Write the path of the bit's centre."),
    "O": _OUT_OF_LINE,
} | dict.fromkeys("ABCUVW", _OTHER_AXIS)
"""Letters of other hands' files that are told apart when they are refused."""

_REFUSED: Final[dict[str, tuple[str, str]]] = {
    **dict.fromkeys(("G43", "G43.1", "G44"), _TOOL_LENGTH),
    **dict.fromkeys(("G28", "G28.1", "G30", "G30.1", "G53"), _MACHINE_PLACE),
    **dict.fromkeys(("G10", "G52", "G92", "G92.1", "G92.2", "G92.3"), _ZERO_MOVED),
    **dict.fromkeys(("M97", "M98", "M99"), _OUT_OF_LINE),
    **dict.fromkeys(("G73", "G76", "G98", "G99", *(f"G{number}" for number in range(81, 90))), _CYCLE),
    "G18": ("only the plane G17 is read", "Write the program in the x-y plane."),
    "G19": ("only the plane G17 is read", "Write the program in the x-y plane."),
    "G41": ("cutter compensation is not read", "Write the path of the bit's centre."),
    "G42": ("cutter compensation is not read", "Write the path of the bit's centre."),
    "G90.1": ("arc centres counted from zero are not read", "Write I and J from where the arc starts, G91.1."),
    **{
        f"G{number}": ("only the first zero, G54, is read", "Set the board's corner as that zero, and write G54.")
        for number in (55, 56, 57, 58, 59, 59.1, 59.2, 59.3)
    },
    "G93": ("inverse time feed is not read", "Write feeds in units per minute, G94."),
}

_COMMENT_OR_REST = re.compile(r"\([^()]*\)|;.*", re.DOTALL)
_WORD = re.compile(r"[ \t\n]*([A-Za-z])([+\-0-9. \t]*)")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_GAP = re.compile(r"[ \t\n]*")
_LINE_NUMBER = re.compile(r"[0-9]{1,5}")


def fault_at(problem: str, *, file: str, line: int, column: int, fix: str = "", found: str = "") -> ReadError:
    """A ReadError of one fault in a line of a program."""
    return ReadError(
        Fault(
            where="",
            found=found,
            problem=problem,
            fix=fix,
            file=file,
            line=line,
            column=column,
            code=Code.READING_SYNTAX.value,
        )
    )


def split_line(text: str, *, file: str, line: int) -> tuple[tuple[Word, ...], tuple[str, ...]]:
    """The words and the comments of a line, in the order written.

    Blanks are ignored outside comments, even inside numbers; letters are taken in either case; a stroke in front
    (block delete) is passed over, as with that switch off. A line number is checked and left out; a program's number,
    O alone on its line, too.

    Raises:
        ReadError: the line is too long, a character, word, number or comment is not one of the standard.
    """
    if len(text) > LINE_LENGTH_MOST:
        problem = f"the line has {len(text)} characters; the limit is {LINE_LENGTH_MOST}"
        raise fault_at(problem, file=file, line=line, column=LINE_LENGTH_MOST + 1)
    comments: list[str] = []
    if "(" in text or ";" in text:
        text = _blank_comments(text, comments, file=file, line=line)
    if text.lstrip(" \t").startswith("/"):
        text = text.replace("/", " ", 1)
    words: list[Word] = []
    at, is_first = 0, True
    while match := _WORD.match(text, at):
        number = match[2].replace(" ", "").replace("\t", "")
        letter, column = match[1].upper(), match.start(1) + 1
        if letter == "O" and number and not words and not text[match.end() :].strip():
            return (), tuple(comments)  # a program's number, alone on its line
        if letter in _REFUSED_LETTERS:
            problem, fix = _REFUSED_LETTERS[letter]
            raise fault_at(problem, file=file, line=line, column=column, found=letter + number, fix=fix)
        if not _NUMBER.fullmatch(number):
            raise _bad_number(text, match, number, file=file, line=line)
        if letter == "N":
            _check_line_number(number, is_first=is_first, file=file, line=line, column=column)
        elif letter not in LETTERS:
            raise _strange_letter(letter, column, words, file=file, line=line)
        else:
            words.append((letter, float(number) + 0.0, column))
        at, is_first = match.end(), False
    gap = _GAP.match(text, at)
    rest = gap.end() if gap else at
    if rest < len(text):
        raise _bad_character(text, rest, file=file, line=line)
    return tuple(words), tuple(comments)


def code_of(word: Word, *, file: str, line: int) -> tuple[int, str]:
    """The code of a G or M word in tenths, and its group.

    Raises:
        ReadError: the code is not one that is read.
    """
    letter, number, column = word
    tenths = round(number * 10) if abs(number) < 10 * LINE_LENGTH_MOST else -1
    groups = G_GROUPS if letter == "G" else M_GROUPS
    if tenths in groups and abs(number * 10 - tenths) <= 10 * INTEGER_SLACK:
        return tenths, groups[tenths]
    shown = f"{letter}{number:g}"
    problem, fix = _REFUSED.get(shown, ("this word is not read", ""))
    raise fault_at(problem, file=file, line=line, column=column, found=shown, fix=fix)


def show_code(letter: str, code: int) -> str:
    """The code as it is usually written: ``G1``, ``G61.1``."""
    return f"{letter}{code // 10}" if code % 10 == 0 else f"{letter}{code / 10:g}"


def _blank_comments(text: str, comments: list[str], *, file: str, line: int) -> str:
    """The line with every comment replaced by line ends, which no number may span; columns stay."""

    def blank(match: re.Match[str]) -> str:
        found = match[0]
        comments.append(found[1:-1].strip() if found.startswith("(") else _inner(found[1:].strip()))
        return "\n" * len(found)

    rest = _COMMENT_OR_REST.sub(blank, text)
    at = rest.find("(")
    if at >= 0:
        nested = "(" in text[at + 1 :]
        problem = "a comment inside a comment" if nested else "the comment is not closed on its line"
        raise fault_at(problem, file=file, line=line, column=at + 1, fix="Close it, and use no brackets inside.")
    return rest


def _inner(comment: str) -> str:
    """A semicolon comment that consists of one bracket comment says what the bracket says."""
    return comment[1:-1].strip() if re.fullmatch(r"\([^()]*\)", comment) else comment


def _check_line_number(number: str, *, is_first: bool, file: str, line: int, column: int) -> None:
    if not is_first:
        raise fault_at("a line number stands only at the start of a line", file=file, line=line, column=column)
    if not _LINE_NUMBER.fullmatch(number):
        problem = f"a line number has one to {LINE_NUMBER_DIGITS_MOST} digits and nothing else"
        raise fault_at(problem, file=file, line=line, column=column, found=f"N{number}")


def _strange_letter(letter: str, column: int, before: Sequence[Word], *, file: str, line: int) -> ReadError:
    """The fault of a letter that is not read; where it belongs to a code that is not read either, that code's."""
    try:
        for word in before:
            if word[0] in "GM":
                code_of(word, file=file, line=line)
    except ReadError as error:
        return error
    problem = f"the letter {letter} is not read; known are {', '.join(LETTERS.replace('K', ''))}"
    return fault_at(problem, file=file, line=line, column=column)


def _bad_number(text: str, match: re.Match[str], number: str, *, file: str, line: int) -> ReadError:
    letter, column = match[1].upper(), match.start(1) + 1
    after = text[match.end() : match.end() + 1]
    if after in {"[", "#", "="}:
        return _bad_character(text, match.end(), file=file, line=line)
    if not number:
        return fault_at(f"the letter {letter} has no number", file=file, line=line, column=column)
    return fault_at("not a number", file=file, line=line, column=column, found=f"{letter}{number}")


def _bad_character(text: str, at: int, *, file: str, line: int) -> ReadError:
    sign, column = text[at], at + 1
    if sign in "[]#=":
        fix = "Write the number it comes to."
        problem = "expressions and parameters are not read"
        return fault_at(problem, file=file, line=line, column=column, found=sign, fix=fix)
    if sign in "0123456789.+-":
        return fault_at("a number without a letter", file=file, line=line, column=column)
    if sign == ")":
        return fault_at("a comment ends that never began", file=file, line=line, column=column)
    shown = sign if " " < sign <= "~" else f"U+{ord(sign):04X}"
    fix = "Save the file without a byte order mark." if sign == "\ufeff" else ""
    return fault_at("this character is not read", file=file, line=line, column=column, found=shown, fix=fix)
