"""What is said where a little more wood, or pieces a little nearer to each other, would save a board."""

import math
from collections.abc import Sequence
from dataclasses import replace

from platelayer.errors import CannotCut
from platelayer.offset.room import gap_asked, least_gap
from platelayer.placing.rows import Apart, lacking_row, lacking_words, place_rows
from platelayer.units import show_length
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.pieces import Piece, Placement
from platelayer.values.tooling import Board, Job


def board_notes(
    job: Job, pieces: Sequence[Piece], boards: Sequence[Board], placements: Sequence[Placement], *, apart: Apart
) -> tuple[Finding, ...]:
    """What a row lacks that a board just fails to take, and which bit asks for the gap; each where it costs a board.

    Args:
        job: its bits ask for the gap.
        pieces: in the order of the cut list.
        boards: as the pieces were laid on them.
        placements: where they lie.
        apart: the distances that they keep.
    """
    used = len({placement.board_id for placement in placements})
    if used < 2:
        return ()
    found = []
    lacking = lacking_row(pieces, boards[0], apart=apart)
    if lacking is not None:
        more = lacking.height_mm - boards[0].height_mm
        count = _rows_take(pieces, [replace(board, height_mm=board.height_mm + more) for board in boards], apart)
        if count < used:
            found.append(
                _warned(
                    f"{lacking_words(lacking, boards[0])}: so high, {_would_do(count)}",
                    f"A greater height in [[board]] saves {used - count}.",
                )
            )
    asked, least = gap_asked(job, boards[0]), least_gap(job, boards[0])
    nearest = least.width_mm
    count = _rows_take(pieces, boards, replace(apart, gap_mm=nearest)) if nearest < apart.gap_mm else used
    if count < used:
        gap, near = show_length(apart.gap_mm), show_length(nearest)
        why = "as [cutting] gap says" if job.gap_mm else f"for {asked.asked_by}"
        wanted = f'gap = "{math.ceil(100 * nearest) / 100:.2f} mm"'
        advice = f"Give {wanted} in [cutting], and mind that chips pack in so narrow a slot."
        found.append(_warned(f"pieces lie {gap} apart, {why}; {near} apart, the least, {_would_do(count)}", advice))
    return tuple(found)


def _rows_take(pieces: Sequence[Piece], boards: Sequence[Board], apart: Apart) -> int:
    """Boards that rows need; one more than there are where those do not do."""
    try:
        return len({placement.board_id for placement in place_rows(pieces, boards, apart=apart)})
    except CannotCut:
        return len(boards) + 1


def _would_do(count: int) -> str:
    return f"{count} {'board' if count == 1 else 'boards'} would do"


def _warned(text: str, advice: str) -> Finding:
    return Finding(code=Code.JOB_NOTICED, severity=Severity.WARNING, text=f"{text}.", advice=advice)
