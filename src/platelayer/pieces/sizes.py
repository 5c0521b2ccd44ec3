"""What sizes of joint and track cannot be, as faults in words with value and limit.

Glossary:
    fault: one wrong size, by its table and key. All faults of a job are found at once.
    floor: wood left under a groove. Not a web: that is between a groove above and one below.

Whether a job's own peg seats in the job's own socket is not asked here: either may be sized for a bought mate. That
is measured on the shapes as cut. Which relief or ease a bit needs, and the land beside it, is asked of the bit.
"""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.contours import distance_to_segment_mm
from platelayer.geometry.joint import (
    hole_centre_mm,
    lip_length_mm,
    met_by_peg,
    neck_length_mm,
    relief_depth_mm,
    relief_reach_mm,
)
from platelayer.tolerances import COINCIDENT_MM, LAND_MM
from platelayer.units import is_fraction, show_length
from platelayer.values.pieces import CornerRadii, JointSizes, TrackSizes
from platelayer.values.shapes import Line

_JOINT_KEYS: Final = (
    "mouth_width",
    "neck_width",
    "head_diameter",
    "head_setback",
    "hole_diameter",
    "hole_setback",
)
_TRACK_KEYS: Final = ("width", "thickness", "groove_outer", "groove_inner", "groove_depth")
_FLARE_KEYS: Final = ("flare_length", "flare_extra")


def check_sizes(joint: JointSizes, track: TrackSizes, *, corners: CornerRadii | None = None) -> tuple[Fault, ...]:
    """Every fault of joint and track, in the order joint, track, joint in track; none when pieces can be made.

    Args:
        joint: as designed.
        track: as designed.
        corners: relief and ease, as far as they are known yet.
    """
    wrong = tuple(_not_positive(joint, track))
    if wrong:
        return wrong
    found = (*_joint_faults(joint), *_track_faults(track))
    if found:
        return found
    return (*_land_faults(joint, track), *_corner_faults(joint, track, corners or CornerRadii()))


def check_joint(joint: JointSizes, *, table: str = "joint") -> tuple[Fault, ...]:
    """Every fault of a joint by itself, named by the table of the job that it stands in."""
    found = tuple(_joint_faults(joint))
    return tuple(replace(fault, where=fault.where.replace("[joint]", f"[{table}]")) for fault in found)


def _not_positive(joint: JointSizes, track: TrackSizes) -> Iterator[Fault]:
    for table, keys, sizes in (("joint", _JOINT_KEYS, joint), ("track", _TRACK_KEYS, track)):
        for key in keys:
            value = getattr(sizes, f"{key}_mm")
            if not (math.isfinite(value) and value > 0):
                yield Fault(
                    where=f"[{table}] {key}",
                    found=show_length(value) if math.isfinite(value) else str(value),
                    problem="must be more than nothing",
                )
    for key in _FLARE_KEYS:
        value = getattr(track, f"{key}_mm")
        if not (math.isfinite(value) and value >= 0):
            yield Fault(
                where=f"[track] {key}",
                found=show_length(value) if math.isfinite(value) else str(value),
                problem="must not be less than nothing",
                fix="Use 0 for grooves without a flare.",
            )


def _joint_faults(joint: JointSizes) -> Iterator[Fault]:
    def shown(value_mm: float) -> str:
        return show_length(value_mm)

    neck, mouth = shown(joint.neck_width_mm), shown(joint.mouth_width_mm)
    head, hole = shown(joint.head_diameter_mm), shown(joint.hole_diameter_mm)
    if joint.mouth_width_mm >= joint.head_diameter_mm:
        compared = "as wide as" if joint.mouth_width_mm == joint.head_diameter_mm else "wider than"
        yield Fault(
            where="[joint] mouth_width",
            found=mouth,
            problem=f"{compared} the head, {head}, so a peg falls out",
            fix=f"Use less than {head}, or a wider head.",
        )
    if joint.neck_width_mm > joint.mouth_width_mm:
        yield Fault(
            where="[joint] neck_width",
            found=neck,
            problem=f"wider than the mouth, {mouth}, so a peg does not go in",
            fix=f"Use no more than {mouth}, or a wider mouth.",
        )
    if joint.hole_diameter_mm < joint.head_diameter_mm:
        yield Fault(
            where="[joint] hole_diameter",
            found=hole,
            problem=f"smaller than the head, {head}, so a peg does not go in",
            fix=f"Use at least {head}, or a smaller head.",
        )
    if joint.neck_width_mm >= joint.head_diameter_mm:
        yield Fault(
            where="[joint] head_diameter",
            found=head,
            problem=f"no wider than the neck, {neck}, so there is no head to hold",
            fix=f"Use more than {neck}, or a narrower neck.",
        )
    if joint.mouth_width_mm >= joint.hole_diameter_mm:
        yield Fault(
            where="[joint] hole_diameter",
            found=hole,
            problem=f"no wider than the mouth, {mouth}, so there is no lip to hold a head",
            fix=f"Use more than {mouth}, or a narrower mouth.",
        )


def _track_faults(track: TrackSizes) -> Iterator[Fault]:
    def shown(value_mm: float) -> str:
        return show_length(value_mm)

    land = shown(LAND_MM)
    if track.groove_width_mm <= 0:
        yield Fault(
            where="[track] groove_inner",
            found=shown(track.groove_inner_mm),
            problem=f"no further from the edge than groove_outer, {shown(track.groove_outer_mm)}",
            fix="Both are measured from the same long edge; groove_inner is the larger.",
        )
    if 0 < track.flare_length_mm < _flare_mm(track):
        yield Fault(
            where="[track] flare_length",
            found=shown(track.flare_length_mm),
            problem=f"shorter than flare_extra, {shown(track.flare_extra_mm)}: a bit that runs out along a flare "
            "steeper than 45 degrees would come back through the end face",
            fix=f"Use at least {at_least(track.flare_extra_mm)}, or 0 for grooves without a flare.",
        )
    if track.groove_outer_mm < LAND_MM:
        yield Fault(
            where="[track] groove_outer",
            found=shown(track.groove_outer_mm),
            problem=f"the land between groove and edge is too thin (limit {land}; thinner chips off)",
            fix=f"Use at least {land}.",
        )
    elif track.groove_outer_mm - _flare_mm(track) < LAND_MM:
        most = at_most(track.groove_outer_mm - LAND_MM)
        yield Fault(
            where="[track] flare_extra",
            found=shown(track.flare_extra_mm),
            problem=f"the flare leaves {_land(track.groove_outer_mm - track.flare_extra_mm)} between groove and "
            f"edge (limit {land}; thinner chips off)",
            fix=f"Use at most {most}.",
        )
    between = track.width_mm - 2 * track.groove_inner_mm - 2 * _flare_mm(track)
    if between < LAND_MM:
        yield Fault(
            where="[track] groove_inner",
            found=shown(track.groove_inner_mm),
            problem=f"the grooves of a track {shown(track.width_mm)} wide come too near each other (limit {land} of "
            "wood between them, flares counted)",
            fix=f"Use at most {at_most((track.width_mm - LAND_MM) / 2 - _flare_mm(track))}, or a wider track.",
        )
    if track.groove_depth_mm >= track.thickness_mm:
        yield Fault(
            where="[track] groove_depth",
            found=shown(track.groove_depth_mm),
            problem=f"goes through the board, {shown(track.thickness_mm)} thick",
            fix=f"Use at most {at_most(track.thickness_mm - LAND_MM)}.",
        )
    elif track.thickness_mm - track.groove_depth_mm < LAND_MM:
        yield Fault(
            where="[track] groove_depth",
            found=shown(track.groove_depth_mm),
            problem=f"leaves a floor of {shown(track.thickness_mm - track.groove_depth_mm)} under the groove (limit "
            f"{land})",
            fix=f"Use at most {at_most(track.thickness_mm - LAND_MM)}.",
        )


def _land(left_mm: float) -> str:
    return f"{show_length(left_mm)} of land" if left_mm > 0 else "no land"


def _flare_mm(track: TrackSizes) -> float:
    return track.flare_extra_mm if track.flare_length_mm > 0 else 0.0


def _land_faults(joint: JointSizes, track: TrackSizes) -> Iterator[Fault]:
    """Faults of a joint too wide for its track: the land beside hole and mouth, on a straight."""
    to_groove = track.width_mm / 2 - track.groove_inner_mm
    flare = _flare_mm(track)
    flared = Line((0.0, to_groove - flare), (track.flare_length_mm, to_groove))
    reach = hole_centre_mm(joint)
    to_wall = to_groove
    if flare and reach < track.flare_length_mm + joint.hole_diameter_mm / 2:
        to_wall = min(to_groove, distance_to_segment_mm(flared, (reach, 0.0)))
    beside_hole = to_wall - joint.hole_diameter_mm / 2
    land = show_length(LAND_MM)
    if beside_hole < LAND_MM - COINCIDENT_MM:
        most = at_most(2 * (to_wall - LAND_MM))
        yield Fault(
            where="[joint] hole_diameter",
            found=show_length(joint.hole_diameter_mm),
            problem=f"too wide for the track: leaves {_land(beside_hole)} beside the groove (limit {land})",
            fix=f"Use at most {most}, or move the grooves out.",
        )
    beside_mouth = to_groove - flare - joint.mouth_width_mm / 2
    if beside_mouth < LAND_MM - COINCIDENT_MM:
        most = at_most(2 * (to_groove - flare - LAND_MM))
        yield Fault(
            where="[joint] mouth_width",
            found=show_length(joint.mouth_width_mm),
            problem=f"too wide for the track: leaves {_land(beside_mouth)} beside the flared groove (limit {land})",
            fix=f"Use at most {most}, flare less, or move the grooves out.",
        )


def _corner_faults(joint: JointSizes, track: TrackSizes, corners: CornerRadii) -> Iterator[Fault]:
    """Faults of a relief or an ease that has no room between neck, head, lip and side."""
    ease, relief = corners.ease_radius_mm, corners.relief_radius_mm
    if ease > 0 and (ease >= lip_length_mm(joint) or joint.mouth_width_mm / 2 + ease >= track.width_mm / 2):
        yield Fault(
            where="[joint] hole_setback",
            found=show_length(joint.hole_setback_mm),
            problem=f"an ease of {show_length(ease)} leaves nothing straight of the mouth's lip, "
            f"{show_length(lip_length_mm(joint))} long",
            fix="Set the hole further back, or use a smaller bit.",
        )
    if relief_mm(joint, corners) <= 0:
        return
    along_neck = relief - relief_mm(joint, corners)
    is_wide = relief_reach_mm(met_by_peg(joint, corners), bit_radius_mm=relief) >= track.width_mm / 2
    if along_neck >= neck_length_mm(joint) or is_wide:
        yield Fault(
            where="[joint] head_setback",
            found=show_length(joint.head_setback_mm),
            problem=f"a relief of radius {show_length(relief)} does not go between head and end face",
            fix="Set the head further out, or use a smaller bit.",
        )


def at_least(limit_mm: float) -> str:
    """A limit from below as a person should set it: an exact fraction, else rounded up to a hundredth of a mm."""
    return show_length(limit_mm if is_fraction(limit_mm) else math.ceil(limit_mm * 100) / 100)


def at_most(limit_mm: float) -> str:
    """A limit from above as a person should set it: an exact fraction, else rounded down to a hundredth of a mm."""
    return show_length(limit_mm if is_fraction(limit_mm) else math.floor(limit_mm * 100) / 100)


def relief_mm(joint: JointSizes, corners: CornerRadii) -> float:
    """Depth of the relief in the end face of a peg; 0 without one."""
    return relief_depth_mm(
        bit_radius_mm=corners.relief_radius_mm,
        mouth_width_mm=met_by_peg(joint, corners).mouth_width_mm,
        neck_width_mm=joint.neck_width_mm,
    )
