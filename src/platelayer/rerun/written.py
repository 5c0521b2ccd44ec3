"""A file that this room wrote, taken up again: its controller's ways, its bits' openings and its passes.

Glossary:
    pass: from where the bit comes down out of the air to where it next lifts; may hold several passes of the plan,
        which went on without lifting. Numbered from 1 through the file.
    opening: the lines from ``(BIT k id)`` on that ask for the bit, start the spindle and leave it at safe height.
    head: the comments at the top of a file.
    ways: what the text shows of its controller, so that more can be written for it.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.post.rounding import Grid
from platelayer.post.words import LINE_LENGTH_MOST, word
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.cuts import CutKind
from platelayer.values.dialect import CommentStyle
from platelayer.values.minutes import FINISH_WORD
from platelayer.values.motion import EventKind, Motion, MoveKind

COMMENT: Final = re.compile(r"(?:; )?\((?P<text>[^()]*)\)")
FEED: Final = re.compile(r"F(?P<number>[0-9.]+)")
_CUT: Final = re.compile(rf"(?P<piece>.+) (?P<kind>{'|'.join(kind.value for kind in CutKind)})(?: {FINISH_WORD})?")
_NUMBER: Final = re.compile(r"[XYZIJ]-?[0-9]*\.?(?P<decimals>[0-9]*)")
_DECIMALS_LEAST: Final = {False: 3, True: 4}
"""Fewest decimals a file is taken to have, in mm and in inches, however round its numbers are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """What a file shows of its controller: comments, messages, places, arcs, end word, its safe height in digits."""

    comments: CommentStyle
    has_messages: bool
    grid: Grid
    has_arcs: bool
    end_word: str
    safe: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPass:
    """One pass: its number, its lines at feed from first to last, its first move, and what it cuts with which bit.

    ``bit`` counts from 0 as in Motion; ``piece`` and ``kind`` are empty where no comment names them. Where it begins
    ``from_top`` the bit comes down to the wood's top and ramps in from there; else it comes down into a slot.
    """

    number: int
    first_line: int
    last_line: int
    move: int
    bit: int
    piece: str
    kind: str
    from_top: bool

    @property
    def title(self) -> str:
        """What a person calls it."""
        return f"{self.piece} {self.kind}" if self.piece else "no piece named"


def lines_of(text: str) -> list[str]:
    """Lines of a file, the first at index 0, without their ends."""
    return text.removesuffix("\n").split("\n")


def comment_of(line: str) -> str | None:
    """Text of a line that is a comment and nothing else; None for any other."""
    match = COMMENT.fullmatch(line)
    return None if match is None else match["text"]


def head_of(lines: Sequence[str]) -> list[str]:
    """Comment lines at the top."""
    count = next((at for at, line in enumerate(lines) if comment_of(line) is None), len(lines))
    return list(lines[:count])


def lasting_head_of(lines: Sequence[str]) -> list[str]:
    """Comment lines at the top but the time, which holds for the whole file only."""
    return [line for line in head_of(lines) if not (comment_of(line) or "").startswith("Time:")]


def ways_of(text: str, motion: Motion) -> Ways:
    """The ways of the controller a file was written for."""
    lines = lines_of(text)
    code = [line for line in lines if comment_of(line) is None]
    is_inch = any(event.kind is EventKind.UNITS and event.value > 1 for event in motion.events)
    shown = (len(match["decimals"]) for line in code for match in _NUMBER.finditer(line))
    grid = Grid(max(shown, default=0), is_inch)
    grid = Grid(max(grid.decimals, _DECIMALS_LEAST[is_inch]), is_inch)
    brackets = next((line for line in lines if comment_of(line) is not None), "")
    style = CommentStyle.SEMICOLON if brackets.startswith(";") else CommentStyle.BRACKETS
    return Ways(
        comments=style,
        has_messages=any(line.startswith("(MSG, ") for line in lines),
        grid=grid,
        has_arcs=bool((motion.kind >= MoveKind.ARC_CW).any()),
        end_word=lines[-1].strip(),
        safe=grid.digits(float(motion.end[0, 2])) if len(motion) else 0,
    )


def bit_lines(motion: Motion) -> list[int]:
    """Line at which each bit begins, in order."""
    return [event.line for event in motion.events if event.kind is EventKind.BIT]


def openings_of(text: str, motion: Motion) -> list[list[str]]:
    """The opening of each bit, in order: up to its first move sideways, comments on pieces left out."""
    lines = lines_of(text)
    across = np.flatnonzero(np.hypot(*(motion.end - motion.start)[:, :2].T) > 0)
    found = []
    for line in bit_lines(motion):
        after = [int(motion.line[move]) for move in across if motion.line[move] > line]
        opening = lines[line - 1 : after[0] - 1 if after else len(lines) - 1]
        while len(opening) > 1 and comment_of(opening[-1]) is not None:
            opening.pop()
        found.append(opening)
    return found


def passes_of(text: str, motion: Motion, *, top_mm: float) -> list[WrittenPass]:
    """The passes of a file in order; a pass begins at feed above ``top_mm``, the z of the wood's top in this file."""
    is_feed = motion.kind != MoveKind.RAPID
    begins = is_feed & ~np.concatenate(([False], is_feed[:-1])) & (motion.start[:, 2] > top_mm)
    first = np.flatnonzero(begins)
    titles = list(_titles(text))
    found = []
    for number, move in enumerate(first.tolist(), start=1):
        until = first[number] if number < len(first) else len(motion)
        last = move + int(np.flatnonzero(is_feed[move:until])[-1])
        line = int(motion.line[move])
        piece, kind = next(((name, what) for at, name, what in reversed(titles) if at < line), ("", ""))
        found.append(
            WrittenPass(
                number=number,
                first_line=line,
                last_line=int(motion.line[last]),
                move=move,
                bit=int(motion.bit[move]),
                piece=piece,
                kind=kind,
                from_top=_landing_z(motion, move) >= top_mm - COINCIDENT_MM,
            )
        )
    return found


def _landing_z(motion: Motion, move: int) -> float:
    """Where the bit has come down that comes straight down from this move on."""
    across = np.flatnonzero(np.hypot(*(motion.end[move:] - motion.start[move:])[:, :2].T) > 0)
    last = move + int(across[0]) if len(across) else len(motion)
    return float(motion.start[last, 2] if move < last < len(motion) else motion.end[move, 2])


def _titles(text: str) -> Iterator[tuple[int, str, str]]:
    """Line, piece and kind of every comment that names a cut."""
    for number, line in enumerate(lines_of(text), start=1):
        match = _CUT.fullmatch(comment_of(line) or "")
        if match is not None:
            yield number, match["piece"], match["kind"]


def go_line(name: str, places: dict[str, int], grid: Grid) -> str:
    """A motion line, ``G0 X1.5 Y20``, from places in digits."""
    return " ".join([name, *(word(letter, to, decimals=grid.decimals) for letter, to in places.items())])


def fed_lines(line: str, feed: str) -> list[str]:
    """A motion line with a feed word, which has a line of its own before it where both are too long for one."""
    joined = f"{line} {feed}"
    return [joined] if len(joined) <= LINE_LENGTH_MOST else [feed, line]
