"""The straight: any length, any two ends.

Glossary:
    length: between the end faces along the centre line; a peg stands out beyond it.
"""

from collections.abc import Iterator
from typing import Final

from platelayer.errors import Fault
from platelayer.pieces.kind import Key, Kind, Making, Measure, Sizes, faces_of, number
from platelayer.pieces.limits import ends_words, flares_fault, flares_mm, is_grooved, reach_mm
from platelayer.pieces.sizes import at_least
from platelayer.pieces.track import one_route, track_piece
from platelayer.tolerances import COINCIDENT_MM, LAND_MM
from platelayer.units import show_length, show_short
from platelayer.values.pieces import EndKind, Piece, Route
from platelayer.values.shapes import Line
from platelayer.values.tooling import PieceOrder


def centre_line(length_mm: float) -> Line:
    """From the origin along x."""
    return Line((0.0, 0.0), (length_mm, 0.0))


def _title(sizes: Sizes) -> str:
    return f"straight {show_short(number(sizes, 'length'))}"


def _routes(sizes: Sizes) -> tuple[Route, ...]:
    return (one_route(centre_line(number(sizes, "length"))),)


def _faults(order: PieceOrder, making: Making) -> Iterator[Fault]:
    length = number(order.sizes, "length")
    where, found = f"[[piece]] {order.name} length", show_length(length)
    least = sum(reach_mm(end, making) for end in order.ends) + LAND_MM
    if not length > 0:
        yield Fault(where=where, found=found, problem="must be more than nothing")
    elif length < least - COINCIDENT_MM:
        yield Fault(
            where=where,
            found=found,
            problem=f"too short for its ends, {ends_words(order)} (limit "
            f"{show_length(least)}, {show_length(LAND_MM)} of wood between them included)",
            fix=f"Use at least {at_least(least)}, or other ends.",
        )
    elif is_grooved(order) and flares_mm(making.track) > length + COINCIDENT_MM:
        yield flares_fault(where, found, making)


def _build(order: PieceOrder, making: Making) -> Piece:
    line = centre_line(number(order.sizes, "length"))
    return track_piece(line, kind=order.kind, ends=order.ends, faces=faces_of(order), making=making)


STRAIGHT: Final = Kind(
    name="straight",
    summary="a straight of any length between its end faces",
    keys=(
        Key(
            name="length",
            measure=Measure.LENGTH,
            missing="Write the length between the end faces.",
            meaning="length between its end faces; a peg stands out beyond it.",
            rule="room for its ends, and 1.5 mm of wood between them",
            example='"5 15/16 in"',
        ),
    ),
    ends=(("start", EndKind.SOCKET), ("end", EndKind.PEG)),
    title=_title,
    routes=_routes,
    faults=_faults,
    build=_build,
)
