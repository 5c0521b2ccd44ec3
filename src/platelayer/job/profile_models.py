"""A machine profile as pydantic models: keys and kinds of value. Nothing here compares one key with another.

Lengths, feeds and accelerations may be bare numbers in the profile's own ``units``.
"""

from typing import Literal

from pydantic import BaseModel, Field

from platelayer.job.field_types import (
    CLOSED,
    Acceleration,
    AnyLength,
    Count,
    Feed,
    Flag,
    Length,
    PositiveNumber,
    Seconds,
    Speed,
    Text,
    Title,
    key,
)
from platelayer.job.limits import LEAST_DECIMALS, MOST_DECIMALS, PATH_TOLERANCE_MM, SPIN_UP_S
from platelayer.tolerances import RAPID_CLEARANCE_MM
from platelayer.units import LengthUnit
from platelayer.values.dialect import CommentStyle
from platelayer.values.key_words import NEEDED, Bound
from platelayer.values.tooling import BitChange, SpindleKind


class AxisTable(BaseModel):
    """``[axis.x]``: how far, how fast at feed, how fast at rapid, how briskly."""

    model_config = CLOSED
    travel: Length | None = key(
        None, "How far the bit can go along this axis, from stop to stop.", "960", unsaid=NEEDED
    )
    feed: Feed | None = key(None, "Fastest cutting feed along it; no file asks for more.", "3000", unsaid=NEEDED)
    rapid: Feed | None = key(None, "Speed of moves above the wood; the minutes go by it.", "4500", unsaid=NEEDED)
    acceleration: Acceleration | None = key(
        None,
        "How briskly it gets up to speed, as the controller is set; the minutes and the true feed go by it.",
        "400",
        unsaid=NEEDED,
    )


class AxesTable(BaseModel):
    """``[axis]``: the three of them."""

    model_config = CLOSED
    x: AxisTable = AxisTable()
    y: AxisTable = AxisTable()
    z: AxisTable = AxisTable()


class CorneringTable(BaseModel):
    """``[cornering]``: one of the two ways in which controllers slow down for a corner."""

    model_config = CLOSED
    deviation: Length | None = key(
        None,
        "How far the controller may round a corner off; it slows down as much as that takes.",
        "0.015",
        unsaid="speed says it",
        rule="one of deviation and speed",
    )
    speed: Feed | None = key(
        None,
        "By how much the speed of an axis may jump at a corner.",
        '"300 mm/min"',
        unsaid="deviation says it",
        rule="one of deviation and speed",
    )


class DialMark(BaseModel):
    """``[[spindle.dial]]``: one mark of a hand dial and the speed it stands for.

    In one line: dial = [{ mark = "1", rpm = 9000 }, { mark = "2", rpm = 13000 }]. Two marks or more, slowest first.
    """

    model_config = CLOSED
    mark: Text = key(..., "What is printed at the mark.", '"B"', unsaid=NEEDED, rule="each mark once")
    rpm: Speed = key(..., "Speed of the spindle there.", "13000", unsaid=NEEDED, rule="more than at the mark before")


class SpindleTable(BaseModel):
    """``[spindle]``: how its speed is set and how it is switched."""

    model_config = CLOSED
    kind: SpindleKind | None = key(
        None,
        "How its speed is set: by a word in the file, on a dial by hand, or not at all, as it has a switch alone.",
        '"dial"',
        unsaid=NEEDED,
    )
    dial: list[DialMark] = Field(default_factory=list)
    slowest: Speed | None = key(
        None,
        "Slowest speed.",
        "8000",
        unsaid="the dial's first mark; a switch has one speed; needed with a speed word",
        rule="no more than fastest",
    )
    fastest: Speed | None = key(
        None,
        "Fastest speed; of a switch, its only one.",
        "24000",
        unsaid="the dial's last mark; needed with a speed word or a switch",
        rule="no less than slowest",
    )
    spin_up: Seconds = key(
        4.0,
        "How long it takes to get up to speed; the file waits.",
        "4",
        least=Bound(SPIN_UP_S[0]),
        most=Bound(SPIN_UP_S[1]),
    )
    holder_diameter: Length | None = key(
        None, "Widest place of the collet nut, for what it might touch.", "20", unsaid=NEEDED
    )


class ChangeTable(BaseModel):
    """``[bit_change]``: how bits are changed, and whether z can be zeroed while a file is paused."""

    model_config = CLOSED
    manner: BitChange = key(
        BitChange.FILES,
        "Each bit in a file of its own, a pause in the file, or a tool word that the controller answers.",
        '"pause"',
    )
    can_zero_in_pause: Flag = key(
        False, "Whether z can be zeroed while a file is paused; else each bit gets a file of its own.", "true"
    )


class PlacesTable(BaseModel):
    """``[places]``: heights above the wood, where the bit goes at the end, and where a board's zero lies."""

    model_config = CLOSED
    homes: Flag = key(False, "It finds its own zero on switches when it is turned on.", "true")
    safe_height: Length | None = key(
        None,
        "Height over clamps and all: first and last moves, and between bits.",
        "15",
        unsaid=NEEDED,
        rule="no less than clear_height",
    )
    clear_height: Length | None = key(
        None,
        "Height over bare wood, from cut to cut.",
        "4",
        unsaid=NEEDED,
        least=Bound(RAPID_CLEARANCE_MM, is_in=False),
        rule="no more than safe_height",
    )
    park: tuple[AnyLength, AnyLength] = key(
        (0.0, 0.0),
        "Where the bit stands at the end, from the board's zero.",
        "[0, 400]",
        unsaid="over the board's zero",
    )
    zero_at: tuple[AnyLength, AnyLength, AnyLength] | None = key(
        None,
        "Where the board's zero lies in the machine's travel, on a machine that homes.",
        "[40, 40, 60]",
        unsaid="not known: travel is held against sizes alone",
    )


class DialectTable(BaseModel):
    """``[dialect]``: what the controller takes of the RS274/NGC words. The dwell unit has no default on purpose."""

    model_config = CLOSED
    units: LengthUnit = key("mm", "Unit that files are written in.", '"in"')
    decimals: Count | None = key(
        None,
        "Digits after the point; with fewer a controller may refuse arcs.",
        "5",
        unsaid="4 in mm, 5 in inches",
        least=Bound(LEAST_DECIMALS["mm"]),
        most=Bound(MOST_DECIMALS),
        rule='5 or 6 with units = "in"',
    )
    arcs: Flag | None = key(
        None, "The controller takes G2 and G3; else arcs are cut as short lines.", "true", unsaid=NEEDED
    )
    dwell_unit: Literal["s", "ms"] | None = key(
        None, "How it reads the P of G4: look it up, or try G4 P2 and count.", '"s"', unsaid=NEEDED
    )
    comments: CommentStyle | None = key(
        None, "How it takes remarks: in brackets, or after a semicolon.", '"brackets"', unsaid=NEEDED
    )
    end_word: Literal["M2", "M30"] = key("M2", "Last word of a file.", '"M30"')
    spindle_speed_word: Flag | None = key(
        None,
        "The controller takes S and a speed.",
        "true",
        unsaid="true for a spindle of kind speed_word, else false",
        rule="not false for a spindle of kind speed_word",
    )
    tool_change_word: Flag = key(
        False, "It takes T and M6.", "true", rule='true where manner = "tool_word" in [bit_change]'
    )
    path_mode: Literal["G61", "G64"] | None = key(
        None,
        "How corners are run: G61 to the letter, G64 rounded by a tolerance.",
        '"G61"',
        unsaid="nothing is written",
    )
    path_tolerance: Length | None = key(
        None,
        "How far G64 may stray, its P.",
        '"0.02 mm"',
        unsaid="not needed without G64",
        least=Bound(PATH_TOLERANCE_MM[0]),
        most=Bound(PATH_TOLERANCE_MM[1]),
        rule='with path_mode = "G64", and only then',
    )
    arc_centre_word: Flag = key(
        False, "G91.1 is written: I and J count from where an arc starts.", "true", rule="not with arcs = false"
    )
    messages: Flag = key(
        False,
        "What a pause asks for is shown by the controller too, as (MSG, ...).",
        "true",
        rule='not with comments = "semicolon"',
    )


class FeedsTable(BaseModel):
    """``[[feeds]]``: one material and one bit, by id or by diameter and flutes.

    What is not listed is worked out from what is, never faster, and said. Try each in scrap.
    """

    model_config = CLOSED
    material: Text = key(
        "", "Which wood.", '"hard-maple"', unsaid=NEEDED, rule="a wood that platelayer materials lists"
    )
    bit: Text = key(
        "", "Which bit, by its id.", '"round-over-1.588"', unsaid="diameter says it", rule="one of bit and diameter"
    )
    diameter: Length | None = key(
        None, "Flat bits of which nominal diameter.", '"1/8 in"', unsaid="bit says it", rule="one of bit and diameter"
    )
    flutes: Count = key(2, "Flutes of those bits.", "2")
    spindle: Speed | None = key(
        None, "Speed of the spindle.", "13000", unsaid=NEEDED, rule="a speed that [spindle] has, a mark of its dial"
    )
    feed: Feed | None = key(
        None, "Feed through the wood.", "1700", unsaid=NEEDED, rule="no more than the slower of x and y feeds"
    )
    plunge: Feed | None = key(None, "Feed straight down.", "350", unsaid=NEEDED, rule="no more than z feeds")
    stepdown: Length | None = key(None, "Depth of one pass.", "2.2", unsaid=NEEDED)
    stepover: PositiveNumber | None = key(
        None, "Sideways step, as a share of the bit's diameter.", "0.4", unsaid=NEEDED, most=Bound(1)
    )


class ProfileFile(BaseModel):
    """``title``: what the machine is called, and in which unit bare numbers of the file are."""

    model_config = CLOSED
    title: Title = key("", "What people call the machine.", '"screw router in the cellar"', unsaid=NEEDED)
    units: LengthUnit | None = key(
        None,
        "Unit of bare numbers in this file: mm, mm/min, mm/s2, or the same of inches.",
        '"mm"',
        unsaid="none: every length carries its unit",
    )
    axis: AxesTable = AxesTable()
    cornering: CorneringTable = CorneringTable()
    spindle: SpindleTable = SpindleTable()
    bit_change: ChangeTable = ChangeTable()
    places: PlacesTable = PlacesTable()
    dialect: DialectTable = DialectTable()
    feeds: list[FeedsTable] = Field(default_factory=list)
