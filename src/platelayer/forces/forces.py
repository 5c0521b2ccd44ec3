"""How hard the bit works on every move, roughly and honestly: chips, wood taken, push and bend as bands.

Glossary:
    chip load: how far the work moves on while one flute comes round. chip: its thickness as cut, thinner than the chip
        load where the bit only grazes the wood. bite: wood taken by a move, as volume, mean width and depth.
    push: force of the wood on the bit, square to the feed. band: lowest and highest that is likely.
    overhang: how far the bit stands out of the collet.

The bite of every move is read from the file alone, on a grid of cells: every cell remembers how high its wood stands,
and what a move takes is the fall of all its cells. Cutting order counts, so the second pass over a place takes little.

What is known and what is not:
    - Chip thickness is geometry. h = f_z where the bit is buried to its axis or more, else
      h = 2 f_z sqrt(q (1 - q)), q the width of cut over the diameter. Source: a published calculator page, formula
      repeated on three sites; worked there: q = 0.1 gives 0.6.
    - Force is wood's resistance times the chip's section. Measured for particleboard: 32.0 to 37.6 N/mm2 (P. Palubicki,
      Materials 14 (2021) 2208, abstract); for routing hard maple nobody was found. CUT_RESISTANCE is that, widened;
      its upper end is from memory.
    - Which part of it pushes sideways changes with every turn of the flute; PUSH_RATIO is from memory.
    - Bend is that of a round bar held at one end, y = W L^3 / (3 E I), with 0.7 to 0.8 of the diameter for the flutes
      (L. Kops and D. T. Vo, CIRP 1990, abstract: 0.8; a tool maker's course, mmc-carbide.com: 0.7 to 0.8) and E of
      carbide from 550 to 600 kN/mm2 (calculatorhub.com: 580; 600 from memory). Runout and a soft machine come on top.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.forces.bites import Bites, bites_of
from platelayer.gcode.board_frame import files_of, on_board
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile
from platelayer.tolerances import COINCIDENT_MM, PLAY_MM
from platelayer.units import show_range, show_small
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.motion import Floats, Motion, MoveKind
from platelayer.values.pieces import BoardFace

CUT_RESISTANCE: Final = (30.0, 100.0)
"""N/mm2 of chip section: from what particleboard was measured at to what hard maple hardly passes."""
PUSH_RATIO: Final = (0.3, 1.0)
"""Share of the cutting force that may stand square to the feed."""
CORE_RATIO: Final = (0.8, 0.7)
"""Diameter of a plain bar as stiff as the fluted bit, as a share of the bit's."""
CARBIDE_N_MM2: Final = (600_000.0, 550_000.0)
"""Stiffness of carbide, N/mm2."""
COLLET_GAP_MM: Final = (0.0, 8.0)
"""Overhang beyond the cutting length: none, or as a careful hand still leaves it. From memory."""
BEND_MOST_MM: Final = PLAY_MM / 2
"""A wall pushed off by half of what a hand feels spoils the fit, since a joint has two walls."""

Band = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Forces:
    """One row a move; nan where the move takes no wood or the spindle's speed is unknown.

    Attributes:
        chip_load: (n,) mm a flute.
        chip: (n,) mm, thickest place of a chip.
        removal: (n,) mm3 a minute.
        push: (n, 2) N, lowest and highest likely.
        bend: (n, 2) mm at the tip, lowest and highest likely.
    """

    chip_load: Floats
    chip: Floats
    removal: Floats
    push: Band
    bend: Band


def chip_thickness(chip_load: Floats, width: Floats, diameter: Floats) -> Floats:
    """Thickest place of the chip in mm, from chip load, width of cut and diameter in mm."""
    part = np.clip(width / diameter, 0.0, 0.5)
    return chip_load * 2 * np.sqrt(part * (1 - part))


def bend_of(push: Floats, overhang: Floats, core_diameter: Floats, *, stiffness: float | Floats) -> Floats:
    """Bend at the tip in mm of a round bar held at one end: W L^3 / (3 E I), I = pi d^4 / 64."""
    return push * overhang**3 / (3 * stiffness * math.pi * core_diameter**4 / 64)


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
        for name in ("diameter_mm", "flutes", "cutting_length_mm", "spindle_rpm")
    }
    diameter = column["diameter_mm"]
    speed = np.where(np.isnan(motion.speed) | (motion.speed <= 0), column["spindle_rpm"], motion.speed)
    speed = np.where(speed > 0, speed, np.nan)
    cutting = (bites.volume > COINCIDENT_MM) & (motion.feed > 0) & (motion.kind != MoveKind.RAPID)
    with np.errstate(divide="ignore", invalid="ignore"):
        chip_load = np.where(cutting, motion.feed / (speed * np.maximum(column["flutes"], 1)), np.nan)
        removal = np.where(cutting, bites.volume / bites.length * motion.feed, np.nan)
        chip = chip_thickness(chip_load, bites.width, diameter)
        push, bend = [], []
        for resistance, ratio, core, stiffness, gap in zip(
            CUT_RESISTANCE, PUSH_RATIO, CORE_RATIO, CARBIDE_N_MM2, COLLET_GAP_MM, strict=True
        ):
            force = resistance * ratio * chip * bites.depth
            overhang = np.maximum(column["cutting_length_mm"], bites.depth) + gap - bites.depth / 2
            push.append(force)
            bend.append(bend_of(force, overhang, core * diameter, stiffness=stiffness))
    return Forces(
        chip_load=chip_load,
        chip=chip,
        removal=removal,
        push=np.column_stack(push),
        bend=np.column_stack(bend),
    )


def bend_findings(manifest: Manifest, motions: Mapping[str, Motion]) -> tuple[Finding, ...]:
    """Every bit's hardest move that may spoil a fit, for all files that were read; files cut in their order."""
    out: list[Finding] = []
    for board in manifest.boards:
        for face in BoardFace:
            files = [file for file in files_of(manifest, board.id, face) if file.name in motions and file.bits]
            cut = [(on_board(motions[file.name], file, board), file) for file in files]
            for (motion, file), bites in zip(cut, bites_of(cut, size_mm=board.size_mm), strict=True):
                found = force_findings(motion, file, forces(motion, file, bites))
                out += (_from_top(each, board) for each in found) if face is BoardFace.BOTTOM else found
    return tuple(out)


def _from_top(finding: Finding, board: ManifestBoard) -> Finding:
    """The same finding with its z counted from the board's top, which lies down while the bottom is cut."""
    if finding.where.point is None:
        return finding
    x, y, z = finding.where.point
    return replace(finding, where=replace(finding.where, point=(x, y, -board.thickness_mm - z)))


def force_findings(motion: Motion, file: ManifestFile, work: Forces) -> tuple[Finding, ...]:
    """The hardest move of each bit that may spoil a fit: a warning when even its low end does, else a note."""
    out = []
    for number, bit in enumerate(file.bits):
        mine = (motion.bit == number) if number else (motion.bit <= 0)
        high = np.where(mine & np.isfinite(work.bend[:, 1]), work.bend[:, 1], -1.0)
        if not len(high) or float(high.max()) < BEND_MOST_MM:
            continue
        out.append(_bend_finding(motion, file, bit, work, int(high.argmax())))
    return tuple(out)


def _bend_finding(motion: Motion, file: ManifestFile, bit: ManifestBit, work: Forces, row: int) -> Finding:
    low, high = (float(value) for value in work.bend[row])
    weak, strong = (float(value) for value in work.push[row])
    is_sure = low >= BEND_MOST_MM
    return Finding(
        code=Code.CUTTING_BEND,
        severity=Severity.WARNING if is_sure else Severity.NOTE,
        text=(
            f"{bit.id} is pushed sideways by some {weak:.1f} to {strong:.1f} N here and bends by some "
            f"{show_range((low, high))}; half of what a hand feels in a joint is {show_small(BEND_MOST_MM)}."
        ),
        advice="Take a shorter or thicker bit, a shallower finish pass, or leave less for it.",
        where=Where(
            file=file.name,
            line=int(motion.line[row]),
            board=file.board,
            point=(float(motion.end[row, 0]), float(motion.end[row, 1]), float(motion.end[row, 2])),
        ),
        measured=high,
        limit=BEND_MOST_MM,
    )
