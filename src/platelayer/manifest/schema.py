"""The manifest as a value: what was meant, for anyone who checks the files without this program.

The layout of the JSON is documented in DEVELOPERS.md; a field here is a key there (``keys``), in this order. Board
coordinates: origin at the board's near left corner, x right, y away, z up; the board is [0, w] x [0, h]. Lengths mm.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Annotated, Any, Final

from platelayer.manifest.keys import Entry, Key, Limits, OneOf, Runs, Says, entries
from platelayer.units import LengthUnit
from platelayer.values.cuts import Dowel, Stop, Tab
from platelayer.values.minutes import WorkBound
from platelayer.values.pieces import BoardFace, EdgeBreak, End, Flare, Groove, JointSizes
from platelayer.values.shapes import Contour, Pose
from platelayer.values.thin_cuts import FinishFeed
from platelayer.values.tooling import BitKind, NoGo, StripFeed
from platelayer.values.tuning import Tuning

VERSION: Final = 1

Positive = Annotated[float, Limits(above=0)]
NotNegative = Annotated[float, Limits(low=0)]
Axes = tuple[NotNegative, NotNegative, NotNegative]
"""One number for each of x, y and z; zeros where unknown."""
DialMark = Annotated[tuple[str, NotNegative], Says("must be a pair of a mark and a speed")]
Outline = Annotated[Contour, Runs.CCW]
Ring = Annotated[Contour, Runs.CLOSED]
Way = Annotated[Contour, Runs.OPEN]
_UNKNOWN: Final = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestMachine:
    """The machine as far as a dry run needs it; zeros where unknown."""

    id: str
    travel_mm: Axes
    zero_at: tuple[float, float, float] | None = None
    feed_max_mm_min: Axes = _UNKNOWN
    rapid_mm_min: Axes = _UNKNOWN
    accel_mm_s2: Axes = _UNKNOWN
    corner_deviation_mm: NotNegative = 0.0
    corner_speed_mm_min: NotNegative = 0.0
    spindle: Annotated[str, OneOf(("speed_word", "dial", "switch", ""))] = ""
    dial: tuple[DialMark, ...] = ()
    dwell_unit: Annotated[str, OneOf(("s", "ms"))] = "s"
    dwell_s: Annotated[float, Limits(low=0), Key("dwell")] = 0.0
    """How long a file has to wait for the spindle once it is switched on."""
    modes: tuple[str, ...] = ()
    """Words that every file says before it moves and again after every stop; no other modes may be in force."""
    holder_diameter_mm: NotNegative = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestTurning:
    """How a board is turned between its faces: by ``dowels`` or ``fence``, how far off it may lie, and its dowels."""

    by: Annotated[str, OneOf(("dowels", "fence"))]
    tolerance_mm: NotNegative
    dowels: tuple[Dowel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestBoard:
    """A board; zero is ``top`` or ``spoilboard``."""

    id: str
    size_mm: tuple[NotNegative, NotNegative]
    thickness_mm: Positive
    zero: Annotated[str, OneOf(("top", "spoilboard"))]
    allowance_mm: NotNegative = 0.5
    """How far below the board the bit may go; where nobody said, common practice, no source."""
    no_go: tuple[NoGo, ...]
    scatter_mm: NotNegative = 0.0
    outline: Annotated[Outline | None, Key(is_left_out=True)] = None
    """Edge of an offcut, counter-clockwise; None for a board that is all of its size."""
    grain_rad: Annotated[float, Key(is_left_out=True)] = 0.0
    """Direction of the grain, from x."""
    is_strip: Annotated[bool, Key("strip", is_left_out=True)] = False
    """Its long edges are its pieces' and stay uncut."""
    feeds: Annotated[tuple[StripFeed, ...], Key(is_left_out=True)] = ()
    """Runs of its files, each with a strip pushed against a stop; none for a board whose files are run once."""
    held_by: Annotated[str, OneOf(("clamps", "screws", "tape", "vacuum", "")), Key("holding.by", is_left_out=True)] = ""
    """What holds the board down; clamps and screws stand in ``no_go``, with a rise. Empty where nobody said."""
    span_mm: Annotated[float, Limits(low=0), Key("holding.span", is_left_out=True)] = 0.0
    """Widest span between clamps or screws; 0 where nobody said."""
    fence_error_mm: Annotated[NotNegative | None, Key(is_left_out=True)] = None
    """How far its near edge, y = 0, may be out of line where that lies at a fence; None where none is said to."""
    turning: Annotated[ManifestTurning | None, Key(is_left_out=True)] = None
    """None for a board that is cut on one face, or where nobody said."""

    @property
    def top_mm(self) -> float:
        """Height of the wood's top, as the board's files count it."""
        return self.thickness_mm if self.zero == "spoilboard" else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestBit:
    """A bit; diameter is the effective one that paths were made for and the dry run sweeps. Zeros where unknown."""

    id: str
    kind: BitKind
    diameter_mm: Positive
    nominal_mm: Annotated[float, Limits(above=0), Key(same_as="diameter")]
    measured_mm: Positive | None = None
    cutting_length_mm: NotNegative = 0.0
    reach_mm: NotNegative = 0.0
    """Length below the holder."""
    shank_mm: NotNegative = 0.0
    may_plunge: bool = False
    stepdown_mm: NotNegative = 0.0
    flutes: Annotated[int, Limits(low=0)] = 0
    included_rad: NotNegative = 0.0
    corner_radius_mm: NotNegative = 0.0
    spindle_rpm: NotNegative = 0.0
    dial: str = ""
    feed_mm_min: NotNegative = 0.0
    plunge_mm_min: NotNegative = 0.0
    finish_feeds: Annotated[tuple[FinishFeed, ...], Key(is_left_out=True)] = ()
    """Feeds of finish passes where they may be derived; none where all that the bit cuts goes at its feed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnLine:
    """The line, parallel to an axis, about which a bottom file was turned over."""

    axis: Annotated[str, OneOf(("x",)), Key(is_needed=True)] = "x"
    at_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestFile:
    """A file; ``turn`` is None for a top file."""

    name: str
    board: str
    face: BoardFace
    sha256: str
    turn: Annotated[TurnLine | None, Key(is_left_out=True)] = None
    bits: tuple[ManifestBit, ...]
    head: Annotated[tuple[str, ...], Key(is_left_out=True)] = ()
    """Comments that stand before the first word: stock, zero, bits and what to do."""
    stops: Annotated[tuple[Stop, ...] | None, Key(is_left_out=True)] = None
    """Every place where it waits for a person, in order; None where nobody said."""

    @property
    def turn_y_mm(self) -> float | None:
        """Where the line of a bottom file's turn lies; None for a top file."""
        return None if self.turn is None else self.turn.at_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestPiece:
    """A piece in board coordinates. ``unreached`` lists (x, y, area) of corners the bit leaves."""

    id: str
    kind: str
    title: str = ""
    board: str
    order: int = 0
    length_mm: float = 0.0
    pose: Pose
    ends: tuple[End, ...]
    outline: Outline
    inner: tuple[Ring, ...]
    grooves: tuple[Groove, ...]
    tabs: Annotated[tuple[Tab, ...], Key("holding.tabs")]
    skin_mm: Annotated[float, Limits(low=0), Key("holding.skin")]
    held_by: Annotated[str, OneOf(("tape", "vacuum", "")), Key("holding.by", is_left_out=True)] = ""
    """``tape`` or ``vacuum`` under a piece that is cut free of its board, else empty."""
    unreached: tuple[tuple[float, float, float], ...] = ()
    own_edge: Annotated[Way | None, Key(is_left_out=True)] = None
    """The stretch of the outline that is the board's own edge, which is not cut; None where all of it is."""
    edges: Annotated[tuple[EdgeBreak, ...], Key(is_left_out=True)] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The whole manifest. ``units`` is what a person reads first, mm or in; all lengths here are mm."""

    units: Annotated[LengthUnit, Key("shown_units")] = "mm"
    job: str = ""
    material: str = ""
    machine: ManifestMachine
    joint: Annotated[JointSizes | None, Key(is_left_out=True)] = None
    """The nominal sharp-cornered joint to mate against."""
    boards: tuple[ManifestBoard, ...]
    files: tuple[ManifestFile, ...]
    pieces: tuple[ManifestPiece, ...]
    title: Annotated[str, Key(is_left_out=True)] = ""
    """What the person calls the job; empty where its id is all there is."""
    noticed: Annotated[tuple[str, ...], Key(is_left_out=True)] = ()
    """Warnings that came up before there was a file to read: of feeds, bits, holding and grain."""
    tuning: Annotated[Tuning | None, Key(is_left_out=True)] = None
    """What the shop's own measurements made of the design; None where nothing was tuned."""
    bound: Annotated[tuple[WorkBound, ...], Key(is_left_out=True)] = ()
    """The least time of all files together by operation and bit; none where nobody said."""

    @property
    def heading(self) -> str:
        """The job's title, or its id."""
        return self.title or self.job

    @property
    def tuned_words(self) -> tuple[str, ...]:
        """Where the sizes of bits and joints come from, as sentences; none where nothing was tuned."""
        return () if self.tuning is None else self.tuning.words


_MARKED: Final[Mapping[type, Mapping[str, Any]]] = {
    Dowel: {"diameter_mm": Positive, "depth_mm": NotNegative},
    NoGo: {"outline": Ring},
    Stop: {"bit": Annotated[int, Limits(low=1)], "tool": Annotated[int, Limits(low=0)]},
    StripFeed: {
        "piece_id": Annotated[str, Key("piece")],
        "stop_mm": NotNegative,
        "used_mm": NotNegative,
        "left_mm": NotNegative,
    },
    Flare: {"length_mm": NotNegative, "extra_mm": NotNegative},
    Groove: {
        "width_mm": Positive,
        "depth_mm": Positive,
        "path": Way,
        "flare": Annotated[tuple[Flare, Flare], Says("must have one entry for either end, so two")],
        "widening_mm": Annotated[tuple[tuple[float, NotNegative], ...], Key(is_left_out=True)],
    },
    End: {"stray_mm": Annotated[float, Key(is_left_out=True)]},
    EdgeBreak: {"width_mm": Positive, "depth_mm": Positive, "radius_mm": NotNegative},
    WorkBound: {
        "volume_mm3": Annotated[float, Limits(low=0), Key("volume")],
        "finish_mm": NotNegative,
        "seconds_s": Annotated[float, Limits(low=0), Key("seconds")],
    },
    FinishFeed: dict.fromkeys(("depth_mm", "width_mm", "feed_mm_min", "chip_mm"), Positive),
    JointSizes: {one.name: Annotated[float, Key(one.name)] for one in fields(JointSizes)},
    Tuning: {
        "peg_change_mm": Annotated[float, Key("play_change.peg", is_needed=True)],
        "socket_change_mm": Annotated[float, Key("play_change.socket", is_needed=True)],
        "own_change_mm": Annotated[float, Key("play_change.own", is_needed=True)],
        "words": Annotated[tuple[str, ...], Key(is_needed=True)],
    },
}
"""What the manifest asks of values that other rooms share, and so of their fields by name."""


@cache
def entries_of(cls: type) -> tuple[Entry, ...]:
    """How each field of a value of the manifest stands in its text, in order."""
    return entries(cls, _MARKED.get(cls, {}))
