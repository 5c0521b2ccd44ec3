"""Stock already ripped to track width: only ends, joints and grooves are cut, end to end or fed from piece to piece.

Glossary:
    strip: wood of the track's width, edges already as they shall stay, lying along x against a fence.
    lead end: the end of the strip that is cut first, towards greater x. Stop: a block that the lead end is pushed
    against; the program's zero does not move, the stop does.
    window: the part of a fed strip that lies on the machine, its left end under a clamp. Not a board of its own.
    trim: wood cut off before a piece so that its end is clean: the bit's room, and what the last cut left ragged.

A strip within the machine's travel is cut in one run, pieces end to end. A longer one is fed: every piece is cut at the
same place of the machine, in a window that the strip is pushed through, and sawn off.

A piece lies with its start end towards the strip's tail and its far end towards the stop. The stop's place is what the
person sets; the same file serves all pieces of one kind.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import bounds, rectangle
from platelayer.units import show_length
from platelayer.values.pieces import Piece, Placement
from platelayer.values.shapes import Pose
from platelayer.values.tooling import Board, NoGo, StripFeed


@dataclass(frozen=True, slots=True, kw_only=True)
class StripStop:
    """Where the stop stands for one piece.

    Attributes:
        strip: which strip it comes from, from 0.
        stop_mm: x of the stop's face in the program's coordinates, the piece's start end face being at x 0.
        used_mm: strip gone once the piece is off, saw kerfs between left out.
        left_mm: strip left then.
    """

    strip: int
    stop_mm: float
    used_mm: float
    left_mm: float


def strip_stops(
    pieces: Sequence[Piece],
    strips_mm: Sequence[float],
    *,
    clearance_mm: float,
    held_mm: float,
) -> tuple[StripStop, ...]:
    """A stop for every piece, strips used up one after another in the order given.

    In front of each piece clearance_mm is trimmed; behind it clearance_mm goes for the bit, and when the piece's start
    end is a peg the wood beside that peg is ragged and is trimmed with the next piece. What is left of a strip must be
    at least held_mm long when a piece is cut, or it cannot be clamped.

    Args:
        pieces: straights in their own frames, in the order they are cut.
        strips_mm: lengths of the strips.
        clearance_mm: clear width the bit needs beyond an end.
        held_mm: least length under the clamps behind a piece.

    Raises:
        CannotCut: a curve, or strips that end before the pieces do.
    """
    bent = [piece for piece in pieces if not piece.is_straight]
    if bent:
        raise CannotCut(
            *(
                Fault(
                    where=f"[[piece]] {piece.id}",
                    problem="only straights come from strips of track width",
                    fix="Put it on a board.",
                )
                for piece in bent
            )
        )
    stops: list[StripStop] = []
    strip, left, ragged = 0, strips_mm[0] if strips_mm else 0.0, 0.0
    for index, piece in enumerate(pieces):
        low, _, high, _ = bounds(piece.outline)
        need = ragged + clearance_mm + (high - low) + clearance_mm
        while strip < len(strips_mm) and left < need + held_mm:
            strip, ragged = strip + 1, 0.0
            left = strips_mm[strip] if strip < len(strips_mm) else 0.0
            need = clearance_mm + (high - low) + clearance_mm
        if strip >= len(strips_mm):
            raise CannotCut(_too_short(pieces, index, need + held_mm))
        left -= need
        stops.append(StripStop(strip=strip, stop_mm=high + clearance_mm + ragged, used_mm=need, left_mm=left))
        ragged = -low
    return tuple(stops)


def place_end_to_end(
    pieces: Sequence[Piece], strips: Sequence[Board], *, clearance_mm: float, beyond_mm: float = 0.0
) -> tuple[Placement, ...]:
    """Every straight on a strip, the longest first and each on the first strip that has room left for it.

    Two rooms lie between neighbours, so that the cuts of their joints never meet, and wood between them that stands
    up to the bit; a strip's margin and a room before the first and behind the last, and where clamps lie on the margin
    as much more as what is wider than the bit reaches ``beyond`` the room.

    Raises:
        CannotCut: strips that end before the pieces do.
    """
    ends = {strip.id: max(strip.margin_mm + beyond_mm, FRONT_MM) if strip.margin_mm else FRONT_MM for strip in strips}
    taken = {strip.id: ends[strip.id] + clearance_mm for strip in strips}
    order = sorted(range(len(pieces)), key=lambda index: (-pieces[index].length_mm, index))
    placements: list[Placement] = []
    waiting: list[int] = []
    for index in order:
        low, _, high, _ = bounds(pieces[index].outline)
        fits = (s for s in strips if taken[s.id] + high - low + clearance_mm + ends[s.id] <= s.width_mm)
        strip = next(fits, None)
        if strip is None:
            waiting.append(index)
            continue
        placements.append(Placement(index, strip.id, Pose(taken[strip.id] - low, strip.height_mm / 2)))
        taken[strip.id] += high - low + 2 * clearance_mm + FRONT_MM
    if waiting:
        raise CannotCut(_no_room(pieces, sorted(waiting)))
    return tuple(sorted(placements, key=lambda placement: placement.index))


FRONT_MM: Final = 5.0
"""Waste before a piece and between two beside the bit's room, so that no thin wafer hangs on bridges; common practice,
no source."""


def windows(
    pieces: Sequence[Piece],
    strips: Sequence[Board],
    *,
    clearance_mm: float,
    travel_mm: float,
    beyond_mm: float = 0.0,
) -> tuple[tuple[Board, ...], tuple[Placement, ...]]:
    """A window for each kind of piece with all the runs of its file, and the first of each kind placed in its own.

    Args:
        pieces: straights in the order they are cut; those of one ``shape`` share a window.
        strips: as they lie in the shop, one after the other.
        clearance_mm: clear width the bit needs beyond an end.
        travel_mm: of the machine, along x.
        beyond_mm: how far beyond that room shank and holder reach over the clamp.

    Raises:
        CannotCut: a piece that does not fit into the travel, or strips that end before the pieces do.
    """
    room, held = clearance_mm + FRONT_MM, max(strip.margin_mm for strip in strips)
    held += max(0.0, beyond_mm - FRONT_MM) if held else 0.0
    lengths = [strip.width_mm for strip in strips]
    stops = strip_stops(pieces, lengths, clearance_mm=room, held_mm=held)
    found: dict[str, Board] = {}
    placements: list[Placement] = []
    faults: list[Fault] = []
    for index, (piece, stop) in enumerate(zip(pieces, stops, strict=True)):
        low, _, high, _ = bounds(piece.outline)
        face = held + room - low
        feed = StripFeed(
            piece_id=piece.id,
            strip=strips[stop.strip].id,
            stop_mm=face + stop.stop_mm,
            used_mm=stop.used_mm,
            left_mm=stop.left_mm,
        )
        if piece.shape in found:
            known = found[piece.shape]
            found[piece.shape] = replace(known, feeds=(*known.feeds, feed))
            continue
        wide = face + high + room
        if wide > travel_mm:
            faults.append(_too_long(piece, wide, travel_mm))
        name = piece.id.rsplit("-", 1)[0]
        found[piece.shape] = replace(strips[0], id=name, width_mm=wide, feeds=(feed,))
        placements.append(Placement(index, name, Pose(face, strips[0].height_mm / 2)))
    if faults:
        raise CannotCut(*faults)
    return tuple(found.values()), tuple(placements)


def with_clamps(strips: Sequence[Board], *, both_ends: bool) -> tuple[Board, ...]:
    """The strips with the margin at the left end, or at both, as no-go areas as high as a low clamp."""
    found = []
    for strip in strips:
        wide, high, margin = strip.width_mm, strip.height_mm, strip.margin_mm
        spans = [(0.0, margin), (wide - margin, wide)] if margin else []
        clamps = tuple(
            NoGo(rectangle((low, 0.0), (far, high)), CLAMP_RISE_MM, "clamp")
            for low, far in spans[: 2 if both_ends else 1]
        )
        found.append(replace(strip, no_go=(*strip.no_go, *clamps)))
    return tuple(found)


CLAMP_RISE_MM: Final = 10.0
"""How far a clamp on a strip's end may stand up above the wood; common practice, no source."""


def _too_long(piece: Piece, wide_mm: float, travel_mm: float) -> Fault:
    wide, travel = show_length(wide_mm), show_length(travel_mm)
    return Fault(
        where=f"[[piece]] {piece.id}",
        problem=f"with the bit's room and a clamp behind it takes {wide} of x, and the machine travels {travel}",
        fix="Make it shorter, or clamp less: margin in [[board]].",
    )


def _no_room(pieces: Sequence[Piece], waiting: Sequence[int]) -> Fault:
    names = ", ".join(pieces[index].id for index in waiting)
    return Fault(
        where="[[board]]",
        problem=f"the strips hold {len(pieces) - len(waiting)} of {len(pieces)} pieces; no room for {names}",
        fix="Give more strips, or longer ones.",
    )


def _too_short(pieces: Sequence[Piece], index: int, need_mm: float) -> Fault:
    names = ", ".join(piece.id for piece in pieces[index:])
    return Fault(
        where="[[board]]",
        problem=f"the strips end before {names}; {pieces[index].id} needs {show_length(need_mm)} of strip",
        fix="Give more strips, or longer ones.",
    )
