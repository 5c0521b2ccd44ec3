"""The floor file as pydantic models: keys, kinds of value, defaults. Nothing here compares one key with another.

Glossary:
    place: where on the floor, and which way one looks from there: x, y and degrees. Where an end is meant, its name.
"""

from typing import Annotated, Final

from pydantic import BaseModel, BeforeValidator, Field, ValidationInfo

from platelayer.errors import JobError
from platelayer.job.entry_models import PieceTable
from platelayer.job.field_types import (
    CLOSED,
    Angle,
    AnyLength,
    Flag,
    Length,
    LengthOrNone,
    Share,
    Text,
    Title,
    fault_error,
    unit_in,
)
from platelayer.parsing import parse_angle, parse_length
from platelayer.pieces.curve import USUAL_ANGLE_RAD
from platelayer.tolerances import BOUGHT_SPREAD_MM, TAPE_MM, USUAL_LEAST_RADIUS_MM
from platelayer.units import LengthUnit
from platelayer.values.pieces import EndKind

_PLACE_FIX: Final = 'Write [x, y, degrees], as in ["4 ft", "10 in", 90], or the name of an end, as in "loop.start".'


def _place_or_name(value: object, info: ValidationInfo) -> tuple[float, float, float] | str:
    if isinstance(value, str) and value.strip():
        return value.strip()
    if not isinstance(value, list) or len(value) != 3:
        raise fault_error("neither a place nor the name of an end", _PLACE_FIX)
    try:
        x, y = (parse_length(one, unit=unit_in(info)) for one in value[:2])
        return x, y, parse_angle(value[2])
    except JobError as error:
        raise fault_error(error.faults[0].problem, error.faults[0].fix) from error


PlaceOrName = Annotated[tuple[float, float, float] | str, BeforeValidator(_place_or_name)]


def _own(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST_OWNED:
        raise fault_error(f"must be a whole number, 0 to {_MOST_OWNED}", "0 is for a piece still to be made.")
    return value


_MOST_OWNED: Final = 1000
Owned = Annotated[int, BeforeValidator(_own)]


class FloorTable(BaseModel):
    """``[floor]``: what it is called, the unit of bare numbers, the job whose joint counts, the size of the room."""

    model_config = CLOSED
    title: Title = ""
    units: LengthUnit | None = None
    job: Text = ""
    size: tuple[Length, Length] | None = None


class PlayTable(BaseModel):
    """``[play]``: what joints give, measured by hand; what is left out is as the job's bit cuts it."""

    model_config = CLOSED
    pull: Length | None = None
    side: Length | None = None
    kink: Angle | None = None


class CloseTable(BaseModel):
    """``[close]``: what an answer may ask of the joints and of a train."""

    model_config = CLOSED
    most_share: Share = 0.5
    least_radius: Length = USUAL_LEAST_RADIUS_MM


class WallTable(BaseModel):
    """``[[wall]]``: a wall or a piece of furniture, from one point of the floor to another."""

    model_config = CLOSED
    name: Text = ""
    line: list[tuple[AnyLength, AnyLength]] = Field(default_factory=list)


class PartTable(BaseModel):
    """One part of a recipe: a length; or radius, angle and hand; or how far an arc comes along and across."""

    model_config = CLOSED
    length: Length | None = None
    radius: Length | None = None
    angle: Angle = USUAL_ANGLE_RAD
    along: Length | None = None
    across: Length | None = None
    hand: str = "left"


class RouteTable(BaseModel):
    """``[[owned.route]]``: a way through a piece from end to end.

    Where its first end is not known yet, ``at`` says where it is, or ``crosses`` at which angle its middle goes over
    that of the first route.
    """

    model_config = CLOSED
    enters: Text = ""
    leaves: Text = ""
    at: tuple[AnyLength, AnyLength, Angle] | None = None
    crosses: Angle | None = None
    run: list[PartTable] = Field(default_factory=list)


class OwnedTable(PieceTable):
    """``[[owned]]``: pieces of one shape, by the keys of a piece, or by a recipe of ends and routes."""

    count: Owned = 0
    made: Flag = False
    over: Flag = False
    spread: LengthOrNone = BOUGHT_SPREAD_MM
    pull: Length | None = None
    side: Length | None = None
    kink: Angle | None = None
    ends: dict[str, EndKind] = Field(default_factory=dict)
    route: list[RouteTable] = Field(default_factory=list)


class StretchTable(BaseModel):
    """``[[stretch]]``: pieces as a list, end to end from where it begins; what its last end is to meet."""

    model_config = CLOSED
    name: Text = ""
    begins: PlaceOrName | None = None
    pieces: list[Text] = Field(default_factory=list)
    meets: PlaceOrName | None = None
    length: Length | None = None


class GapTable(BaseModel):
    """``[[gap]]``: a gap by tape, both edges and a diagonal, and what stands at either side of it."""

    model_config = CLOSED
    name: Text = ""
    left: Length | None = None
    right: Length | None = None
    diagonal: Length | None = None
    base: Length | None = None
    set: LengthOrNone = 0.0
    reading: Length = TAPE_MM
    here: EndKind = EndKind.PEG
    there: EndKind = EndKind.SOCKET
    begins: Text = ""


class FloorFile(BaseModel):
    """A whole floor file."""

    model_config = CLOSED
    floor: FloorTable = FloorTable()
    play: PlayTable = PlayTable()
    close: CloseTable = CloseTable()
    wall: list[WallTable] = Field(default_factory=list)
    owned: list[OwnedTable] = Field(default_factory=list)
    stretch: list[StretchTable] = Field(default_factory=list)
    gap: list[GapTable] = Field(default_factory=list)
