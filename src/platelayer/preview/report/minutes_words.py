"""Where the minutes go, in words: by operation and bit as the files are timed, beside the least that each can take."""

import math
from dataclasses import dataclass
from typing import Final

from platelayer.manifest.schema import Manifest
from platelayer.preview.report.strip_words import runs_of
from platelayer.values.findings import Report
from platelayer.values.minutes import Operation

AT_LEAST: Final = "At the least: the wood by what a pass at full width and depth takes away, the walls by their length."


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesRow:
    """Seconds of one operation with one bit in all files together, and its bound; 0 where it has none."""

    operation: Operation
    bit: str
    seconds_s: float
    bound_s: float


def minutes_rows(manifest: Manifest, report: Report) -> tuple[MinutesRow, ...]:
    """In the order of the operations; a board's files count as often as they are run."""
    took: dict[tuple[Operation, str], float] = {}
    runs = runs_of(manifest)
    for file in report.files:
        for work in file.work:
            key = work.operation, work.bit
            took[key] = took.get(key, 0.0) + work.seconds_s * runs.get(file.board, 1)
    bound = {(row.operation, row.bit): row.seconds_s for row in manifest.bound}
    order = list(Operation)
    return tuple(
        MinutesRow(operation=operation, bit=bit, seconds_s=took.get((operation, bit), 0.0), bound_s=least)
        for operation, bit in sorted({**bound, **took}, key=lambda key: order.index(key[0]))
        for least in (bound.get((operation, bit), 0.0),)
    )


def minutes_cells(manifest: Manifest, report: Report) -> tuple[tuple[str, str, str, str], ...]:
    """Operation, bit, minutes and the least of them, row by row, all together last; none where nothing was timed."""
    rows = minutes_rows(manifest, report)
    if not rows:
        return ()
    whole, least = (math.fsum(seconds) for seconds in zip(*((row.seconds_s, row.bound_s) for row in rows), strict=True))
    cells = [(row.operation.value, row.bit, _minutes(row.seconds_s), _shown(row.bound_s)) for row in rows]
    return (*cells, ("together", "", _minutes(whole), _shown(least)))


def minutes_pairs(manifest: Manifest, report: Report) -> tuple[tuple[str, str], ...]:
    """The same as a name and what is said of it: ``grooves, flat-3.175`` and ``27.3 min, 9.6 at the least``."""
    return tuple(
        (f"{does}, {bit}" if bit else does, f"{took} min" + (f", {least} at the least" if least else ""))
        for does, bit, took, least in minutes_cells(manifest, report)
    )


def _shown(seconds_s: float) -> str:
    return _minutes(seconds_s) if seconds_s else ""


def _minutes(seconds_s: float) -> str:
    return f"{seconds_s / 60:.1f}"
