"""A file that goes on with one that stopped: from the beginning of the interrupted pass, never from mid-slot.

Glossary:
    whole file: the one that stopped, as ``make`` wrote it. recut: the new file.
    stop line: the line of the whole file at which it stopped; the lines before it were cut, more or less of it too.
    kept, lost: whether the machine still knows its zero. A person says so; nothing here infers it.

The recut asks for the bit and starts the spindle as the whole file does, goes over the beginning of the pass at safe
height, down to where that pass came down, and is the whole file from there on: it enters the wood where and how the
whole file does. A pass that comes down into a slot is begun with the last one before it that comes down to the wood's
top, so that the bit ramps in and never drops between walls. Wood cut already is cut again as air.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from platelayer.errors import Fault, JobError
from platelayer.post.dialect import asking_lines, pause_lines
from platelayer.post.words import comment_line, comment_lines
from platelayer.rerun.recut_head import RecutHead, head_sentences
from platelayer.rerun.written import (
    FEED,
    Ways,
    WrittenPass,
    bit_lines,
    comment_of,
    fed_lines,
    go_line,
    head_of,
    lasting_head_of,
    lines_of,
    openings_of,
    ways_of,
)
from platelayer.values.dialect import CommentStyle, Dialect
from platelayer.values.motion import EventKind, Motion

_STOPS = ("M0", "M6")


@dataclass(frozen=True, slots=True, kw_only=True)
class Recut:
    """A recut as text; line n of it is line ``n + behind`` of the whole file, from ``join`` on."""

    text: str
    join: int
    behind: int
    sentences: tuple[str, ...]


def pass_at_line(passes: Sequence[WrittenPass], motion: Motion, line: int) -> WrittenPass:
    """The pass to begin with when the file stopped at a line: the last that had come down by then.

    Between two passes it is the one before, since a controller may show a line that it has not come to yet; after a
    change of bit it is the first pass of that bit.

    Raises:
        JobError: the file has no such line, or nothing is cut before it.
    """
    if not 1 <= line <= motion.line_count:
        raise JobError(
            Fault(
                file=motion.name,
                where="--from-line",
                found=str(line),
                problem=f"the file has lines 1 to {motion.line_count}",
                fix="Give the last line that was surely cut; an earlier one costs time only.",
            )
        )
    bits = [number for number, begins in enumerate(bit_lines(motion)) if begins <= line]
    if passes and bits and bits[-1] > 0:
        of_bit = [one for one in passes if one.bit == bits[-1]]
        if of_bit and line < of_bit[0].first_line:
            return of_bit[0]
    reached = [one for one in passes if one.first_line <= line]
    if not reached:
        first = f"its first cut begins at line {passes[0].first_line}" if passes else "it has no cut at all"
        raise JobError(
            Fault(
                file=motion.name,
                where="--from-line",
                found=str(line),
                problem=f"nothing is cut before that line, {first}",
                fix="Run the whole file from its beginning.",
            )
        )
    return reached[-1]


def pass_named(
    passes: Sequence[WrittenPass],
    motion: Motion,
    *,
    piece: str,
    number: int,
    fix_for: Callable[[str, Iterable[str]], str],
) -> WrittenPass:
    """The pass of that number, counted from 1 through the file, or through the passes of one piece.

    Args:
        passes: all passes of the file.
        motion: what the file reads as.
        piece: id of a piece; empty for the whole file.
        number: of the pass.
        fix_for: from a name and those known, the sentence that offers the nearest.

    Raises:
        JobError: no such piece in this file, or no such pass.
    """
    if piece:
        names = tuple(dict.fromkeys(one.piece for one in passes if one.piece))
        if piece not in names:
            problem, fix = "no such piece is cut in this file", fix_for(piece, names)
            raise JobError(Fault(file=motion.name, where="--piece", found=piece, problem=problem, fix=fix))
        passes = [one for one in passes if one.piece == piece]
    if not 1 <= number <= len(passes):
        problem = f"{piece or 'the file'} has passes 1 to {len(passes)}"
        raise JobError(Fault(file=motion.name, where="--pass", found=str(number), problem=problem))
    return passes[number - 1]


def begun_from_top(passes: Sequence[WrittenPass], asked: WrittenPass) -> WrittenPass:
    """The pass itself or the last one before it, by the same bit, that comes down to the wood's top.

    A pass that comes down into a slot trusts that the slot is clear and lies just where the machine believes it.
    """
    from_top = (one for one in reversed(passes[: asked.number]) if one.from_top and one.bit == asked.bit)
    return next(from_top, asked)


def cut_before_text(text: str, motion: Motion, *, line: int) -> str:
    """The whole file up to, not with, a line, ended properly: what had been cut when it stopped, for the dry run."""
    ways = ways_of(text, motion)
    lift = go_line("G0", {"Z": ways.safe}, ways.grid)
    moved = int(motion.line[motion.line < line].max(initial=0)) or line - 1
    return "\n".join([*lines_of(text)[:moved], lift, "M5", ways.end_word]) + "\n"


def recut_text(text: str, motion: Motion, head: RecutHead) -> Recut:
    """The recut that begins with ``head.begins``; ``text`` is the whole file and ``motion`` what it reads as."""
    ways = ways_of(text, motion)
    lines = lines_of(text)
    body = _body(lines, text, motion, ways, head)
    rest = _rest(lines, motion, head.begins)
    kept = lasting_head_of(lines)
    behind = 0
    for _ in range(2):  # the head has as many lines whatever number it names
        sentences = head_sentences(head, motion, ways, behind=behind)
        comments = [part for sentence in sentences for part in comment_lines(sentence, ways.comments)]
        above = [*comments, *kept, *body]
        join = len(above) + len(rest) - (len(lines) - head.begins.first_line)
        behind = head.begins.first_line - join
    return Recut(text="\n".join([*above, *rest]) + "\n", join=join, behind=behind, sentences=sentences)


def _body(lines: list[str], text: str, motion: Motion, ways: Ways, head: RecutHead) -> list[str]:
    """State, zero, bit, spindle, and the way to above the pass's beginning."""
    begins = head.begins
    state = lines[len(head_of(lines)) : bit_lines(motion)[0] - 1]
    opening = _renumbered(openings_of(text, motion)[begins.bit], begins.bit)
    dialect = Dialect(arcs=ways.has_arcs, dwell_unit="s", comments=ways.comments, messages=ways.has_messages)
    if begins.bit == 0 and len(head.bits) > 1 and not any(line in _STOPS for line in _before_reason(opening)):
        ask = f"Put in {head.bits[0].id}, zero z again, lift it, resume"
        asking = [*comment_lines(ask, ways.comments), *asking_lines(ask, dialect)]
        opening = [opening[0], *asking, "M0", *state, go_line("G0", {"Z": ways.safe}, ways.grid), *opening[1:]]
    wait = [*pause_lines("zero found again and proved, then resume", dialect), *state] if head.zero_is_lost else []
    name = comment_lines(begins.title, ways.comments) if begins.piece else []
    x, y, z = (ways.grid.digits(float(value)) for value in motion.start[begins.move])
    approach = [go_line("G0", {"X": x, "Y": y}, ways.grid)]
    if z != ways.safe:
        approach.append(go_line("G0", {"Z": z}, ways.grid))
    return [*state, *wait, *opening, *name, *approach]


def _before_reason(opening: list[str]) -> list[str]:
    """The opening up to its first ``(PAUSE reason)``: a stop there is for the bit."""
    at = next((at for at, line in enumerate(opening) if (comment_of(line) or "").startswith("PAUSE")), len(opening))
    return opening[:at]


def _rest(lines: list[str], motion: Motion, begins: WrittenPass) -> list[str]:
    """The whole file from the pass on, its feed said again, its bits counted from the recut's first."""
    first = lines[begins.first_line - 1]
    feeds = [
        match[0] for line in lines[: begins.first_line] if comment_of(line) is None for match in FEED.finditer(line)
    ]
    begin = [first] if FEED.search(first) else fed_lines(first, feeds[-1])
    assert any(event.kind is EventKind.BIT for event in motion.events), "a file of ours names its bits"
    return [*begin, *_renumbered(lines[begins.first_line :], begins.bit)]


def _renumbered(lines: list[str], less: int) -> list[str]:
    """The lines with every bit's number so much lower."""
    return [_bit_renumbered(line, less) if "(BIT " in line else line for line in lines]


def _bit_renumbered(line: str, less: int) -> str:
    _, number, bit_id = (comment_of(line) or "").split(" ", 2)
    style = CommentStyle.SEMICOLON if line.startswith(";") else CommentStyle.BRACKETS
    return comment_line(f"BIT {int(number) - less} {bit_id}", style)
