"""Tables of a job that may come more than once, as pydantic models: bits, boards with what stands on them, pieces.

The keys of a piece are those that the catalogue describes, all kinds' together. Every default is common practice, no
source.
"""

from typing import TYPE_CHECKING, Any, Literal

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
    Title,
    key,
)
from platelayer.job.limits import MOST_FENCE_ERROR_MM, MOST_FLUTES, MOST_SCATTER_MM
from platelayer.pieces import CATALOGUE
from platelayer.pieces.kind import Key, Measure
from platelayer.units import show_angle, show_length
from platelayer.values.key_words import NEEDED, Bound
from platelayer.values.pieces import EndKind, Turns
from platelayer.values.tooling import BitKind, FluteDirection

_AS_SHIPPED = "as shipped; needed for a bit of your own"


class BitTable(BaseModel):
    """``[[bit]]``: a bit of the person's own, or what a caliper said of a shipped one.

    The id of a shipped bit changes what is written here and leaves the rest; any other id is a bit of your own.
    """

    model_config = CLOSED
    id: Name = key(
        "", "What the job calls it; G-code files carry it in their names.", '"flat-3.175-long"', unsaid=NEEDED
    )
    kind: BitKind | None = key(None, "Shape of its cutting end.", '"flat"', unsaid=_AS_SHIPPED)
    diameter: Length | None = key(
        None,
        "Nominal cutting diameter, as sold; of a vee or round-over bit the widest.",
        '"1/8 in"',
        unsaid=_AS_SHIPPED,
    )
    measured: Length | None = key(
        None,
        "Cutting diameter by caliper, over the flutes, or as a test cut came out; paths are made for it.",
        '"3.14 mm"',
        unsaid="the nominal diameter",
        rule="within 0.5 mm of diameter",
    )
    flutes: Count | None = key(
        None, "Number of cutting edges.", "2", unsaid="as shipped, or 2", most=Bound(MOST_FLUTES)
    )
    direction: FluteDirection | None = key(
        None, "Which way its flutes throw the chip.", '"up"', unsaid="as shipped, or straight"
    )
    cutting_length: Length | None = key(
        None, "Length of the cutting edges, from the tip; no cut goes deeper.", '"17 mm"', unsaid=_AS_SHIPPED
    )
    shank: Length | None = key(
        None, "Diameter of the shank, which must not rub on a wall.", '"1/8 in"', unsaid="as shipped, or the diameter"
    )
    overall: Length | None = key(
        None, "Length from end to end, for how far it bends.", '"45 mm"', unsaid="as shipped, or not known"
    )
    stick_out: Length | None = key(
        None,
        "How far it stands out below the collet nut, as you set it.",
        '"25 mm"',
        unsaid="the whole bit less 20 mm in the collet",
    )
    upcut_length: Length | None = key(
        None,
        "Of a compression bit: from the tip to where the flutes turn the other way.",
        '"5 mm"',
        unsaid="as shipped, or not known",
        rule="less than cutting_length; only a compression bit has it",
    )
    may_plunge: Flag | None = key(
        None, "It cuts to its middle, so that it may go straight down.", "true", unsaid="as shipped, or false"
    )
    included_angle: Angle | None = key(
        None,
        "Of a vee bit: the angle of its tip from side to side.",
        "60",
        unsaid="as shipped; needed for a vee bit of your own",
        rule="more than 0 and less than 180 degrees",
    )
    corner_radius: Length | None = key(
        None,
        "Of a round-over bit: the radius it leaves.",
        '"1/16 in"',
        unsaid="as shipped; needed for a round-over bit of your own",
        rule="less than half the diameter",
    )


class NoGoTable(BaseModel):
    """``[[board.no_go]]``: a box, a disc or a polygon on the board, and how high it rises above the wood.

    A clamp, a screw or a knot. A box has x, y, width and height, a disc x, y and diameter, a polygon its outline alone.
    """

    model_config = CLOSED
    title: Title = key("", "What it is, for plan and sheet.", '"clamp"', unsaid="nothing is written beside it")
    rise: LengthOrNone = key(
        0.0, "How far it stands up above the wood: no bit crosses it lower.", '"1 in"', unsaid="0: flush, as a knot is"
    )
    x: AnyLength | None = key(
        None,
        "From the board's left edge to a box's left side, or a disc's middle.",
        '"2 in"',
        unsaid="not a box or disc",
    )
    y: AnyLength | None = key(
        None,
        "From the board's near edge to a box's near side, or a disc's middle.",
        '"1 in"',
        unsaid="not a box or disc",
    )
    width: Length | None = key(None, "Size of a box along x.", '"2 in"', unsaid="not a box")
    height: Length | None = key(None, "Size of a box along y.", '"1 in"', unsaid="not a box")
    diameter: Length | None = key(None, "Size of a disc.", '"10 mm"', unsaid="not a disc")
    outline: list[tuple[AnyLength, AnyLength]] | None = key(
        None,
        "Corners of a polygon, in order round it.",
        "[[10, 10], [40, 10], [25, 30]]",
        unsaid="not a polygon",
        rule="three corners or more, not all in line",
    )


class BoardTable(BaseModel):
    """``[[board]]``: one board, or as many alike as ``count`` says; an offcut goes by the corners of its outline.

    A strip is ripped to the track's width and rounded over beforehand; its margin is what clamps take at either end.
    """

    model_config = CLOSED
    id: Name = key(
        "", "Name of the board, on plans and in the names of G-code files.", '"A"', unsaid="a letter, from A"
    )
    count: Count = key(1, "How many boards of this kind there are.", "2")
    width: Length | None = key(
        None,
        "Size along the machine's x.",
        '"36 in"',
        unsaid="must be written, unless there is an outline",
        rule="no more than x travels; of a strip it may be, as it is fed along",
    )
    height: Length | None = key(
        None,
        "Size along the machine's y.",
        '"5 1/2 in"',
        unsaid="must be written, unless there is an outline; of a strip, the track's width",
        rule="no more than y travels",
    )
    outline: list[tuple[AnyLength, AnyLength]] | None = key(
        None,
        "Corners of an offcut, in order round it, counted from its near left.",
        "[[0, 0], [350, 0], [350, 90], [0, 140]]",
        unsaid="a rectangle",
        rule="three corners or more, least x and least y 0, not beside width and height",
    )
    height_measured: Flag = key(
        False, "The height is by caliper: needed to turn the board over against a fence.", "true"
    )
    thickness: Length | None = key(
        None,
        "How thick it is, the mean of four places by caliper.",
        '"12.6 mm"',
        unsaid="must be written, here or in [track]",
        rule="within 1 mm of [track] thickness, and one for all boards",
    )
    thickness_measured: Flag = key(False, "The thickness is by caliper, not as sold.", "true")
    scatter: LengthOrNone | None = key(
        None,
        "How far the thickness may stray from what is stated, either way.",
        '"0.2 mm"',
        unsaid="0.2 mm, or 0.1 mm where it was measured",
        most=Bound(MOST_SCATTER_MM),
    )
    zero: Literal["top", "spoilboard"] = key(
        "top", "Where you zero z: on top of the wood, or on the spoilboard it lies on.", '"spoilboard"'
    )
    margin: LengthOrNone | None = key(
        None,
        "Wood kept all round the board's edge; of a strip, at either end.",
        '"1/2 in"',
        unsaid="1/4 in; 1 in at a strip's ends",
        rule="leaves something between margins",
    )
    fence_error: Length | None = key(
        None,
        "The near edge is planed, lies against a fence and becomes straights' own edge; so far it may be out of line.",
        '"0.1 mm"',
        unsaid="no fence: every edge is cut",
        most=Bound(MOST_FENCE_ERROR_MM),
        rule="a whole board that is not turned over, and no strip",
    )
    kind: Literal["board", "strip"] = key("board", "A board, or a strip ripped to the track's width.", '"strip"')
    grain: Grain = key(
        0.0, "Which way the grain runs: along x, across it, or an angle from x.", '"across"', unsaid="along x"
    )
    no_go: list[NoGoTable] = Field(default_factory=list)


class AnyPieceTable(BaseModel):
    """``[[piece]]``: what every line of the cut list has, of whatever kind.

    Which keys size a piece hangs on its kind: platelayer pieces lists them.
    """

    model_config = CLOSED
    name: Name = key("", "What the piece is called on plan and sheet.", '"long"', unsaid="its kind")
    kind: str = CATALOGUE[0].name
    count: Count = key(1, "How many of them to cut.", "4")
    grooves: Literal["top", "both"] | None = key(
        None, "Faces that get grooves; both turns the board over.", '"both"', unsaid="top"
    )
    turns: Turns = key(
        Turns.GRAIN,
        "How it may lie when it is nested: along the grain, or at quarters or eighths of a turn from there besides.",
        '"quarters"',
    )


def _values_at(size: Key) -> object:
    """What pydantic takes at a key of a piece, or nothing."""
    match size.measure:
        case Measure.LENGTH:
            return Length | None
        case Measure.ANGLE:
            return Angle | None
        case Measure.CHOICE:
            return Literal[size.choices] | None


def _size_key(size: Key) -> Any:  # noqa: ANN401 - as key
    """A kind's key with what it says of itself; which kinds have it is told before its meaning."""
    kinds = [kind.name for kind in CATALOGUE if any(one.name == size.name for one in kind.keys)]
    unsaid = NEEDED
    if isinstance(size.default, float):
        unsaid = show_angle(size.default) if size.measure is Measure.ANGLE else show_length(size.default)
    elif size.default is not None:
        unsaid = size.default
    least, most = (Bound(size.span[0], is_in=False), Bound(size.span[1])) if size.span else (None, None)
    meaning = f"Of a {' or '.join(kinds)}: {size.meaning}"
    return key(None, meaning, size.example, unsaid=unsaid, least=least, most=most, rule=size.rule)


def _end_key(name: str, usual: EndKind) -> Any:  # noqa: ANN401 - as key
    return key(None, f"What its {name} is: peg, socket or plain.", f'"{EndKind.PLAIN}"', unsaid=usual.value)


def _piece_table() -> type[AnyPieceTable]:
    """The table with the keys of every kind in the catalogue, none of them needed by all."""
    ends = {name: (EndKind | None, _end_key(name, usual)) for kind in CATALOGUE for name, usual in kind.ends}
    sizes = {size.name: (_values_at(size), _size_key(size)) for kind in CATALOGUE for size in kind.keys}
    names: Any = Literal[tuple(kind.name for kind in CATALOGUE)]
    kinds = key(CATALOGUE[0].name, "Kind of piece.", f'"{CATALOGUE[-1].name}"')
    fields: dict[str, Any] = {"kind": (names, kinds), **sizes, **ends}
    return create_model("PieceTable", __base__=AnyPieceTable, __doc__=AnyPieceTable.__doc__, **fields)


if TYPE_CHECKING:
    PieceTable = AnyPieceTable
else:
    PieceTable = _piece_table()
