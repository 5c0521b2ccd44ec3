"""Whether the joints of a job will go together as its bits cut them, asked before any path is made; else what would do.

Glossary:
    as it will be cut: a piece as designed, with the wood that its smallest bit leaves in corners.
    change: one thing to write otherwise in the job, as a person would.

The check is the dry run's own (``proof.checks.joint``), on ends as they will be cut instead of as they were.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain, combinations
from typing import Final

from platelayer.errors import Fault, PlatelayerError
from platelayer.geometry.discs import as_cut
from platelayer.job.bits import shipped_bits
from platelayer.offset.relief import corner_bit
from platelayer.offset.room import cut_depth_mm, wall_depth_mm
from platelayer.proof.checks.joint import worst_joints
from platelayer.proof.joints import ends_of, mated_ends, on_this_machine
from platelayer.road.piece_making import made_pieces
from platelayer.tolerances import FLATTEN_CHORD_MM, PLAY_MM
from platelayer.units import show_length
from platelayer.values.findings import Finding, Severity
from platelayer.values.pieces import EndKind, MouthCorner, PegRoot, Piece
from platelayer.values.tooling import Bit, BitKind, Job


@dataclass(frozen=True, slots=True)
class _Change:
    """The key it is written at, what stands there, what to write, and what it makes of a job."""

    where: str
    found: str
    value: str
    made_of: Callable[[Job], Job]


def joint_faults(job: Job, pieces: Sequence[Piece]) -> tuple[Fault, ...]:
    """A fault for every way in which these pieces will not go together, at the first key whose change cures all.

    Where no two changes do, or sizes were tuned to the corners, at the table of the joint with the check's own advice.
    """
    errors, short = joint_errors(job, pieces), _falls_short(job)
    if short and not errors and any(end.kind is EndKind.PEG for piece in pieces for end in piece.ends):
        problem = f"{short}, and the joints go together with that fillet too"
        fix = 'Write peg_root = "none" in [joint] and leave it out, or take one with a longer cutting edge.'
        return (Fault(where="[bits] finish", found=job.finish_bit, problem=problem, fix=fix),)
    changes = _cure(job, errors) if errors and job.tuning is None else ()
    where, found = (changes[0].where, changes[0].found) if changes else ("[joint]", "")
    with_it = "".join(f", with {one.where} = {one.value}" for one in changes[1:])
    return tuple(
        Fault(
            where=where,
            found=found,
            problem="; ".join(filter(None, (one.text.removesuffix("."), short))),
            fix=f"Use {changes[0].value}{with_it}." if changes else one.advice,
            code=one.code.value,
            measured_mm=one.measured,
            limit_mm=one.limit,
        )
        for one in errors
    )


def joint_errors(job: Job, pieces: Sequence[Piece]) -> tuple[Finding, ...]:
    """What the dry run will refuse of the joints of these pieces, pieces alike asked but once."""
    radius_mm = _corner_bit(job).radius_mm
    alike = {(piece.shape, tuple(end.stray_mm for end in piece.ends)): piece for piece in reversed(pieces)}
    ends = chain.from_iterable(
        ends_of(piece.id, piece.ends, as_cut(piece, radius_mm, chord_mm=FLATTEN_CHORD_MM / 4), job.mate)
        for piece in reversed(alike.values())
    )
    mated = on_this_machine(mated_ends(tuple(ends), job.mate), job.tuning)
    return tuple(finding for finding, _ in worst_joints(mated) if finding.severity is Severity.ERROR)


def _corner_bit(job: Job) -> Bit:
    return corner_bit(job, max(wall_depth_mm(job, board) for board in job.boards))


def _falls_short(job: Job) -> str:
    """What a finishing bit does that does not reach the foot of the wall; empty where it does, or there is none."""
    if job.peg_root is not PegRoot.FINISH or _corner_bit(job).id == job.finish_bit:
        return ""
    cuts = show_length(job.bit(job.finish_bit).cutting_length_mm)
    return f"{job.finish_bit} cuts {cuts} deep and leaves {job.joints_bit}'s fillet below that"


def _cure(job: Job, errors: Sequence[Finding]) -> tuple[_Change, ...]:
    """The first change, else the first two, after which the joints go together; nothing where there are none such."""
    single = (*_changes(job), *_further_out(job, errors))
    pairs = (pair for pair in combinations(single, 2) if pair[0].where != pair[1].where)
    return next((some for some in chain(((one,) for one in single), pairs) if _cures(some, job)), ())


def _cures(changes: Sequence[_Change], job: Job) -> bool:
    for change in changes:
        job = change.made_of(job)
    with suppress(PlatelayerError):
        return not joint_errors(job, made_pieces(job)[0])
    return False


def _changes(job: Job) -> Iterator[_Change]:
    """What a person could write instead, the least of a change first."""
    root, mouth = PegRoot.RELIEVE, MouthCorner.EASE
    if job.peg_root is PegRoot.FINISH:
        yield from _smaller_bits(job, "finish")
    if job.peg_root is not root:
        value = f"{root.value} and leave finish out of [bits]" if job.finish_bit else root.value
        yield _Change("[joint] peg_root", job.peg_root.value, value, lambda one: replace(one, peg_root=root))
    if job.mouth is not mouth:
        yield _Change("[joint] mouth", job.mouth.value, mouth.value, lambda one: replace(one, mouth=mouth))
    yield from _smaller_bits(job, "joints")


def _further_out(job: Job, errors: Sequence[Finding]) -> Iterator[_Change]:
    """The head as much further from its face as the lips want, where they are all that is in its way."""
    wanted = [one.limit - one.measured for one in errors if one.limit == PLAY_MM and one.measured is not None]
    if not wanted or len(wanted) < len(errors) or job.mate != job.joint:
        return
    setback = math.ceil((job.joint.head_setback_mm + max(wanted)) / SETBACK_STEP_MM) * SETBACK_STEP_MM
    joint = replace(job.joint, head_setback_mm=setback)
    found, value = show_length(job.joint.head_setback_mm), show_length(setback)
    yield _Change("[joint] head_setback", found, value, lambda one: replace(one, joint=joint, mate=joint))


SETBACK_STEP_MM: Final = 0.05
"""A setback is named in steps of this: finer than any caliper tells."""


def _smaller_bits(job: Job, role: str) -> Iterator[_Change]:
    """Smaller bits that this program or the person knows and that reach through, the largest first."""
    is_for_joints = role == "joints"
    bit = job.bit(job.joints_bit if is_for_joints else job.finish_bit)
    deep_mm = max((cut_depth_mm if is_for_joints else wall_depth_mm)(job, board) for board in job.boards)
    known = {one.id: one for one in (*shipped_bits().values(), *job.owned)}.values()
    for one in sorted(known, key=lambda one: (-one.diameter_mm, one.cutting_length_mm)):
        if one.kind is BitKind.FLAT and one.diameter_mm < bit.diameter_mm and one.cutting_length_mm >= deep_mm:
            yield _Change(f"[bits] {role}", bit.id, one.id, partial(_with_bit, bit=one, role=role))


def _with_bit(job: Job, *, bit: Bit, role: str) -> Job:
    job = replace(job, bits=(*job.bits, bit))
    return replace(job, joints_bit=bit.id) if role == "joints" else replace(job, finish_bit=bit.id)
