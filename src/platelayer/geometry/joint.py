"""The joint: runs of lines and arcs for peg, socket and plain end, and its lengths in closed form.

Glossary:
    run: the part of an outline along one end, from the right corner of its face to the left as seen looking out.
    end frame: origin at the middle of the end face, x out of the piece. The piece lies at x < 0.
    root: where the neck meets the end face. gap: half the mouth less half the neck, each side.
    lip: the straight side of a mouth, from the face in to the hole.

Letters in formulas: r bit radius, g gap, n neck, all mm.
"""

import math
from dataclasses import dataclass, replace

from platelayer.geometry.contours import reversed_segment
from platelayer.geometry.turning import turned_segment
from platelayer.values.pieces import CornerRadii, EdgeLabel, EndKind, JointSizes, Role
from platelayer.values.shapes import Arc, Line, Point, Segment


@dataclass(frozen=True, slots=True)
class Run:
    """Segments along one end in the end frame and a role for each."""

    segments: tuple[Segment, ...]
    roles: tuple[Role, ...]

    def labels(self, end: int) -> tuple[EdgeLabel, ...]:
        """The roles as labels of that end."""
        return tuple(EdgeLabel(role, end) for role in self.roles)


def root_fillet_gap_mm(*, bit_radius_mm: float, mouth_width_mm: float, neck_width_mm: float) -> float:
    """Distance by which the fillet a bit leaves at the peg's root holds a sharp-cornered mouth off the end face.

    Returns:
        mm, never negative; 0 when g >= r, as the mouth's corner then passes outside the fillet.

    Raises:
        ValueError: mouth narrower than neck.

    Source:
        derived here: the fillet is the circle (u - r)^2 + (v - r)^2 = r^2, touching neck (u = 0) and face (v = 0);
        at the mouth's corner u = g its height is v = r - sqrt(r^2 - (r - g)^2).
        Worked: r = 1/16 in and g = 1/32 in give 0.2127 mm; r = 1/8 in gives 1.0749 mm.
    """
    gap = (mouth_width_mm - neck_width_mm) / 2
    if gap < 0:
        raise ValueError("the mouth is narrower than the neck")
    if gap >= bit_radius_mm:
        return 0.0
    return bit_radius_mm - math.sqrt(bit_radius_mm**2 - (bit_radius_mm - gap) ** 2)


def relief_depth_mm(*, bit_radius_mm: float, mouth_width_mm: float, neck_width_mm: float) -> float:
    """Depth of the overcut into the end face that lets a sharp-cornered mouth close on the face.

    The bit that left the fillet is moved into the face by the height of the fillet where the mouth's corner meets
    it, so this is ``root_fillet_gap_mm`` by another name; the bit stays tangent to the neck.

    Raises:
        ValueError: mouth narrower than neck.
    """
    return root_fillet_gap_mm(bit_radius_mm=bit_radius_mm, mouth_width_mm=mouth_width_mm, neck_width_mm=neck_width_mm)


def met_by_peg(joint: JointSizes, corners: CornerRadii) -> JointSizes:
    """The joint with the mouth that a relief must suit: as near to the neck as the peg, pushed home, may bring it.

    That is the mouth of its own socket or of the mate's, less the stated share of side play each way in that one;
    whichever comes nearer.
    """
    ratio = corners.relief_play_ratio
    nearest = min(one.mouth_width_mm - 2 * ratio * seated_side_mm(one) for one in entered_by_peg(joint, corners))
    return replace(joint, mouth_width_mm=max(joint.neck_width_mm, nearest))


def entered_by_peg(joint: JointSizes, corners: CornerRadii) -> tuple[JointSizes, ...]:
    """The joints that the peg makes: with its own socket, and with the mate's where there is one."""
    if corners.mate is None:
        return (joint,)
    return joint, mixed(peg=joint, socket=corners.mate)


def mixed(*, peg: JointSizes, socket: JointSizes) -> JointSizes:
    """The peg of one design with the socket of another."""
    return replace(
        peg,
        mouth_width_mm=socket.mouth_width_mm,
        hole_diameter_mm=socket.hole_diameter_mm,
        hole_setback_mm=socket.hole_setback_mm,
    )


def seated_side_mm(joint: JointSizes) -> float:
    """Side play each way of a sharp joint pushed home: until neck or head meets a lip, or the head its hole's wall.

    Zero where the peg does not go home, or where there is no such joint.

    Source:
        derived here: b = head centre - lip; the head's circle meets the lip's inner corner, m from the middle, at
        m - sqrt(R^2 - b^2). Worked: with the usual sizes b = 4.163, R = 5.556, m = 3.969, so 0.290 mm.
    """
    half_mouth, radius = joint.mouth_width_mm / 2, joint.head_diameter_mm / 2
    spare = joint.hole_diameter_mm / 2 - radius
    forward = hole_centre_mm(joint) - head_centre_mm(joint)
    if joint.mouth_width_mm >= joint.hole_diameter_mm or forward < -spare:
        return 0.0
    ways = [half_mouth - joint.neck_width_mm / 2]
    behind = head_centre_mm(joint) - lip_length_mm(joint)
    if abs(behind) < radius:
        ways.append(half_mouth - math.sqrt(radius**2 - behind**2))
    to_wall = math.sqrt(max(0.0, spare**2 - forward**2))
    if forward <= 0 or to_wall > spare * joint.mouth_width_mm / joint.hole_diameter_mm:
        ways.append(to_wall)  # else the head's back comes out of the mouth, between the lips' corners
    return max(0.0, min(ways))


def relief_reach_mm(joint: JointSizes, *, bit_radius_mm: float) -> float:
    """How far from the track's centre line the relief reaches along the face: n/2 + 2r - g; n/2 when none is needed.

    Raises:
        ValueError: mouth narrower than neck.
    """
    half_neck, gap = joint.neck_width_mm / 2, (joint.mouth_width_mm - joint.neck_width_mm) / 2
    if gap < 0:
        raise ValueError("the mouth is narrower than the neck")
    return half_neck + 2 * bit_radius_mm - gap if bit_radius_mm > gap else half_neck


def head_centre_mm(joint: JointSizes) -> float:
    """Distance of the head's centre out from the end face."""
    return joint.head_setback_mm + joint.head_diameter_mm / 2


def hole_centre_mm(joint: JointSizes) -> float:
    """Distance of the hole's centre in from the end face."""
    return joint.hole_setback_mm + joint.hole_diameter_mm / 2


def peg_reach_mm(joint: JointSizes) -> float:
    """How far the peg stands out beyond its end face."""
    return joint.head_setback_mm + joint.head_diameter_mm


def socket_reach_mm(joint: JointSizes) -> float:
    """How far the socket reaches in from its end face."""
    return joint.hole_setback_mm + joint.hole_diameter_mm


def neck_length_mm(joint: JointSizes) -> float:
    """Length of the neck's straight side, from the end face out to the head.

    Raises:
        ValueError: neck as wide as the head.
    """
    return head_centre_mm(joint) - _half_chord(joint.head_diameter_mm / 2, joint.neck_width_mm / 2, "neck", "head")


def lip_length_mm(joint: JointSizes) -> float:
    """Length of a mouth's straight lip, from the end face in to the hole, any ease included.

    Raises:
        ValueError: mouth as wide as the hole.
    """
    return hole_centre_mm(joint) - _half_chord(joint.hole_diameter_mm / 2, joint.mouth_width_mm / 2, "mouth", "hole")


def _half_chord(radius_mm: float, half_width_mm: float, what: str, of: str) -> float:
    if half_width_mm >= radius_mm:
        raise ValueError(f"the {what} is as wide as the {of}")
    return math.sqrt(radius_mm**2 - half_width_mm**2)


def end_run(kind: EndKind, *, width_mm: float, joint: JointSizes, corners: CornerRadii) -> Run:
    """The run of an end of that kind, from (0, -W/2) to (0, W/2) in the end frame, the piece to its left.

    Raises:
        ValueError: sizes that make no such end; ``sizes.check_sizes`` says it in words first.
    """
    match kind:
        case EndKind.PLAIN:
            return plain_run(width_mm=width_mm)
        case EndKind.PEG:
            met = met_by_peg(joint, corners)
            return peg_run(width_mm=width_mm, joint=met, relief_radius_mm=corners.relief_radius_mm)
        case EndKind.SOCKET:
            return socket_run(width_mm=width_mm, joint=joint, ease_radius_mm=corners.ease_radius_mm)


def plain_run(*, width_mm: float) -> Run:
    """The run of a plain end: its face."""
    return Run((Line((0.0, -width_mm / 2), (0.0, width_mm / 2)),), (Role.FACE,))


def peg_run(*, width_mm: float, joint: JointSizes, relief_radius_mm: float) -> Run:
    """The run of a peg: face, relief where one is needed, neck, head, and the same back.

    The relief is an arc of just that radius, tangent to the neck; none where the gap is no less than the radius.

    Raises:
        ValueError: neck as wide as the head, mouth narrower than the neck, a relief wider than the face or longer
            than the neck.
    """
    half_neck, half_width = joint.neck_width_mm / 2, width_mm / 2
    neck_mm = neck_length_mm(joint)
    head = Arc((neck_mm, -half_neck), (neck_mm, half_neck), (head_centre_mm(joint), 0.0), is_ccw=True)
    gap = (joint.mouth_width_mm - joint.neck_width_mm) / 2
    if relief_radius_mm <= max(gap, 0.0):
        right: tuple[Segment, ...] = (Line((0.0, -half_width), (0.0, -half_neck)), Line((0.0, -half_neck), head.start))
        return _both_sides(right, (Role.FACE, Role.PEG), (head,), Role.PEG)
    depth = relief_depth_mm(
        bit_radius_mm=relief_radius_mm, mouth_width_mm=joint.mouth_width_mm, neck_width_mm=joint.neck_width_mm
    )
    reach = relief_reach_mm(joint, bit_radius_mm=relief_radius_mm)
    on_neck = (relief_radius_mm - depth, -half_neck)
    if reach >= half_width or on_neck[0] >= neck_mm:
        raise ValueError("the relief does not go between neck, head and side")
    right = (
        Line((0.0, -half_width), (0.0, -reach)),
        Arc((0.0, -reach), on_neck, (on_neck[0], -half_neck - relief_radius_mm), is_ccw=False),
        Line(on_neck, head.start),
    )
    return _both_sides(right, (Role.FACE, Role.RELIEF, Role.PEG), (head,), Role.PEG)


def socket_run(*, width_mm: float, joint: JointSizes, ease_radius_mm: float) -> Run:
    """The run of a socket: face, ease where one is wanted, lip, hole, and the same back.

    Raises:
        ValueError: mouth as wide as the hole, an ease wider than the face or longer than the lip.
    """
    half_mouth, half_width = joint.mouth_width_mm / 2, width_mm / 2
    lip_mm, ease = lip_length_mm(joint), ease_radius_mm
    hole = Arc((-lip_mm, -half_mouth), (-lip_mm, half_mouth), (-hole_centre_mm(joint), 0.0), is_ccw=False)
    corner: Point = (0.0, -half_mouth)
    if ease <= 0:
        right: tuple[Segment, ...] = (Line((0.0, -half_width), corner), Line(corner, hole.start))
        return _both_sides(right, (Role.FACE, Role.SOCKET), (hole,), Role.SOCKET)
    if half_mouth + ease >= half_width or ease >= lip_mm:
        raise ValueError("the ease does not go between lip and side")
    on_face, on_lip = (0.0, -half_mouth - ease), (-ease, -half_mouth)
    right = (
        Line((0.0, -half_width), on_face),
        Arc(on_face, on_lip, (-ease, -half_mouth - ease), is_ccw=True),
        Line(on_lip, hole.start),
    )
    return _both_sides(right, (Role.FACE, Role.EASE, Role.SOCKET), (hole,), Role.SOCKET)


def _both_sides(
    right: tuple[Segment, ...], roles: tuple[Role, ...], middle: tuple[Segment, ...], middle_role: Role
) -> Run:
    """The run whose left half mirrors the right one about the track's centre line."""
    left = tuple(reversed_segment(turned_segment(segment, 0.0)) for segment in reversed(right))
    return Run(right + middle + left, roles + (middle_role,) * len(middle) + roles[::-1])
