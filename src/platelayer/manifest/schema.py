"""The manifest as a value: what was meant, for anyone who checks the files without this program.

The layout of the JSON is documented in DEVELOPERS.md. Board coordinates: origin at the board's near left corner,
x right, y away, z up; the board is [0, w] x [0, h]. Lengths mm.
"""

from dataclasses import dataclass

from platelayer.units import LengthUnit
from platelayer.values.cuts import Dowel, Tab
from platelayer.values.pieces import BoardFace, EdgeBreak, End, Groove
from platelayer.values.shapes import Contour, Pose
from platelayer.values.tooling import BitKind, NoGo, StripFeed
from platelayer.values.tuning import Tuning


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestMachine:
    """The machine as far as a dry run needs it; zeros where unknown."""

    id: str
    travel_mm: tuple[float, float, float]
    zero_at: tuple[float, float, float] | None
    feed_max_mm_min: tuple[float, float, float]
    rapid_mm_min: tuple[float, float, float]
    accel_mm_s2: tuple[float, float, float]
    corner_deviation_mm: float
    corner_speed_mm_min: float
    spindle: str
    dial: tuple[tuple[str, float], ...]
    dwell_unit: str
    holder_diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestTurning:
    """How a board is turned between its faces: by ``dowels`` or ``fence``, how far off it may lie, and its dowels."""

    by: str
    tolerance_mm: float
    dowels: tuple[Dowel, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestBoard:
    """A board; zero is ``top`` or ``spoilboard``."""

    id: str
    size_mm: tuple[float, float]
    thickness_mm: float
    zero: str
    no_go: tuple[NoGo, ...]
    allowance_mm: float
    """How far below the board the bit may go."""
    scatter_mm: float = 0.0
    turning: ManifestTurning | None = None
    """None for a board that is cut on one face, or where nobody said."""
    outline: Contour | None = None
    """Edge of an offcut, counter-clockwise; None for a board that is all of its size."""
    is_strip: bool = False
    """Its long edges are its pieces' and stay uncut."""
    grain_rad: float = 0.0
    """Direction of the grain, from x."""
    feeds: tuple[StripFeed, ...] = ()
    """Runs of its files, each with a strip pushed against a stop; none for a board whose files are run once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestBit:
    """A bit; diameter is the effective one that paths were made for and the dry run sweeps."""

    id: str
    kind: BitKind
    diameter_mm: float
    nominal_mm: float
    measured_mm: float | None
    cutting_length_mm: float
    shank_mm: float
    may_plunge: bool
    stepdown_mm: float
    flutes: int
    included_rad: float = 0.0
    corner_radius_mm: float = 0.0
    spindle_rpm: float = 0.0
    dial: str = ""
    reach_mm: float = 0.0
    """Length below the holder; 0 where unknown."""
    feed_mm_min: float = 0.0
    plunge_mm_min: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestFile:
    """A file; ``turn_y_mm`` is the line about which a bottom file was turned, None for a top file."""

    name: str
    board: str
    face: BoardFace
    sha256: str
    bits: tuple[ManifestBit, ...]
    turn_y_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestPiece:
    """A piece in board coordinates. ``unreached`` lists (x, y, area) of corners the bit leaves."""

    id: str
    kind: str
    title: str
    board: str
    pose: Pose
    ends: tuple[End, ...]
    outline: Contour
    inner: tuple[Contour, ...]
    grooves: tuple[Groove, ...]
    tabs: tuple[Tab, ...]
    skin_mm: float
    order: int
    length_mm: float
    unreached: tuple[tuple[float, float, float], ...]
    edges: tuple[EdgeBreak, ...] = ()
    held_by: str = ""
    """``tape`` or ``vacuum`` under a piece that is cut free of its board, else empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The whole manifest, version 1. ``units`` is what a person reads first, mm or in; all lengths here are mm."""

    job: str
    units: LengthUnit
    material: str
    machine: ManifestMachine
    boards: tuple[ManifestBoard, ...]
    files: tuple[ManifestFile, ...]
    pieces: tuple[ManifestPiece, ...]
    joint: tuple[tuple[str, float], ...]
    """The nominal sharp-cornered joint to mate against, by the field names of JointSizes."""
    tuning: Tuning | None = None
    """What the shop's own measurements made of the design; None where nothing was tuned."""
    title: str = ""
    """What the person calls the job; empty where its id is all there is."""
    noticed: tuple[str, ...] = ()
    """Warnings that came up before there was a file to read: of feeds, bits, holding and grain."""

    @property
    def heading(self) -> str:
        """The job's title, or its id."""
        return self.title or self.job
