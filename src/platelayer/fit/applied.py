"""A job with what the shop has learnt put in: bits first, then the joint; each with sentences that say so.

Glossary:
    effective bit: the bit with the diameter a fit card found; paths are made for it and the dry run sweeps it.
    drawn joint: the joint's sizes after correction; they are in the outline and so in manifest and dry run.

Order: ``with_effective_bits`` before any corner radius is chosen, ``with_drawn_joint`` after, since the plays depend on
the radii. Neither touches what the other does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from platelayer.fit.shapes import JointShape, with_bit_error
from platelayer.fit.shop import (
    ShopRecord,
    bias_words,
    biased_cutter,
    change_words,
    corrected,
    effective_bit,
    record_for,
    record_words,
)
from platelayer.fit.target_play import Cutter, Part, TargetAnswer, TargetPlay, shape_for
from platelayer.geometry.joint import mixed
from platelayer.values.pieces import CornerRadii, JointSizes
from platelayer.values.tooling import Bit, Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """A job with its drawn joint, the answer it came from, and what to tell the person, in order."""

    job: Job
    answer: TargetAnswer
    words: tuple[str, ...]


def with_effective_bits(job: Job, records: Sequence[ShopRecord]) -> tuple[Job, tuple[str, ...]]:
    """The job with every bit at the diameter its newest record says, and a sentence or two for each such bit."""
    bits: list[Bit] = []
    words: list[str] = []
    for bit in job.bits:
        record = record_for(records, bit_id=bit.id, material_id=job.material.id, machine_id=job.machine.id)
        bits.append(effective_bit(bit, record))
        if record is not None:
            words += record_words(record, nominal_mm=bit.nominal_mm, measured_mm=bit.measured_mm)
            if bit.id == job.joints_bit:
                words.append(bias_words(record))
    return replace(job, bits=tuple(bits)), tuple(words)


def with_drawn_joint(
    job: Job,
    records: Sequence[ShopRecord],
    *,
    corners: CornerRadii,
    target: TargetPlay | None = None,
    part: Part = Part.PEG,
    widest_hole_mm: float = 0.0,
) -> Applied:
    """The job with its joint drawn so that it comes out with the plays wished for, or with the design's own.

    The job's bits must be the effective ones already. Our peg is matched to the job's mate, our socket likewise; with
    ``Part.BOTH`` to each other. An answer that is not met leaves the job with the nearest sizes: the caller decides.

    Raises:
        ValueError: as ``corrected`` and ``as_cut``.
    """
    record = record_for(records, bit_id=job.joints_bit, material_id=job.material.id, machine_id=job.machine.id)
    cutter = Cutter(
        bit_radius_mm=job.bit(job.joints_bit).radius_mm,
        corners=corners,
        width_mm=job.track.width_mm,
        widest_hole_mm=widest_hole_mm,
    )
    design = _matched(job, part)
    answer = corrected(
        design,
        record=record,
        cutter=cutter,
        target=target,
        part=part,
        is_mate_bought=job.has_bought_mate,
    )
    drawn = our_sizes(job, answer.sizes, part)
    words = (
        *(f"Joint: {change}." for change in change_words(job.joint, drawn)),
        *answer.reasons,
        *answer.notes,
    )
    return Applied(job=replace(job, joint=drawn), answer=answer, words=words)


def as_it_comes(sizes: JointSizes, *, cutter: Cutter, record: ShopRecord | None, path_diameter_mm: float) -> JointShape:
    """The joint of those drawn sizes as this machine leaves it when paths are made for a bit of that diameter.

    Raises:
        ValueError: as ``as_cut``.
    """
    shape = shape_for(sizes, biased_cutter(cutter, record))
    return shape if record is None else with_bit_error(shape, bit_error_mm=record.bit_diameter_mm - path_diameter_mm)


def _matched(job: Job, part: Part) -> JointSizes:
    """Our part with the mate's other part."""
    match part:
        case Part.PEG:
            return mixed(peg=job.joint, socket=job.mate)
        case Part.SOCKET:
            return mixed(peg=job.mate, socket=job.joint)
        case Part.BOTH:
            return job.joint


def our_sizes(job: Job, found: JointSizes, part: Part) -> JointSizes:
    """Our joint with what was found in it, and nothing of a bought mate's."""
    if part is Part.BOTH or not job.has_bought_mate:
        return found
    return mixed(peg=found, socket=job.joint) if part is Part.PEG else mixed(peg=job.joint, socket=found)
