"""What a check or a dry run found, as data; never an exception.

Glossary:
    finding: something a check saw, with place, measure and limit. Not a fault: faults are what a person wrote.
    severity: error refuses the files; warning is for a person, who can do something about it, and names the key to
        change where there is one; note is for the record, in JSON alone.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum

from platelayer.units import LengthUnit, worded
from platelayer.values.minutes import WorkTime


class Severity(StrEnum):
    """How much a finding weighs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Code(StrEnum):
    """What was found, in families named by their first word."""

    JOB_REFUSED = "job-refused"
    JOB_NOTICED = "job-noticed"
    READING_SYNTAX = "reading-syntax"
    READING_ARC_RADII_DIFFER = "reading-arc-radii-differ"
    READING_CUT_SHORT = "reading-cut-short"
    READING_HASH = "reading-hash"
    READING_SECOND_READER = "reading-second-reader"
    READING_SECOND_READER_SKIPPED = "reading-second-reader-skipped"
    READING_BITS = "reading-bits"
    READING_UNITS = "reading-units"
    READING_STOP = "reading-stop"
    READING_STATE = "reading-state"
    READING_TOLD = "reading-told"
    TRAVEL_OUTSIDE = "travel-outside"
    TRAVEL_OFF_BOARD = "travel-off-board"
    TRAVEL_LOW_RAPID = "travel-low-rapid"
    TRAVEL_NOT_LIFTED = "travel-not-lifted"
    TRAVEL_NO_GO = "travel-no-go"
    TRAVEL_HOLDER = "travel-holder"
    TRAVEL_TOO_DEEP = "travel-too-deep"
    CUTTING_SPINDLE_OFF = "cutting-spindle-off"
    CUTTING_NO_FEED = "cutting-no-feed"
    CUTTING_FEED = "cutting-feed"
    CUTTING_SPEED = "cutting-speed"
    CUTTING_STEP_TOO_DEEP = "cutting-step-too-deep"
    CUTTING_PLUNGE = "cutting-plunge"
    CUTTING_SHANK = "cutting-shank"
    CUTTING_DEEP_SLOT = "cutting-deep-slot"
    CUTTING_CHIP_LOAD = "cutting-chip-load"
    CUTTING_DWELL = "cutting-dwell"
    CUTTING_RUBS = "cutting-rubs"
    CUTTING_BEND = "cutting-bend"
    CUTTING_LIFT = "cutting-lift"
    CUTTING_UPCUT_TIP = "cutting-upcut-tip"
    CUTTING_PACKED_CHIPS = "cutting-packed-chips"
    CUTTING_FEED_DERIVED = "cutting-feed-derived"
    CUTTING_NOT_THROUGH = "cutting-not-through"
    SHAPE_GOUGE = "shape-gouge"
    SHAPE_WOOD_LEFT = "shape-wood-left"
    SHAPE_GROOVE_MISSING = "shape-groove-missing"
    SHAPE_DEPTH = "shape-depth"
    SHAPE_FACES_APART = "shape-faces-apart"
    SHAPE_WEB = "shape-web"
    SHAPE_BOARD_EDGE = "shape-board-edge"
    SHAPE_LAND = "shape-land"
    SHAPE_UNREACHED = "shape-unreached"
    SHAPE_EDGE_LEFT = "shape-edge-left"
    SHAPE_WHEEL = "shape-wheel"
    JOINT_WILL_JAM = "joint-will-jam"
    JOINT_DEAD_CENTRE = "joint-dead-centre"
    JOINT_DOES_NOT_GO_TOGETHER = "joint-does-not-go-together"
    JOINT_COMES_APART = "joint-comes-apart"
    JOINT_LAND = "joint-land"
    HOLDING_SLUG = "holding-slug"
    HOLDING_SLIVER = "holding-sliver"
    HOLDING_WEAK = "holding-weak"
    HOLDING_HANGING = "holding-hanging"
    HOLDING_SPAN = "holding-span"
    HOLDING_UNNAMED = "holding-unnamed"
    HOLDING_PIECE_FREED = "holding-piece-freed"
    HOLDING_DOWEL = "holding-dowel"
    HOLDING_TAB_MISSING = "holding-tab-missing"
    HOLDING_GRAIN = "holding-grain"
    HOLDING_FROM_BELOW = "holding-from-below"


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Place of a finding: file and line, piece, and a point in board coordinates (z 0 at the board's top)."""

    file: str = ""
    line: int = 0
    board: str = ""
    piece: str = ""
    point: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One finding; it refuses what it is about unless a lesser severity is given.

    Attributes:
        measured: the number found, in the unit that ``unit`` names; None when there is nothing to measure.
        limit: the number it is held against.
        text: the sentence a woodworker reads, its lengths as marks until worded.
        advice: what would do, a sentence.
    """

    code: Code
    severity: Severity = Severity.ERROR
    text: str
    advice: str = ""
    where: Where = field(default_factory=Where)
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"


def worded_findings(findings: Iterable[Finding], first: LengthUnit) -> tuple[Finding, ...]:
    """The findings with their lengths in words, the reader's own unit first."""
    return tuple(replace(one, text=worded(one.text, first), advice=worded(one.advice, first)) for one in findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """How a peg sits in a socket, both cut square to the face and centred.

    Attributes:
        couples: some position along the track exists in which nothing overlaps and the peg is held.
        opening_mm: least opening of the faces, at zero sideways shift and angle; inf when there is no position.
        pull_out_mm: opening at which the head meets the lips; inf when nothing holds it.
        side_mm: sideways play each way at the least opening; the smaller of the two ways.
        forced_mm: opening that faces, root and hole's bottom force, head against lips left out of account; the same as
            opening_mm where there is a position, and the figure to show where there is none.
    """

    couples: bool
    opening_mm: float
    pull_out_mm: float
    side_mm: float
    forced_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JointReport:
    """Seat of one end of a piece as cut, against a named mate."""

    piece: str
    end: int
    mate: str
    seat: Seat


@dataclass(frozen=True, slots=True, kw_only=True)
class FileReport:
    """One file as read: motion lines, minutes by the machine's own acceleration, bits in order.

    ``below_mm`` is how far the tip goes below the board, dowels' holes left out.
    """

    name: str
    board: str
    lines: int
    seconds_s: float
    cutting_mm: float
    rapid_mm: float
    bits: tuple[str, ...]
    spindle_rpm: tuple[float, ...]
    dial: tuple[str, ...] = ()
    below_mm: float = 0.0
    work: tuple[WorkTime, ...] = ()
    """What the seconds go to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceReport:
    """One piece as cut: deepest gouge and thickest wood left over, both as distances in mm."""

    id: str
    kind: str
    board: str
    gouge_mm: float
    leftover_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardReport:
    """One board as cut: how many blocks of waste slots ring in it, and the area of the smallest, 0 without any.

    A block stands above the tabs and does not reach the board's edge; tabs, a skin or tape holds it.
    """

    id: str
    blocks: int
    least_block_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Everything a dry run has to say, from the files alone."""

    files: tuple[FileReport, ...]
    pieces: tuple[PieceReport, ...]
    joints: tuple[JointReport, ...]
    findings: tuple[Finding, ...]
    boards: tuple[BoardReport, ...] = ()

    @property
    def told(self) -> tuple[Finding, ...]:
        """What people are told: everything but notes, which nobody can do anything about."""
        return tuple(finding for finding in self.findings if finding.severity is not Severity.NOTE)

    @property
    def passed(self) -> bool:
        """No finding is an error."""
        return all(finding.severity is not Severity.ERROR for finding in self.findings)
