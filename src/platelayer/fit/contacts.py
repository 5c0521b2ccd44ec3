"""Where peg and socket come nearest, the faces left out: the place a person would file or sand.

Glossary:
    clearance: distance between the two outlines at a contact, negative where they overlap.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from platelayer.fit.shapes import JointShape
from platelayer.values.shapes import Point


class ContactKind(StrEnum):
    """Which features meet, in words a person reads."""

    HEAD_LIP = "head against the inner corner of the lip"
    HEAD_HOLE = "head against the wall of the hole"
    NECK_LIP = "neck against the lip"
    ROOT_MOUTH = "root of the peg against the corner of the mouth"
    CROOK_LIP = "fillet under the head against the inner corner of the lip"


@dataclass(frozen=True, slots=True)
class Contact:
    """Clearance of two features and the place, in the socket's end frame."""

    kind: ContactKind
    clearance_mm: float
    at: Point


def contacts(shape: JointShape, *, opening_mm: float) -> tuple[Contact, ...]:
    """Clearances at the near side (+y), pieces in line and centred, the narrowest first.

    Head and hole are compared at the hole's bottom.
    """
    lip, mouth = shape.lip_mm, shape.half_mouth_mm
    head = (opening_mm - shape.head_centre_mm, 0.0)
    from_corner = math.hypot(head[0] + lip, mouth)
    behind = -(head[0] + shape.hole_centre_mm)
    bottom = -shape.hole_centre_mm - shape.hole_radius_mm
    found = [
        Contact(ContactKind.HEAD_LIP, from_corner - shape.head_radius_mm, (-lip, mouth)),
        Contact(ContactKind.HEAD_HOLE, shape.hole_radius_mm - shape.head_radius_mm - behind, (bottom, 0.0)),
        Contact(ContactKind.NECK_LIP, mouth - shape.half_neck_mm, (-(lip + shape.ease_radius_mm) / 2, mouth)),
    ]
    found += _in_fillets(shape, opening_mm)
    return tuple(sorted(found, key=lambda contact: (contact.clearance_mm, contact.kind)))


def _in_fillets(shape: JointShape, opening: float) -> list[Contact]:
    """Root and crook, where the corner stands in the quarter of the arc that has wood behind it."""
    found = []
    radius, ease = shape.root_radius_mm, shape.ease_radius_mm
    along = opening + ease - (radius - shape.overcut_mm)
    across = shape.half_mouth_mm + ease - (shape.half_neck_mm + radius)
    if radius > ease and along <= 0 and across <= 0:
        apart = math.hypot(along, across)
        at = (-ease, shape.half_mouth_mm + ease)
        found.append(Contact(ContactKind.ROOT_MOUTH, radius - ease - apart, at))
    if shape.crook_radius_mm > 0:
        centre = shape.crook_centre
        along, across = shape.lip_mm + opening - centre[0], shape.half_mouth_mm - centre[1]
        furthest = (shape.head_centre_mm - centre[0]) / (shape.head_radius_mm + shape.crook_radius_mm)
        apart = math.hypot(along, across)
        if across <= 0 <= along <= furthest * apart:
            at = (-shape.lip_mm, shape.half_mouth_mm)
            found.append(Contact(ContactKind.CROOK_LIP, shape.crook_radius_mm - apart, at))
    return found
