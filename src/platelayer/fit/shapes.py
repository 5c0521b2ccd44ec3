"""A joint in numbers: sizes, cures and the fillets that a bit leaves, ready for closed forms.

Glossary:
    root: where the neck meets the end face. crook: where the neck meets the head.
    fillet: wood that a round bit leaves in an inside corner; its radius is the bit's.
    overcut: how far a relief goes into the end face.
    gap: half the mouth less half the neck.

Letters in formulas: n neck, m half mouth, R head radius, Q hole radius, r root radius, d overcut, g gap, all mm.
"""

import math
from dataclasses import dataclass, replace

from platelayer.geometry.joint import met_by_peg
from platelayer.values.pieces import CornerRadii, JointSizes


@dataclass(frozen=True, slots=True, kw_only=True)
class JointShape:
    """Peg and socket as they are, each in its own end frame (origin at the middle of the face, x out of the piece).

    Attributes:
        sizes: peg's sizes from the peg's piece, socket's from the socket's; they need not be of one design.
        width_mm: width of both pieces at the face.
        root_radius_mm: radius of the arc at the peg's root, fillet or relief; 0 for a sharp corner.
        overcut_mm: how far that arc goes into the end face; 0 for a plain fillet.
        crook_radius_mm: radius of the fillet between neck and head; 0 for a sharp corner.
        ease_radius_mm: radius of the mouth's outer corners; 0 for sharp ones.
    """

    sizes: JointSizes
    width_mm: float
    root_radius_mm: float = 0.0
    overcut_mm: float = 0.0
    crook_radius_mm: float = 0.0
    ease_radius_mm: float = 0.0

    @property
    def head_radius_mm(self) -> float:
        """Half the head's diameter, R."""
        return self.sizes.head_diameter_mm / 2

    @property
    def head_centre_mm(self) -> float:
        """Distance of the head's centre from the peg's face."""
        return self.sizes.head_setback_mm + self.sizes.head_diameter_mm / 2

    @property
    def hole_radius_mm(self) -> float:
        """Half the hole's diameter, Q."""
        return self.sizes.hole_diameter_mm / 2

    @property
    def hole_centre_mm(self) -> float:
        """Distance of the hole's centre from the socket's face."""
        return self.sizes.hole_setback_mm + self.sizes.hole_diameter_mm / 2

    @property
    def half_mouth_mm(self) -> float:
        """Half the mouth's width, m."""
        return self.sizes.mouth_width_mm / 2

    @property
    def half_neck_mm(self) -> float:
        """Half the neck's width."""
        return self.sizes.neck_width_mm / 2

    @property
    def lip_mm(self) -> float:
        """Length of the lip from the face to its inner corner: hole centre - sqrt(Q^2 - m^2)."""
        return self.hole_centre_mm - math.sqrt(self.hole_radius_mm**2 - self.half_mouth_mm**2)

    @property
    def crook_centre(self) -> tuple[float, float]:
        """Centre of the fillet between neck and head on the left of the peg, in the peg's end frame."""
        radius, beside = self.crook_radius_mm, self.half_neck_mm + self.crook_radius_mm
        return self.head_centre_mm - math.sqrt((self.head_radius_mm + radius) ** 2 - beside**2), beside


def as_designed(sizes: JointSizes, *, width_mm: float, corners: CornerRadii) -> JointShape:
    """The joint as drawn: sharp but for the cures.

    Raises:
        ValueError: sizes of which no joint can be made, in a few words.
    """
    _check(sizes)
    radius = corners.relief_radius_mm
    depth = relief_overcut_mm(met_by_peg(sizes, corners), relief_radius_mm=radius)
    is_relieved = depth > 0
    return JointShape(
        sizes=sizes,
        width_mm=width_mm,
        root_radius_mm=radius if is_relieved else 0.0,
        overcut_mm=depth,
        ease_radius_mm=corners.ease_radius_mm,
    )


def as_cut(sizes: JointSizes, *, width_mm: float, corners: CornerRadii, bit_radius_mm: float) -> JointShape:
    """The joint as a flat bit of that radius leaves it.

    Raises:
        ValueError: a bit too large for the mouth, for the relief or for the space beside the neck; the polygons of the
            closing must be asked then.
    """
    design = as_designed(sizes, width_mm=width_mm, corners=corners)
    if bit_radius_mm > design.half_mouth_mm:
        raise ValueError("the bit is too large for the mouth")
    if design.root_radius_mm and bit_radius_mm > design.root_radius_mm:
        raise ValueError("the bit is too large for the relief")
    shape = replace(design, root_radius_mm=design.root_radius_mm or bit_radius_mm, crook_radius_mm=bit_radius_mm)
    if shape.crook_centre[0] < shape.root_radius_mm - shape.overcut_mm:
        raise ValueError("the bit is too large for the space beside the neck")
    return shape


def relief_overcut_mm(sizes: JointSizes, *, relief_radius_mm: float) -> float:
    """How far a relief of that radius must go into the face: r - sqrt(r^2 - (r - g)^2); 0 where r <= g.

    Source: derived here: the arc, tangent to the neck, must pass the mouth's corner, g from the neck, at the face.
    """
    gap = (sizes.mouth_width_mm - sizes.neck_width_mm) / 2
    if relief_radius_mm <= gap:
        return 0.0
    return relief_radius_mm - math.sqrt(relief_radius_mm**2 - (relief_radius_mm - gap) ** 2)


def with_offsets(sizes: JointSizes, *, peg_mm: float = 0.0, socket_mm: float = 0.0) -> JointSizes:
    """Sizes with the outline of peg and socket moved into their wood, each side; positive is looser.

    The peg grows thinner by its offset all round, the socket wider; centres stay where they are. This is the only place
    where a joint offset enters: it is in the outline and never in a bit's diameter.
    """
    return JointSizes(
        neck_width_mm=sizes.neck_width_mm - 2 * peg_mm,
        head_diameter_mm=sizes.head_diameter_mm - 2 * peg_mm,
        head_setback_mm=sizes.head_setback_mm + peg_mm,
        mouth_width_mm=sizes.mouth_width_mm + 2 * socket_mm,
        hole_diameter_mm=sizes.hole_diameter_mm + 2 * socket_mm,
        hole_setback_mm=sizes.hole_setback_mm - socket_mm,
    )


def _check(sizes: JointSizes) -> None:
    if min(sizes.neck_width_mm, sizes.head_diameter_mm, sizes.mouth_width_mm, sizes.hole_diameter_mm) <= 0:
        raise ValueError("a width is not positive")
    if sizes.neck_width_mm >= sizes.head_diameter_mm:
        raise ValueError("the neck is as wide as the head")
    if sizes.mouth_width_mm >= sizes.hole_diameter_mm:
        raise ValueError("the mouth is as wide as the hole")


def with_bit_error(shape: JointShape, *, bit_error_mm: float) -> JointShape:
    """The joint as a bit leaves it whose diameter is that much above the one its paths were made for.

    Every wall goes back into the wood by half the error, faces too: pegs thinner, sockets wider. Inside corners follow
    the true bit, eases lose half the error. This is the only place where a bit's error enters a shape; paths made for
    the true diameter need none of it.
    """
    half = bit_error_mm / 2
    sizes = with_offsets(shape.sizes, peg_mm=half, socket_mm=half)
    sizes = replace(sizes, head_setback_mm=sizes.head_setback_mm + half, hole_setback_mm=sizes.hole_setback_mm - half)
    return replace(
        shape,
        sizes=sizes,
        root_radius_mm=max(shape.root_radius_mm + half, 0.0) if shape.root_radius_mm else 0.0,
        crook_radius_mm=max(shape.crook_radius_mm + half, 0.0) if shape.crook_radius_mm else 0.0,
        ease_radius_mm=max(shape.ease_radius_mm - half, 0.0),
    )


def with_bias(shape: JointShape, *, reach_mm: float, lip_mm: float) -> JointShape:
    """The joint with its head so much further out of the face, and each lip so much further from the middle.

    The lips keep their length. Two numbers are enough for what slack and scale do to the plays of a joint: all plays
    come from the head's circle and the lips' inner corners, and on the mean of both sides these move along and across.
    """
    sizes = shape.sizes
    mouth, hole = sizes.mouth_width_mm + 2 * lip_mm, sizes.hole_diameter_mm
    moved = replace(
        sizes,
        head_setback_mm=sizes.head_setback_mm + reach_mm,
        mouth_width_mm=mouth,
        hole_setback_mm=shape.lip_mm + math.sqrt(max(hole**2 - mouth**2, 0.0)) / 2 - hole / 2,
    )
    return replace(shape, sizes=moved)
