"""Grooves by a table saw, where the job has no router for them."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.job import load_job, profiles_for
from platelayer.parsing import parse_length
from platelayer.pieces.catalogue import runs_straight
from platelayer.pieces.saw_table import saw_table, saw_table_lines
from platelayer.units import worded

NO_FENCE: Final = "a fence guides along a straight edge and cannot follow a curve"
SETUP_BLOCK: Final = (
    # common practice, no source
    "Keep one grooved offcut as a set-up block: next time raise the blade until it just fills the block's groove, and "
    "bring the fence up to the block's edge.",
    "A job can cut one with the rest:",
    "[[piece]]",
    'name = "set-up-block"',
    'length = "4 in"',
    'start = "plain"',
    'end = "plain"',
)
"""How blade and fence are found again without measuring."""


def saw_lines(place: Path, *, kerf: str, own_profiles: Sequence[Path] = ()) -> tuple[str, ...]:
    """Settings of a table saw for the grooves of a job's track, as lines to read.

    Raises:
        JobError: faults in the job, or a kerf that is no length.
        CannotCut: a kerf wider than the groove, or nothing but curves.
    """
    text = files.read_text(place)
    job = load_job(text, file=str(place), profiles=profiles_for(text, file=str(place), own=own_profiles))
    kerf_mm = parse_length(kerf, unit=job.units, where="--kerf")
    if kerf_mm <= 0:
        fix = "Measure the slot of a test cut."
        raise JobError(Fault(where="--kerf", found=kerf, problem="a blade leaves more than nothing", fix=fix))
    curves = [order.name for order in job.orders if not runs_straight(order)]
    if len(curves) == len(job.orders):
        fix = "A router cuts these grooves: platelayer make."
        raise CannotCut(Fault(where="[[piece]]", found=" and ".join(curves), problem=NO_FENCE, fix=fix))
    try:
        lines = saw_table_lines(saw_table(job.track, kerf_mm=kerf_mm))
    except CannotCut as error:
        raise error.in_unit(job.units) from error
    if curves:
        lines = (*lines, f"Not at the saw: {' and '.join(curves)}. There {NO_FENCE}; a router cuts those grooves.")
    return tuple(worded(line, job.units) for line in (*lines, *SETUP_BLOCK))
