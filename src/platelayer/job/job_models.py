"""The job file as pydantic models: keys, kinds of value, defaults. Nothing here compares one key with another.

The keys of a piece are those that the catalogue describes, all kinds' together.

Every default is common practice, no source. An empty text means "not said"; load fills it in.
"""

from typing import TYPE_CHECKING, Any, Final, Literal

from pydantic import BaseModel, Field, create_model

from platelayer.job.field_types import (
    CLOSED,
    Angle,
    AnyLength,
    Count,
    Flag,
    Grain,
    Length,
    LengthOrNone,
    Name,
    Share,
    Text,
    Title,
)
from platelayer.pieces import CATALOGUE
from platelayer.pieces.kind import Key, Measure
from platelayer.units import LengthUnit, inches
from platelayer.values.pieces import EndKind, MouthCorner, PegRoot, Turns
from platelayer.values.tooling import BitKind, FluteDirection, HoldingKind, Placing, StockBy, TurnBy

TRACK_WIDTH_MM: Final = inches(1 + 9 / 16)
STOCK_MM: Final = inches(1 / 2)


class JobTable(BaseModel):
    """``[job]``: what it is called, in which unit bare numbers are, on which machine, of which wood."""

    model_config = CLOSED
    name: Name = ""
    title: Title = ""
    units: LengthUnit | None = None
    machine: Text = ""
    material: Text = ""
    placing: Placing = Placing.FEWEST
    shop: Text = ""
    profiles: Text = ""


class TrackTable(BaseModel):
    """``[track]``: cross-section. Grooves go by their walls' distances from the long edge, and by depth or floor."""

    model_config = CLOSED
    width: Length = TRACK_WIDTH_MM
    thickness: Length = STOCK_MM
    groove_outer: Length = inches(11 / 64)
    groove_inner: Length = inches(13 / 32)
    groove_depth: Length = inches(9 / 64)
    floor_height: Length | None = None
    flare_length: LengthOrNone = inches(1 / 4)
    flare_extra: LengthOrNone = inches(1 / 64)


class WheelTable(BaseModel):
    """``[wheel]``: wheels that run in the grooves, and how far apart a waggon's two axles are. To be measured."""

    model_config = CLOSED
    thickness: Length = 4.0
    diameter: Length = 20.0
    wheelbase: Length = 40.0


class JointTable(BaseModel):
    """``[joint]``: peg and socket, and what is done about the corners a round bit cannot cut."""

    model_config = CLOSED
    neck_width: Length = inches(1 / 4)
    head_diameter: Length = inches(7 / 16)
    head_setback: LengthOrNone = inches(9 / 32)
    mouth_width: Length = inches(5 / 16)
    hole_diameter: Length = inches(1 / 2)
    hole_setback: LengthOrNone = inches(9 / 32)
    peg_root: PegRoot = PegRoot.RELIEVE
    mouth: MouthCorner = MouthCorner.EASE
    ease_radius: LengthOrNone = 0.0
    relief_play: Share = 1.0


class MateTable(BaseModel):
    """``[mate]``: the joint of a bought set that pieces must couple with, all of it or none."""

    model_config = CLOSED
    neck_width: Length | None = None
    head_diameter: Length | None = None
    head_setback: LengthOrNone | None = None
    mouth_width: Length | None = None
    hole_diameter: Length | None = None
    hole_setback: LengthOrNone | None = None


class FitTable(BaseModel):
    """``[fit]``: how joints should feel, by a word or by two plays, and whose sizes give way for it."""

    model_config = CLOSED
    feel: Text = ""
    side: Length | None = None
    pull: Length | None = None
    part: Literal["peg", "socket", "both"] = "peg"


class BitsTable(BaseModel):
    """``[bits]``: which bit does what. One bit for everything unless said otherwise."""

    model_config = CLOSED
    joints: Text = "flat-3.175-long"
    grooves: Text = ""
    outlines: Text = ""
    finish: Text = ""
    edges: Text = ""
    groove_edges: Text = ""


class BitTable(BaseModel):
    """``[[bit]]``: a bit of the person's own, or what a caliper said of a shipped one."""

    model_config = CLOSED
    id: Name = ""
    kind: BitKind | None = None
    diameter: Length | None = None
    measured: Length | None = None
    flutes: Count | None = None
    direction: FluteDirection | None = None
    cutting_length: Length | None = None
    shank: Length | None = None
    overall: Length | None = None
    stick_out: Length | None = None
    upcut_length: Length | None = None
    may_plunge: Flag | None = None
    included_angle: Angle | None = None
    corner_radius: Length | None = None


class HoldingTable(BaseModel):
    """``[holding]``: what holds pieces, and what holds boards (``stock``).

    Zero means chosen from the board's thickness, or by the piece's length; an empty stock, what holds the pieces where
    that is tape or vacuum, else clamps.
    """

    model_config = CLOSED
    stock: StockBy | Literal[""] = ""
    screw_head: Length = 10.0
    screw_rise: LengthOrNone = 3.0
    span: LengthOrNone = 0.0
    kind: HoldingKind = HoldingKind.TABS
    tab_width: Length = inches(1 / 4)
    tab_height: LengthOrNone = 0.0
    tab_count: Count | None = None
    skin: LengthOrNone = 0.0


class EdgesTable(BaseModel):
    """``[edges]``: how far in along the face an edge is broken by machine; zero leaves it to hand."""

    model_config = CLOSED
    outer: LengthOrNone = 0.0
    groove: LengthOrNone = 0.0
    by_hand: Flag = False


class NoGoTable(BaseModel):
    """``[[board.no_go]]``: a box, a disc or a polygon on the board, and how high it rises above the wood.

    A box goes by its near left corner, a disc by its middle.
    """

    model_config = CLOSED
    title: Title = ""
    rise: LengthOrNone = 0.0
    x: AnyLength | None = None
    y: AnyLength | None = None
    width: Length | None = None
    height: Length | None = None
    diameter: Length | None = None
    outline: list[tuple[AnyLength, AnyLength]] | None = None


class BoardTable(BaseModel):
    """``[[board]]``: one board, or as many alike as ``count`` says; an offcut goes by the corners of its outline.

    A strip is ripped to the track's width and rounded over beforehand; its margin is what clamps take at either end.
    """

    model_config = CLOSED
    id: Name = ""
    count: Count = 1
    width: Length | None = None
    height: Length | None = None
    outline: list[tuple[AnyLength, AnyLength]] | None = None
    height_measured: Flag = False
    thickness: Length | None = None
    thickness_measured: Flag = False
    scatter: LengthOrNone | None = None
    zero: Literal["top", "spoilboard"] = "top"
    margin: LengthOrNone | None = None
    kind: Literal["board", "strip"] = "board"
    grain: Grain = 0.0
    no_go: list[NoGoTable] = Field(default_factory=list)


class AnyPieceTable(BaseModel):
    """``[[piece]]``: what every line of the cut list has, of whatever kind.

    Turns: how it may lie when it is nested, along the grain or at quarters or eighths of a turn from there besides.
    """

    model_config = CLOSED
    name: Name = ""
    kind: str = CATALOGUE[0].name
    count: Count = 1
    grooves: Literal["top", "both"] | None = None
    turns: Turns = Turns.GRAIN


def _values_at(key: Key) -> object:
    """What pydantic takes at a key of a piece, or nothing."""
    match key.measure:
        case Measure.LENGTH:
            return Length | None
        case Measure.ANGLE:
            return Angle | None
        case Measure.CHOICE:
            return Literal[key.choices] | None


def _piece_table() -> type[AnyPieceTable]:
    """The table with the keys of every kind in the catalogue, none of them needed."""
    ends = {name: (EndKind | None, None) for kind in CATALOGUE for name, _ in kind.ends}
    sizes = {key.name: (_values_at(key), None) for kind in CATALOGUE for key in kind.keys}
    names: Any = Literal[tuple(kind.name for kind in CATALOGUE)]
    fields: dict[str, Any] = {"kind": (names, CATALOGUE[0].name), **sizes, **ends}
    return create_model("PieceTable", __base__=AnyPieceTable, **fields)


if TYPE_CHECKING:
    PieceTable = AnyPieceTable
else:
    PieceTable = _piece_table()


class TurningTable(BaseModel):
    """``[turning]``: how a board is turned over for the grooves on its other face. Zero depth means chosen.

    Dowels stand on the board's long middle line; places count from its left end.
    """

    model_config = CLOSED
    by: TurnBy = TurnBy.DOWELS
    tolerance: LengthOrNone = 0.2
    dowel_diameter: Length = inches(1 / 4)
    dowel_depth: LengthOrNone = 0.0
    dowel_count: Count | None = None
    dowel_places: list[Length] | None = None


class CuttingTable(BaseModel):
    """``[cutting]``: how far below the board the bit may go, whether bits share a file, and straights a cut.

    The gap is the wood between the outlines of neighbours; left out, what the bits need.
    """

    model_config = CLOSED
    gap: Length | None = None
    spoilboard_allowance: LengthOrNone = 0.3
    one_file: Flag = False
    shared_cuts: Flag = False


class JobFile(BaseModel):
    """A whole job file."""

    model_config = CLOSED
    job: JobTable = JobTable()
    track: TrackTable = TrackTable()
    wheel: WheelTable = WheelTable()
    joint: JointTable = JointTable()
    mate: MateTable | None = None
    fit: FitTable = FitTable()
    bits: BitsTable = BitsTable()
    bit: list[BitTable] = Field(default_factory=list)
    holding: HoldingTable = HoldingTable()
    edges: EdgesTable = EdgesTable()
    board: list[BoardTable] = Field(default_factory=list)
    piece: list[PieceTable] = Field(default_factory=list)
    cutting: CuttingTable = CuttingTable()
    turning: TurningTable = TurningTable()
