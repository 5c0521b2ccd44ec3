"""Pegs and sockets built here by hand from boxes and discs, so that the code under test meets shapes it did not make.

End frame: origin at the middle of the end face, x out of the piece, mm.
"""

import math

import shapely
from shapely.geometry import Polygon, box

from platelayer.values.pieces import JointSizes

# sizes of the trade: common practice, no source
USUAL = JointSizes(
    neck_width_mm=6.35,
    head_diameter_mm=11.1125,
    head_setback_mm=7.14375,
    mouth_width_mm=7.9375,
    hole_diameter_mm=12.7,
    hole_setback_mm=7.14375,
)
WIDTH_MM = 39.6875
BODY_MM = 30.0


def disc(x, y, radius, chord=2e-6):
    """A disc as a polygon whose edges stray equally in and out, chord mm at most."""
    count = max(16, math.ceil(math.pi / math.acos(1 - min(chord / radius, 0.5))))
    half = math.pi / count
    outer = 2 * radius / (1 + math.cos(half))
    return Polygon([
        (x + outer * math.cos(half * (2 * k + 1)), y + outer * math.sin(half * (2 * k + 1))) for k in range(count)
    ])


def head_centre(sizes):
    return sizes.head_setback_mm + sizes.head_diameter_mm / 2


def hole_centre(sizes):
    return sizes.hole_setback_mm + sizes.hole_diameter_mm / 2


def relief_depth(sizes, bit_radius):
    gap = (sizes.mouth_width_mm - sizes.neck_width_mm) / 2
    return 0.0 if bit_radius <= gap else bit_radius - math.sqrt(bit_radius**2 - (bit_radius - gap) ** 2)


def closed_by(solid, bit_radius):
    """Closing by a disc: what a bit leaves. GEOS loses parts of solids flattened finer than about 1e-5."""
    return solid.buffer(bit_radius, quad_segs=128).buffer(-bit_radius, quad_segs=128)


def peg_solid(sizes=USUAL, *, root_radius=0.0, relieved=False, crook_radius=0.0, width=WIDTH_MM, chord=2e-6):
    """Body, neck and head; with the fillet a bit leaves at the root, or with the relief that cures it."""
    half = sizes.neck_width_mm / 2
    solid = shapely.union_all([
        box(-BODY_MM, -width / 2, 0, width / 2),
        box(-1, -half, head_centre(sizes), half),
        disc(head_centre(sizes), 0, sizes.head_diameter_mm / 2, chord),
    ])
    if crook_radius:
        solid = _with_crooks(solid, sizes, crook_radius, chord)
    if not root_radius:
        return solid
    depth = relief_depth(sizes, root_radius) if relieved else 0.0
    for side in (1, -1):
        void = disc(root_radius - depth, side * (half + root_radius), root_radius, chord)
        near, far = sorted((side * half, side * (half + root_radius)))
        corner = box(-1 if depth == 0 else 0, near, root_radius - depth, far)
        solid = solid.union(corner.difference(void))
        solid = solid.difference(void)
    return solid


def _with_crooks(solid, sizes, radius, chord):
    """The fillets a bit leaves where the neck meets the head."""
    head, beside = sizes.head_diameter_mm / 2, sizes.neck_width_mm / 2 + radius
    centre = head_centre(sizes)
    along = centre - math.sqrt((head + radius) ** 2 - beside**2)
    share = radius / (head + radius)
    for side in (1, -1):
        touch = (along + share * (centre - along), side * beside * (1 - share))
        corner = Polygon([(along, side * beside), (along, 0), (centre, 0), touch])
        solid = solid.union(corner.difference(disc(along, side * beside, radius, chord)))
    return solid


def socket_solid(sizes=USUAL, *, ease_radius=0.0, width=WIDTH_MM, chord=2e-6):
    """Body with mouth and hole; the mouth's outer corners sharp or rounded."""
    half = sizes.mouth_width_mm / 2
    solid = box(-BODY_MM, -width / 2, 0, width / 2)
    solid = solid.difference(box(-hole_centre(sizes), -half, 1, half))
    solid = solid.difference(disc(-hole_centre(sizes), 0, sizes.hole_diameter_mm / 2, chord))
    if ease_radius:
        for side in (1, -1):
            near, far = sorted((side * half, side * (half + ease_radius)))
            corner = box(-ease_radius, near, 1, far)
            rounding = disc(-ease_radius, side * (half + ease_radius), ease_radius, chord)
            solid = solid.difference(corner.difference(rounding))
    return solid
