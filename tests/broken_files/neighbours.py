"""Pieces beside one another with one slot between neighbours, made by hand: a grid of rectangles, slots 1.5 bits wide.

Nothing of the road takes part. Every slot is cut by two lanes, each a radius from the wall on its side, right across
the grid; a lane lifts over the tabs on it. Cells without a name are waste.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from broken_files.small_job import THICK, Writer, digest
from gcode.motions import machine_of
from platelayer.geometry.contours import rectangle
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestPiece
from platelayer.proof.dry_run import dry_run
from platelayer.values.cuts import Tab
from platelayer.values.findings import Report
from platelayer.values.pieces import BoardFace, End, EndKind
from platelayer.values.shapes import Pose
from platelayer.values.tooling import BitKind

BIT = 3.175
R = BIT / 2
SLOT = 1.5 * BIT
TAB_WIDTH, TAB_HEIGHT = 6.0, 2.0
SKIN = 0.6
THROUGH = THICK + 0.3
STEP = 1.5


@dataclass(frozen=True)
class Bridge:
    """A tab across slot number ``slot`` (from 0) of those along x or y, at a place along it; whose it is."""

    is_along_x: bool
    slot: int
    at: float
    owner: str


@dataclass(frozen=True, kw_only=True)
class Grid:
    """Cells: names by row from below, empty for waste; their widths and heights; where the grid begins; its tabs.

    ``bare`` names tabs over which the lane of the neighbour does not lift. ``allowance``: rough lanes go right
    through first and leave that allowance on the walls, which are finished afterwards in one go. ``beyond``: how far
    lanes go on past the outer slots. ``last_from``: depth of the floor that the last level cuts through.
    """

    names: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    heights: tuple[float, ...]
    begin: tuple[float, float] = (30.0, 30.0)
    size: tuple[float, float] = (0.0, 0.0)
    bridges: tuple[Bridge, ...] = ()
    bare: tuple[Bridge, ...] = ()
    allowance: float = 0.0
    beyond: float = 0.0
    last_from: float = THICK - SKIN
    board: dict = None
    piece: dict = None

    def starts(self, sizes: Sequence[float], begin: float) -> list[float]:
        """Where each cell begins along an axis, and where the one after the last would."""
        found = [begin]
        for size in sizes:
            found.append(found[-1] + size + SLOT)
        return found

    @property
    def xs(self) -> list[float]:
        return self.starts(self.widths, self.begin[0])

    @property
    def ys(self) -> list[float]:
        return self.starts(self.heights, self.begin[1])

    def cell(self, name: str) -> tuple[tuple[float, float], tuple[float, float]]:
        """Low and high corner of a piece."""
        for row, names in enumerate(self.names):
            if name in names:
                column = names.index(name)
                low = self.xs[column], self.ys[row]
                return low, (low[0] + self.widths[column], low[1] + self.heights[row])
        raise KeyError(name)

    def tab(self, bridge: Bridge) -> Tab:
        """The tab on its owner's wall: the slot lies above or below it, right or left."""
        low, high = self.cell(bridge.owner)
        axis = 1 if bridge.is_along_x else 0
        middle = (self.ys if bridge.is_along_x else self.xs)[bridge.slot] - SLOT / 2
        wall = low[axis] if middle < low[axis] else high[axis]
        at = (bridge.at, wall) if bridge.is_along_x else (wall, bridge.at)
        return Tab(at, TAB_WIDTH, TAB_HEIGHT)

    def report(self) -> Report:
        """What the dry run says."""
        manifest, text = self.files()
        return dry_run(manifest, {"A-1.nc": text})

    def files(self) -> tuple[Manifest, str]:
        """Manifest and text of the only file."""
        text = self.text()
        wide, high = self.xs[-1] + self.begin[0] - SLOT, self.ys[-1] + self.begin[1] - SLOT
        board = ManifestBoard(
            id="A", size_mm=self.size if self.size[0] else (wide, high), thickness_mm=THICK, zero="top", no_go=(),
            scatter_mm=0.2, held_by="",
        )  # fmt: skip
        bit = ManifestBit(
            id="flat", kind=BitKind.FLAT, diameter_mm=BIT, nominal_mm=BIT, cutting_length_mm=17.0, shank_mm=BIT,
            may_plunge=True, stepdown_mm=STEP, flutes=2,
        )  # fmt: skip
        pieces = tuple(self.piece_of(name) for names in self.names for name in names if name)
        file = ManifestFile(name="A-1.nc", board="A", face=BoardFace.TOP, sha256=digest(text), bits=(bit,))
        manifest = Manifest(
            job="grid", units="mm", material="hard maple", machine=machine_of(),
            boards=(replace(board, **(self.board or {})),), files=(file,), pieces=pieces,
        )  # fmt: skip
        return manifest, text

    def piece_of(self, name: str) -> ManifestPiece:
        low, high = self.cell(name)
        middle = (low[1] + high[1]) / 2
        piece = ManifestPiece(
            id=name, kind="straight", title="straight", board="A", pose=Pose(low[0], middle), inner=(), grooves=(),
            ends=(End(EndKind.PLAIN, Pose(low[0], middle, 3.14159)), End(EndKind.PLAIN, Pose(high[0], middle))),
            outline=rectangle(low, high), skin_mm=0.0, length_mm=high[0] - low[0],
            tabs=tuple(self.tab(one) for one in self.bridges if one.owner == name),
        )  # fmt: skip
        return replace(piece, **(self.piece or {}))

    def text(self) -> str:
        """Level by level over all lanes, the last level by itself; rough lanes before the walls where there are any."""
        out = Writer()
        for line in ("(a grid, invented)", "G21", "G17 G90 G94 G54", "G0 Z5.0000", "(BIT 1 flat)", "(PAUSE load bit)"):
            out.word(line)
        out.at = (0.0, 0.0, 5.0)
        for line in ("M0", "G21", "G17 G90 G94 G54", "M3 S18000", "G4 P4", "G0 Z5.0000"):
            out.word(line)
        lasts = [self.last_from, THROUGH]
        above = [STEP * k for k in range(1, 99) if STEP * k < self.last_from]
        if self.allowance:
            levels = [STEP * k for k in range(1, 99) if STEP * k < THICK] + [THROUGH]
            self.lanes(out, levels, self.allowance)
            self.lanes(out, [THROUGH], 0.0)
        else:
            self.lanes(out, [*above, lasts[0]], 0.0)
            self.lanes(out, [lasts[1]], 0.0)
        out.go(out.at[0], out.at[1], 5.0)
        for line in ("M5", "G0 X0.0000 Y0.0000", "M2"):
            out.word(line)
        return out.text()

    def lanes(self, out: Writer, levels: Sequence[float], off: float) -> None:
        for level in levels:
            for is_along_x, starts, others in ((True, self.ys, self.xs), (False, self.xs, self.ys)):
                low, high = others[0] - SLOT + R - self.beyond, others[-1] - R + self.beyond
                for number, start in enumerate(starts):
                    for lane, wall in enumerate((start - SLOT + R + off, start - R - off)):
                        cut = _Lane(self, is_along_x, number, lane, wall)
                        cut.run(out, low + off, high - off, level)


@dataclass(frozen=True)
class _Lane:
    grid: Grid
    is_along_x: bool
    slot: int
    lane: int
    wall: float

    def place(self, along: float) -> tuple[float, float]:
        return (along, self.wall) if self.is_along_x else (self.wall, along)

    def lifts(self) -> list[float]:
        grid = self.grid
        mine = [one for one in grid.bridges if one.is_along_x == self.is_along_x and one.slot == self.slot]
        return sorted(one.at for one in mine if not (one in grid.bare and self.lane == self.far_lane(one)))

    def far_lane(self, bridge: Bridge) -> int:
        at = self.grid.tab(bridge).at[1 if self.is_along_x else 0]
        middle = (self.grid.ys if self.is_along_x else self.grid.xs)[self.slot] - SLOT / 2
        return 1 if at < middle else 0

    def run(self, out: Writer, low: float, high: float, level: float) -> None:
        top, half = THICK - TAB_HEIGHT, TAB_WIDTH / 2 + R
        out.down_to(*self.place(low))
        out.go(*self.place(low), -level, feed=400)
        for at in self.lifts() if level > top else ():
            flank = 2 * (level - top)
            for along, depth in ((-half - flank, level), (-half, top), (half, top), (half + flank, level)):
                out.go(*self.place(at + along), -depth, feed=1500)
        out.go(*self.place(high), -level, feed=1500)


def pair(**changes: object) -> Grid:
    """Two pieces one above the other; the lower is held by the board, the upper by the lower alone."""
    bridges = (
        *(Bridge(True, 0, at, "low") for at in (55.0, 105.0)),
        *(Bridge(True, 1, at, "high") for at in (55.0, 105.0)),
    )
    return replace(Grid(names=(("low",), ("high",)), widths=(100.0,), heights=(40.0, 40.0), bridges=bridges), **changes)
