"""Holding of pieces and boards, from the model to a value; and what a person should weigh about it."""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.job.boards import SCATTER_MM
from platelayer.job.job_models import HoldingTable
from platelayer.job.track_models import STOCK_MM
from platelayer.tolerances import COINCIDENT_MM, LEAST_SKIN_MM, LEAST_TAB_MM, SHORT_PIECE_MM, SHORT_PIECE_TABS
from platelayer.units import inches, show_length
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.tooling import Bit, Board, FluteDirection, Holding, HoldingKind, StockBy

TAB_MOST_SHARE: Final = 0.25
"""A tab or a skin is at most this share of the board, to be sawn by hand. Common practice, no source."""
SPAN_RATIO: Final = 300.0 / inches(1 / 2)
"""A board may lie so many of its thicknesses between holds: 300 mm at half an inch. It springs with the cube of span
over thickness, so that the two go together. Common practice, no source."""
_SPARE_MM: Final = 0.3
"""What a chosen tab has above the least, where the board allows. Common practice, no source."""


def holding_of(table: HoldingTable, boards: Sequence[Board], *, faults: list[Fault]) -> Holding:
    """How pieces are held; what the person left open is chosen for the thinnest and the least even board.

    Args:
        table: as written.
        boards: all of the job's.
        faults: what is wrong is added here.
    """
    scatter = max((board.scatter_mm for board in boards), default=SCATTER_MM)
    thinnest = min((board.thickness_mm for board in boards), default=STOCK_MM)
    span = table.span or SPAN_RATIO * thinnest
    most = TAB_MOST_SHARE * thinnest
    if table.kind is HoldingKind.SKIN:
        faults += _skin_faults(table, boards, LEAST_SKIN_MM + scatter, most)
        return Holding(
            kind=table.kind,
            tab_width_mm=table.tab_width,
            tab_height_mm=0.0,
            tab_count=0,
            skin_mm=table.skin or LEAST_SKIN_MM + scatter,
            stock=table.stock or StockBy.CLAMPS,
            screw_head_mm=table.screw_head,
            screw_rise_mm=table.screw_rise,
            span_mm=span,
        )
    if not table.kind.is_from_below:
        faults += _tab_faults(table, LEAST_TAB_MM + scatter, most)
    return Holding(
        kind=table.kind,
        tab_width_mm=table.tab_width,
        tab_height_mm=table.tab_height or min(LEAST_TAB_MM + scatter + _SPARE_MM, most),
        tab_count=table.tab_count or 0,
        skin_mm=0.0,
        stock=table.stock or (StockBy(table.kind.value) if table.kind.is_from_below else StockBy.CLAMPS),
        screw_head_mm=table.screw_head,
        screw_rise_mm=table.screw_rise,
        span_mm=span,
    )


def holding_findings(
    holding: Holding, boards: Sequence[Board], bits: Sequence[Bit], *, allowance_mm: float
) -> tuple[Finding, ...]:
    """What to weigh: boards that may not be cut through, and bits that pull pieces off tape or a vacuum.

    Args:
        holding: of pieces and boards.
        boards: all of the job's.
        bits: those that cut right through.
        allowance_mm: how far below a board the bit goes.
    """
    found = []
    if holding.kind is not HoldingKind.SKIN:
        uneven = [b for b in boards if b.zero == "top" and b.scatter_mm > allowance_mm + COINCIDENT_MM]
        for board in uneven[:1]:
            scatter, allowance = (show_length(length) for length in (board.scatter_mm, allowance_mm))
            found.append(
                Finding(
                    code=Code.CUTTING_NOT_THROUGH,
                    severity=Severity.WARNING,
                    text=f"board {board.id} may be thicker than stated by {scatter}, and with its zero on top the bit "
                    f"goes only {allowance} further: cuts may not go through.",
                    advice='Plane or measure the board, write zero = "spoilboard", or allow more spoilboard: '
                    "spoilboard_allowance in [cutting].",
                    where=Where(board=board.id),
                    measured=board.scatter_mm,
                    limit=allowance_mm,
                )
            )
    if holding.kind.is_from_below:
        found += [
            Finding(
                code=Code.CUTTING_LIFT,
                severity=Severity.WARNING,
                text=f"{bit.id} is an up-cut bit and pulls at what only {holding.kind.value} holds.",
                advice="Name a down-cut, straight or compression bit for the outlines in [bits], or hold by tabs: "
                'kind = "tabs" in [holding].',
            )
            for bit in bits
            if bit.flute_direction is FluteDirection.UP
        ]
    return tuple(found)


def _tab_faults(table: HoldingTable, least_mm: float, most_mm: float) -> list[Fault]:
    low, high = (show_length(length) for length in (least_mm, most_mm))
    limits = f"the limits are {low}, which is 1.5 mm and the board's scatter, and {high}, a quarter of the board"
    if least_mm > most_mm:
        problem = f"the board is too thin or too uneven for tabs: {limits}"
        return [Fault(where="[holding] kind", found="tabs", problem=problem, fix='Hold by a skin: kind = "skin".')]
    if table.skin:
        found, fix = show_length(table.skin), 'Write kind = "skin", or leave skin out.'
        return [Fault(where="[holding] skin", found=found, problem="of no use with tabs", fix=fix)]
    if table.tab_height and not least_mm - COINCIDENT_MM <= table.tab_height <= most_mm + COINCIDENT_MM:
        found = show_length(table.tab_height)
        word = "too low to hold" if table.tab_height < least_mm else "too high to saw"
        return [Fault(where="[holding] tab_height", found=found, problem=f"{word}: {limits}")]
    return []


def _skin_faults(table: HoldingTable, boards: Sequence[Board], least_mm: float, most_mm: float) -> list[Fault]:
    faults = []
    loose = [board.id for board in boards if board.zero != "spoilboard" and not board.thickness_is_measured]
    if loose:
        problem = f"a skin needs a known floor, and board {loose[0]} has its zero on top and no measured thickness"
        fix = 'Write zero = "spoilboard", or measure the board and write thickness_measured = true.'
        faults.append(Fault(where="[holding] kind", found="skin", problem=problem, fix=fix))
    if table.skin and not least_mm - COINCIDENT_MM <= table.skin <= most_mm + COINCIDENT_MM:
        found, low, high = (show_length(length) for length in (table.skin, least_mm, most_mm))
        word = "too thin to hold" if table.skin < least_mm else "too thick to part by hand"
        why = "which is 0.4 mm and the board's scatter"
        problem = f"{word}: the limits are {low}, {why}, and {high}, a quarter of the board"
        faults.append(Fault(where="[holding] skin", found=found, problem=problem))
    return faults


def short_piece_faults(holding: Holding, lengths_mm: Sequence[float]) -> list[Fault]:
    """A fault when fewer tabs are asked for than the shortest piece needs."""
    shortest = min((length for length in lengths_mm if length > 0), default=math.inf)
    if not 0 < holding.tab_count < SHORT_PIECE_TABS or shortest >= SHORT_PIECE_MM:
        return []
    short, limit = (show_length(length) for length in (shortest, SHORT_PIECE_MM))
    problem = f"a piece of {short} is shorter than {limit} and needs at least {SHORT_PIECE_TABS} tabs, or a skin"
    fix = "Leave tab_count out, and each piece gets what it needs."
    return [Fault(where="[holding] tab_count", found=str(holding.tab_count), problem=problem, fix=fix)]
