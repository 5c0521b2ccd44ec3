"""The job file as pydantic models: keys, kinds of value, defaults. Nothing here compares one key with another.

Every default is common practice, no source. An empty text means "not said"; load fills it in.
"""

from typing import Literal

from pydantic import BaseModel, Field

from platelayer.job.entry_models import BitTable, BoardTable, PieceTable
from platelayer.job.field_types import (
    CLOSED,
    Count,
    Duration,
    Flag,
    Length,
    LengthOrNone,
    Name,
    Text,
    Title,
    key,
)
from platelayer.job.limits import (
    LEAST_DOWEL_MM,
    LEAST_DOWELS,
    MOST_DOWEL_MM,
    MOST_DOWELS,
    MOST_TURNED_OFF_MM,
)
from platelayer.job.track_models import FitTable, JointTable, MateTable, TrackTable, WheelTable
from platelayer.units import LengthUnit, inches
from platelayer.values.key_words import NEEDED, Bound
from platelayer.values.tooling import HoldingKind, Placing, StockBy, TurnBy


class JobTable(BaseModel):
    """``[job]``: what it is called, in which unit bare numbers are, on which machine, of which wood."""

    model_config = CLOSED
    name: Name = key("", "Short name that pages and files carry.", '"hallway"', unsaid="the folder's or file's name")
    title: Title = key("", "What stands at the head of page, sheet and summary.", '"Hallway loop"', unsaid="the name")
    units: LengthUnit | None = key(
        None,
        "Unit of bare numbers in this file, and the one you read first; a length in quotes may carry its own.",
        '"in"',
        unsaid="none: every length carries its unit",
    )
    machine: Text = key(
        "",
        "Which machine cuts it: the name of a profile's file, without .toml. platelayer machines lists them.",
        '"mid-screw"',
        unsaid=NEEDED,
    )
    material: Text = key(
        "", "Which wood it is cut from. platelayer materials lists them.", '"hard-maple"', unsaid=NEEDED
    )
    placing: Placing = key(
        Placing.FEWEST, "How pieces are laid: in rows, nested, or whichever of the two needs fewer boards.", '"nest"'
    )
    shop: Text = key(
        "",
        "File of what your bits and machine really do, as platelayer fit read writes it; looked for beside this file.",
        '"shop.toml"',
        unsaid="bits are taken as they are stated",
    )
    bits: Text = key(
        "",
        "File of the bits you own, with their sizes by caliper, beside this file; [[bit]] here has the last word.",
        '"bits.toml"',
        unsaid="the shipped bits, and those in [[bit]]",
    )
    woods: Text = key(
        "",
        "File of woods of your own, beside this file; platelayer new --woods begins one.",
        '"woods.toml"',
        unsaid="the shipped woods",
    )
    profiles: Text = key(
        "",
        "Folder of your own machine profiles, beside this file; it comes before the shipped ones.",
        '"machines"',
        unsaid="the shipped machines only",
    )


class BitsTable(BaseModel):
    """``[bits]``: which bit does what. One bit for everything unless said otherwise.

    Bits go by their ids: platelayer bits lists the shipped ones, and [[bit]] adds your own.
    """

    model_config = CLOSED
    joints: Text = key(
        "flat-3.175-long", "The bit that cuts pegs and sockets.", '"flat-3.175-long"', rule="a flat bit that there is"
    )
    grooves: Text = key(
        "", "The bit that cuts grooves.", '"flat-3.175"', unsaid="the joints' bit", rule="a flat bit that there is"
    )
    outlines: Text = key(
        "", "The bit that cuts pieces out.", '"flat-6.35-up"', unsaid="the joints' bit", rule="a flat bit that there is"
    )
    finish: Text = key(
        "",
        "A smaller bit that goes into the corners the joints' bit leaves.",
        '"flat-1.588"',
        unsaid="none",
        rule='smaller than the joints\' bit; with peg_root = "finish" and only then',
    )
    edges: Text = key(
        "",
        "The bit that breaks edges.",
        '"round-over-1.588"',
        unsaid="none: edges are left to your hand",
        rule="a round-over bit, with a size in [edges]",
    )
    groove_edges: Text = key(
        "",
        "Another bit for the edges of grooves.",
        '"vee-60"',
        unsaid="the edges' bit",
        rule="a round-over or vee bit, with groove in [edges]",
    )


class HoldingTable(BaseModel):
    """``[holding]``: what holds pieces, and what holds boards (``stock``).

    A board held nowhere, or over too long a span, bows under the bit: the summary warns.
    """

    model_config = CLOSED
    stock: StockBy | Literal[""] = key(
        "",
        "What holds boards: clamps that you name in [[board.no_go]], screws that the program places, tape or a vacuum.",
        '"screws"',
        unsaid="what holds the pieces where that is tape or vacuum, else clamps",
    )
    screw_head: Length = key(10.0, "Diameter of the screws' heads.", '"10 mm"')
    screw_rise: LengthOrNone = key(3.0, "How far the heads stand up above the wood.", '"3 mm"')
    span: LengthOrNone = key(
        0.0,
        "How far apart a board may be held before it bows under the bit.",
        '"250 mm"',
        unsaid="24 times the thinnest board's thickness, 300 mm at 1/2 in",
    )
    kind: HoldingKind = key(
        HoldingKind.TABS,
        "What holds pieces to the end: tabs to saw, a skin left under everything, tape or a vacuum below.",
        '"skin"',
        rule='skin needs zero = "spoilboard" or a measured board',
    )
    tab_width: Length = key(inches(1 / 4), "Wood left along the edge by each tab.", '"1/4 in"')
    tab_height: LengthOrNone = key(
        0.0,
        "How high a tab is.",
        '"2.2 mm"',
        unsaid="1.8 mm and the board's scatter, a quarter of the board at most",
        rule="0, or from 1.5 mm and the board's scatter to a quarter of the board",
    )
    tab_count: Count | None = key(
        None,
        "How many tabs each piece has.",
        "4",
        unsaid="by the piece's length",
        rule="4 or more where a piece is shorter than 100 mm",
    )
    skin: LengthOrNone = key(
        0.0,
        "How thick a skin is.",
        '"0.7 mm"',
        unsaid="0.4 mm and the board's scatter",
        rule="0, or from 0.4 mm and the board's scatter to a quarter of the board; of no use with tabs",
    )


class EdgesTable(BaseModel):
    """``[edges]``: how far in along the face an edge is broken by machine; zero leaves it to hand."""

    model_config = CLOSED
    outer: LengthOrNone = key(
        0.0,
        "Edges all round a piece: the radius of the bit that [bits] edges names.",
        '"1/16 in"',
        unsaid="0: left to your hand",
        rule="the bit's own radius, and no more than a quarter of the board",
    )
    groove: LengthOrNone = key(
        0.0,
        "Edges along the grooves: how far in from the wall.",
        '"1/64 in"',
        unsaid="0: left to your hand",
        rule="no more than the bit's radius",
    )
    by_hand: Flag = key(
        False, "You break all edges by hand, so that nothing is said of it.", "true", rule="not beside outer or groove"
    )


class TurningTable(BaseModel):
    """``[turning]``: how a board is turned over for the grooves on its other face.

    Dowels stand on the board's long middle line; places count from its left end.
    """

    model_config = CLOSED
    by: TurnBy = key(TurnBy.DOWELS, "What keeps the board in line: dowels, or a fence along its edge.", '"fence"')
    tolerance: LengthOrNone = key(
        0.2, "How far the board may lie off after it was turned.", '"0.2 mm"', most=Bound(MOST_TURNED_OFF_MM)
    )
    dowel_diameter: Length = key(
        inches(1 / 4), "Diameter of the dowels.", '"1/4 in"', least=Bound(LEAST_DOWEL_MM), most=Bound(MOST_DOWEL_MM)
    )
    dowel_depth: LengthOrNone = key(
        0.0,
        "How deep the dowels go into the spoilboard.",
        '"8 mm"',
        unsaid="as deep as the bit reaches",
        rule="0, or at least 3 mm",
    )
    dowel_count: Count | None = key(
        None,
        "How many dowels.",
        "3",
        unsaid="2, or as many as dowel_places",
        least=Bound(LEAST_DOWELS),
        most=Bound(MOST_DOWELS),
    )
    dowel_places: list[Length] | None = key(
        None,
        "Where the dowels stand: distances from the board's left end.",
        '["30 mm", "350 mm"]',
        unsaid="chosen in the waste, far apart",
        rule="2 to 12 of them, within the board, three diameters apart",
    )


class CuttingTable(BaseModel):
    """``[cutting]``: how far below the board the bit may go, what shares a file, how long it is, gap, finish feeds."""

    model_config = CLOSED
    gap: Length | None = key(
        None,
        "Between the outlines of neighbours, which one slot parts; no less than the bits need.",
        '"6 mm"',
        unsaid="as wide a slot as the bits ask for at their depth",
    )
    spoilboard_allowance: LengthOrNone = key(
        0.3, "How far below the board the bit may go, so that cuts go through.", '"0.3 mm"'
    )
    one_file: Flag = key(
        False,
        "All bits of a board in one file, with a pause for each change.",
        "true",
        rule="one bit, or a machine that can zero z in a pause",
    )
    sitting: Duration | None = key(
        None,
        "How long you stand by the machine at one go: a file that takes longer ends between pieces, another goes on.",
        '"45 min"',
        unsaid="files as long as they come",
        rule="no less than one piece takes, and no one_file",
    )
    derive_finish_feeds: Flag = key(
        False,
        "Finish passes, whose chips are thin, may go at a feed worked out from chip and bend. Listen to the first one.",
        "true",
        unsaid="false: all goes at the feed that the profile lists",
    )


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
