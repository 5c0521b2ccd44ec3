"""What can be made of new pieces, by asking plan and proof: least and greatest lengths, minutes and boards.

Glossary:
    asked: a job with those pieces alone, planned, written and proved in memory. Nothing of it is handed over.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from platelayer.errors import CannotCut, Fault, PlatelayerError
from platelayer.floor.trials import new_straight
from platelayer.preview.report.summary import whole_s
from platelayer.road.making import contents_of
from platelayer.road.planning import lay_job, plan_job
from platelayer.road.proving import prove
from platelayer.units import minutes, worded
from platelayer.values.findings import Severity
from platelayer.values.pieces import EndKind
from platelayer.values.tooling import Job, PieceOrder

_FIRST_MM: Final = 10.0
_LONGEST_MM: Final = 3000.0
_NEAR_MM: Final = 0.25
_STEP_MM: Final = 2.0
_STEPS: Final = 20


@dataclass(frozen=True, slots=True)
class Cost:
    """What pieces take: machine time and boards. ``refused`` says why they cannot be made, and is empty else."""

    seconds_s: float
    boards: int
    refused: str = ""


def cost_words(cost: Cost) -> str:
    """``12 min on the machine, 2 boards``."""
    return f"{minutes(cost.seconds_s)} on the machine, {cost.boards} {'board' if cost.boards == 1 else 'boards'}"


@dataclass(frozen=True, slots=True)
class Makeable:
    """What a job's machine makes, each question asked once a run.

    Attributes:
        cost_of: of orders by name, kind, sizes and ends.
        lengths_mm: least and greatest of a straight with those ends.
    """

    cost_of: Callable[[Sequence[PieceOrder]], Cost]
    lengths_mm: Callable[[EndKind, EndKind], tuple[float, float]]


def makeable(job: Job) -> Makeable:
    """The questions for one job."""
    known: dict[object, Cost] = {}

    def _cost_of(orders: Sequence[PieceOrder]) -> Cost:
        key = tuple((one.kind, one.count, tuple(sorted(one.sizes.items())), one.ends) for one in orders)
        if key not in known:
            known[key] = _asked(job, orders)
        return known[key]

    @cache
    def _lengths_mm(start: EndKind, end: EndKind) -> tuple[float, float]:
        return _least_mm(job, (start, end)), _most_mm(job, (start, end))

    return Makeable(_cost_of, _lengths_mm)


def _asked(job: Job, orders: Sequence[PieceOrder]) -> Cost:
    if not orders:
        return Cost(0.0, 0)
    job = replace(job, orders=tuple(orders))
    try:
        plan, noticed = plan_job(job)
        proof = prove(contents_of(plan, job, noticed), noticed=noticed)
    except PlatelayerError as error:
        return Cost(0.0, 0, worded(str(error.faults[0].problem), job.units))
    errors = [one.text for one in proof.report.findings if one.severity is Severity.ERROR]
    used = {piece.board for piece in proof.manifest.pieces}
    return Cost(whole_s(proof.manifest, proof.report), len(used), errors[0] if errors else "")


def _straight(long_mm: float, ends: tuple[EndKind, EndKind]) -> PieceOrder:
    order = new_straight(long_mm, ends).order
    assert order is not None
    return order


def _may(ask: Callable[[Job], object], job: Job, long_mm: float, ends: tuple[EndKind, EndKind]) -> bool:
    """The job of that straight alone is not refused by what is asked."""
    try:
        ask(replace(job, orders=(_straight(long_mm, ends),)))
    except PlatelayerError:
        return False
    return True


def _least_mm(job: Job, ends: tuple[EndKind, EndKind]) -> float:
    """Least length that plan and proof take, to a quarter of a millimetre.

    Raises:
        CannotCut: no straight of any length can be made.
    """
    low, high = _FIRST_MM, 2 * _FIRST_MM
    while not _may(plan_job, job, high, ends):
        low, high = high, 1.5 * high
        if high > _LONGEST_MM:
            problem = f"no straight with {ends[0].value} and {ends[1].value} can be made by this job at all"
            raise CannotCut(Fault(where="[holding]", problem=problem, fix="platelayer make says why."))
    while high - low > _NEAR_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if _may(plan_job, job, middle, ends) else (middle, high)
    for step in range(_STEPS):
        if not _asked(job, (_straight(high + step * _STEP_MM, ends),)).refused:
            return high + step * _STEP_MM
    problem = f"the dry run refuses every short straight with {ends[0].value} and {ends[1].value}"
    raise CannotCut(Fault(where="[holding]", problem=problem, fix="platelayer make says why."))


def _most_mm(job: Job, ends: tuple[EndKind, EndKind]) -> float:
    """Greatest length that finds room on a board, to a millimetre."""
    low, high = 0.0, min(_LONGEST_MM, max(max(board.width_mm, board.height_mm) for board in job.boards))
    while high - low > 1.0:
        middle = (low + high) / 2
        low, high = (middle, high) if _may(lay_job, job, middle, ends) else (low, middle)
    return low
