"""What a bit can reach at all: mouths, grooves, depth, shank; and what it leaves in corners.

Glossary:
    reach: whether a bit gets into a place, by width or by depth. Not the room round a piece.
    lift: an up-cut bit pulling a piece up. packed chips: chips a down-cut bit drives into a deep slot.
"""

from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.discs import corners_left
from platelayer.offset.depths import deep_from_mm
from platelayer.offset.groove_passes import groove_fault
from platelayer.offset.room import cut_depth_mm
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM, SHORT_PIECE_MM
from platelayer.units import show_length
from platelayer.values.cuts import UnreachedCorner
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import EndKind, Piece
from platelayer.values.tooling import Bit, BitKind, Board, FluteDirection, Job

MOUTH_SPARE_MM: Final = 0.1
"""A mouth is at least this much wider than the joints bit, so that both lips get a finish cut."""


def reach_faults(piece: Piece, *, job: Job, board: Board) -> tuple[Fault, ...]:
    """Every reason why the job's bits cannot make the piece, grooves first, then joints and outlines; once a bit."""
    depth = cut_depth_mm(job, board)
    joints, outlines = job.bit(job.joints_bit), job.bit(job.outlines_bit)
    found: list[Fault | None] = []
    if piece.grooves:
        found.append(groove_fault(piece.grooves[0], job.bit(job.grooves_bit)))
    is_joined = any(end.kind is not EndKind.PLAIN for end in piece.ends)
    if is_joined:
        found += [_flat_fault("joints", joints), depth_fault("joints", joints, depth, board, job)]
    if any(end.kind is EndKind.SOCKET for end in piece.ends):
        found.append(_mouth_fault(joints, job))
    if outlines != joints or not is_joined:
        found += [_flat_fault("outlines", outlines), depth_fault("outlines", outlines, depth, board, job)]
    return tuple(dict.fromkeys(fault for fault in found if fault is not None))


def _flat_fault(role: str, bit: Bit) -> Fault | None:
    if bit.kind is BitKind.FLAT:
        return None
    return Fault(
        where=f"[bits] {role}",
        found=bit.id,
        problem=f"a {bit.kind.value.replace('_', '-')} bit leaves no square edge",
        fix="Use a flat bit.",
    )


def _mouth_fault(bit: Bit, job: Job) -> Fault | None:
    mouth = job.joint.mouth_width_mm
    if bit.diameter_mm <= mouth - MOUTH_SPARE_MM + COINCIDENT_MM:
        return None
    return Fault(
        where="[bits] joints",
        found=bit.id,
        problem=f"{show_length(bit.diameter_mm)} wide, too wide for the socket's mouth, {show_length(mouth)}",
        fix=f"The largest bit that goes is {show_length(mouth - MOUTH_SPARE_MM)}.",
    )


def depth_fault(role: str, bit: Bit, depth_mm: float, board: Board, job: Job) -> Fault | None:
    """Why this bit cannot cut so deep; None when it can."""
    if bit.cutting_length_mm >= depth_mm - COINCIDENT_MM:
        return None
    shank = (
        f"; its shank, {show_length(bit.shank_mm)}, is wider than the cut and would rub"
        if bit.shank_mm > bit.diameter_mm + COINCIDENT_MM
        else ""
    )
    return Fault(
        where=f"[bits] {role}",
        found=bit.id,
        problem=f"cuts {show_length(bit.cutting_length_mm)} deep, and "
        f"{show_length(board.thickness_mm)} of wood with "
        f"{show_length(job.spoilboard_allowance_mm)} of spoilboard need "
        f"{show_length(depth_mm)}{shank}",
        fix="Use a bit with a longer cutting edge, or thinner wood.",
    )


def reach_findings(piece: Piece, *, job: Job, board: Board) -> tuple[Finding, ...]:
    """Warnings of lift and of packed chips for the bits that cut right through this piece."""
    depth = cut_depth_mm(job, board)
    found: list[Finding] = []
    for bit in _through_bits(piece, job):
        if bit.flute_direction is FluteDirection.UP and piece.length_mm < SHORT_PIECE_MM:
            found.append(_lift(piece, bit))
        if bit.flute_direction is FluteDirection.DOWN and depth > deep_from_mm(bit):
            found.append(_packed(piece, bit, depth))
    return tuple(found)


def _through_bits(piece: Piece, job: Job) -> Sequence[Bit]:
    ids = [job.outlines_bit]
    if any(end.kind is not EndKind.PLAIN for end in piece.ends):
        ids.insert(0, job.joints_bit)
    return [job.bit(bit_id) for bit_id in dict.fromkeys(ids)]


def _lift(piece: Piece, bit: Bit) -> Finding:
    return Finding(
        code=Code.CUTTING_LIFT,
        severity=Severity.WARNING,
        text=f"{piece.title}: {bit.id} is an up-cut bit and pulls short pieces up.",
        advice="Hold the board down close to the short pieces, or name a straight, down-cut or compression bit in "
        "[bits].",
        where=Where(piece=piece.id),
        measured=piece.length_mm,
        limit=SHORT_PIECE_MM,
    )


def _packed(piece: Piece, bit: Bit, depth_mm: float) -> Finding:
    return Finding(
        code=Code.CUTTING_PACKED_CHIPS,
        severity=Severity.WARNING,
        text=f"{piece.title}: {bit.id} is a down-cut bit and packs chips into a slot {show_length(depth_mm)} deep.",
        advice="Draw the dust off at the bit and clear the slot between passes, or name an up-cut bit in [bits].",
        where=Where(piece=piece.id),
        measured=depth_mm,
        limit=deep_from_mm(bit),
    )


def unreached_corners(piece: Piece, bit: Bit) -> tuple[UnreachedCorner, ...]:
    """Corners of the piece in which this bit leaves wood."""
    return corners_left(piece, bit.radius_mm, chord_mm=FLATTEN_CHORD_MM)
