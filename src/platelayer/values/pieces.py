"""The joint's sizes and the piece: what is to be made, without a word about bits or machines.

Glossary:
    face (of an end): the flat at the end of a piece that meets the neighbour's. Not the top or bottom face.
    peg: neck and head that stand out of an end face. socket: mouth (the straight lips) and hole that take a peg.
    setback: distance from the end face to the near edge of head or hole.
    relief: overcut into the end face beside the neck. ease: the rounding of a mouth's outer corners.
    land: wood left between two cuts, or between a cut and an edge.
    edge: where the top or the underside meets a wall. outer edge: round the outline. break: what is taken off an edge.
    flare: widening of a groove at an end; extra is per wall, length along the path.
    wheel: what runs in a groove, upright on a stiff axle. wheelbase: distance between a waggon's two axles.
"""

from dataclasses import dataclass
from enum import StrEnum

from platelayer.values.shapes import Contour, Line, Pose


class EndKind(StrEnum):
    """What stands at an end of a piece."""

    PEG = "peg"
    SOCKET = "socket"
    PLAIN = "plain"


class PegRoot(StrEnum):
    """What is done about the fillet a round bit leaves where neck meets end face."""

    RELIEVE = "relieve"
    FINISH = "finish"
    NONE = "none"


class MouthCorner(StrEnum):
    """What is done to the outer corners of a socket's mouth."""

    EASE = "ease"
    NONE = "none"


class BoardFace(StrEnum):
    """Face of the board, top being the one first up."""

    TOP = "top"
    BOTTOM = "bottom"


class Turns(StrEnum):
    """How a piece may lie: along the grain, either way round, or at every quarter or eighth of a turn besides."""

    GRAIN = "grain"
    QUARTERS = "quarters"
    EIGHTHS = "eighths"

    @property
    def in_all(self) -> int:
        """Of the turns in a whole one."""
        return {Turns.GRAIN: 2, Turns.QUARTERS: 4, Turns.EIGHTHS: 8}[self]


class Role(StrEnum):
    """What a segment of an outline belongs to."""

    SIDE = "side"
    FACE = "face"
    PEG = "peg"
    SOCKET = "socket"
    RELIEF = "relief"
    EASE = "ease"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSizes:
    """Sizes of peg and socket as designed, shop offsets included."""

    neck_width_mm: float
    head_diameter_mm: float
    head_setback_mm: float
    mouth_width_mm: float
    hole_diameter_mm: float
    hole_setback_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerRadii:
    """Radii of the two cures at a joint; zero means that the sharp corner stays.

    Attributes:
        relief_radius_mm: radius of the relief at a peg's root.
        ease_radius_mm: radius of a mouth's outer corners.
        mate: the joint whose socket pegs must go into as well as into the joint's own; None where there is no other.
        relief_play_ratio: share of its side play in either socket that the relief leaves a peg pushed home in a sharp
            mouth.
    """

    relief_radius_mm: float = 0.0
    ease_radius_mm: float = 0.0
    mate: JointSizes | None = None
    relief_play_ratio: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackSizes:
    """Cross-section of a track: width and thickness, grooves by their distance from the long edge."""

    width_mm: float
    thickness_mm: float
    groove_outer_mm: float
    groove_inner_mm: float
    groove_depth_mm: float
    flare_length_mm: float = 0.0
    flare_extra_mm: float = 0.0

    @property
    def groove_width_mm(self) -> float:
        """Width of one groove."""
        return self.groove_inner_mm - self.groove_outer_mm

    @property
    def groove_offset_mm(self) -> float:
        """Distance of a groove's centre line from the track's centre line."""
        return (self.width_mm - self.groove_inner_mm - self.groove_outer_mm) / 2


@dataclass(frozen=True, slots=True)
class End:
    """An end of a piece: pose at the middle of its end face, heading out of the piece.

    ``stray_mm`` is how much more pull-out play slack gives it than the ends of a fit card, for the way that it looks on
    the machine; it is drawn so much tighter.
    """

    kind: EndKind
    pose: Pose
    stray_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Route:
    """A way through a piece: its centre line from one end's face to another's, and the indices of those two ends."""

    path: Contour
    ends: tuple[int, int]

    @property
    def length_mm(self) -> float:
        """Along the centre line."""
        return self.path.length_mm

    @property
    def is_straight(self) -> bool:
        """It is one line."""
        return len(self.path.segments) == 1 and isinstance(self.path.segments[0], Line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """A wheel with square edges, one of four on two axles that stay parallel; assumed where nobody measured it all."""

    thickness_mm: float
    diameter_mm: float
    wheelbase_mm: float
    is_assumed: bool = False


@dataclass(frozen=True, slots=True)
class Flare:
    """Widening of a groove at one end: each wall moves out by extra over the last length of the path."""

    length_mm: float
    extra_mm: float


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove along an open centre line from end face to end face, without run-out.

    Attributes:
        width_mm: where it is neither flared nor widened.
        widening_mm: knots between the flares, each how far along the path and how far out each wall stands there, the
            first and the last by nothing; evenly from one to the next. None for a groove of one width.
    """

    face: BoardFace
    width_mm: float
    depth_mm: float
    path: Contour
    flare: tuple[Flare, Flare]
    widening_mm: tuple[tuple[float, float], ...] = ()

    @property
    def widest_mm(self) -> float:
        """Its width where it is widened most, flares apart."""
        return self.width_mm + 2 * max((extra for _, extra in self.widening_mm), default=0.0)


class EdgePlace(StrEnum):
    """Which edges of a piece are meant."""

    OUTER = "outer"
    GROOVE = "groove"


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeBreak:
    """What is taken off all outer edges, or off both edges of every groove, of one face.

    Attributes:
        width_mm: how far in along the face.
        depth_mm: how far down the wall.
        radius_mm: of the round that ends at the wall, square to the face there when it is as deep as that; 0 for a
            chamfer.
        bit: id of the bit that cuts it.
    """

    place: EdgePlace
    face: BoardFace
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0
    bit: str = ""


@dataclass(frozen=True, slots=True)
class EdgeLabel:
    """What a segment of the outline is, and the index of the end it belongs to (-1 for a side)."""

    role: Role
    end: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of track.

    Attributes:
        id: unique in the job, e.g. ``straight-01``.
        kind: name in the catalogue, e.g. ``straight``.
        title: what a person calls it, e.g. ``straight 5 15/16 in``.
        outline: closed, counter-clockwise, simple; joints and cures included.
        labels: one for each segment of the outline, in the same order.
        inner: closed contours of openings right through, clockwise; none in the usual pieces.
        ends: in their order round the outline, start first; any number.
        grooves: all of them.
        length_mm: along its longest route; the longer side of the box round it where it has none.
        shape: same for two pieces that differ only in id, so that work can be shared.
        routes: the ways through it, none where nothing runs; the first is the main one.
        turns: how it may lie on a board; pieces of one shape may differ in it.
    """

    id: str
    kind: str
    title: str
    outline: Contour
    labels: tuple[EdgeLabel, ...]
    ends: tuple[End, ...]
    grooves: tuple[Groove, ...]
    thickness_mm: float
    length_mm: float
    shape: str
    inner: tuple[Contour, ...] = ()
    routes: tuple[Route, ...] = ()
    turns: Turns = Turns.GRAIN

    @property
    def is_straight(self) -> bool:
        """One straight route between two ends, and a plain line on either side of it."""
        if not (len(self.routes) == 1 and self.routes[0].is_straight and len(self.ends) == 2):
            return False
        sides = [part for part, label in zip(self.outline.segments, self.labels, strict=True) if label.end < 0]
        return len(sides) == 2 and all(isinstance(side, Line) for side in sides)


@dataclass(frozen=True, slots=True)
class Placement:
    """Piece number ``index`` of the list lies on the board of that id at this pose."""

    index: int
    board_id: str
    pose: Pose
