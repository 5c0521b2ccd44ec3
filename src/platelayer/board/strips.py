"""Stock already ripped to track width: only ends, joints and grooves are cut, and the strip is fed from piece to piece.

Glossary:
    strip: wood of the track's width, edges already as they shall stay, lying along x against a fence.
    lead end: the end of the strip that is cut first, towards greater x. Stop: a block that the lead end is pushed
    against; the program's zero does not move, the stop does.
    trim: wood cut off before a piece so that its end is clean: the bit's room, and what the last cut left ragged.

A piece lies with its start end towards the strip's tail and its far end towards the stop. The stop's place is what the
person sets; the same file serves all pieces of one kind.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import bounds
from platelayer.units import LengthUnit, show_length
from platelayer.values.pieces import Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class StripStop:
    """Where the stop stands for one piece.

    Attributes:
        piece_id: the piece.
        strip: which strip it comes from, from 0.
        stop_mm: x of the stop's face in the program's coordinates, the piece's start end face being at x 0.
        used_mm: strip gone once the piece is off, saw kerfs between left out.
        left_mm: strip left then.
    """

    piece_id: str
    strip: int
    stop_mm: float
    used_mm: float
    left_mm: float


def strip_stops(
    pieces: Sequence[Piece],
    strips_mm: Sequence[float],
    *,
    room_mm: float,
    held_mm: float,
    unit: LengthUnit = "in",
) -> tuple[StripStop, ...]:
    """A stop for every piece, strips used up one after another in the order given.

    In front of each piece room_mm is trimmed; behind it room_mm goes for the bit, and when the piece's start end is a
    peg the wood beside that peg is ragged and is trimmed with the next piece. What is left of a strip must be at
    least held_mm long when a piece is cut, or it cannot be clamped.

    Args:
        pieces: straights in their own frames, in the order they are cut.
        strips_mm: lengths of the strips.
        room_mm: clear width the bit needs beyond an end.
        held_mm: least length under the clamps behind a piece.
        unit: the unit shown first in faults.

    Raises:
        CannotCut: a curve, or strips that end before the pieces do.
    """
    bent = [piece for piece in pieces if piece.kind != "straight"]
    if bent:
        raise CannotCut(
            *(
                Fault(
                    where=f"[[piece]] {piece.id}",
                    problem="only straights come from strips of track width",
                    mend="Put it on a board.",
                )
                for piece in bent
            )
        )
    stops: list[StripStop] = []
    strip, left, ragged = 0, strips_mm[0] if strips_mm else 0.0, 0.0
    for index, piece in enumerate(pieces):
        low, _, high, _ = bounds(piece.outline)
        need = ragged + room_mm + (high - low) + room_mm
        while strip < len(strips_mm) and left < need + held_mm:
            strip, ragged = strip + 1, 0.0
            left = strips_mm[strip] if strip < len(strips_mm) else 0.0
            need = room_mm + (high - low) + room_mm
        if strip >= len(strips_mm):
            raise CannotCut(_too_short(pieces, index, need + held_mm, unit))
        left -= need
        stops.append(
            StripStop(piece_id=piece.id, strip=strip, stop_mm=high + room_mm + ragged, used_mm=need, left_mm=left)
        )
        ragged = -low
    return tuple(stops)


def _too_short(pieces: Sequence[Piece], index: int, need_mm: float, unit: LengthUnit) -> Fault:
    names = ", ".join(piece.id for piece in pieces[index:])
    return Fault(
        where="[[strip]]",
        problem=f"the strips end before {names}; {pieces[index].id} needs {show_length(need_mm, first=unit)} of strip",
        mend="Give more strips, or longer ones.",
    )
