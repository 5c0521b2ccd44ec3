"""How much of the boards becomes pieces, and how far the bit travels in the air.

Glossary:
    yield: area of the pieces as a share of the boards they lie on. bound: boards that the pieces' area alone fills.
"""

import math
from dataclasses import dataclass

from platelayer.gcode.board_frame import board_area
from platelayer.geometry.contours import area_mm2
from platelayer.geometry.fewest import fewest_boards
from platelayer.manifest.schema import Manifest
from platelayer.preview.report.strip_words import runs_of
from platelayer.values.findings import Report


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodUsed:
    """Areas of pieces and boards, boards used, the fewest that area alone allows, and the length of all rapids."""

    pieces_mm2: float
    boards_mm2: float
    boards: int
    fewest_boards: int
    rapid_mm: float

    @property
    def yield_ratio(self) -> float:
        """Wood in pieces as a share of the boards."""
        return self.pieces_mm2 / self.boards_mm2 if self.boards_mm2 else 0.0


def wood_used(manifest: Manifest, report: Report) -> WoodUsed:
    """The figures of a whole job."""
    runs = runs_of(manifest)
    pieces = math.fsum(area_mm2(piece.outline) * runs.get(piece.board, 1) for piece in manifest.pieces)
    boards = [float(board_area(board).area) for board in manifest.boards if not board.feeds]
    boards += _strips_mm2(manifest)
    return WoodUsed(
        pieces_mm2=pieces,
        boards_mm2=math.fsum(boards),
        boards=len(boards),
        fewest_boards=fewest_boards(pieces, sorted(boards, reverse=True)),
        rapid_mm=math.fsum(file.rapid_mm * runs.get(file.board, 1) for file in report.files),
    )


def _strips_mm2(manifest: Manifest) -> list[float]:
    """What is gone of each strip that is fed, with what is left at its end, since nobody can clamp that."""
    used: dict[str, float] = {}
    left: dict[str, float] = {}
    for board in manifest.boards:
        for feed in board.feeds:
            used[feed.strip] = used.get(feed.strip, 0.0) + feed.used_mm * board.size_mm[1]
            left[feed.strip] = feed.left_mm * board.size_mm[1]
    return [used[strip] + left[strip] for strip in used]


def wood_used_line(used: WoodUsed) -> str:
    """The figures as one sentence."""
    plural = "board" if used.boards == 1 else "boards"
    bound = f"; by area alone {used.fewest_boards} would do at the least" if used.boards > used.fewest_boards else ""
    return (
        f"{used.boards} {plural}: {used.pieces_mm2 / 100:.0f} of {used.boards_mm2 / 100:.0f} cm2 become pieces, "
        f"{100 * used.yield_ratio:.0f} %{bound}. Rapids {used.rapid_mm / 1000:.1f} m."
    )
