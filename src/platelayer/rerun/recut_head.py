"""What a recut says for itself: what it goes on with, what zero refers to and how to find it again, what to look at.

Glossary:
    witness: a place in a slot already cut by the same bit, where a person proves by hand that zero is right.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.manifest.schema import ManifestBit, ManifestBoard
from platelayer.rerun.written import Ways, WrittenPass, go_line
from platelayer.values.motion import Motion, MoveKind

WITNESS_DEPTH_MM: Final = 1.0
"""A slot shallower than this proves nothing to the hand. Common practice, no source."""

LOOK: Final = (
    "Look first: does the board lie as it lay, is it still held fast, do all tabs and skins still hold?",
    "Is the bit whole, sharp and tight? Are slots and spoilboard clear of chips, scraps and broken pieces?",
    "What is cut already is cut again as air. If anything looks wrong, stop at once.",
)


TURNED: Final = "The board is turned over already: do NOT turn it again, whatever is said below of turning"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecutHead:
    """What a recut is told: the whole file's name, where it stopped, where to begin, and what was said of zero.

    ``asked`` is the pass to go on with, ``begins`` the one from the wood's top that it begins with.
    ``stop_line`` is 0 where a person named pass or piece instead. ``bits`` are all bits of the whole file.
    ``is_turned``: the board was turned over before the whole file.
    ``duration_s`` is not worked out while None; the head has as many lines all the same.
    """

    name: str
    stop_line: int
    asked: WrittenPass
    begins: WrittenPass
    pass_count: int
    zero_is_lost: bool
    board: ManifestBoard
    bits: tuple[ManifestBit, ...]
    is_turned: bool = False
    duration_s: float | None = None


def head_sentences(head: RecutHead, motion: Motion, ways: Ways, *, behind: int) -> tuple[str, ...]:
    """Sentences for the head of a recut and for the person who asked for it; ``behind`` as in Recut.

    Where the whole file's head, which follows, asks for the board to be turned over, they say that it is already.
    """
    begins = head.begins
    time = f"about {max(1, math.ceil(head.duration_s / 60))} min" if head.duration_s is not None else "not worked out"
    later = "; pauses ask for the others" if len(head.bits) > begins.bit + 1 else ""
    return (
        f"RECUT: goes on with {head.name}"
        + (f", which stopped at its line {head.stop_line}" if head.stop_line else ""),
        f"Begins with pass {begins.number} of {head.pass_count}, {begins.title}, from its line {begins.first_line} on",
        *(
            [f"Pass {head.asked.number} comes down into a slot; this is the last before it from the top"]
            if head.asked != begins
            else []
        ),
        f"Line n of this file is line n {'+' if behind >= 0 else '-'} {abs(behind)} of that one",
        "Should this file stop too, go on with the whole one again, by its own line",
        f"Time: {time}",
        f"First bit: {head.bits[begins.bit].id}{later}",
        *(_lost(head, motion, ways) if head.zero_is_lost else _kept()),
        *LOOK,
        *((TURNED,) if head.is_turned else ()),
    )


def _kept() -> tuple[str, ...]:
    return (
        "Zero kept: so you said. x, y and z must be as when the whole file began",
        "Has power failed, a motor stalled or slipped, the board or the bit moved? Then zero is lost: do not run this",
    )


def _lost(head: RecutHead, motion: Motion, ways: Ways) -> tuple[str, ...]:
    """How to find zero again: what it refers to, in which order, and how to prove it."""
    on = (
        "on the spoilboard, beside the wood" if head.board.zero == "spoilboard" else "on the wood, where nothing is cut"
    )
    bit = head.bits[head.begins.bit].id
    return (
        "ZERO LOST: this file does not know where zero is and does not guess. Find it before you start",
        "All places count from one zero: x and y 0 at the board's near left corner, z 0 "
        + ("under the wood" if head.board.zero == "spoilboard" else "on top of the wood")
        + ". Find that very corner again; the edge of a cut is not zero",
        "If the board has moved, lay it back as it lay, against stops or on dowels. Never shift zero to suit it",
        f"Find z 0 {on}, with {bit} in the spindle",
        *_proof(head, motion, ways),
    )


def _proof(head: RecutHead, motion: Motion, ways: Ways) -> tuple[str, ...]:
    found = witnesses(head, motion)
    if not found:
        return ("No slot of this bit is there to prove it in: prove it over the corner, spindle off, before you start",)
    shown = [_place(at, ways) for at in found]
    return (
        "Prove it by hand, spindle off: the bit goes into the slot already cut, without force,",
        *(f"{'at' if number == 0 else 'and at'} {place}" for number, place in enumerate(shown)),
        "If it touches wood there, zero is wrong: find it again",
    )


def _place(at: tuple[float, float, float], ways: Ways) -> str:
    words = {letter: ways.grid.digits(value) for letter, value in zip("XYZ", at, strict=True)}
    unit = "in" if ways.grid.is_inch else "mm"
    return go_line("", words, ways.grid).strip() + f" {unit}"


def witnesses(head: RecutHead, motion: Motion) -> tuple[tuple[float, float, float], ...]:
    """Two places far apart where the bit stood in the wood before the recut begins; fewer when there are no more.

    Only ends of level moves by a bit as wide as the recut's first or wider count.
    """
    top_mm = head.board.thickness_mm if head.board.zero == "spoilboard" else 0.0
    widths = np.array([*(bit.diameter_mm for bit in head.bits), 0.0])
    is_wide = widths[motion.bit] >= head.bits[head.begins.bit].diameter_mm
    is_deep = motion.end[:, 2] <= top_mm - WITNESS_DEPTH_MM
    is_level = motion.end[:, 2] == motion.start[:, 2]
    rows = np.flatnonzero(
        (motion.kind != MoveKind.RAPID) & is_wide & is_deep & is_level & (motion.line < head.begins.first_line)
    )
    if not len(rows):
        return ()
    places = motion.end[rows]
    near = places[int(np.hypot(*places[:, :2].T).argmin())]
    far = places[int(np.hypot(*(places - near)[:, :2].T).argmax())]
    chosen = [near] if np.array_equal(near[:2], far[:2]) else [near, far]
    return tuple((float(x), float(y), float(z)) for x, y, z in chosen)
