"""What is done at the corners of a joint: relief at the peg's root, ease at the mouth, and the land that stays.

Glossary:
    land: wood in the end face between a relief or an ease and the flared groove beside it.
    cure: what lets a bit's round corner and a sharp one close. relief cures our pegs, ease our mouths.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.joint import (
    entered_by_peg,
    lip_length_mm,
    met_by_peg,
    neck_length_mm,
    relief_depth_mm,
    relief_reach_mm,
    seated_side_mm,
)
from platelayer.tolerances import COINCIDENT_MM, EASE_EXTRA_MM, LAND_MM
from platelayer.units import show_length
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.pieces import CornerRadii, EndKind, JointSizes, MouthCorner, PegRoot, TrackSizes
from platelayer.values.tooling import Bit, Job


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far a cure reaches along the end face from the middle, and the words for it."""

    reach_mm: float
    key: str
    what: str


def corner_radii(job: Job) -> tuple[CornerRadii, TrackSizes, tuple[Finding, ...]]:
    """Radii of relief and ease as chosen, the track with its flare as it can stay, and what was noticed.

    A relief has the radius of the joints bit, and is left out where the bit is small enough without. It is so deep that
    a peg keeps the stated share of side play in a sharp mouth, or as deep as the land allows, with a warning. An ease
    has the stated radius, else the joints bit's and EASE_EXTRA_MM. Where the land between either and a flared groove
    would be thinner than LAND_MM, the flare gives way, with a warning.

    Raises:
        CannotCut: an ease smaller than the bit or longer than the lip; a relief longer than the neck; a land too thin
            without any flare; a finishing bit that is no smaller.
    """
    bit, joint = job.bit(job.joints_bit), job.joint
    kinds = {kind for order in job.orders for kind in order.ends}
    radii, spared = _spared(job)
    met = met_by_peg(joint, radii)
    relief = bit.radius_mm if job.peg_root is PegRoot.RELIEVE and _gap(met) < bit.radius_mm else 0.0
    ease = (job.ease_radius_mm or bit.radius_mm + EASE_EXTRA_MM) if job.mouth is MouthCorner.EASE else 0.0
    faults = [*_relief_faults(met, bit, relief), *_ease_faults(joint, bit, ease), *_finish_faults(job, kinds, bit)]
    if faults:
        raise CannotCut(*faults)
    reaches: list[_Reach] = []
    if relief and EndKind.PEG in kinds:
        reach = relief_reach_mm(met, bit_radius_mm=relief)
        reaches.append(_Reach(reach, f"[joint] peg_root = {job.peg_root.value}", "the relief"))
    if ease and EndKind.SOCKET in kinds:
        reaches.append(_Reach(joint.mouth_width_mm / 2 + ease, f"[joint] mouth = {job.mouth.value}", "the ease"))
    has_grooves = any(order.grooves_top or order.grooves_bottom for order in job.orders)
    track, findings = _with_land(job, reaches) if has_grooves else (job.track, ())
    spared = spared if relief and EndKind.PEG in kinds else ()
    return (
        replace(radii, relief_radius_mm=relief, ease_radius_mm=ease),
        track,
        (*spared, *findings),
    )


def _spared(job: Job) -> tuple[CornerRadii, tuple[Finding, ...]]:
    """What a relief must suit, its share of side play lessened where the land would not stay, with a warning."""
    asked = CornerRadii(mate=job.mate, relief_play_ratio=job.relief_play_ratio)
    if job.peg_root is not PegRoot.RELIEVE or not any(
        order.grooves_top or order.grooves_bottom for order in job.orders
    ):
        return asked, ()
    room = job.track.width_mm / 2 - job.track.groove_inner_mm - land_mm(job)
    least_gap = job.joint.neck_width_mm / 2 + 2 * job.bit(job.joints_bit).radius_mm - room
    sides = [(seated_side_mm(one), _gap(one)) for one in entered_by_peg(job.joint, asked)]
    most = [(max(0.0, gap - least_gap) / side, side) for side, gap in sides if side > 0]
    ratio, side = min(most, default=(job.relief_play_ratio, 0.0))
    goes, wanted = ratio * side, job.relief_play_ratio * side
    if goes >= wanted - COINCIDENT_MM:
        return asked, ()
    shown = [show_length(one) for one in (goes, wanted, land_mm(job))]
    finding = Finding(
        code=Code.JOINT_LAND,
        severity=Severity.WARNING,
        text=f"In a mouth with sharp corners a relieved peg, pushed home, has {shown[0]} of side play each way instead "
        f"of {shown[1]}: a deeper relief would leave less than {shown[2]} of land beside the groove.",
        advice="Name a smaller bit for the joints in [bits], or ask for less with relief_play in [joint].",
        measured=goes,
        limit=wanted,
    )
    return replace(asked, relief_play_ratio=ratio), (finding,)


def land_mm(job: Job) -> float:
    """Land that must stay beside a groove as designed; in a lower face with its edge broken and the board off, too."""
    is_turned = any(order.grooves_bottom for order in job.orders)
    return LAND_MM + (job.turning.tolerance_mm + job.edges.groove_mm if is_turned else 0.0)


def _gap(joint: JointSizes) -> float:
    return (joint.mouth_width_mm - joint.neck_width_mm) / 2


def _relief_faults(joint: JointSizes, bit: Bit, relief_mm: float) -> list[Fault]:
    if not relief_mm:
        return []
    depth = relief_depth_mm(
        bit_radius_mm=relief_mm, mouth_width_mm=joint.mouth_width_mm, neck_width_mm=joint.neck_width_mm
    )
    room = neck_length_mm(joint)
    if relief_mm - depth < room:
        return []
    return [
        Fault(
            where="[bits] joints",
            found=bit.id,
            problem=f"{show_length(bit.diameter_mm)} wide, and a relief by it does not go between end "
            f"face and head, "
            f"{show_length(room)}",
            fix="Take a smaller bit for the joints.",
        )
    ]


def _ease_faults(joint: JointSizes, bit: Bit, ease_mm: float) -> list[Fault]:
    if not ease_mm:
        return []
    lip = lip_length_mm(joint)
    if ease_mm < bit.radius_mm - COINCIDENT_MM:
        return [
            Fault(
                where="[joint] ease_radius",
                found=show_length(ease_mm),
                problem=f"less than the radius of the joints bit {bit.id}, "
                f"{show_length(bit.radius_mm)}, so that it "
                "would close only dead centre",
                fix=f"Use {show_length(bit.radius_mm + EASE_EXTRA_MM)}, or leave it out.",
            )
        ]
    if ease_mm >= lip:
        return [
            Fault(
                where="[joint] ease_radius",
                found=show_length(ease_mm),
                problem=f"no straight lip stays of {show_length(lip)}",
                fix="Take a smaller bit for the joints, or a smaller ease.",
            )
        ]
    return []


def _with_land(job: Job, reaches: Sequence[_Reach]) -> tuple[TrackSizes, tuple[Finding, ...]]:
    """The track with as much of its flare as leaves the land.

    Raises:
        CannotCut: the land is too thin without any flare.
    """
    track = job.track
    if not reaches:
        return track, ()
    wall, least_mm = track.width_mm / 2 - track.groove_inner_mm, land_mm(job)
    thin = [reach for reach in reaches if wall - reach.reach_mm < least_mm - COINCIDENT_MM]
    if thin:
        room = track.width_mm / 2 - max(reach.reach_mm for reach in reaches) - least_mm
        moved = _moved_out(room, max(track.groove_width_mm, job.bit(job.grooves_bit).diameter_mm))
        raise CannotCut(*(_too_thin(reach, wall - reach.reach_mm, least_mm, moved) for reach in thin))
    extra = track.flare_extra_mm if track.flare_length_mm > 0 else 0.0
    widest = max(reaches, key=lambda reach: reach.reach_mm)
    may = wall - widest.reach_mm - least_mm
    if extra <= may + COINCIDENT_MM:
        return track, ()
    finding = Finding(
        code=Code.JOINT_LAND,
        severity=Severity.WARNING,
        text=f"The grooves flare by {show_length(may)} on each wall instead of "
        f"{show_length(extra)}, so that the land "
        f"between {widest.what} and the flared groove stays {show_length(least_mm)}.",
        advice="Write a smaller flare_extra in [track], or name a smaller bit for the joints in [bits].",
        measured=extra,
        limit=may,
    )
    return replace(track, flare_extra_mm=may), (finding,)


def _moved_out(inner_mm: float, width_mm: float) -> str:
    """Where grooves so wide would lie whose inner walls are no further in than that, in tenths; empty without room."""
    inner = math.floor(inner_mm * 10) / 10
    outer = math.floor((inner - width_mm) * 10) / 10
    if outer < LAND_MM:
        return ""
    sizes = f"groove_outer = {show_length(outer)} and groove_inner = {show_length(inner)}"
    return f" Or move the grooves out and give them the width of their bit: {sizes} in [track] would do."


def _too_thin(reach: _Reach, land_mm: float, least_mm: float, moved: str) -> Fault:
    shown = f"only {show_length(land_mm)}" if land_mm > 0 else "none"
    return Fault(
        where=reach.key,
        problem=f"even without a flare the land between {reach.what} and the groove would be {shown}; "
        f"at least {show_length(least_mm)} stays, thinner chips off",
        fix=f"Take a smaller bit for the joints, or leave this corner as it is.{moved}",
    )


def _finish_faults(job: Job, kinds: set[EndKind], joints: Bit) -> list[Fault]:
    if job.peg_root is not PegRoot.FINISH or EndKind.PEG not in kinds or not job.finish_bit:
        return []
    bit = job.bit(job.finish_bit)
    if bit.diameter_mm < joints.diameter_mm:
        return []
    return [
        Fault(
            where="[bits] finish",
            found=bit.id,
            problem=f"{show_length(bit.diameter_mm)} wide, no smaller than the joints bit, "
            f"{show_length(joints.diameter_mm)}",
            fix="Use a smaller bit.",
        )
    ]


def corner_bit(job: Job, wall_mm: float) -> Bit:
    """The bit that leaves the last wood in corners: the finishing bit where it reaches the foot of a peg's wall."""
    if job.peg_root is PegRoot.FINISH and job.finish_bit:
        bit = job.bit(job.finish_bit)
        if bit.cutting_length_mm >= wall_mm - COINCIDENT_MM:
            return bit
    return job.bit(job.joints_bit)
