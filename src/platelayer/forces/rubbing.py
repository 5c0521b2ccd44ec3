"""Where a bit dwells or crawls in the wood: burn marks in maple, by the speeds that the machine really reaches.

Glossary:
    crawl: cutting slower than half of the least feed that the wood's chart gives this bit: it rubs instead of cutting.
    dwell: standing still with the tip in the wood, by the file's own word: G4, M0 or M1.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import on_board
from platelayer.gcode.motion import SECONDS_PER_MINUTE, move_lengths_mm
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestFile
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_mm
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import EventKind, Floats, Motion, MotionTime, MoveKind

Bands = Mapping[str, tuple[float, float]]
"""Least and greatest chip load in mm by bit id; bits that no chart covers are left out."""

CRAWL_RATIO: Final = 0.5
"""Under this share of the least chip load a tooth rubs; common practice, no source."""

_WORTH_SAYING_S: Final = 5.0
_STANDS: Final = frozenset({EventKind.DWELL, EventKind.PAUSE})


def rubbing_findings(
    manifest: Manifest, motions: Mapping[str, Motion], times: Mapping[str, MotionTime], *, bands: Bands
) -> tuple[Finding, ...]:
    """Dwells in the wood, each, and for every bit of every file the time it crawls, where that is worth saying."""
    boards = {board.id: board for board in manifest.boards}
    found: list[Finding] = []
    for file in manifest.files:
        if file.name in motions and file.name in times:
            motion = on_board(motions[file.name], file, boards[file.board])
            found += _dwells(motion, file)
            for number, bit in enumerate(file.bits):
                if bit.id in bands and bit.flutes:
                    found += _rubbing(motion, times[file.name], file, number, bands[bit.id][0])
    return tuple(found)


def _dwells(motion: Motion, file: ManifestFile) -> list[Finding]:
    found = []
    for event in motion.events:
        at = motion.end[event.before - 1] if 0 < event.before <= len(motion) else None
        if event.kind in _STANDS and at is not None and at[2] < -COINCIDENT_MM:
            text = (
                f"{file.name} stands still at line {event.line} with the bit {show_mm(-float(at[2]))} deep in the wood."
            )
            found.append(
                Finding(
                    code=Code.CUTTING_DWELL,
                    severity=Severity.WARNING,
                    text=text,
                    advice="A bit that turns on the spot burns maple: lift it first.",
                    where=_where(file, event.line, at),
                )
            )
    return found


def _rubbing(motion: Motion, time: MotionTime, file: ManifestFile, number: int, least_mm: float) -> list[Finding]:
    """The seconds for which a bit's chips stay under half of the chart's least, and the longest such move."""
    bit = file.bits[number]
    lengths = move_lengths_mm(motion)
    in_wood = np.minimum(motion.start[:, 2], motion.end[:, 2]) < -COINCIDENT_MM
    mine = (motion.bit == number) & in_wood & (motion.kind != MoveKind.RAPID) & (lengths > COINCIDENT_MM)
    speed_rpm = np.where(np.nan_to_num(motion.speed) > 0, motion.speed, bit.spindle_rpm)
    if not mine.any() or not (speed_rpm[mine] > 0).all():
        return []
    seconds = np.where(mine, time.seconds_s, 0.0)
    reached_mm_min = np.divide(lengths * SECONDS_PER_MINUTE, seconds, out=np.zeros_like(lengths), where=seconds > 0)
    slow_mm_min = CRAWL_RATIO * least_mm * speed_rpm * bit.flutes
    level = np.abs(motion.end[:, 2] - motion.start[:, 2]) <= COINCIDENT_MM
    crawls = mine & level & (reached_mm_min < slow_mm_min)
    total_s = float(seconds[crawls].sum())
    if total_s < _WORTH_SAYING_S:
        return []
    worst = int(np.where(crawls, seconds, 0.0).argmax())
    return [_finding(motion, file, bit, worst, total_s, float(seconds.sum()), float(slow_mm_min[worst]))]


def _finding(
    motion: Motion, file: ManifestFile, bit: ManifestBit, row: int, total_s: float, all_s: float, slow_mm_min: float
) -> Finding:
    share = 100 * total_s / all_s
    return Finding(
        code=Code.CUTTING_RUBS,
        severity=Severity.NOTE if share < 10 else Severity.WARNING,
        text=(
            f"{bit.id} crawls below {slow_mm_min:.0f} mm/min for {total_s:.0f} s of its {all_s:.0f} s in the wood:"
            " there it rubs instead of cutting."
        ),
        advice="Write a lower spindle speed in the profile's [[feeds]], for fewer burn marks; look at corners first.",
        where=_where(file, int(motion.line[row]), motion.end[row]),
        measured=total_s,
        unit="s",
    )


def _where(file: ManifestFile, line: int, at: Floats) -> Where:
    return Where(file=file.name, line=line, board=file.board, point=(float(at[0]), float(at[1]), float(at[2])))
