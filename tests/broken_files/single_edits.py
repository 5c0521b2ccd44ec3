"""Every single edit of a program: lines left out, doubled and swapped, words changed, words put in, comments replaced.

Lines are sorted into classes by the letters of their words; of each class some lines are taken, first, last and at
random, so that every kind of line is tried and a long cut does not drown the few lines between cuts.
"""

import random
import re
from collections import defaultdict

WORD = re.compile(r"([A-Z])(-?[\d.]+)")
PUT_IN = ("M0", "M1", "M3", "M4", "M5", "G20", "G21", "G91", "G64", "G55", "G18", "M30", "G17", "G90", "M8", "(a note)")
SWAPS = (("M0", "M1"), ("M3", "M4"), ("G90", "G91"), ("G21", "G20"), ("G20", "G21"), ("G54", "G55"), ("G17", "G18"))


def edits(text, *, each=3, seed=1):
    """(kind, where, spoilt text) of every edit; ``each`` lines of a class are taken, the first and the last besides."""
    lines = text.splitlines()
    chance = random.Random(seed)
    classes = defaultdict(list)
    for number, line in enumerate(lines):
        is_comment = line.startswith(("(", ";"))
        classes[line if is_comment or line[0] not in "G" or len(line) < 4 else _letters(line)].append(number)
    for name, where in list(classes.items()):
        chosen = {where[0], where[-1], *chance.sample(where, min(each, len(where)))}
        for number in sorted(chosen):
            yield from ((f"{what}: {name}", f"{number + 1} {lines[number]}", made) for what, made in _at(lines, number))
    for word, other in SWAPS:
        yield from _all_of(lines, word, [other], f"all {word} {other}")
    for word in ("G90", "G17", "G54", "G94", "G21", "G20", "M3", "M5", "M6", "M0", "G40"):
        yield from _all_of(lines, word, [], f"no {word}")
    for share in range(1, 10):
        yield f"cut off at {share}/10", "", _text(lines[: len(lines) * share // 10])
    yield "end doubled", "", _text([*lines, lines[-1]])
    yield "blank lines at the end", "", text + "\n\n"
    yield "small letters", "", "".join(line if "(" in line else line.lower() for line in text.splitlines(keepends=True))


def _letters(line):
    return " ".join(letter if letter in "XYZIJ" else letter + number for letter, number in WORD.findall(line))


def _text(lines):
    return "\n".join(lines) + "\n"


def _all_of(lines, word, instead, name):
    if word in lines:
        yield name, "", _text([one for line in lines for one in (instead if line == word else [line])])


def _at(lines, number):
    line = lines[number]
    before, after = lines[:number], lines[number + 1 :]
    yield "left out", _text([*before, *after])
    yield "twice", _text([*before, line, line, *after])
    if after:
        yield "swapped with the next", _text([*before, after[0], line, *after[1:]])
    if line.startswith("("):
        yield "comment replaced", _text([*before, "(nothing to do)", *after])
        for found in re.finditer(r"\d+(\.\d+)?", line):
            other = f"{float(found[0]) + 1:g}"
            yield f"{found[0]} {other}", _text([*before, line[: found.start()] + other + line[found.end() :], *after])
        return
    for found in WORD.finditer(line):
        letter, number_text = found[1], found[2]
        value = float(number_text)
        if letter in "GM":
            continue
        for name, other in (
            ("x10", value * 10),
            ("/10", value / 10),
            ("/100", value / 100),
            ("-", -value),
            ("+1", value + 1),
        ):
            if other != value:
                changed = line[: found.start(2)] + f"{other:.4f}".rstrip("0").rstrip(".") + line[found.end(2) :]
                yield f"{letter} {name}", _text([*before, changed, *after])
        yield f"{letter} left out", _text([*before, (line[: found.start()] + line[found.end() :]).strip(), *after])
    for word, other in SWAPS:
        if line == word:
            yield f"{word} {other}", _text([*before, other, *after])
    for word in PUT_IN:
        yield f"{word} before", _text([*before, word, line, *after])
