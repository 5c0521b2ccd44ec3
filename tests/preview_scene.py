"""Hand-made boards for the tests of pictures, field and page: a manifest and motions that no other room had a hand in.

Sizes of the joint are common practice, no source; everything else is invented.
"""

import itertools
import math

import numpy as np

from platelayer.manifest.schema import (
    Manifest,
    ManifestBit,
    ManifestBoard,
    ManifestFile,
    ManifestMachine,
    ManifestPiece,
    TurnLine,
)
from platelayer.values.cuts import Tab
from platelayer.values.motion import Event, EventKind, Motion, MoveKind
from platelayer.values.pieces import BoardFace, End, EndKind, Flare, Groove
from platelayer.values.shapes import Arc, Contour, Line, Pose
from platelayer.values.tooling import BitKind, NoGo

WIDTH, THICK, NECK, HEAD, MOUTH, HOLE = 39.6875, 12.7, 6.35, 11.1125, 7.9375, 12.7
HEAD_AT, HOLE_AT, GROOVE_AT, GROOVE_W, GROOVE_D = 12.7, 13.49375, 12.5015625, 5.953125, 3.571875
SAFE = 8.0


def straight_outline(length, x, y):
    """Outline of a straight: socket at its start face (x), peg at its far face (x + length)."""
    half, neck, mouth, r, hole = WIDTH / 2, NECK / 2, MOUTH / 2, HEAD / 2, HOLE / 2
    peg = HEAD_AT - math.sqrt(r * r - neck * neck)
    lip = HOLE_AT - math.sqrt(hole * hole - mouth * mouth)
    head = (x + length + HEAD_AT, y)
    points = [(0, -half), (length, -half), (length, -neck), (length + peg, -neck)]
    after = [(length + peg, neck), (length, neck), (length, half), (0, half), (0, mouth), (lip, mouth)]
    at = lambda p: (x + p[0], y + p[1])  # noqa: E731
    first = [Line(at(a), at(b)) for a, b in itertools.pairwise(points)]
    first.append(Arc(at(points[-1]), at(after[0]), head, True))
    first += [Line(at(a), at(b)) for a, b in itertools.pairwise(after)]
    first.append(Arc(at(after[-1]), at((lip, -mouth)), (x + HOLE_AT, y), False))
    first += [Line(at((lip, -mouth)), at((0, -mouth))), Line(at((0, -mouth)), at(points[0]))]
    return Contour(tuple(first), True)


def straight(index, length, x, y, *, tabs=True):
    """A straight piece of the manifest lying along the grain at (x, y), the middle of its start face."""
    grooves = tuple(
        Groove(
            BoardFace.TOP,
            GROOVE_W,
            GROOVE_D,
            Contour((Line((x, y + side * GROOVE_AT), (x + length, y + side * GROOVE_AT)),), False),
            (Flare(4.0, 0.3), Flare(4.0, 0.3)),
        )
        for side in (-1, 1)
    )
    held = tuple(Tab((x + length * share, y + side * WIDTH / 2), 6.0, 2.5) for share in (0.3, 0.7) for side in (-1, 1))
    return ManifestPiece(
        id=f"straight-{index:02d}",
        kind="straight",
        title="straight",
        board="A",
        pose=Pose(x, y, 0.0),
        ends=(End(EndKind.SOCKET, Pose(x, y, math.pi)), End(EndKind.PEG, Pose(x + length, y, 0.0))),
        outline=straight_outline(length, x, y),
        inner=(),
        grooves=grooves,
        tabs=held if tabs else (),
        skin_mm=0.0,
        order=index,
        length_mm=length,
        unreached=(),
    )


def bit(diameter=3.175, kind=BitKind.FLAT, **more):
    """A bit of the manifest."""
    return ManifestBit(
        id=f"{kind.value}-{diameter:g}",
        kind=kind,
        diameter_mm=diameter,
        nominal_mm=diameter,
        measured_mm=None,
        cutting_length_mm=16.0,
        shank_mm=max(diameter, 3.175),
        may_plunge=False,
        stepdown_mm=1.6,
        flutes=2,
        **more,
    )


class Moves:
    """A small writer of motions by hand, in the program's own coordinates with z 0 on the wood."""

    def __init__(self, name, feed=1200.0, rpm=18000.0):
        self.name, self.feed, self.rpm, self.rows, self.texts, self.at = name, feed, rpm, [], [], (0.0, 0.0, SAFE)
        self.texts += ["(hand-made)", "(BIT 0 flat-3.175)", "G21 G17 G90 G94", "S18000 M3"]

    def _row(self, kind, end, centre=(math.nan, math.nan)):
        word = ("G0", "G1", "G2", "G3")[kind]
        text = f"{word} X{end[0]:.4f} Y{end[1]:.4f} Z{end[2]:.4f}"
        if kind >= 2:
            text += f" I{centre[0] - self.at[0]:.4f} J{centre[1] - self.at[1]:.4f}"
        self.texts.append(text)
        self.rows.append((int(kind), len(self.texts), self.at, end, centre))
        self.at = end

    def rapid(self, x, y, z=SAFE):
        """Rapid at safe height to a place, then down to z."""
        if self.at[2] < SAFE:
            self._row(MoveKind.RAPID, (self.at[0], self.at[1], SAFE))
        if (x, y) != self.at[:2]:
            self._row(MoveKind.RAPID, (x, y, SAFE))
        if z < SAFE:
            self._row(MoveKind.RAPID, (x, y, z))

    def line(self, x, y, z=None):
        """A move at feed."""
        self._row(MoveKind.LINE, (x, y, self.at[2] if z is None else z))

    def arc(self, x, y, cx, cy, *, ccw, z=None):
        """An arc at feed, a helix when z is given."""
        self._row(MoveKind.ARC_CCW if ccw else MoveKind.ARC_CW, (x, y, self.at[2] if z is None else z), (cx, cy))

    def motion(self):
        """The columns, and the file's text."""
        self.rapid(*self.at[:2])
        self.texts += ["M5", "M2"]
        n = len(self.rows)
        kind = np.array([row[0] for row in self.rows], dtype=np.int8)
        columns = Motion(
            name=self.name,
            kind=kind,
            line=np.array([row[1] for row in self.rows], dtype=np.int32),
            start=np.array([row[2] for row in self.rows], dtype=np.float64).reshape(n, 3),
            end=np.array([row[3] for row in self.rows], dtype=np.float64).reshape(n, 3),
            centre=np.array([row[4] for row in self.rows], dtype=np.float64).reshape(n, 2),
            feed=np.where(kind == MoveKind.RAPID, 0.0, self.feed),
            speed=np.full(n, self.rpm),
            spindle_on=np.ones(n, dtype=np.bool_),
            bit=np.zeros(n, dtype=np.int16),
            events=(Event(EventKind.BIT, 2, 0, 0.0, "flat-3.175"),),
            line_count=len(self.texts),
            is_ended=True,
        )
        return columns, "\n".join(self.texts) + "\n"


def cut_straight(moves, length, x, y, *, d=3.175, tabs=()):
    """Grooves, socket and outline of a straight, simply: enough wood goes for a picture and for the field."""
    r = d / 2
    for side in (-1, 1):
        for depth in (-1.8, -GROOVE_D):
            low, high = (y + side * GROOVE_AT + s * (GROOVE_W / 2 - r) for s in (-1, 1))
            moves.rapid(x - 0.5, low, 0.6)
            moves.line(x + length / 2, low, depth)
            moves.line(x + length + 0.5, low)
            moves.line(x + length + 0.5, high)
            moves.line(x - 0.5, high)
            moves.line(x - 0.5, low)
            moves.line(x + length / 2, low)
    for depth in np.arange(-1.6, -THICK - 1.7, -1.6):
        z = max(float(depth), -THICK - 0.3)
        moves.rapid(x - 4.0, y, max(z + 1.6, 0.6))
        moves.line(x + HOLE_AT, y, z)
        for ring in (1.2, 2.4, HOLE / 2 - r):
            moves.line(x + HOLE_AT + ring, y)
            moves.arc(x + HOLE_AT - ring, y, x + HOLE_AT, y, ccw=True)
            moves.arc(x + HOLE_AT + ring, y, x + HOLE_AT, y, ccw=True)
        for lip in (-1, 1):
            moves.line(x + HOLE_AT, y + lip * (MOUTH / 2 - r))
            moves.line(x - 4.0, y + lip * (MOUTH / 2 - r))
            moves.line(x + HOLE_AT, y + lip * (MOUTH / 2 - r))
    _outline(moves, length, x, y, r=r, tabs=tabs)


def _outline(moves, length, x, y, *, r, tabs):
    half, reach = WIDTH / 2 + r, HEAD_AT + HEAD / 2 + r + 0.5
    for depth in np.arange(-1.6, -THICK - 1.7, -1.6):
        z = max(float(depth), -THICK - 0.3)
        moves.rapid(x + 20, y - half, max(z + 1.6, 0.6))
        moves.line(x + 40, y - half, z)
        lift = -THICK + 2.5
        for share in (0.3, 0.7) if z < lift and tabs else ():
            at = x + length * share
            for dx, to in ((-6.0, z), (-4.6, lift), (4.6, lift), (6.0, z)):
                if at + dx > x + 40:
                    moves.line(at + dx, y - half, to)
        moves.line(x + length + r, y - half, z)
        root = NECK / 2 + r
        moves.line(x + length + r, y - root)
        head_r = HEAD / 2 + r
        touch = math.sqrt(head_r**2 - root**2)
        moves.line(x + length + HEAD_AT - touch, y - root)
        moves.arc(x + length + HEAD_AT - touch, y + root, x + length + HEAD_AT, y, ccw=True)
        moves.line(x + length + r, y + root)
        moves.line(x + length + r, y + half)
        for share in (0.7, 0.3) if z < lift and tabs else ():
            at = x + length * share
            for dx, to in ((6.0, z), (4.6, lift), (-4.6, lift), (-6.0, z)):
                moves.line(at + dx, y + half, to)
        moves.line(x - r, y + half, z)
        moves.line(x - r, y - half)
        moves.line(x + 40, y - half)
    assert reach > 0


def manifest_of(pieces, files, size=(400.0, 140.0), no_go=(), zero="top"):
    """A manifest round these pieces and files."""
    return Manifest(
        job="garden-loop",
        units="in",
        material="hard maple",
        machine=ManifestMachine(
            id="bench-router",
            travel_mm=(900.0, 600.0, 80.0),
            zero_at=None,
            feed_max_mm_min=(3000.0, 3000.0, 1000.0),
            rapid_mm_min=(4000.0, 4000.0, 1500.0),
            accel_mm_s2=(400.0, 400.0, 200.0),
            corner_deviation_mm=0.02,
            corner_speed_mm_min=0.0,
            spindle="speed_word",
            dial=(),
            dwell_unit="s",
            holder_diameter_mm=24.0,
        ),
        boards=(
            ManifestBoard(
                id="A",
                size_mm=size,
                thickness_mm=THICK,
                zero=zero,
                no_go=tuple(no_go),
                allowance_mm=0.5,
                held_by="tape",
            ),
        ),
        files=tuple(files),
        pieces=tuple(pieces),
    )


def rectangle(x0, y0, x1, y1):
    """A closed rectangle."""
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return Contour(tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)), True)


def file_of(name, bits, face=BoardFace.TOP, turn=None):
    """A file of the manifest on board A."""
    line = None if turn is None else TurnLine(at_mm=turn)
    return ManifestFile(name=name, board="A", face=face, sha256="0" * 64, bits=tuple(bits), turn=line)


def board(pieces=4, *, length=150.8125, columns=2):
    """So many straights in rows on one board: (manifest, motions, texts)."""
    rows = -(-pieces // columns)
    pitch_x, pitch_y = length + 40.0, WIDTH + 8.0
    size = (30 + columns * pitch_x + 10, 16 + rows * pitch_y)
    made, moves = [], Moves("A-1-flat-3.175.nc")
    for index in range(pieces):
        row, column = divmod(index, columns)
        x, y = 30 + column * pitch_x, 12 + WIDTH / 2 + row * pitch_y
        made.append(straight(index + 1, length, x, y))
        cut_straight(moves, length, x, y, tabs=made[-1].tabs)
    motion, text = moves.motion()
    clamp = NoGo(rectangle(3, 34, 19, 62), 20.0, "clamp")
    manifest = manifest_of(made, [file_of(motion.name, [bit()])], size=size, no_go=[clamp])
    return manifest, {motion.name: motion}, {motion.name: text}
