"""The family of pieces by name, and a piece from a line of the cut list.

Glossary:
    kind: name of a piece in the catalogue. Not a title: that names one size of it.
    order: one line of the cut list, of which several pieces may be made.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.geometry.curve import curve
from platelayer.geometry.orders import check_orders
from platelayer.geometry.straight import straight
from platelayer.units import LengthUnit, show_fraction, to_inches
from platelayer.values.pieces import BoardFace, CornerRadii, JointSizes, Piece, TrackSizes
from platelayer.values.tooling import PieceOrder


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """A kind of piece as a list shows it: what it is, and the keys of the job that size it."""

    kind: str
    summary: str
    keys: tuple[str, ...]


CATALOGUE: Final = (
    CatalogueEntry(
        "straight", "a straight of any length between its end faces", ("length", "start", "end", "grooves", "turns")
    ),
    CatalogueEntry(
        "curve",
        "an arc of any centre-line radius and angle, left or right",
        ("radius", "angle", "hand", "start", "end", "grooves", "turns"),
    ),
)
"""Every kind of piece, in the order of a list. Ends are peg, socket or plain in any combination."""


def piece_from_order(
    order: PieceOrder,
    index: int,
    *,
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
    unit: LengthUnit = "in",
) -> Piece:
    """One piece of an order, in its own frame, with the id ``NAME-NN``.

    Args:
        order: the line of the cut list.
        index: which of its pieces, from 1.
        track: cross-section; its flare as finally chosen.
        joint: as designed, shop offsets included.
        corners: relief and ease as finally chosen.
        unit: the job's own: titles are in it, faults show it first.

    Raises:
        JobError: every size of joint, track and order that cannot be.
    """
    faults = check_orders((order,), joint=joint, track=track, corners=corners, unit=unit)
    if faults:
        raise JobError(*faults)
    faces = tuple(
        face
        for face, is_wanted in ((BoardFace.TOP, order.grooves_top), (BoardFace.BOTTOM, order.grooves_bottom))
        if is_wanted
    )
    piece_id, title = _id_of(order, index), title_of(order, unit=unit)
    match order.kind:
        case "straight":
            return straight(
                id=piece_id,
                title=title,
                length_mm=order.length_mm,
                ends=order.ends,
                faces=faces,
                track=track,
                joint=joint,
                corners=corners,
            )
        case "curve":
            return curve(
                id=piece_id,
                title=title,
                radius_mm=order.radius_mm,
                angle_rad=order.angle_rad,
                is_left=order.is_left,
                ends=order.ends,
                faces=faces,
                track=track,
                joint=joint,
                corners=corners,
            )
        case _:
            known = ", ".join(entry.kind for entry in CATALOGUE)
            raise JobError(
                Fault(
                    where=f"[[piece]] {order.name} kind",
                    found=order.kind,
                    problem="no such kind of piece",
                    mend=f"Use one of: {known}.",
                )
            )


def pieces_from_order(
    order: PieceOrder, *, track: TrackSizes, joint: JointSizes, corners: CornerRadii, unit: LengthUnit = "in"
) -> tuple[Piece, ...]:
    """All pieces of an order, which differ in their ids alone; arguments and faults as ``piece_from_order``."""
    first = piece_from_order(order, 1, track=track, joint=joint, corners=corners, unit=unit)
    return tuple(replace(first, id=_id_of(order, index)) for index in range(1, order.count + 1))


def _id_of(order: PieceOrder, index: int) -> str:
    return f"{order.name}-{index:02d}"


def title_of(order: PieceOrder, *, unit: LengthUnit) -> str:
    """What a person calls the piece, in the job's unit: ``straight 5 15/16 in``, ``curve 200 mm 45 degrees left``."""
    match order.kind:
        case "straight":
            return f"straight {_short(order.length_mm, unit)}"
        case "curve":
            hand = "left" if order.is_left else "right"
            return f"curve {_short(order.radius_mm, unit)} {math.degrees(order.angle_rad):.6g} degrees {hand}"
        case _:
            return order.kind


def _short(length_mm: float, unit: LengthUnit) -> str:
    """The length in mm or in inches; in inches as a fraction where it is one."""
    if unit == "mm":
        return f"{length_mm:.6g} mm"
    fraction = show_fraction(length_mm)
    return f"{to_inches(length_mm):.5g} in" if fraction.startswith("~") else fraction
