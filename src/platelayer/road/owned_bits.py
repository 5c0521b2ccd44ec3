"""What the bits that a person owns could do for a job, by its bound alone: noted, never taken."""

from collections.abc import Mapping
from typing import Final

from platelayer.errors import CannotCut, PlatelayerError
from platelayer.job import load_job
from platelayer.job.profiles import Profiles
from platelayer.offset.reach import reach_faults
from platelayer.road.minutes import ABOUT_RATIO, bound_with_s
from platelayer.road.piece_making import made_pieces
from platelayer.road.planning import Laid
from platelayer.units import minutes
from platelayer.values.tooling import BitKind, Job

WORTH_RATIO: Final = 0.05
"""A way that saves a smaller share is not worth a change of bit. Common practice, no source."""

_EASY: Final = ("grooves", "outlines")
"""Roles that another bit may take without another joint being drawn."""


def words_of(changes: Mapping[str, str]) -> str:
    """``grooves with flat-4.763, outlines with flat-6.35-up``, or ``all with flat-4.763``."""
    bits = set(changes.values())
    if len(changes) == 3 and len(bits) == 1:
        return f"all with {bits.pop()}"
    return ", ".join(f"{role} with {bit}" for role, bit in changes.items())


def check_reach(job: Job) -> None:
    """Each piece can be made by these bits, as far as is seen before it is laid.

    Raises:
        CannotCut: a bit too wide or too short.
    """
    pieces = {piece.shape: piece for piece in made_pieces(job)[0]}
    faults = [fault for piece in pieces.values() for fault in reach_faults(piece, job=job, board=job.boards[0])]
    if faults:
        raise CannotCut(*faults)


def owned_note(text: str, *, file: str, profiles: Profiles, laid: Laid) -> str:
    """The sentence that an owned bit would take less time for grooves or outlines; empty where none does.

    Args:
        text: of the job.
        file: its name.
        profiles: of machines, and files of own bits.
        laid: the job as it is laid with its own bits.
    """
    least_s = bound_with_s(laid, laid.job)
    changes: dict[str, str] = {}
    saved_s = 0.0
    for role in _EASY:
        best_s, bit = max(
            ((least_s - _bound_s(text, file, profiles, laid, {role: one}), one) for one in _owned_flats(laid.job)),
            default=(0.0, ""),
        )
        if best_s > WORTH_RATIO * least_s:
            changes[role] = bit
            saved_s += best_s
    if not changes:
        return ""
    less = minutes(ABOUT_RATIO * saved_s)
    return f"With bits you own, {words_of(changes)}, it might take {less} less: platelayer quicker {file} tries that."


def _owned_flats(job: Job) -> tuple[str, ...]:
    return tuple(bit.id for bit in job.owned if bit.kind is BitKind.FLAT)


def _bound_s(text: str, file: str, profiles: Profiles, laid: Laid, changes: Mapping[str, str]) -> float:
    """The bound with these changes; without end where the bit cannot do it."""
    try:
        job = load_job(text, file=file, profiles=profiles, roles=changes)
        check_reach(job)
    except PlatelayerError:
        return float("inf")
    return bound_with_s(laid, job)
