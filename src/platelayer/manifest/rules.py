"""What values of a manifest owe each other, each sound by itself; places in faults count from the value asked."""

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any, Final

from platelayer.errors import Fault
from platelayer.geometry.contours import signed_area_mm2
from platelayer.manifest.keys import Runs
from platelayer.manifest.schema import Manifest, ManifestFile
from platelayer.tolerances import ARC_RADII_MM, COINCIDENT_MM
from platelayer.values.pieces import BoardFace, EdgeBreak, Groove
from platelayer.values.shapes import Arc, Contour


def contour_faults(contour: Contour, runs: Runs) -> Iterator[Fault]:
    """Arcs whose radii differ, segments that do not follow on, and an outline that runs the wrong way round."""
    for index, segment in enumerate(contour.segments):
        if isinstance(segment, Arc):
            differ_mm = abs(math.dist(segment.start, segment.centre) - math.dist(segment.end, segment.centre))
            if differ_mm > ARC_RADII_MM:
                problem = f"its two radii differ by {differ_mm:.4f} mm; the limit is {ARC_RADII_MM:g} mm"
                yield Fault(where=f"[{index}].arc", problem=problem)
    follows = [*contour.segments, contour.segments[0]] if contour.is_closed else contour.segments
    for index, (segment, following) in enumerate(pairwise(follows)):
        gap_mm = math.dist(segment.end, following.start)
        if gap_mm > COINCIDENT_MM:
            problem = f"begins {gap_mm:.6f} mm from where segment {index} ends; the limit is {COINCIDENT_MM:g} mm"
            yield Fault(where=f"[{(index + 1) % len(contour.segments)}]", problem=problem)
    if runs is Runs.CCW and signed_area_mm2(contour) <= 0:
        yield Fault(where="", problem="runs clockwise or encloses nothing; an outline runs counter-clockwise")


def _turned(file: ManifestFile) -> Iterator[Fault]:
    if (file.face is BoardFace.BOTTOM) != (file.turn is not None):
        yield Fault(where="turn", problem='stands with a file of face "bottom" and only there')


def _rounded(edge: EdgeBreak) -> Iterator[Fault]:
    if 0 < edge.radius_mm < edge.depth_mm - COINCIDENT_MM:
        yield Fault(where="depth", found=f"{edge.depth_mm!r}", problem="is deeper than the radius of the round")


def _widened(groove: Groove) -> Iterator[Fault]:
    """Knots of a widening stand one after another between the flares, with nothing at the first and the last."""
    knots, (first, last) = groove.widening_mm, groove.flare
    if not knots:
        return
    if min(after[0] - before[0] for before, after in pairwise((*knots, (math.inf, 0.0)))) <= COINCIDENT_MM:
        yield Fault(where="widening", problem="its knots do not stand one after another along the path")
    if knots[0][1] or knots[-1][1] or len(knots) < 2:
        yield Fault(where="widening", problem="must begin and end with an extra of 0")
    low, high = first.length_mm, groove.path.length_mm - last.length_mm
    if knots[0][0] < low - COINCIDENT_MM or knots[-1][0] > high + COINCIDENT_MM:
        problem = f"must stand between the flares, {low:g} to {high:g} mm along the path"
        yield Fault(where="widening", problem=problem)


def _named(manifest: Manifest) -> Iterator[Fault]:
    """Names stand once, and boards that are named are there."""
    boards = [board.id for board in manifest.boards]
    names = {
        "boards": boards,
        "files": [file.name for file in manifest.files],
        "pieces": [piece.id for piece in manifest.pieces],
    }
    for kind, all_of in names.items():
        for name, count in sorted(Counter(all_of).items()):
            if count > 1:
                yield Fault(where=kind, found=name, problem="stands more than once")
    placed = {
        "files": [file.board for file in manifest.files],
        "pieces": [piece.board for piece in manifest.pieces],
    }
    for kind, all_of in placed.items():
        for index, board in enumerate(all_of):
            if board not in boards:
                yield Fault(where=f"{kind}[{index}].board", found=board, problem="no such board")


RULES: Final[Mapping[type, Callable[[Any], Iterator[Fault]]]] = {
    ManifestFile: _turned,
    EdgeBreak: _rounded,
    Groove: _widened,
    Manifest: _named,
}
"""The rule of each kind of object that has one."""
