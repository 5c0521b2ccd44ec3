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
    Text,
    Title,
)
from platelayer.units import LengthUnit
from platelayer.values.tooling import BitChange, CommentStyle, SpindleKind


class AxisTable(BaseModel):
    """``[axis.x]``: how far, how fast at feed, how fast at rapid, how briskly."""

    model_config = CLOSED
    travel: Length | None = None
    feed: Feed | None = None
    rapid: Feed | None = None
    acceleration: Acceleration | None = None


class AxesTable(BaseModel):
    """``[axis]``: the three of them."""

    model_config = CLOSED
    x: AxisTable = AxisTable()
    y: AxisTable = AxisTable()
    z: AxisTable = AxisTable()


class CorneringTable(BaseModel):
    """``[cornering]``: one of the two ways in which controllers slow down for a corner."""

    model_config = CLOSED
    deviation: Length | None = None
    speed: Feed | None = None


class DialMark(BaseModel):
    """One mark of a hand dial and the speed it stands for."""

    model_config = CLOSED
    mark: Text
    rpm: PositiveNumber


class SpindleTable(BaseModel):
    """``[spindle]``: how its speed is set and how it is switched."""

    model_config = CLOSED
    kind: SpindleKind | None = None
    dial: list[DialMark] = Field(default_factory=list)
    slowest: PositiveNumber | None = None
    fastest: PositiveNumber | None = None
    spin_up: PositiveNumber = 4.0
    holder_diameter: Length | None = None


class ChangeTable(BaseModel):
    """``[bit_change]``: how bits are changed, and whether z can be zeroed while a file is paused."""

    model_config = CLOSED
    manner: BitChange = BitChange.FILES
    can_zero_in_pause: Flag = False


class PlacesTable(BaseModel):
    """``[places]``: heights above the wood, where the bit goes at the end, and where a board's zero lies."""

    model_config = CLOSED
    homes: Flag = False
    safe_height: Length | None = None
    clear_height: Length | None = None
    park: tuple[AnyLength, AnyLength] = (0.0, 0.0)
    zero_at: tuple[AnyLength, AnyLength, AnyLength] | None = None


class DialectTable(BaseModel):
    """``[dialect]``: what the controller takes of the RS274/NGC words. The dwell unit has no default on purpose."""

    model_config = CLOSED
    units: LengthUnit = "mm"
    decimals: Count | None = None
    arcs: Flag | None = None
    dwell_unit: Literal["s", "ms"] | None = None
    comments: CommentStyle | None = None
    end_word: Literal["M2", "M30"] = "M2"
    spindle_speed_word: Flag | None = None
    tool_change_word: Flag = False
    path_mode: Literal["G61", "G64"] | None = None
    path_tolerance: Length | None = None
    arc_centre_word: Flag = False
    messages: Flag = False


class FeedsTable(BaseModel):
    """``[[feeds]]``: one material and one bit, by id or by diameter and flutes."""

    model_config = CLOSED
    material: Text = ""
    bit: Text = ""
    diameter: Length | None = None
    flutes: Count = 2
    spindle: PositiveNumber | None = None
    feed: Feed | None = None
    plunge: Feed | None = None
    stepdown: Length | None = None
    stepover: PositiveNumber | None = None


class ProfileFile(BaseModel):
    """A whole machine profile."""

    model_config = CLOSED
    title: Title = ""
    units: LengthUnit | None = None
    axis: AxesTable = AxesTable()
    cornering: CorneringTable = CorneringTable()
    spindle: SpindleTable = SpindleTable()
    bit_change: ChangeTable = ChangeTable()
    places: PlacesTable = PlacesTable()
    dialect: DialectTable = DialectTable()
    feeds: list[FeedsTable] = Field(default_factory=list)
