"""The reader: a program's text in, its motion out, strictly by RS274/NGC.

Glossary:
    exact way: line by line, every rule applied, ``reader_lines``. plain way: runs of plain lines, ``reader_plain``.
    wrapped program: one whose first line that is not blank is a per cent sign; the next such line closes it.

The plain way is taken only where it cannot differ from the exact one; whatever it declines is read again exactly.
"""

import itertools
from collections.abc import Iterator
from typing import Final, TypeVar

import numpy as np
import numpy.typing as npt

from platelayer.errors import Fault, ReadError
from platelayer.gcode.reader_lines import ROW_WIDTH, Point3, ReadState, Row, read_line
from platelayer.gcode.reader_plain import Floats, PlainLines, read_plain, scan_plain
from platelayer.values.motion import Motion

_T = TypeVar("_T", bound=np.generic)

PLAIN_RUN_LEAST: Final = 32
"""Plain lines in a run worth taking at once: below, the fixed cost of the columns exceeds the lines'."""

FAULTS_MOST: Final = 100
"""Faults reported of one file; a file with more is no program."""


def read_program(text: str, *, name: str, start_mm: Point3 = (0.0, 0.0, 0.0), is_exact: bool = False) -> Motion:
    """The motion of a program, in mm, in the program's own coordinates.

    Lengths count as millimetres until G20. Lines after M2 or M30 are not executed. A program without an end mark is
    read to its last line and says so in ``is_ended``. Events hold every comment, ``(BIT k id)`` as number k and id
    besides; a pause carries the ``BIT`` or ``PAUSE`` comment that stands before it with no move between; dwells
    carry P as written; a spindle event carries the speed in force and the word; units carry mm to the unit.

    Args:
        text: the file, lines ended by LF or CR LF.
        name: file's name, for faults and the result.
        start_mm: where the bit stands before the first move.
        is_exact: take the exact way for every line; the result is the same, only slower.

    Raises:
        ReadError: every line that breaks a rule, with line and column.

    Source: NISTIR 6556, 3.1 (per cent signs), 3.3, 3.5, 3.6.
    """
    lines = text.split("\n")
    state = ReadState(x=start_mm[0], y=start_mm[1], z=start_mm[2], file=name)
    first, last = _wrapping(lines)
    plain = None if is_exact else scan_plain(text, len(lines))
    blocks: list[Floats] = []
    rows: list[Row] = []
    faults: list[Fault] = []
    stop = first
    for begin, end in _runs(plain, first, last):
        block = read_plain(plain, begin, end, state) if plain is not None and end - begin >= PLAIN_RUN_LEAST else None
        if block is not None:
            blocks += [_block(rows), block]
            rows = []
            continue
        stop = _read_lines(lines, begin, end, state, rows, faults)
        if state.is_over or len(faults) >= FAULTS_MOST:
            break
    if faults:
        raise ReadError(*faults)
    is_ended = _is_ended(lines, stop, state, is_wrapped=first > 0, is_closed=last < len(lines))
    columns = np.concatenate([*blocks, _block(rows)])
    return _motion(columns, state, line_count=len(lines) - (lines[-1] == ""), is_ended=is_ended)


def _wrapping(lines: list[str]) -> tuple[int, int]:
    """Indices of the first line to execute and of the line past the last. Source: NISTIR 6556, 3.1."""
    opening = next((at for at, line in enumerate(lines) if line.strip()), 0)
    if lines[opening].strip() != "%":
        return 0, len(lines)
    closing = (at for at in range(opening + 1, len(lines)) if lines[at].strip() == "%")
    return opening + 1, next(closing, len(lines))


def _runs(plain: PlainLines | None, first: int, last: int) -> Iterator[tuple[int, int]]:
    """Bounds of the runs of lines that are all plain or empty, and of the runs between them, in order."""
    if plain is None:
        yield first, last
        return
    is_simple = (plain.is_plain | plain.is_empty)[first:last]
    changes = (np.flatnonzero(is_simple[1:] != is_simple[:-1]) + 1 + first).tolist()
    yield from itertools.pairwise([first, *changes, last])


def _read_lines(lines: list[str], begin: int, end: int, state: ReadState, rows: list[Row], faults: list[Fault]) -> int:
    """Execute lines the exact way up to the end of the program; the index past the last one executed."""
    for at in range(begin, end):
        text = lines[at].removesuffix("\r")
        if not text or text.isspace():
            continue
        try:
            row = read_line(text, at + 1, state)
        except ReadError as error:
            state.is_lost = True
            faults += error.faults
            if len(faults) >= FAULTS_MOST:
                return at + 1
            continue
        if row is not None:
            rows.append(row)
        if state.is_over:
            return at + 1
    return end


def _block(rows: list[Row]) -> Floats:
    return np.array(rows, np.float64).reshape(len(rows), ROW_WIDTH)


def _is_ended(lines: list[str], stop: int, state: ReadState, *, is_wrapped: bool, is_closed: bool) -> bool:
    """Whether only blanks and end words stand after the end word, or the closing per cent sign of a wrapped program."""
    tail = [line.strip() for line in lines[stop:] if line.strip() not in {"", "M2", "M30"}]
    if state.is_over:
        return not tail or (is_wrapped and tail == ["%"])
    return is_wrapped and is_closed


def _motion(columns: Floats, state: ReadState, *, line_count: int, is_ended: bool) -> Motion:
    return Motion(
        name=state.file,
        kind=_read_only(columns[:, 0].astype(np.int8)),
        line=_read_only(columns[:, 1].astype(np.int32)),
        start=_read_only(columns[:, 2:5].copy()),
        end=_read_only(columns[:, 5:8].copy()),
        centre=_read_only(columns[:, 8:10].copy()),
        feed=_read_only(columns[:, 10].copy()),
        speed=_read_only(columns[:, 11].copy()),
        spindle_on=_read_only(columns[:, 12].astype(np.bool_)),
        bit=_read_only(columns[:, 13].astype(np.int16)),
        events=tuple(state.events),
        line_count=line_count,
        is_ended=is_ended,
    )


def _read_only(array: npt.NDArray[_T]) -> npt.NDArray[_T]:
    array.flags.writeable = False
    return array
