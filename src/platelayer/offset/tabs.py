"""Tabs: how many, where, how high, and how every path goes over them; or a skin instead.

Glossary:
    tab: a bridge of wood in the slot round a piece. lift: the stretch of path on which the bit is raised for it.
    flank: the ramp up to a lift and down after it, so that coming down is no plunge.
    lead zone: the stretch of side where the outline is entered and left; no tab there.
    site: a stretch of side on which tabs may stand.
"""

import math
from dataclasses import dataclass
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.contours import point_along, segment_point
from platelayer.geometry.intersect import direction_at
from platelayer.offset.paths import Knot, nearest_along
from platelayer.pieces.rim import begun_at_side
from platelayer.tolerances import COINCIDENT_MM, LEAST_SKIN_MM, LEAST_TAB_MM, SHORT_PIECE_MM, SHORT_PIECE_TABS
from platelayer.units import show_length
from platelayer.values.cuts import Tab
from platelayer.values.pieces import Piece, Role
from platelayer.values.shapes import Contour, Line, Point, Segment
from platelayer.values.tooling import Board, Holding, HoldingKind

USUAL_TABS_EACH_SIDE: Final = 2
TAB_SPACING_MM: Final = 160.0
"""A side gets another tab for each length like this; common practice, no source."""

LEAST_SIDES: Final = 2
"""A piece is held on so many sides at least, if it has them: on one alone it would swing."""

FLANK_RUN: Final = 1.5
"""A flank goes this far along for each mm of height: gentler than the 45 degrees that would be a plunge."""

END_CLEAR_MM: Final = 3.0
"""A tab's flank keeps this far from an end face at least: peg, mouth and groove ends are there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifts:
    """Tabs as a path sees them: wood, lift height, and the z below which they count."""

    tabs: tuple[Tab, ...]
    top_z_mm: float
    lift_mm: float


NO_LIFTS: Final = Lifts(tabs=(), top_z_mm=0.0, lift_mm=0.0)


@dataclass(frozen=True, slots=True)
class Side:
    """A side of a piece as the bit meets it: lengths along it are those of the path beside it.

    Inside a bend the path is shorter than the wood that it goes along, and lifts and leads take their length there.

    Attributes:
        contour: the side, from end face to end face.
        lengths_mm: along the shortest path beside each of its segments; zero where a bend lets none in.
    """

    contour: Contour
    lengths_mm: tuple[float, ...]

    @property
    def length_mm(self) -> float:
        """Length of the whole path."""
        return math.fsum(self.lengths_mm)

    def at(self, along_mm: float) -> Point:
        """The point of the wood beside the path's so far along."""
        left = along_mm
        for segment, length in zip(self.contour.segments, self.lengths_mm, strict=True):
            if left < length or segment is self.contour.segments[-1]:
                break
            left -= length
        return segment_point(segment, min(1.0, max(0.0, left / length)) if length else 0.0)


def as_met(side: Contour, reach_mm: float) -> Side:
    """The side as paths meet it that keep no further away than this; bends outwards are taken at the wood itself."""

    def beside_mm(segment: Segment) -> float:
        if isinstance(segment, Line) or segment.is_ccw:
            return segment.length_mm
        return max(0.0, segment.length_mm * (1 - reach_mm / segment.radius_mm))

    return Side(side, tuple(beside_mm(segment) for segment in side.segments))


@dataclass(frozen=True, slots=True)
class Sites:
    """Sides of a piece, and where on them the bit is led in and out: at the beginning of one of them."""

    sides: tuple[Side, ...]
    lead_mm: float
    end_clear_mm: float
    lead_side: int

    def first_mm(self, at: int) -> float:
        """Where tabs may begin on a side."""
        return self.end_clear_mm + (self.lead_mm if at == self.lead_side else 0.0)


def sides_of(piece: Piece) -> tuple[Contour, ...]:
    """The piece's long edges or curved sides, each from end face to end face, longest first."""
    runs: list[list[Segment]] = []
    was_side = False
    for segment, label in begun_at_side(piece):
        if label.role is Role.SIDE:
            if not was_side or _is_corner(runs[-1][-1], segment):
                runs.append([])
            runs[-1].append(segment)
        was_side = label.role is Role.SIDE
    sides = [Contour(tuple(run), is_closed=False) for run in runs]
    return tuple(sorted(sides, key=lambda side: -side.length_mm))


def _is_corner(before: Segment, after: Segment) -> bool:
    (ux, uy), (vx, vy) = direction_at(before, 1.0), direction_at(after, 0.0)
    return ux * vx + uy * vy < math.cos(math.pi / 8)


def has_tabs(piece: Piece, holding: Holding) -> bool:
    """The piece gets tabs: where tabs hold everything, and a short piece where tape or vacuum holds the others."""
    return holding.kind is HoldingKind.TABS or (holding.kind.is_from_below and piece.length_mm < SHORT_PIECE_MM)


def holding_faults(piece: Piece, holding: Holding, board: Board) -> tuple[Fault, ...]:
    """What is wrong with the chosen tabs or skin on this board; nothing when they hold."""
    if holding.kind is HoldingKind.SKIN:
        return _skin_faults(holding, board)
    return _tab_faults(holding, board) if has_tabs(piece, holding) else ()


def _tab_faults(holding: Holding, board: Board) -> tuple[Fault, ...]:
    least, most = LEAST_TAB_MM + board.scatter_mm, board.thickness_mm / 4
    height = tab_height_mm(holding, board)
    found: list[Fault] = []
    if least > most + COINCIDENT_MM:
        found.append(
            Fault(
                where=f"[[board]] {board.id} scatter",
                found=show_length(board.scatter_mm),
                problem=f"a tab of at least {show_length(least)} (1.5 mm and the scatter) would be "
                f"higher than "
                f"a quarter of the thickness, {show_length(most)}",
                fix="Measure the board and state a smaller scatter, or hold the pieces by a skin.",
            )
        )
    elif height < least - COINCIDENT_MM:
        found.append(
            Fault(
                where="[holding] tab_height",
                found=show_length(height),
                problem=f"less than {show_length(least)}, which is 1.5 mm and the thickness scatter",
                fix=f"Use {show_length(least)} to {show_length(most)}.",
            )
        )
    elif height > most + COINCIDENT_MM:
        found.append(
            Fault(
                where="[holding] tab_height",
                found=show_length(height),
                problem=f"more than {show_length(most)}, a quarter of the thickness",
                fix=f"Use {show_length(least)} to {show_length(most)}.",
            )
        )
    return tuple(found)


def _skin_faults(holding: Holding, board: Board) -> tuple[Fault, ...]:
    least = LEAST_SKIN_MM + board.scatter_mm
    found: list[Fault] = []
    if board.zero != "spoilboard" and not board.thickness_is_measured:
        found.append(
            Fault(
                where="[holding] kind",
                found="skin",
                problem="a skin needs zero on the spoilboard or a measured thickness, else it may be cut through",
                fix='Set zero = "spoilboard", measure the thickness, or use tabs.',
            )
        )
    if holding.skin_mm < least - COINCIDENT_MM:
        found.append(
            Fault(
                where="[holding] skin",
                found=show_length(holding.skin_mm),
                problem=f"less than {show_length(least)}, which is 0.4 mm and the thickness scatter",
                fix=f"Use at least {show_length(least)}.",
            )
        )
    return tuple(found)


def tab_height_mm(holding: Holding, board: Board) -> float:
    """The tabs' height: as stated, or the least that holds when none is stated."""
    return holding.tab_height_mm or LEAST_TAB_MM + board.scatter_mm


def tab_counts(piece: Piece, holding: Holding, side_count: int) -> tuple[int, ...]:
    """Tabs on each side, the first side's first; all sides have the same or one more than the last."""
    usual = USUAL_TABS_EACH_SIDE * side_count
    wanted = holding.tab_count or max(usual, side_count * math.ceil(piece.length_mm / TAB_SPACING_MM))
    if piece.length_mm < SHORT_PIECE_MM:
        wanted = max(wanted, SHORT_PIECE_TABS)
    return tuple(
        wanted // side_count + (1 if index >= side_count - wanted % side_count else 0) for index in range(side_count)
    )


def flank_mm(height_mm: float, board: Board, depth_mm: float) -> float:
    """Length of one flank of a tab when the path is at that depth."""
    return max(0.0, depth_mm - board.thickness_mm + height_mm) * FLANK_RUN


def knots_over(path: Contour, lifts: Lifts, z: float, *, first_mm: float, last_mm: float) -> list[Knot]:
    """The knots that lift a path at one level over every tab, between two distances on one turn of it.

    Raises:
        AssertionError: a tab that reaches into the lead zone; that would be a fault of this program.
    """
    if z >= lifts.top_z_mm - COINCIDENT_MM:
        return []
    knots: list[Knot] = []
    half, flank = lifts.lift_mm / 2, (lifts.top_z_mm - z) * FLANK_RUN
    for centre in sorted(nearest_along(path, tab.at) for tab in lifts.tabs):
        if centre - half - flank < first_mm - COINCIDENT_MM or centre + half + flank > last_mm + COINCIDENT_MM:
            raise AssertionError("a tab reaches into the lead; please send the job file")
        knots += [
            (centre - half - flank, z),
            (centre - half, lifts.top_z_mm),
            (centre + half, lifts.top_z_mm),
            (centre + half + flank, z),
        ]
    return knots


def begun_on(path: Contour, side: Contour, along_mm: float) -> float:
    """Distance along a path of the place beside a side's point so far along the side."""
    return nearest_along(path, point_along(side, along_mm))
