"""How hard the bit works on every move, roughly and honestly: chips, wood taken, push and bend as bands.

Glossary:
    chip load: how far the work moves on while one flute comes round. chip: its thickness as cut, thinner than the chip
        load where the bit only grazes the wood. bite: wood taken by a move, as volume, mean width and depth.
    push: force of the wood on the bit, square to the feed. band: lowest and highest that is likely.
    overhang: how far the bit stands out of the collet.

The bite of every move is read from the file alone, on a grid of cells: every cell remembers how high its wood stands,
and what a move takes is the fall of all its cells. Cutting order counts, so the second pass over a place takes little.

The model of push and bend, with what is known of it, is ``values.bit_bend``, by which finish passes are planned too. A
bend spoils a wall only where it is more than the wood between the bit's edge and the nearest outline.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.forces.bites import Bites, bites_of
from platelayer.gcode.board_frame import files_of, on_board
from platelayer.geometry.intersect import distances_mm
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile
from platelayer.tolerances import COINCIDENT_MM, PLAY_MM
from platelayer.units import show_small
from platelayer.values.bit_bend import RESISTANCE_BAND, bend_mm_n, chip_thickness, push_n
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import Floats, Motion, MoveKind
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Segment

BEND_MOST_MM: Final = PLAY_MM / 2
"""A wall pushed off by half of what a hand feels spoils the fit, since a joint has two walls."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forces:
    """One row a move; nan where the move takes no wood or the spindle's speed is unknown.

    Attributes:
        push: (n,) N on one tooth at its thickest chip; RESISTANCE_BAND says how far off it may be.
        bend: (n,) mm at the tip under that push.
    """

    push: Floats
    bend: Floats


def forces(motion: Motion, file: ManifestFile, bites: Bites) -> Forces:
    """The work of every move of one file.

    Args:
        motion: the file as read.
        file: names its bits; where the file has no speed words the bit's planned speed counts.
        bites: what each move takes, from ``bites_of``.
    """
    bit = np.clip(motion.bit, 0, len(file.bits) - 1)
    column = {
        name: np.array([getattr(each, name) for each in file.bits], dtype=np.float64)[bit]
        for name in ("diameter_mm", "flutes", "spindle_rpm")
    }
    diameter = column["diameter_mm"]
    speed = np.where(np.isnan(motion.speed) | (motion.speed <= 0), column["spindle_rpm"], motion.speed)
    speed = np.where(speed > 0, speed, np.nan)
    cutting = (bites.volume > COINCIDENT_MM) & (motion.feed > 0) & (motion.kind != MoveKind.RAPID)
    with np.errstate(divide="ignore", invalid="ignore"):
        chip_load = np.where(cutting, motion.feed / (speed * np.maximum(column["flutes"], 1)), np.nan)
        push = push_n(chip_thickness(chip_load, bites.width, diameter), bites.depth)
        each = np.stack([bend_mm_n(one, bites.depth) for one in file.bits])
        bend = push * each[bit, np.arange(len(bit))]
    return Forces(push=push, bend=bend)


def bend_findings(manifest: Manifest, motions: Mapping[str, Motion]) -> tuple[Finding, ...]:
    """Every bit's hardest move that may spoil a fit, for all files that were read; files cut in their order."""
    out: list[Finding] = []
    for board in manifest.boards:
        walls = tuple(segment for one in manifest.pieces if one.board == board.id for segment in one.outline.segments)
        for face in BoardFace:
            files = [file for file in files_of(manifest, board.id, face) if file.name in motions and file.bits]
            cut = [(on_board(motions[file.name], file, board), file) for file in files]
            for (motion, file), bites in zip(cut, bites_of(cut, size_mm=board.size_mm), strict=True):
                found = force_findings(motion, file, forces(motion, file, bites), walls=walls)
                out += (_from_top(each, board) for each in found) if face is BoardFace.BOTTOM else found
    return tuple(out)


def _from_top(finding: Finding, board: ManifestBoard) -> Finding:
    """The same finding with its z counted from the board's top, which lies down while the bottom is cut."""
    if finding.where.point is None:
        return finding
    x, y, z = finding.where.point
    return replace(finding, where=replace(finding.where, point=(x, y, -board.thickness_mm - z)))


def force_findings(
    motion: Motion, file: ManifestFile, work: Forces, *, walls: Sequence[Segment] = ()
) -> tuple[Finding, ...]:
    """The move of each bit that may spoil a fit the most: a warning when it is likely to, else a note.

    Args:
        motion: the file as read, in board coordinates.
        file: names its bits.
        work: from ``forces``.
        walls: outlines that the bit must leave true; without any every move counts as if it left a wall.
    """
    out = []
    for number, bit in enumerate(file.bits):
        mine = (motion.bit == number) if number else (motion.bit <= 0)
        bend = np.where(mine & np.isfinite(work.bend), work.bend, 0.0)
        rows = np.flatnonzero(bend * RESISTANCE_BAND[1] >= BEND_MOST_MM)
        if not len(rows):
            continue
        over = bend[rows] - _limit_mm(motion, rows, bit, walls)
        may = bend[rows] * (RESISTANCE_BAND[1] - 1) + over
        if float(may.max()) >= 0:
            out.append(
                _bend_finding(motion, file, bit, work, int(rows[may.argmax()]), is_likely=float(over.max()) >= 0)
            )
    return tuple(out)


def _limit_mm(motion: Motion, rows: npt.NDArray[np.intp], bit: ManifestBit, walls: Sequence[Segment]) -> Floats:
    """How far the bit may bend on these moves: by the wood left between it and the nearest wall, and BEND_MOST_MM."""
    if not walls:
        return np.full(len(rows), BEND_MOST_MM)
    ends = [motion.start[rows, :2], motion.end[rows, :2], (motion.start[rows, :2] + motion.end[rows, :2]) / 2]
    nearest = np.min([distances_mm(points, walls).min(axis=1) for points in ends], axis=0)
    return np.asarray(np.maximum(nearest - bit.diameter_mm / 2, 0.0) + BEND_MOST_MM)


def _bend_finding(
    motion: Motion, file: ManifestFile, bit: ManifestBit, work: Forces, row: int, *, is_likely: bool
) -> Finding:
    push, bend = float(work.push[row]), float(work.bend[row])
    low, high = (push * share for share in RESISTANCE_BAND)
    return Finding(
        code=Code.CUTTING_BEND,
        severity=Severity.WARNING if is_likely else Severity.NOTE,
        text=(
            f"{bit.id} is pushed sideways by some {push:.0f} N here ({low:.0f} to {high:.0f}) and bends by some "
            f"{show_small(bend)}, up to {show_small(bend * RESISTANCE_BAND[1])}; half of what a hand feels in a joint "
            f"is {show_small(BEND_MOST_MM)}."
        ),
        advice="Let the bit stand out less (stick_out in its [[bit]]), take a shorter or thicker one (joints or "
        "outlines in [bits]), or a lower feed (feed in the profile's feeds).",
        where=Where(
            file=file.name,
            line=int(motion.line[row]),
            board=file.board,
            point=(float(motion.end[row, 0]), float(motion.end[row, 1]), float(motion.end[row, 2])),
        ),
        measured=bend,
        limit=BEND_MOST_MM,
    )
