"""What was meant for a piece, as areas on the board: taken from the manifest, held against what the files cut.

Glossary:
    groove area: a groove seen from above, carried on a little past both end faces so that a bit may run out.
    level: how deep below the top of the board the design changes.
    own depth: below the face that was up, top or underside.
    inset: how far a broken edge stands back from its wall at some depth.
    foot: where a tab that stands across a slot comes to the wall of the neighbour on the far side.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.geometry.contours import distance_to_segment_mm, reversed_contour, segment_heading
from platelayer.geometry.grooves import groove_contour, walls
from platelayer.geometry.intersect import direction_at, ratio_of
from platelayer.geometry.regions import (
    Area,
    buffered,
    difference,
    intersection,
    line_through,
    near_pairs,
    nearest_point,
    polygon_through,
    to_area,
    union_all,
)
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.tolerances import FLATTEN_CHORD_MM, SEAM_MM
from platelayer.values.cuts import Tab
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace, Groove
from platelayer.values.shapes import Contour, Point, Region

RUN_OUT_MM: Final = 3.0
"""How far past an end face a groove's area goes on; only there so that no edge of it lies in the face."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A piece as meant: solid without grooves, the grooves of either face, and how deep they are.

    ``crossing`` has the tabs of neighbours that come to this piece's wall across a slot, each by its foot.
    """

    piece: ManifestPiece
    board: ManifestBoard
    solid: Area
    grooves: tuple[tuple[Groove, Area], ...]
    crossing: tuple[Tab, ...] = ()

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """All tabs that stand at the piece's wall, its own first."""
        return (*self.piece.tabs, *self.crossing)

    def floor_mm(self, face: BoardFace) -> float:
        """Depth of the deepest groove of a face, from that face; 0 without grooves."""
        return max((groove.depth_mm for groove, _ in self.grooves if groove.face is face), default=0.0)

    def grooved(self, face: BoardFace) -> Area:
        """The solid less the grooves of one face."""
        areas = [area for groove, area in self.grooves if groove.face is face]
        return difference(self.solid, union_all(areas)) if areas else self.solid

    def edge_mm(self, face: BoardFace) -> float:
        """How deep the deepest broken edge of a face reaches, from that face; 0 where none is broken."""
        return max((edge.depth_mm for edge in self.piece.edges if edge.face is face), default=0.0)

    def standing(self, face: BoardFace, own_mm: float) -> Area:
        """What stands at a depth below a face above the grooves' floors: solid less grooves, broken edges set back."""
        outer, groove = (self._inset_mm(place, face, own_mm) for place in (EdgePlace.OUTER, EdgePlace.GROOVE))
        solid = buffered(self.solid, -outer, chord_mm=FLATTEN_CHORD_MM) if outer else self.solid
        cut = [area for one, area in self.grooves if one.face is face and one.depth_mm > own_mm]
        areas = [buffered(area, groove, chord_mm=FLATTEN_CHORD_MM) for area in cut] if groove else cut
        return difference(solid, union_all(areas)) if areas else solid

    def _inset_mm(self, place: EdgePlace, face: BoardFace, own_mm: float) -> float:
        edges = [edge for edge in self.piece.edges if edge.place is place and edge.face is face]
        return max((inset_mm(edge, own_mm) for edge in edges), default=0.0)


def inset_mm(edge: EdgeBreak, own_mm: float) -> float:
    """How far a broken edge stands back from its wall, so deep below its face; 0 from its own depth down.

    Source:
        derived here. Round of radius R to the depth t: its centre lies R from the wall, t deep, so
        R - sqrt(R^2 - (t - d)^2). Chamfer so wide and t deep: width (1 - d / t).
    """
    left = edge.depth_mm - own_mm
    if left <= 0:
        return 0.0
    if edge.radius_mm:
        return edge.radius_mm - math.sqrt(max(edge.radius_mm**2 - left**2, 0.0))
    return edge.width_mm * left / edge.depth_mm


def design_of(piece: ManifestPiece, board: ManifestBoard) -> Design:
    """The design of a piece in board coordinates, arcs flattened within FLATTEN_CHORD_MM to either side."""
    return Design(
        piece=piece,
        board=board,
        solid=to_area(Region(piece.outline, piece.inner), chord_mm=FLATTEN_CHORD_MM),
        grooves=tuple((groove, groove_area(groove)) for groove in piece.grooves),
    )


SLOT_MOST_RATIO: Final = 3.0
"""A tab's slot is no broader than this many diameters of the widest bit."""


def designs_of(pieces: Sequence[ManifestPiece], board: ManifestBoard, *, bit_diameter_mm: float) -> tuple[Design, ...]:
    """The designs of all pieces of a board, each with the tabs that come to it across a slot.

    ``bit_diameter_mm`` is the widest that cuts there.
    """
    designs = [design_of(piece, board) for piece in pieces]
    crossing: dict[int, list[Tab]] = {}
    tabs = [(number, tab) for number, piece in enumerate(pieces) for tab in piece.tabs]
    lines = [_across(pieces[number].outline, tab, SLOT_MOST_RATIO * bit_diameter_mm) for number, tab in tabs]
    solids = [design.solid for design in designs]
    found: dict[int, list[tuple[float, int, Point]]] = {}
    for at, other in zip(*near_pairs(lines, solids, 0.0).tolist(), strict=True):
        if other != tabs[at][0]:
            foot = nearest_point(intersection(lines[at], solids[other]), tabs[at][1].at)
            found.setdefault(at, []).append((math.dist(foot, tabs[at][1].at), other, foot))
    for at, met in sorted(found.items()):
        _, other, foot = min(met)
        tab = tabs[at][1]
        crossing.setdefault(other, []).append(Tab(foot, tab.width_mm, tab.height_mm))
    return tuple(replace(one, crossing=tuple(crossing.get(number, ()))) for number, one in enumerate(designs))


def _across(outline: Contour, tab: Tab, reach_mm: float) -> Area:
    out = out_of(outline, tab.at)
    return line_through([tab.at, (tab.at[0] + reach_mm * out[0], tab.at[1] + reach_mm * out[1])])


def out_of(outline: Contour, at: Point) -> Point:
    """Unit direction straight out of a counter-clockwise outline where it comes nearest to a point."""
    segment = min(outline.segments, key=lambda segment: distance_to_segment_mm(segment, at))
    ux, uy = direction_at(segment, min(1.0, max(0.0, ratio_of(segment, at))))
    return uy, -ux


def groove_area(groove: Groove) -> Area:
    """The groove with what lies in front of both its ends, between its walls carried on straight."""
    both = walls(groove)
    return union_all((
        to_area(groove_contour(groove), chord_mm=FLATTEN_CHORD_MM),
        _beyond(reversed_contour(both.left), reversed_contour(both.right)),
        _beyond(both.right, both.left),
    ))


def _beyond(right: Contour, left: Contour) -> Area:
    """What lies past the ends of two walls, overlapping the groove by a seam: no hair of wood stands between."""
    (near_right, far_right), (near_left, far_left) = (_carried_on(wall) for wall in (right, left))
    return polygon_through([near_right, far_right, far_left, near_left])


def _carried_on(wall: Contour) -> tuple[Point, Point]:
    """A seam before the wall's end and RUN_OUT_MM past it, in the direction it ends in."""
    last = wall.segments[-1]
    heading = segment_heading(last, 1.0)
    (x, y), (ux, uy) = last.end, (math.cos(heading), math.sin(heading))
    return (x - SEAM_MM * ux, y - SEAM_MM * uy), (x + RUN_OUT_MM * ux, y + RUN_OUT_MM * uy)
