"""Machine, bits, feeds, boards and the job: what the person wrote, checked and in mm.

Glossary:
    bit: the cutter, known by id; nominal is the size on the shank, measured is what a caliper or a test cut said.
    feed: speed of the bit through wood, mm/min; plunge is the same straight down.
    stepdown: depth of one pass. stepover: sideways step as a share of the bit's diameter.
    zero: where z is zero: ``top`` of the wood or the ``spoilboard`` under it.
    tab: a bridge of wood left to hold a piece. skin: a thin floor left to hold it.
    turning: laying a board down again with its other face up. Not a turn: that is once round a path.
    scatter: how far the board's thickness may stray from the stated one, either way.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from platelayer.units import LengthUnit
from platelayer.values.dialect import Dialect
from platelayer.values.findings import Finding
from platelayer.values.pieces import EndKind, JointSizes, MouthCorner, PegRoot, TrackSizes, Turns, Wheel
from platelayer.values.shapes import Contour
from platelayer.values.thin_cuts import ChipBand
from platelayer.values.tuning import FitAsked, LostMotion, Tuning

GRIP_MM: Final = 20.0  # shank in a holder where nobody says; common practice, no source


class BitKind(StrEnum):
    """Shape of the cutting end."""

    FLAT = "flat"
    BALL = "ball"
    VEE = "vee"
    ROUND_OVER = "round_over"


class FluteDirection(StrEnum):
    """Which way the flutes throw the chip."""

    UP = "up"
    DOWN = "down"
    STRAIGHT = "straight"
    COMPRESSION = "compression"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bit:
    """A router bit. Included angle counts for vee bits, corner radius for round-over bits, else zero.

    A round-over bit is hollow: a quarter circle of its corner radius rises from the rim of its flat tip to its widest.
    """

    id: str
    kind: BitKind
    nominal_mm: float
    measured_mm: float | None = None
    flute_direction: FluteDirection = FluteDirection.UP
    flutes: int = 2
    cutting_length_mm: float
    shank_mm: float
    overall_mm: float = 0.0
    may_plunge: bool = False
    included_rad: float = 0.0
    corner_radius_mm: float = 0.0
    stick_out_mm: float = 0.0  # below the holder, as the person sets it; 0 = all but what the holder grips
    upcut_length_mm: float = 0.0
    """Length from the tip up of a compression bit over which it throws the chip up, above it down; 0 = not known."""

    @property
    def reach_mm(self) -> float:
        """Length below the holder: as set, else the whole bit less GRIP_MM; 0 where neither is known."""
        return self.stick_out_mm or max(0.0, self.overall_mm - GRIP_MM)

    @property
    def diameter_mm(self) -> float:
        """Effective cutting diameter: measured where known, else nominal."""
        return self.nominal_mm if self.measured_mm is None else self.measured_mm

    @property
    def radius_mm(self) -> float:
        """Half the effective diameter."""
        return self.diameter_mm / 2


class SpindleKind(StrEnum):
    """How the spindle's speed is set and switched."""

    SPEED_WORD = "speed_word"
    DIAL = "dial"
    SWITCH = "switch"


class BitChange(StrEnum):
    """How bits are changed."""

    FILES = "files"
    PAUSE = "pause"
    TOOL_WORD = "tool_word"


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A router as its profile describes it. Triples are x, y, z; corner_speed is used where deviation is zero."""

    id: str
    title: str
    travel_mm: tuple[float, float, float]
    feed_max_mm_min: tuple[float, float, float]
    rapid_mm_min: tuple[float, float, float]
    accel_mm_s2: tuple[float, float, float]
    corner_deviation_mm: float
    corner_speed_mm_min: float
    spindle: SpindleKind
    dial: tuple[tuple[str, float], ...]
    spindle_min_rpm: float
    spindle_max_rpm: float
    spin_up_s: float
    bit_change: BitChange
    can_zero_in_pause: bool
    homes: bool
    dialect: Dialect
    safe_z_mm: float
    clear_z_mm: float
    park: tuple[float, float]
    holder_diameter_mm: float
    zero_at: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutData:
    """Feeds for one bit in one material on one machine; ``note`` says how it was derived, empty when as listed.

    ``thin`` are the chips that feeds of finish passes are derived from, up to ``feed_most_mm_min``; None where feeds
    stay as they are.
    """

    bit_id: str
    spindle_rpm: float
    dial_label: str
    feed_mm_min: float
    plunge_mm_min: float
    stepdown_mm: float
    stepover_ratio: float
    note: str = ""
    thin: ChipBand | None = None
    feed_most_mm_min: float = 0.0


@dataclass(frozen=True, slots=True)
class NoGo:
    """A closed area the bit must not enter lower than height above the wood: a clamp, a screw, a knot."""

    outline: Contour
    height_mm: float
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripFeed:
    """One run of a board's file: which piece it makes, of which strip, where the stop's face stands along x.

    ``used_mm`` is gone of the strip once the piece is off, ``left_mm`` is left then.
    """

    piece_id: str
    strip: str
    stop_mm: float
    used_mm: float
    left_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A board on the machine: [0, width] x [0, height], grain along x unless said otherwise."""

    id: str
    width_mm: float
    height_mm: float
    thickness_mm: float
    scatter_mm: float
    thickness_is_measured: bool
    zero: str
    margin_mm: float
    grain_rad: float = 0.0
    no_go: tuple[NoGo, ...] = ()
    height_is_measured: bool = False
    outline: Contour | None = None
    """Edge of an offcut, counter-clockwise, as wide and as high as said; None for a board that is all of its size."""
    is_strip: bool = False
    """Ripped to the track's width and rounded over beforehand: its long edges are its pieces' and stay as they are."""
    feeds: tuple[StripFeed, ...] = ()
    """Runs of its files when it is the window of a machine through which strips are fed; none for a board run once."""
    fence_error_mm: float | None = None
    """How far its near edge, planed and laid against a fence, may stray from the line; None where none lies there."""

    @property
    def turn_y_mm(self) -> float:
        """The long middle line about which it is turned over: its far edge takes the near one's place."""
        return self.height_mm / 2


class TurnBy(StrEnum):
    """What keeps a board in line when it is turned over."""

    DOWELS = "dowels"
    FENCE = "fence"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """How a board is turned over about its long middle line, left staying left, to be cut on its other face.

    Attributes:
        by: dowels through the board into the spoilboard, or a fence along its near edge and a stop at its left end.
        tolerance_mm: how far, any way, the turned board may lie from where it belongs.
        dowel_diameter_mm: of the dowels and of their holes.
        dowel_depth_mm: how deep they go into the spoilboard; 0 = chosen by the reach of the bit.
        dowel_count: on each board.
        dowel_places_mm: their distances from the board's left end; none = chosen, spread from end to end.
    """

    by: TurnBy = TurnBy.DOWELS
    tolerance_mm: float = 0.2
    dowel_diameter_mm: float = 6.35
    dowel_depth_mm: float = 0.0
    dowel_count: int = 2
    dowel_places_mm: tuple[float, ...] = ()


class Placing(StrEnum):
    """How pieces are laid onto boards: in rows, as close as they go, or whichever of the two needs fewer boards."""

    ROWS = "rows"
    NEST = "nest"
    FEWEST = "fewest"


class HoldingKind(StrEnum):
    """What keeps a piece where it is until the end; on tape or vacuum short pieces get tabs besides."""

    TABS = "tabs"
    SKIN = "skin"
    TAPE = "tape"
    VACUUM = "vacuum"

    @property
    def is_from_below(self) -> bool:
        """A piece is held from below, so that it may be cut free of the board."""
        return self in (HoldingKind.TAPE, HoldingKind.VACUUM)


class StockBy(StrEnum):
    """What keeps a board down: clamps that the person places, screws that the program places, tape or vacuum."""

    CLAMPS = "clamps"
    SCREWS = "screws"
    TAPE = "tape"
    VACUUM = "vacuum"


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """How pieces and boards are held. tab_width is wood left along the edge; zero count means chosen by length."""

    kind: HoldingKind
    tab_width_mm: float
    tab_height_mm: float
    tab_count: int
    skin_mm: float
    stock: StockBy = StockBy.CLAMPS
    screw_head_mm: float = 10.0
    screw_rise_mm: float = 3.0
    span_mm: float = 300.0  # the most between clamps or screws


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Edges that the machine breaks: how far in along the face, 0 for an edge left to hand, and the bits' ids."""

    outer_mm: float = 0.0
    groove_mm: float = 0.0
    outer_bit: str = ""
    groove_bit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOrder:
    """One line of the cut list.

    Attributes:
        sizes: by the keys of its kind: lengths in mm, angles in radians, choices as their word.
        ends: what stands at each of the kind's ends, in their order; any number.
    """

    name: str
    kind: str
    count: int
    sizes: Mapping[str, float | str]
    ends: tuple[EndKind, ...]
    grooves_top: bool
    grooves_bottom: bool
    turns: Turns = Turns.GRAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A wood, with the gentler-first order used when feeds are derived; chip loads are a published band, in mm."""

    id: str
    title: str
    hardness_n: float
    has_grain: bool = True
    """False for sheets that are as strong across as along: pegs may point anywhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole job, validated. ``bits`` each once; roles name them by id."""

    name: str
    title: str
    units: LengthUnit
    machine: Machine
    material: Material
    boards: tuple[Board, ...]
    bits: tuple[Bit, ...]
    grooves_bit: str
    joints_bit: str
    outlines_bit: str
    finish_bit: str
    feeds: tuple[CutData, ...]
    joint: JointSizes
    mate: JointSizes
    """Sizes of the sharp-cornered set the pieces must couple with; ``joint`` has the shop's offsets, this has none."""
    track: TrackSizes
    peg_root: PegRoot
    mouth: MouthCorner
    ease_radius_mm: float  # 0 = chosen: the joints bit's radius and EASE_EXTRA_MM
    relief_play_ratio: float = 1.0
    """Share of the joint's own side play that a relief leaves a peg pushed home in a mouth with sharp corners."""
    holding: Holding
    spoilboard_allowance_mm: float
    one_file: bool
    orders: tuple[PieceOrder, ...]
    warnings: tuple[Finding, ...] = ()
    turning: Turning = field(default_factory=Turning)
    edges: Edges = field(default_factory=Edges)
    placing: Placing = Placing.FEWEST
    gap_mm: float = 0.0  # between the outlines of neighbours; 0 = worked out from what the bits need
    sitting_s: float = 0.0
    """No file is longer than this, as far as it can be ended between pieces; 0 = files as long as they come."""
    owned: tuple[Bit, ...] = ()
    """Bits that the job's own file of bits and its ``[[bit]]`` tables name, used or not."""
    wheel: Wheel | None = None
    """What runs on the pieces; None where nobody asks, and grooves on curves are as wide as on straights."""
    shop: str = ""
    """File of the shop's own measurements as the job names it, beside the job; empty when it names none."""
    fit: FitAsked = field(default_factory=FitAsked)
    has_bought_mate: bool = False
    """``mate`` was measured by caliper, so that this machine has no part in it; else it is the design."""
    tuning: Tuning | None = None
    """What the shop's measurements and the feel asked for made of the design; None before, or when nothing."""
    lost: LostMotion = field(default_factory=LostMotion)
    """What the shop knows of the machine's slack."""

    @property
    def has_own_joints_bit(self) -> bool:
        """Joints get their walls from another bit than outlines, pegs too."""
        return self.joints_bit != self.outlines_bit

    @property
    def opens_joints(self) -> bool:
        """The outlines bit, a larger one, goes round pegs and into sockets before the joints bit; not on a strip."""
        is_larger = self.bit(self.outlines_bit).diameter_mm > self.bit(self.joints_bit).diameter_mm
        return is_larger and not self.boards[0].is_strip

    @property
    def has_pegs_later(self) -> bool:
        """Another bit comes to pegs once the outlines bit has gone round them."""
        return self.opens_joints or (self.peg_root is PegRoot.FINISH and bool(self.finish_bit))

    def bit(self, bit_id: str) -> Bit:
        """The bit of that id; KeyError when the job has none."""
        return {bit.id: bit for bit in self.bits}[bit_id]

    def cut_data(self, bit_id: str) -> CutData:
        """The feeds of that bit; KeyError when the job has none."""
        return {data.bit_id: data for data in self.feeds}[bit_id]
