"""A job with what the shop has learnt and how its joints should feel put in, before anything is cut.

Glossary:
    records: the dated entries of the shop's own file.
    tuned: a job with effective bits, a drawn joint, and the words that say where both come from.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.fit.applied import Applied, as_it_comes, with_drawn_joint, with_effective_bits
from platelayer.fit.bought import in_their_socket, round_their_peg, sharp_mouth_words
from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import JointShape
from platelayer.fit.shop import ShopRecord, biased_cutter, record_for, records_otherwise
from platelayer.fit.strayed import joint_stray_mm
from platelayer.fit.target_play import BEST, Cutter, Part, TargetPlay, shape_for
from platelayer.geometry.joint import mixed
from platelayer.job.measurements import read_records
from platelayer.offset.relief import corner_radii
from platelayer.pieces import check_orders
from platelayer.pieces.kind import Making
from platelayer.tolerances import BIAS_PRIOR_MM, COINCIDENT_MM, LAND_MM
from platelayer.units import show_small
from platelayer.values.pieces import JointSizes, TrackSizes
from platelayer.values.tooling import Job
from platelayer.values.tuning import FitAsked, Lying, Tuning

NEXT_CARD: Final = "platelayer fit card makes one."


def shop_file(job: Job, *, file: str, shop: Path | None) -> Path | None:
    """The shop's own file: the one given, else the one the job names, beside the job; None without either."""
    if shop is not None:
        return shop
    return Path(file).parent / job.shop if job.shop else None


def records_in(shop: Path | None, *, names_it: bool = False) -> tuple[ShopRecord, ...]:
    """The records of a shop file; none without one.

    Raises:
        JobError: a file that is not there, or that has faults.
    """
    if shop is None:
        return ()
    if names_it and not shop.exists():
        fix = "Leave it out, or make it: platelayer fit card, then platelayer fit read."
        raise JobError(Fault(where="[job] shop", found=shop.name, problem="no such file beside the job", fix=fix))
    return read_records(files.read_text(shop), file=str(shop))


def record_of_job(job: Job, records: Sequence[ShopRecord]) -> ShopRecord | None:
    """The record that counts for a job's joints."""
    return record_for(records, bit_id=job.joints_bit, material_id=job.material.id, machine_id=job.machine.id)


def best_target(job: Job, records: Sequence[ShopRecord], *, where: str) -> TargetPlay:
    """The plays of the peg that went in best by hand, by the newest card of the job's joints bit, wood and machine.

    Raises:
        JobError: no such card, or nobody said which peg it was.
    """
    record = record_of_job(job, records)
    if record is not None and record.best_side_mm > 0 and record.best_pull_mm > 0:
        return TargetPlay(
            record.best_side_mm, record.best_pull_mm, math.hypot(record.bias_spread_mm, record.bit_spread_mm)
        )
    bit = f"{job.joints_bit} in {job.material.id} on {job.machine.id}"
    if record is None:
        problem, fix = f"no fit card of bit {bit} was read", NEXT_CARD
    else:
        problem = f"the fit card of bit {bit} of {record.date} names no peg that went in"
        fix = "Write best_peg into its readings and read them again, or ask for snug, easy or loose."
    raise JobError(Fault(where=where, found=BEST, problem=problem, fix=fix))


def asked_wish(job: Job) -> TargetPlay | None:
    """The plays that a job asks for itself; None when it asks for none."""
    return TargetPlay(job.fit.side_mm, job.fit.pull_out_mm, job.fit.unsure_mm) if job.fit.is_asked else None


def with_bits(job: Job, records: Sequence[ShopRecord]) -> Job:
    """The job with its bits as its shop's cards found them, and nothing else changed."""
    return with_effective_bits(job, records)[0]


def with_asked_plays(job: Job, records: Sequence[ShopRecord]) -> Job:
    """The job with figures in place of the word for the best peg's feel; as it is where it does not ask for that.

    Raises:
        JobError: as ``best_target``.
    """
    if not job.fit.as_best_peg:
        return job
    target = best_target(job, records, where="[fit] feel")
    plays = FitAsked(
        side_mm=target.side_mm, pull_out_mm=target.pull_out_mm, unsure_mm=target.unsure_mm, part=job.fit.part
    )
    return replace(job, fit=plays)


def tuned(job: Job, records: Sequence[ShopRecord], *, shop: Path | None) -> Job:
    """The job as it is to be cut: bits first, then its joint; as it is where nothing was learnt, wished or bought.

    Raises:
        JobError: sizes that cannot be, or the best peg's feel asked for and no card that names it.
        CannotCut: corners that this bit cannot make, or plays that cannot be had.
    """
    job = with_asked_plays(job, records)
    effective, words = with_effective_bits(job, records)
    record = record_of_job(job, records)
    if shop is not None and record is None:
        words = (*words, _no_card(job, shop))
    if record is None and not job.fit.is_asked:
        if not words and not job.has_bought_mate:
            return effective
        return replace(effective, tuning=Tuning(design=job.joint, drawn=job.joint, words=words))
    cutter = cutter_of(effective)
    applied = _applied(effective, records, cutter)
    drawn = applied.job.joint
    lost = job.lost if record is None else replace(record.lost, strays_mm=_strays(applied.job, cutter, record, records))
    words = (*words, *applied.words, _outcome(applied, record, job), *bought_mouth_words(applied.job, record))
    changes = _changes(drawn, job.mate, cutter, record)
    tuning = (
        Tuning(design=job.joint, drawn=drawn, words=words)
        if changes is None
        else Tuning(
            design=job.joint,
            drawn=drawn,
            peg_change_mm=changes[0],
            socket_change_mm=changes[1],
            own_change_mm=changes[2],
            words=words,
        )
    )
    return replace(applied.job, tuning=tuning, lost=lost)


def _strays(
    job: Job, cutter: Cutter, record: ShopRecord, records: Sequence[ShopRecord]
) -> tuple[tuple[Lying, float], ...]:
    """What the cards that lay otherwise say of joints cut that way, held against the card by which joints are drawn.

    A card of which no peg went in says nothing of joints.
    """
    path_mm = job.bit(job.joints_bit).diameter_mm

    def shape(one: ShopRecord) -> JointShape:
        return as_it_comes(job.joint, cutter=cutter, record=one, path_diameter_mm=path_mm)

    others = (one for one in records_otherwise(records, record) if one.bias_spread_mm < BIAS_PRIOR_MM - COINCIDENT_MM)
    try:
        return tuple((one.lies, joint_stray_mm(shape(record), shape(one))) for one in others)
    except ValueError:
        return ()


def is_for_bought(job: Job) -> bool:
    """Whether the joint asked about is one with a bought set, and not one of our own parts with each other."""
    return job.has_bought_mate and job.fit.part != Part.BOTH


def with_mate(shape: JointShape, job: Job) -> JointShape:
    """Our part of a joint, as it comes, with the bought set's other part."""
    return round_their_peg(shape, job.mate) if job.fit.part == Part.SOCKET else in_their_socket(shape, job.mate)


def bought_mouth_words(job: Job, record: ShopRecord | None) -> tuple[str, ...]:
    """What sharp corners of a bought mouth do to the side play of a job as drawn, its bits the effective ones."""
    if not is_for_bought(job) or job.fit.part == Part.SOCKET:
        return ()
    try:
        shape = shape_for(job.joint, biased_cutter(cutter_of(job), record))
    except ValueError:
        return ()
    return sharp_mouth_words(with_mate(shape, job))


def cutter_of(job: Job) -> Cutter:
    """What a job's joints are cut with, as far as their fit depends on it.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: corners that this bit cannot make.
    """
    faults = check_orders(job.orders, Making(joint=job.joint, track=job.track))
    if faults:
        raise JobError(*faults)
    corners, _, _ = corner_radii(job)
    return Cutter(
        bit_radius_mm=job.bit(job.joints_bit).radius_mm,
        corners=corners,
        width_mm=job.track.width_mm,
        widest_hole_mm=widest_hole_mm(job.track),
    )


def widest_hole_mm(track: TrackSizes) -> float:
    """Widest hole that leaves LAND_MM of wood between it and a flared groove on either side."""
    flare = track.flare_extra_mm if track.flare_length_mm > 0 else 0.0
    return max(0.0, 2 * (track.width_mm / 2 - track.groove_inner_mm - flare - LAND_MM))


def _applied(job: Job, records: Sequence[ShopRecord], cutter: Cutter) -> Applied:
    """The job with its drawn joint.

    Raises:
        CannotCut: a design that does not go together, or plays that cannot be had; with the nearest.
    """
    target = asked_wish(job)
    where = "[fit] feel" if target else "[joint]"
    try:
        applied = with_drawn_joint(
            job,
            records,
            corners=cutter.corners,
            target=target,
            part=Part(job.fit.part),
            widest_hole_mm=cutter.widest_hole_mm,
        )
    except ValueError as error:
        fix = "Relieve the peg's root and ease the mouth, change the sizes, or say in [fit] how it should feel."
        raise CannotCut(Fault(where=where, problem=f"{error}, so that no fit can be tuned", fix=fix)) from error
    if not applied.answer.is_met:
        raise CannotCut(*(Fault(where=where, problem=reason.rstrip(".")) for reason in applied.answer.reasons))
    return applied


def _no_card(job: Job, shop: Path) -> str:
    bit = f"{job.joints_bit} in {job.material.id} on {job.machine.id}"
    return f"{shop.name} has no fit card of bit {bit}: nothing was learnt of it. {NEXT_CARD}"


def _outcome(applied: Applied, record: ShopRecord | None, job: Job) -> str:
    """What the joints are to come out with, and where."""
    side, pull_out = (show_small(one) for one in (applied.answer.side_mm, applied.answer.pull_out_mm))
    mate = "the bought set" if is_for_bought(job) else "each other"
    where = "" if record is None else f" on {record.machine_id}"
    drawn = f"Joints are drawn to go with {mate}{where} with side play {side} each way and pull-out play {pull_out}"
    return f"{drawn}." if record is None else f"{drawn}; the dry run's own figures leave its slack out."


def _changes(
    drawn: JointSizes, mate: JointSizes, cutter: Cutter, record: ShopRecord | None
) -> tuple[float, float, float] | None:
    """How much more pull-out play this machine leaves peg, socket and both than one without slack; None if unknown."""
    if record is None:
        return None
    pairs = (
        (mixed(peg=drawn, socket=mate), record.head_offset_mm, 0.0),
        (mixed(peg=mate, socket=drawn), 0.0, record.lip_bias_mm),
        (drawn, record.head_offset_mm, record.lip_bias_mm),
    )
    try:
        peg, socket, own = (
            in_line(shape_for(sizes, replace(cutter, head_offset_mm=reach, lip_bias_mm=lip))).play_mm
            - in_line(shape_for(sizes, cutter)).play_mm
            for sizes, reach, lip in pairs
        )
    except ValueError:
        return None
    return peg, socket, own
