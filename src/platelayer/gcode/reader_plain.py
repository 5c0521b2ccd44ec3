"""The fast way through a program: all plain lines taken apart at once, in numpy columns.

Glossary:
    plain line: only words G0 to G3, X, Y, Z, I, J, F, each at most once, and at least one of X, Y, Z; no comment.
    empty line: blanks only. Anything else is left to the exact way.
    class (of a character): letter, digit, point, sign, line end, blank or other.
    token: a letter or a line end with the digits that follow it, so that stray digits cannot leak into a word.

A number is read as an integer of at most 15 digits over a power of ten, both exact in a float64, so that the quotient
is the same correctly rounded value that ``float`` gives: both ways agree to the last bit.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.gcode.reader_arcs import radii_limit_mm
from platelayer.gcode.reader_lines import NO_MOTION, ROW_WIDTH, ReadState
from platelayer.gcode.words import LINE_LENGTH_MOST, PLACE_MOST_MM

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.intp]
Bytes = npt.NDArray[np.uint8]

PLAIN_LETTERS: Final = "GXYZIJF"
_DIGITS_MOST: Final = 15
_END, _BLANK, _LETTER, _DIGIT, _POINT, _SIGN, _OTHER = range(7)


def _classes() -> Bytes:
    table = np.full(256, _OTHER, np.uint8)
    for signs, kind in (("\n", _END), (" \t\r", _BLANK), ("0123456789", _DIGIT), (".", _POINT), ("+-", _SIGN)):
        table[[ord(sign) for sign in signs]] = kind
    table[[ord(letter) for letter in PLAIN_LETTERS + PLAIN_LETTERS.lower()]] = _LETTER
    return table


def _followers() -> Bools:
    """What may follow what, by class; blanks are gone by then."""
    table = np.zeros((7, 7), np.bool_)
    table[_END, [_END, _LETTER]] = True
    table[_LETTER, [_DIGIT, _POINT, _SIGN]] = True
    table[_SIGN, [_DIGIT, _POINT]] = True
    table[_DIGIT, [_DIGIT, _POINT, _LETTER, _END]] = True
    table[_POINT, [_DIGIT, _LETTER, _END]] = True
    return table


_CLASS: Final = _classes()
_MAY_FOLLOW: Final = _followers()
_POWERS: Final = 10.0 ** np.arange(_DIGITS_MOST + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainLines:
    """A program's lines: which are plain or empty, and the plain ones' numbers, nan where a letter is missing.

    ``numbers`` has a row for each letter of PLAIN_LETTERS and a column for each line.
    """

    is_plain: Bools
    is_empty: Bools
    numbers: Floats


def scan_plain(text: str, line_count: int) -> PlainLines:
    """Every plain line of a program taken apart; ``line_count`` counts the pieces between line ends."""
    raw = np.frombuffer((text + "\n").encode("latin-1", "replace"), np.uint8)
    is_odd = _odd_lines(raw, line_count)
    kind = _CLASS[raw]
    kept = kind != _BLANK
    signs, kind = raw[kept], kind[kept]
    token_at = np.flatnonzero((kind == _LETTER) | (kind == _END))
    token_of = np.cumsum((kind == _LETTER) | (kind == _END), dtype=np.int32)
    line_of_token = np.concatenate(([0], np.cumsum(kind[token_at] == _END, dtype=np.int32)))
    before = np.concatenate((np.array([_END], np.uint8), kind[:-1]))
    is_wrong = ~_MAY_FOLLOW[before, kind]
    wrong_at = np.flatnonzero(is_wrong)
    wrong_at = wrong_at - (kind[wrong_at] == _END)
    is_odd[line_of_token[token_of[wrong_at]]] = True
    numbers, is_bad = _numbers(signs, kind, token_of, len(token_at) + 1)
    letters = np.concatenate((np.array([10], np.uint8), signs[token_at] & 0xDF))
    is_word = letters != 10 & 0xDF
    is_word[0] = False
    is_odd[line_of_token[is_bad & is_word]] = True
    columns = np.full((len(PLAIN_LETTERS), line_count), np.nan)
    has_words = np.zeros(line_count, np.bool_)
    for row, letter in enumerate(PLAIN_LETTERS):
        tokens = np.flatnonzero(letters == ord(letter))
        lines = line_of_token[tokens]
        is_odd[lines[1:][lines[1:] == lines[:-1]]] = True
        columns[row, lines] = numbers[tokens]
        has_words[lines] = True
    is_plain = ~is_odd & ~np.isnan(columns[1:4]).all(axis=0)
    is_plain &= np.isnan(columns[0]) | np.isin(columns[0], (0.0, 1.0, 2.0, 3.0))
    is_plain &= ~(columns[6] < 0)
    return PlainLines(is_plain=is_plain, is_empty=~is_odd & ~has_words, numbers=columns)


def _odd_lines(raw: Bytes, line_count: int) -> Bools:
    """Lines that are too long, or hold a carriage return anywhere but at their end."""
    ends = np.flatnonzero(raw == 10)
    lengths = np.diff(ends, prepend=-1) - 1
    is_odd = lengths > LINE_LENGTH_MOST
    returns = np.flatnonzero(raw == 13)
    stray = returns[raw[returns + 1] != 10]
    is_odd[np.searchsorted(ends, stray)] = True
    assert len(is_odd) == line_count
    return np.asarray(is_odd, np.bool_)


def _numbers(signs: Bytes, kind: Bytes, token_of: npt.NDArray[np.int32], tokens: int) -> tuple[Floats, Bools]:
    """The number of every token, and which of them are none: no digit, too many digits, more than one point."""
    digit_at = np.flatnonzero(kind == _DIGIT)
    token_of_digit = token_of[digit_at]
    counts = np.bincount(token_of_digit, minlength=tokens)
    first = np.cumsum(counts) - counts
    place = counts[token_of_digit] - 1 - (np.arange(len(digit_at)) - first[token_of_digit])
    weights = (signs[digit_at] - np.uint8(48)) * _POWERS[np.minimum(place, _DIGITS_MOST)]
    wholes = np.bincount(token_of_digit, weights=weights, minlength=tokens)
    point_at = np.flatnonzero(kind == _POINT)
    token_of_point = token_of[point_at]
    decimals = np.zeros(tokens, np.intp)
    ahead = np.searchsorted(digit_at, point_at) - first[token_of_point]
    decimals[token_of_point] = counts[token_of_point] - ahead
    is_bad = (counts == 0) | (counts > _DIGITS_MOST) | (np.bincount(token_of_point, minlength=tokens) > 1)
    numbers = wholes / _POWERS[np.clip(decimals, 0, _DIGITS_MOST)]
    minus = token_of[np.flatnonzero(signs == ord("-"))]
    numbers[minus] = -numbers[minus]
    return numbers + 0.0, np.asarray(is_bad, np.bool_)


def read_plain(plain: PlainLines, first: int, last: int, state: ReadState) -> Floats | None:
    """Rows of the plain lines from index ``first`` up to ``last``, with the state carried on past them.

    Returns:
        (n, ROW_WIDTH) float64 in the order of ``reader_lines.Row``; None, the state untouched, when something in
        these lines needs the exact way: a fault, an arc by radius, incremental distances, no motion in force.
    """
    lines = np.flatnonzero(plain.is_plain[first:last]) + first
    if not state.is_absolute or state.is_lost or len(lines) == 0:
        return None
    g, x, y, z, i, j, f = plain.numbers[:, lines]
    unit = state.unit_mm
    motion = _carried(g, float(state.motion))
    if motion[0] == NO_MOTION:
        return None
    rows = np.empty((len(lines), ROW_WIDTH))
    for column, (numbers, at) in enumerate(((x, state.x), (y, state.y), (z, state.z))):
        rows[:, 5 + column] = _carried(numbers * unit, at)
        rows[0, 2 + column] = at
        rows[1:, 2 + column] = rows[:-1, 5 + column]
    is_arc = motion >= 2
    has_centre = ~(np.isnan(i) & np.isnan(j))
    if (has_centre != is_arc).any() or (np.isnan(x) & np.isnan(y) & is_arc).any():
        return None
    rows[:, 8] = np.where(is_arc, rows[:, 2] + np.where(np.isnan(i), 0.0, i) * unit, np.nan)
    rows[:, 9] = np.where(is_arc, rows[:, 3] + np.where(np.isnan(j), 0.0, j) * unit, np.nan)
    if (np.abs(rows[:, 5:10]) > PLACE_MOST_MM).any():
        return None
    if not _arcs_are_sound(rows[is_arc], limit_mm=radii_limit_mm(is_inch=state.is_inch)):
        return None
    feed = _carried(f * unit, state.feed_mm_min)
    rows[:, 0] = motion
    rows[:, 1] = lines + 1
    rows[:, 10] = np.where(motion == 0, 0.0, feed)
    rows[:, 11:] = state.speed_rpm, state.spindle_on, state.bit
    state.motion = int(motion[-1])
    state.x, state.y, state.z = (float(number) for number in rows[-1, 5:8])
    state.feed_mm_min = float(feed[-1])
    state.count += len(lines)
    state.pause_text = ""
    return rows


def _carried(numbers: Floats, before: float) -> Floats:
    """The numbers with every nan replaced by the last one before it, ``before`` at the front."""
    known = np.where(np.isnan(numbers), -1, np.arange(len(numbers)))
    last: Indices = np.maximum.accumulate(known)
    return np.where(last < 0, before, numbers[last])


def _arcs_are_sound(rows: Floats, *, limit_mm: float) -> bool:
    """Whether no arc has a centre at its start or radii that differ."""
    if len(rows) == 0:
        return True
    first = np.hypot(rows[:, 2] - rows[:, 8], rows[:, 3] - rows[:, 9])
    last = np.hypot(rows[:, 5] - rows[:, 8], rows[:, 6] - rows[:, 9])
    return bool((first > 0).all() and (np.abs(first - last) <= limit_mm).all())
