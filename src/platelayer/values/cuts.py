"""Cuts, passes and the plan: where the bit's centre goes, in which order, on which board.

Glossary:
    path: where the bit's centre goes. Not an outline.
    step: one motion at feed, a segment in the plane with z at either end; a helix when an arc changes z.
    pass: steps that chain without lifting. cut: passes of one bit for one purpose on one piece.
    program: one G-code file. section: the part of a program cut with one bit.

Here z is 0 at the top of the board and negative downwards whatever the machine's zero; post shifts it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from platelayer.units import LengthUnit
from platelayer.values.pieces import BoardFace, EdgeBreak, Piece
from platelayer.values.shapes import Point, Pose, Segment
from platelayer.values.thin_cuts import ThinCut
from platelayer.values.tooling import Bit, Board, CutData, Machine, Turning


class FeedKind(StrEnum):
    """Which feed a step is cut at."""

    CUT = "cut"
    RAMP = "ramp"
    PLUNGE = "plunge"


class CutKind(StrEnum):
    """What a cut is for, in the order in which a bit does them.

    Edge is an outer edge, break one of a groove. Waste is a block that slots would ring, milled; slot is what all
    neighbours' outlines need cut before any of them goes deeper; outline leaves the walls; parting cuts what held till
    then.
    """

    DOWEL = "dowel"
    GROOVE = "groove"
    SOCKET = "socket"
    NOTCH = "notch"
    CORNER = "corner"
    EDGE = "edge"
    BREAK = "break"
    WASTE = "waste"
    SLOT = "slot"
    OUTLINE = "outline"
    PARTING = "parting"


@dataclass(frozen=True, slots=True)
class Step:
    """One motion at feed. Straight up or down is a Line of no length with two z values."""

    segment: Segment
    z_start: float
    z_end: float
    feed: FeedKind = FeedKind.CUT
    feed_mm_min: float = 0.0  # of its own; 0 = what its bit has for such a step


@dataclass(frozen=True, slots=True)
class Pass:
    """Steps that chain in x, y and z without lifting; the bit comes down on the first step's start in air.

    Attributes:
        clear_z_mm: down to here the place where the bit comes down is open, the whole bit clear all round.
        way_z_mm: the bit comes straight from the end of the pass before, at this height or above; over the wood if inf.
        is_way_open: on that way the whole bit is clear all round; else it touches the walls of a slot of its breadth.
        thin: what it takes off a wall, where its steps have feeds derived from that.
    """

    steps: tuple[Step, ...]
    is_finish: bool = False
    clear_z_mm: float = 0.0
    way_z_mm: float = math.inf
    is_way_open: bool = False
    thin: ThinCut | None = None

    @property
    def start(self) -> Point:
        """Where the bit comes down."""
        return self.steps[0].segment.start

    @property
    def end(self) -> Point:
        """Where the bit lifts."""
        return self.steps[-1].segment.end


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: the middle of its wood on the piece's outline, wood width along the edge, height above the underside."""

    at: Point
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class UnreachedCorner:
    """Wood that a bit of this diameter leaves in an inside corner of the outline."""

    at: Point
    area_mm2: float
    depth_mm: float
    """Largest distance of the wood left from the design's outline."""


@dataclass(frozen=True, slots=True)
class Dowel:
    """A dowel in its hole right through the board: its middle, its diameter, how deep it goes into the spoilboard."""

    at: Point
    diameter_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """The hole of one dowel as a cut about the origin, and how deep it goes into the spoilboard."""

    cut: "Cut"
    diameter_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Passes of one bit for one purpose on one piece; in the piece's frame until board has placed it."""

    piece_id: str
    kind: CutKind
    bit_id: str
    passes: tuple[Pass, ...]
    face: BoardFace = BoardFace.TOP


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCuts:
    """All that offset has to say of one piece, in the piece's own frame."""

    cuts: tuple[Cut, ...]
    tabs: tuple[Tab, ...]
    skin_mm: float
    unreached: tuple[UnreachedCorner, ...]
    edges: tuple[EdgeBreak, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlines:
    """Cuts round all pieces of one board and their tabs by the pieces' indices, in board coordinates."""

    cuts: tuple[Cut, ...]
    tabs: Mapping[int, tuple[Tab, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPiece:
    """A piece on a board: the piece and its tabs already in board coordinates, and how its own frame was placed."""

    piece: Piece
    pose: Pose
    board_id: str
    tabs: tuple[Tab, ...]
    skin_mm: float
    unreached: tuple[UnreachedCorner, ...]
    order: int
    edges: tuple[EdgeBreak, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The part of a program that one bit cuts, cuts in order and in board coordinates."""

    bit: Bit
    data: CutData
    cuts: tuple[Cut, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """One G-code file: name, board, face and sections in order of use; which sitting it is, of how many in a row."""

    name: str
    board: Board
    face: BoardFace
    sections: tuple[Section, ...]
    sitting: int = 1
    sittings: int = 1

    @property
    def turn_y_mm(self) -> float | None:
        """The line, parallel to x, about which the board is turned over for a bottom file; None for a top file."""
        return self.board.turn_y_mm if self.face is BoardFace.BOTTOM else None


class StopAsks(StrEnum):
    """What a person is asked for where a program waits."""

    BIT = "bit"
    BOARD = "board"
    ON = "on"
    OFF = "off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A place where a program waits for a person.

    Attributes:
        asks: what for; ``board`` is the board turned over, ``on`` and ``off`` are the router's switch.
        bit: number in the program of the bit whose cuts it comes before, with ``off`` after.
        tool: number of the tool word, T and M6; 0 where M0 stops.
        says: the comments that tell the person, as written.
    """

    asks: StopAsks
    bit: int
    tool: int = 0
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that is cut, in order: pieces on boards and programs in the order they are run."""

    job_name: str
    units: LengthUnit
    material: str
    machine: Machine
    boards: tuple[Board, ...]
    pieces: tuple[PlacedPiece, ...]
    programs: tuple[Program, ...]
    turning: Turning = field(default_factory=Turning)
    dowels: tuple[tuple[str, tuple[Dowel, ...]], ...] = ()
    """Dowels by the id of the board that is turned on them; boards cut on both faces only."""
