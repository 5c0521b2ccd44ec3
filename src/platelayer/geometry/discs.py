"""Opening and closing by a disc: what a round bit reaches, and the corners in which it leaves wood.

Glossary:
    opened: the part of an area that a disc rolling inside it covers. closed: the area with all that no disc rolling
    outside it covers. A piece as cut by a flat bit is the piece closed by the bit's radius.
    corner left: wood in an inside corner that the disc does not reach. Not a fillet: nobody asked for it.

Stated error: with ``chord_mm`` the results stray from the exact ones by at most 3 chords as a distance (one for the
arcs of the area itself, one for each of the two disc steps), plus float noise. In a corner of angle a that becomes
3 chords / sin(a / 2), as the disc's last place slides along the bisector; where two edges run nearly together the
place is as uncertain as that says, though next to no area is. Where an area is open by exactly the disc's width the
answer is a sliver or nothing; ask for the width, not for emptiness.
"""

from typing import Final

from platelayer.geometry.regions import (
    Area,
    buffered,
    corners_within_mm,
    difference,
    furthest_outside_mm,
    inner_point,
    is_thinner_than_mm,
    parts,
    to_area,
    union_all,
)
from platelayer.values.cuts import UnreachedCorner
from platelayer.values.pieces import Piece
from platelayer.values.shapes import Region

_NOISE_CHORDS: Final = 4
"""A corner shallower than this many chords is the error of the closing, not wood."""


def opened(area: Area, radius_mm: float, *, chord_mm: float) -> Area:
    """The part of the area that a disc of that radius inside it covers; see the head for the error."""
    if radius_mm == 0:
        return area
    return buffered(buffered(area, -radius_mm, chord_mm=chord_mm), radius_mm, chord_mm=chord_mm)


def closed(area: Area, radius_mm: float, *, chord_mm: float) -> Area:
    """The area with all that a disc of that radius outside it cannot cover; see the head for the error."""
    if radius_mm == 0:
        return area
    grown = buffered(area, radius_mm, chord_mm=chord_mm)
    return union_all((buffered(grown, -radius_mm, chord_mm=chord_mm), area))


def unreached(area: Area, radius_mm: float, *, chord_mm: float) -> Area:
    """What closing adds to the area; see the head for the error."""
    grown = buffered(area, radius_mm, chord_mm=chord_mm)
    return difference(buffered(grown, -radius_mm, chord_mm=chord_mm), area)


def solid(piece: Piece, *, chord_mm: float) -> Area:
    """The piece as designed, seen from above, without its grooves."""
    return to_area(Region(piece.outline, piece.inner), chord_mm=chord_mm)


def as_cut(piece: Piece, bit_radius_mm: float, *, chord_mm: float) -> Area:
    """The piece as a flat bit of that radius leaves it, seen from above, without its grooves."""
    return closed(solid(piece, chord_mm=chord_mm), bit_radius_mm, chord_mm=chord_mm)


def corners_left(piece: Piece, bit_radius_mm: float, *, chord_mm: float) -> tuple[UnreachedCorner, ...]:
    """Every corner of the piece that a flat bit of that radius leaves wood in, sorted by place (x, then y)."""
    return area_corners_left(solid(piece, chord_mm=chord_mm), bit_radius_mm, chord_mm=chord_mm)


def area_corners_left(design: Area, bit_radius_mm: float, *, chord_mm: float) -> tuple[UnreachedCorner, ...]:
    """The same for an area, flattened to no coarser a chord than ``chord_mm``."""
    left = parts(unreached(design, bit_radius_mm, chord_mm=chord_mm))
    noise, found = _NOISE_CHORDS * chord_mm, []
    for part, is_flush in zip(left, corners_within_mm(left, design, noise).tolist(), strict=True):
        if is_flush and is_thinner_than_mm(part, noise):
            continue
        depth = furthest_outside_mm(part, design, chord_mm=chord_mm)
        if depth > noise:
            found.append(UnreachedCorner(at=inner_point(part), area_mm2=float(part.area), depth_mm=depth))
    return tuple(sorted(found, key=lambda corner: corner.at))
