"""The floor file as pydantic models: keys, kinds of value, defaults. Nothing here compares one key with another.

Glossary:
    place: where on the floor, and which way one looks from there: x, y and degrees. Where an end is meant, its name.
"""

import math
from typing import Annotated, Final, Literal

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
    Span,
    Text,
    Title,
    fault_error,
    key,
    unit_in,
)
from platelayer.parsing import parse_angle, parse_length
from platelayer.pieces.curve import USUAL_ANGLE_RAD
from platelayer.tolerances import BOUGHT_SPREAD_MM, TAPE_MM, USUAL_LEAST_RADIUS_MM
from platelayer.units import LengthUnit
from platelayer.values.key_words import NEEDED, Bound, ValueKind
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


PlaceOrName = Annotated[tuple[float, float, float] | str, BeforeValidator(_place_or_name), Span(ValueKind.STANDING)]


def _own(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST_OWNED:
        raise fault_error(f"must be a whole number, 0 to {_MOST_OWNED}", "0 is for a piece still to be made.")
    return value


_MOST_OWNED: Final = 1000
Owned = Annotated[int, BeforeValidator(_own), Span(ValueKind.COUNT, Bound(0), Bound(_MOST_OWNED))]

_AS_CUT: Final = "as the job's bit cuts it"
_AS_PLAY: Final = "as [play] says"
_IN_TABLE: Final = f"{NEEDED} in this table"


class FloorTable(BaseModel):
    """``[floor]``: what it is called, the unit of bare numbers, the job whose joint counts, the size of the room."""

    model_config = CLOSED
    title: Title = key("", "What stands at the head of drawings.", '"Hall and kitchen"', unsaid="the file's name")
    units: LengthUnit | None = key(
        None,
        "Unit of bare numbers in this file, and the one you read first.",
        '"in"',
        unsaid="none: lengths carry theirs",
    )
    job: Text = key(
        "", "Job beside this file whose bit, joint and holding count.", '"job.toml"', unsaid="the usual bit and joint"
    )
    size: tuple[Length, Length] | None = key(
        None,
        "Of the room, along x and y; its walls are near, right, far and left.",
        '["8 ft", "6 ft"]',
        unsaid="a floor without walls",
    )


class PlayTable(BaseModel):
    """``[play]``: what joints give, measured by hand; what is left out is as the job's bit cuts it."""

    model_config = CLOSED
    pull: Length | None = key(None, "Play along the track.", '"0.4 mm"', unsaid=_AS_CUT)
    side: Length | None = key(None, "Play sideways, each way.", '"0.3 mm"', unsaid=_AS_CUT)
    kink: Angle | None = key(None, "How far a joint bends in the plane, each way.", "1.0", unsaid=_AS_CUT)


class CloseTable(BaseModel):
    """``[close]``: what an answer may ask of the joints and of a train."""

    model_config = CLOSED
    most_share: Share = key(0.5, "Share of its play that an answer may ask of a joint.", "0.4")
    least_radius: Length = key(USUAL_LEAST_RADIUS_MM, "Tightest curve that your train takes.", '"120 mm"')


class WallTable(BaseModel):
    """``[[wall]]``: a wall or a piece of furniture, from one point of the floor to another."""

    model_config = CLOSED
    name: Text = key("", "What it is called.", '"sofa"', unsaid="its number", rule="not near, right, far or left")
    line: list[tuple[AnyLength, AnyLength]] = key(
        [], "Its two ends.", "[[0, 100], [80, 100]]", unsaid=_IN_TABLE, rule="two points apart"
    )


class PartTable(BaseModel):
    """``[[owned.route.run]]``: one part of a recipe: a length; or radius, angle and hand; or how far an arc comes.

    The last is along and across, of an arc that begins straight ahead. In one line: run = [{ length = "4 in" },
    { radius = "8 in", angle = 45 }].
    """

    model_config = CLOSED
    length: Length | None = key(None, "Of a straight part.", '"4 in"', unsaid="an arc")
    radius: Length | None = key(None, "Of an arc's centre line.", '"8 in"', unsaid="by length or along")
    angle: Angle = key(
        USUAL_ANGLE_RAD, "Of an arc that goes by its radius.", "45", least=Bound(0, is_in=False), most=Bound(math.pi)
    )
    along: Length | None = key(
        None,
        "How far an arc's end lies ahead of its beginning.",
        '"5 5/8 in"',
        unsaid="by radius",
        rule="across beside it",
    )
    across: Length | None = key(
        None, "How far it lies beside it.", '"2 3/8 in"', unsaid="by radius", rule="along beside it"
    )
    hand: Text = key("left", "Which way an arc turns.", '"right"', rule="left or right")


class RouteTable(BaseModel):
    """``[[owned.route]]``: a way through a piece from end to end.

    Where its first end is not known yet, ``at`` says where it is, or ``crosses`` at which angle its middle goes over
    that of the first route.
    """

    model_config = CLOSED
    enters: Text = key("", "End it begins at.", '"toe"', unsaid=_IN_TABLE, rule="a name in ends")
    leaves: Text = key("", "End it comes out at.", '"branch"', unsaid=_IN_TABLE, rule="a name in ends")
    at: tuple[AnyLength, AnyLength, Angle] | None = key(
        None,
        "Where its first end is, x, y and degrees along the route, as the first route begins at 0.",
        "[0, 60, 0]",
        unsaid="where an earlier route puts it",
    )
    crosses: Angle | None = key(
        None, "Angle at which its middle goes over that of the first route.", "90", unsaid="it does not cross"
    )
    run: list[PartTable] = Field(default_factory=list)


class OwnedTable(PieceTable):
    """``[[owned]]``: pieces of one shape, by the keys of a piece, or by a recipe of ends and routes.

    All keys of a [[piece]] may stand here besides; platelayer floor sizes says what to measure.
    """

    count: Owned = key(0, "How many there are; 0 for a piece still to be made.", "12")
    made: Flag = key(False, "Of your own making, so that its length is as drawn.", "true")
    over: Flag = key(False, "It passes over others, as a bridge does.", "true")
    spread: LengthOrNone = key(BOUGHT_SPREAD_MM, "By how much lengths of bought ones scatter.", '"0.3 mm"')
    pull: Length | None = key(None, "Play of its joints along the track.", '"0.4 mm"', unsaid=_AS_PLAY)
    side: Length | None = key(None, "Play of its joints sideways, each way.", '"0.3 mm"', unsaid=_AS_PLAY)
    kink: Angle | None = key(None, "How far its joints bend, each way.", "1.0", unsaid=_AS_PLAY)
    ends: Annotated[dict[str, EndKind], Span(ValueKind.ENDS)] = key(
        {},
        "Of a recipe: each end by a name of yours, and what it is.",
        '{ toe = "socket", through = "peg", branch = "peg" }',
        unsaid="the ends of its kind",
        rule="a route to each",
    )
    route: list[RouteTable] = Field(default_factory=list)


class StretchTable(BaseModel):
    """``[[stretch]]``: pieces as a list, end to end from where it begins; what its last end is to meet."""

    model_config = CLOSED
    name: Text = key("", "What it is called; its ends are NAME.start and NAME.end.", '"loop"', unsaid="its number")
    begins: PlaceOrName | None = key(
        None,
        "Where it begins and which way it looks: a place, or an end.",
        '["3 ft", "2 ft", 90]',
        unsaid="the near left corner",
    )
    pieces: list[Text] = key(
        [],
        "A count and a name each, and left, right, turned, the ends it is entered and left by, or as and a name.",
        '["2 long", "long as last"]',
        unsaid="none",
        rule="names in [[owned]]",
    )
    meets: PlaceOrName | None = key(
        None, "What its last end is to meet: an end, a place, or a wall.", '"far"', unsaid="nothing"
    )
    length: Length | None = key(
        None,
        "How far straight ahead its last end is to come.",
        '"13 ft 4 in"',
        unsaid="as meets says",
        rule="not beside meets",
    )


class GapTable(BaseModel):
    """``[[gap]]``: a gap by tape, both edges and a diagonal, and what stands at either side of it."""

    model_config = CLOSED
    name: Text = key("", "What it is called.", '"window"', unsaid="its number")
    left: Length | None = key(None, "Along the left edge, as seen from here.", '"10 1/4 in"', unsaid=NEEDED)
    right: Length | None = key(None, "Along the right edge.", '"10 1/8 in"', unsaid=NEEDED)
    diagonal: Length | None = key(
        None, "From the left mark here to the right mark there.", '"10 5/16 in"', unsaid=NEEDED
    )
    base: Length | None = key(
        None, "Between the two marks of one end.", '"6 in"', unsaid="the track's width, from edge to edge"
    )
    set: LengthOrNone = key(
        0.0, "Length of a straight laid at each end to measure from; it is part of the gap.", '"1 in"', unsaid="none"
    )
    reading: Length = key(TAPE_MM, "How sure a length by tape is: one standard deviation.", '"0.5 mm"')
    here: Literal["peg", "socket"] = key("peg", "What stands on this side, where it begins.", '"socket"')
    there: Literal["peg", "socket"] = key("socket", "What stands on the other.", '"peg"')
    begins: Text = key(
        "", "The end it begins at, where it is one of a stretch.", '"line.end"', unsaid="it lies by itself"
    )


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
