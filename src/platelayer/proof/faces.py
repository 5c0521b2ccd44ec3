"""Both faces of a board held against each other: how far apart they are cut, and what wood stays between them.

Glossary:
    shift: how far all that is cut from below lies from where it belongs, as one move. Not the tolerance: that is how
        far a person's turning may be off besides.
    web: wood between a groove in the upper face and one in the lower, the least there is.
    land: wood between a groove and the nearest edge of its piece that it does not run out through.
    worst: with the turned board off by the whole tolerance, and the board as thin as its scatter allows.

The shift v is found by least squares from how far walls lie outwards: at a point of a wall with outward normal n, a
shifted groove wider by w lies s = n v + w further out. Derived here; a straight's walls say nothing of a shift along
them, and none is taken.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.moves import BoardMoves, Rows
from platelayer.geometry.contours import heading_along, point_along
from platelayer.geometry.grooves import walls
from platelayer.geometry.regions import (
    Area,
    as_array,
    distance_between_mm,
    distances_between_mm,
    edge_distances_mm,
    holds_points,
    line_through,
    near_pairs,
    parts,
    to_area,
    union_all,
    within_mm,
)
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.removal import runs_through, swept
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, GOUGE_MM, LAND_MM, LEFTOVER_MM
from platelayer.values.motion import Floats
from platelayer.values.pieces import BoardFace, Groove
from platelayer.values.shapes import Contour, Point

ASKED_MM: Final = 5.0
"""A wall is asked every so many mm."""
ENDS_MM: Final = 3.0
"""Walls are not asked nearer to their ends than this, nor where they flare."""
LARGEST_MM: Final = 4.0
"""A wall further off than this is another groove's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinnest:
    """The thinnest wood of its kind on a piece, as cut and at worst, and where it is."""

    piece: str
    as_cut_mm: float
    worst_mm: float
    point: Point


def below(groove: Groove) -> bool:
    """The groove is in the lower face."""
    return groove.face is BoardFace.BOTTOM


def shift_of(woods: Sequence[PieceAsCut], moves: BoardMoves) -> Point | None:
    """The shift of all that is cut from below; None where no wall tells, or where it is no plain shift."""
    normals: list[Floats] = []
    found: list[Floats] = []
    for wood in woods:
        rows = wood.rows[~moves.is_top[wood.rows]]
        for groove in filter(below, wood.design.piece.grooves):
            cut = swept((runs_through(moves, rows, groove.depth_mm / 2),))
            points, outwards = _asked(groove)
            if cut.is_empty or not len(points):
                continue
            further = np.where(holds_points(cut, points), 1.0, -1.0) * edge_distances_mm(cut, points)
            near = np.abs(further) < LARGEST_MM
            normals.append(outwards[near])
            found.append(further[near])
    if not found or not sum(map(len, found)):
        return None
    outwards, further = np.vstack(normals), np.concatenate(found)
    unknowns = np.column_stack((outwards, np.ones(len(outwards))))
    answer = np.linalg.lstsq(unknowns, further, rcond=_RANK_RATIO)[0]
    rest = float(np.sqrt(np.mean((unknowns @ answer - further) ** 2)))
    if rest > max(LEFTOVER_MM, _REST_RATIO * math.hypot(*answer[:2])):
        return None
    return float(answer[0]), float(answer[1])


_REST_RATIO: Final = 0.1
"""What a plain shift leaves unexplained is less than this share of it."""
_RANK_RATIO: Final = 1 / 1000
"""Directions that the walls tell of by less than this share of the best are not told of."""


def _asked(groove: Groove) -> tuple[Floats, Floats]:
    """(n, 2) points on both walls and (n, 2) unit normals out of the groove, flares and ends left out."""
    both = walls(groove)
    points, normals = [], []
    for wall, side in ((both.left, math.pi / 2), (both.right, -math.pi / 2)):
        low = ENDS_MM + groove.flare[0].length_mm
        high = wall.length_mm - ENDS_MM - groove.flare[1].length_mm
        for along in np.arange(low, high, ASKED_MM).tolist():
            heading = heading_along(wall, along) + side
            points.append(point_along(wall, along))
            normals.append((math.cos(heading), math.sin(heading)))
    return np.asarray(points).reshape(-1, 2), np.asarray(normals).reshape(-1, 2)


def thinnest_web(wood: PieceAsCut, moves: BoardMoves, *, tolerance_mm: float) -> Thinnest | None:
    """The thinnest web of a piece; None where it has no grooves on both faces that pass each other."""
    uppers, lowers = (_inside(wood, moves, is_top=is_top) for is_top in (True, False))
    if not len(uppers) or not len(lowers):
        return None
    upper_lines, lower_lines = (as_array([line_through(moves.plan(row)) for row in rows]) for rows in (uppers, lowers))
    reach = float(moves.radius[uppers].max() + moves.radius[lowers].max()) + tolerance_mm + LAND_MM
    one, other = near_pairs(upper_lines, lower_lines, reach)
    if not len(one):
        return None
    beside = distances_between_mm(upper_lines[one], lower_lines[other])
    beside -= moves.radius[uppers[one]] + moves.radius[lowers[other]]
    deep = moves.depth[uppers[one]].max(axis=1) + moves.depth[lowers[other]].max(axis=1)
    over = moves.board.thickness_mm - deep
    as_cut = _apart(beside, over)
    worst = _apart(beside - tolerance_mm, over - moves.board.scatter_mm)
    at = int(np.lexsort((as_cut, worst))[0])
    middle = moves.plan(int(lowers[other[at]])).mean(axis=0)
    return Thinnest(
        piece=wood.design.piece.id,
        as_cut_mm=float(as_cut[at]),
        worst_mm=float(worst[at]),
        point=(float(middle[0]), float(middle[1])),
    )


def _apart(beside: Floats, over: Floats) -> Floats:
    """Wood between two cuts so far apart sideways and in depth; negative where they meet."""
    sideways = np.maximum(beside, 0.0)
    return np.where(sideways > 0, np.hypot(sideways, np.maximum(over, 0.0)), over)


def _inside(wood: PieceAsCut, moves: BoardMoves, *, is_top: bool) -> Rows:
    """Tracks of one face that cut into the piece by more than a gouge: its grooves, and whatever else does."""
    rows = wood.rows[moves.is_top[wood.rows] == is_top]
    rows = rows[(moves.depth[rows].max(axis=1) > DEPTH_MM) & (moves.radius[rows] > 0)]
    found = [np.zeros(0, np.intp)]
    for radius in np.unique(moves.radius[rows]).tolist():
        some = rows[moves.radius[rows] == radius]
        lines = [line_through(moves.plan(row)) for row in some.tolist()]
        found.append(some[within_mm(lines, wood.design.solid, radius - GOUGE_MM)])
    return np.sort(np.concatenate(found))


def thinnest_land(wood: PieceAsCut, moves: BoardMoves, *, tolerance_mm: float) -> Thinnest | None:
    """The thinnest land beside the grooves in a piece's lower face; None where it has none."""
    rows = wood.rows[~moves.is_top[wood.rows]]
    areas = [area for groove, area in wood.design.grooves if below(groove)]
    grooves = [(area, _own(swept((runs_through(moves, rows, DEPTH_MM),)), area)) for area in areas]
    return least_land(wood.design.piece.id, wood.design.piece.outline, grooves, tolerance_mm=tolerance_mm)


def least_land(
    piece: str, outline: Contour, grooves: Sequence[tuple[Area, Area]], *, tolerance_mm: float
) -> Thinnest | None:
    """The thinnest wood between an outline and grooves, each as designed and as cut; None where there are none."""
    found = [(distance_between_mm(edge, cut), at) for area, cut in grooves for edge, at in _edges(outline, area)]
    if not found:
        return None
    land, point = min(found)
    return Thinnest(piece=piece, as_cut_mm=land, worst_mm=land - tolerance_mm, point=point)


def _own(cut: Area, area: Area) -> Area:
    """What of a cut belongs to a groove: its parts that meet it."""
    return union_all([part for part in parts(cut) if part.intersects(area)])


def _edges(outline: Contour, area: Area) -> Iterator[tuple[Area, Point]]:
    """The segments of an outline that a groove does not run out through, each with its middle."""
    for segment in outline.segments:
        alone = Contour((segment,), is_closed=False)
        line = to_area(alone, chord_mm=FLATTEN_CHORD_MM)
        if not line.intersects(area):
            yield line, point_along(alone, segment.length_mm / 2)
