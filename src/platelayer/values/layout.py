"""Track on the floor of a room: what is owned, how it is laid end to end, and what it is to meet.

Glossary:
    floor: what track is laid out on. Not the floor of a groove.
    stock: pieces of one shape, owned or still to be made. stretch: pieces laid end to end from where it begins.
    laid: a piece where it lies on the floor. way: how a stretch goes through a piece, from one end to another.
    goal: what the last end of a stretch is to meet. gap: from that end to its goal.
    turned: laid with its underside up, so that a curve turns to the other hand.

Floor coordinates: mm from the near left corner, x right, y away, headings counter-clockwise from x.
"""

from dataclasses import dataclass, field

from platelayer.units import LengthUnit
from platelayer.values.pieces import EndKind, Route
from platelayer.values.shapes import Line, Pose
from platelayer.values.tooling import PieceOrder


@dataclass(frozen=True, slots=True)
class NamedEnd:
    """An end by its name: pose at the middle of its face, heading out of the piece."""

    name: str
    kind: EndKind
    pose: Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayMeasured:
    """What a person measured at a joint: along the track, sideways each way, and kink each way; None = not measured."""

    pull_mm: float | None = None
    side_mm: float | None = None
    kink_rad: float | None = None

    @property
    def is_known(self) -> bool:
        """Something of it was measured."""
        return any(one is not None for one in (self.pull_mm, self.side_mm, self.kink_rad))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Pieces of one shape, in their own frame.

    Attributes:
        count: how many are owned.
        may_turn_over: grooves on both faces.
        passes_over: a bridge, under or over which other pieces may lie.
        is_made: of one's own making; else bought.
        spread_mm: standard deviation of the length from piece to piece.
        play: measured at its joints.
        order: how it is made; None for what cannot be, such as a bought turnout.
    """

    name: str
    ends: tuple[NamedEnd, ...]
    routes: tuple[Route, ...]
    count: int = 0
    may_turn_over: bool = False
    passes_over: bool = False
    is_made: bool = False
    spread_mm: float = 0.0
    play: PlayMeasured = field(default_factory=PlayMeasured)
    order: PieceOrder | None = None


@dataclass(frozen=True, slots=True)
class EndName:
    """An end by the name of its piece or stretch, and its own: ``points.branch``, ``loop.start``."""

    of: str
    end: str

    def __str__(self) -> str:
        return f"{self.of}.{self.end}"


@dataclass(frozen=True, slots=True)
class WallName:
    """A wall that a stretch is to meet."""

    wall: str


@dataclass(frozen=True, slots=True)
class Ahead:
    """A place so far straight ahead of where the stretch begins."""

    length_mm: float


Goal = EndName | WallName | Ahead | Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One piece of a stretch as typed: empty words are left to the program.

    Attributes:
        entry, leaves_by: ends by their names.
        hand: left or right, the way it is to turn.
        called: a name of its own.
        number: which entry of the typed list it comes from, counted from 1.
    """

    stock: str
    entry: str = ""
    leaves_by: str = ""
    hand: str = ""
    is_turned: bool = False
    called: str = ""
    number: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Pieces end to end from a place or from an end of another piece."""

    name: str
    begins: Pose | EndName
    asked: tuple[Asked, ...]
    goal: Goal | None = None


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall from one point of the floor to another."""

    name: str
    line: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class GapMeasured:
    """A gap by tape: left edge, right edge, and the diagonal from the left mark here to the right mark there.

    Attributes:
        base_mm: how far apart the two marks of one end are, across the track.
        set_mm: length of the straight set at each end for measuring; it belongs to the gap.
        reading_mm: standard uncertainty of each of the three readings.
        here, there: what stands at the ends of the track on either side of the gap.
        begins: the end on this side, where it is one of the floor's; None for a gap that lies nowhere.
    """

    name: str
    left_mm: float
    right_mm: float
    diagonal_mm: float
    base_mm: float
    set_mm: float
    reading_mm: float
    here: EndKind
    there: EndKind
    begins: EndName | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """A floor as a person describes it, checked as far as it can be without geometry.

    Attributes:
        job: file of the job whose joint, holding and bits count, as the floor names it; empty for the usual ones.
        size_mm: of the room; None where nobody says.
        most_share_ratio: share of their play up to which joints may close a gap with owned pieces alone.
        least_radius_mm: no new curve is tighter.
    """

    name: str
    title: str
    units: LengthUnit
    job: str
    size_mm: tuple[float, float] | None
    walls: tuple[Wall, ...]
    stock: tuple[Stock, ...]
    stretches: tuple[Stretch, ...]
    gaps: tuple[GapMeasured, ...]
    play: PlayMeasured
    most_share_ratio: float
    least_radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPiece:
    """A piece where it lies; ends and routes in floor coordinates.

    Attributes:
        id: by its place, ``loop-3``, or as it is called.
        pose: what carries the piece's own frame there, after it was turned over.
        way: indices of the ends it is entered and left by.
        before: index of the laid piece it is joined to, and of that one's end; None where a stretch begins at a place.
        number: entry of the typed list it comes from, from 1.
    """

    id: str
    stock: Stock
    stretch: str
    pose: Pose
    is_turned: bool
    ends: tuple[NamedEnd, ...]
    routes: tuple[Route, ...]
    way: tuple[int, int]
    before: tuple[int, int] | None
    number: int

    @property
    def entry(self) -> NamedEnd:
        """The end it is entered by."""
        return self.ends[self.way[0]]

    @property
    def exit(self) -> NamedEnd:
        """The end it is left by."""
        return self.ends[self.way[1]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """How far a stretch ends from what it is to meet, all joints closed, centred and in line.

    Attributes:
        goal: in words.
        at: the open end, heading out.
        gap: the goal seen from there: x ahead, y to the left, heading still to turn; all 0 when it is met.
        here, there: what stands at either side; None at a place or wall.
        last: index of the laid piece whose end is open, None for a stretch that begins at a place and has no pieces.
        met: index of the laid piece that is to be met and of its end; None for a place or wall.
    """

    stretch: str
    goal: str
    at: Pose
    gap: Pose
    here: EndKind | None
    there: EndKind | None
    last: int | None
    last_end: int
    met: tuple[int, int] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidFloor:
    """The floor with its pieces where they lie, and what each stretch misses."""

    floor: Floor
    pieces: tuple[LaidPiece, ...]
    misses: tuple[Miss, ...]
    joined: frozenset[tuple[int, int]]
    """Ends that are joined to another, by the index of the piece and of the end."""
