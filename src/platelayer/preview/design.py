"""What was meant for a piece, as areas on the board: taken from the manifest, held against what the files cut.

Glossary:
    groove area: a groove seen from above, carried on a little past both end faces so that a bit may run out.
    level: how deep below the top of the board the design changes.
"""

import math
from dataclasses import dataclass
from typing import Final

from platelayer.geometry.contours import transform_point
from platelayer.geometry.grooves import ends_heading_rad, groove_contour
from platelayer.geometry.regions import Area, difference, polygon_through, to_area, union_all
from platelayer.tolerances import FLATTEN_CHORD_MM, SEAM_MM
from platelayer.values.manifest import ManifestBoard, ManifestPiece
from platelayer.values.pieces import BoardFace, Groove
from platelayer.values.shapes import Contour, Point, Pose, Region

RUN_OUT_MM: Final = 3.0
"""How far past an end face a groove's area goes on; only there so that no edge of it lies in the face."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A piece as meant: solid without grooves, the grooves of either face, and how deep they are."""

    piece: ManifestPiece
    board: ManifestBoard
    solid: Area
    grooves: tuple[tuple[Groove, Area], ...]

    def floor_mm(self, face: BoardFace) -> float:
        """Depth of the deepest groove of a face, from that face; 0 without grooves."""
        return max((groove.depth_mm for groove, _ in self.grooves if groove.face is face), default=0.0)

    def grooved(self, face: BoardFace) -> Area:
        """The solid less the grooves of one face."""
        areas = [area for groove, area in self.grooves if groove.face is face]
        return difference(self.solid, union_all(areas)) if areas else self.solid


def design_of(piece: ManifestPiece, board: ManifestBoard) -> Design:
    """The design of a piece in board coordinates, arcs flattened within FLATTEN_CHORD_MM to either side."""
    return Design(
        piece=piece,
        board=board,
        solid=to_area(Region(piece.outline, piece.inner), chord_mm=FLATTEN_CHORD_MM),
        grooves=tuple((groove, _groove_area(groove)) for groove in piece.grooves),
    )


def _groove_area(groove: Groove) -> Area:
    contour = groove_contour(groove)
    first, last = groove.flare
    leaving, arriving = ends_heading_rad(groove)
    half = groove.width_mm / 2
    return union_all((
        to_area(contour, chord_mm=FLATTEN_CHORD_MM),
        _beyond(groove.path.start, leaving + math.pi, _half_mm(contour, groove.path.start, half + first.extra_mm)),
        _beyond(groove.path.end, arriving, _half_mm(contour, groove.path.end, half + last.extra_mm)),
    ))


def _half_mm(contour: Contour, at: Point, about_mm: float) -> float:
    """Half the groove's width at an end: the distance from the path's end to the nearest corner of the area."""
    return min((math.dist(at, segment.start) for segment in contour.segments), default=about_mm)


def _beyond(at: Point, heading_rad: float, half_mm: float) -> Area:
    """The rectangle in front of a groove's end, overlapping it by a seam, so that no hair of wood stands between."""
    pose = Pose(at[0], at[1], heading_rad)
    corners = ((-SEAM_MM, -half_mm), (RUN_OUT_MM, -half_mm), (RUN_OUT_MM, half_mm), (-SEAM_MM, half_mm))
    return polygon_through([transform_point(corner, pose) for corner in corners])
