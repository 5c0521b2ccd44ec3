"""A small good job made by hand: two straights with a socket and a peg, grooves and tabs, cut by one 1/8 in bit.

Nothing of the road takes part: the outline is set out point by point, the bit's centre goes round a shapely buffer of
it, runs of points on a circle known beforehand become one arc. Sizes are the joint's of common practice, no source.
"""

import hashlib
import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from gcode.motions import machine_of
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestPiece
from platelayer.values.cuts import Tab
from platelayer.values.pieces import BoardFace, End, EndKind, Flare, Groove, JointSizes
from platelayer.values.shapes import Arc, Contour, Line, Pose
from platelayer.values.tooling import BitKind

WIDTH, THICK = 39.6875, 12.7
NECK, HEAD, HEAD_AT = 6.35, 11.1125, 12.7
MOUTH, HOLE, HOLE_AT = 7.9375, 12.7, 13.49375
GROOVE_OUT, GROOVE_IN, GROOVE_DEPTH = 4.365625, 10.31875, 3.571875
TAB_WIDTH, TAB_HEIGHT = 6.0, 2.5
JOINT = JointSizes(
    neck_width_mm=NECK,
    head_diameter_mm=HEAD,
    head_setback_mm=7.14375,
    mouth_width_mm=MOUTH,
    hole_diameter_mm=HOLE,
    hole_setback_mm=7.14375,
)
THROUGH = THICK + 0.3
STEP = 1.5


@dataclass(frozen=True, kw_only=True, repr=False)
class SmallJob:
    """Manifest and texts of the files."""

    manifest: Manifest
    texts: dict[str, str]

    def __repr__(self) -> str:
        return f"SmallJob({[piece.id for piece in self.manifest.pieces]}, {self.manifest.files[0].bits[0].diameter_mm})"

    def changed(self, text: str) -> "SmallJob":
        """The same job with another text in its only file, and the hash made to agree."""
        name = self.manifest.files[0].name
        file = replace(self.manifest.files[0], sha256=digest(text))
        return SmallJob(manifest=replace(self.manifest, files=(file,)), texts={name: text})


def digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def peg_side(relief: float) -> list[tuple]:
    """Segments above a peg from the face to the head's far point, end frame, going outwards; relief is r or 0."""
    half, head = NECK / 2, HEAD / 2
    meets = HEAD_AT - math.sqrt(head**2 - half**2)
    far = (HEAD_AT + head, 0.0)
    if not relief:
        return [("line", (0.0, half), (meets, half)), ("arc", (meets, half), far, (HEAD_AT, 0.0), False)]
    lip = HOLE_AT - math.sqrt((HOLE / 2) ** 2 - (MOUTH / 2) ** 2)
    aside = MOUTH / 2 - math.sqrt(head**2 - (HEAD_AT - lip) ** 2)
    r, g = relief, (MOUTH - NECK) / 2 - aside  # the mouth's corner when head meets lip, pushed aside
    depth = r - math.sqrt(r**2 - (r - g) ** 2)
    centre = (r - depth, half + r)
    start, foot = (0.0, half + 2 * r - g), (r - depth, half)
    return [
        ("arc", start, foot, centre, True),
        ("line", foot, (meets, half)),
        ("arc", (meets, half), far, (HEAD_AT, 0.0), False),
    ]


def socket_side(ease: float) -> list[tuple]:
    """Segments above a socket from the face to the hole's bottom, end frame, going inwards."""
    half, hole = MOUTH / 2, HOLE / 2
    meets = -HOLE_AT + math.sqrt(hole**2 - half**2)
    bottom = (-HOLE_AT - hole, 0.0)
    # from the face's upper part: down the face, inwards along the lip, round the hole's upper half
    arc = ("arc", (meets, half), bottom, (-HOLE_AT, 0.0), True)
    if not ease:
        return [("line", (0.0, half), (meets, half)), arc]
    return [
        ("arc", (0.0, half + ease), (-ease, half), (-ease, half + ease), False),
        ("line", (-ease, half), (meets, half)),
        arc,
    ]


def mirrored(side: list[tuple]) -> list[tuple]:
    """The same segments below the middle line, running back to the face."""
    found = []
    for kind, start, end, *rest in reversed(side):
        down = [(x, -y) for x, y in (end, start)]
        found.append((kind, *down, *([(rest[0][0], -rest[0][1]), rest[1]] if rest else [])))
    return found


def end_of(side: list[tuple], *, turned: bool, at: tuple[float, float]) -> list[tuple]:
    """An end's segments with the outline counter-clockwise, placed: turned half round for the start of a piece."""

    def place(point):
        x, y = point
        return (at[0] - x, at[1] - y) if turned else (at[0] + x, at[1] + y)

    # counter-clockwise at an end facing +x runs upwards: from below the middle to above, so out along the lower side
    run = [*reverse(mirrored(side)), *reverse(side)]
    return [
        (kind, place(start), place(end), *([place(rest[0]), rest[1]] if rest else []))
        for kind, start, end, *rest in run
    ]


def reverse(side: list[tuple]) -> list[tuple]:
    return [(kind, end, start, *([rest[0], not rest[1]] if rest else [])) for kind, start, end, *rest in reversed(side)]


def straight(x: float, y: float, length: float, *, relief: float, ease: float) -> Contour:
    """Outline of a straight: socket at x, peg at x + length, middle line at y; counter-clockwise from below left."""
    half = WIDTH / 2
    socket = end_of(socket_side(ease), turned=True, at=(x, y))
    peg = end_of(peg_side(relief), turned=False, at=(x + length, y))
    loop = [("line", (x, y - half), (x + length, y - half)), ("line", (x + length, y - half), peg[0][1])]
    loop += [*peg, ("line", peg[-1][2], (x + length, y + half)), ("line", (x + length, y + half), (x, y + half))]
    loop += [("line", (x, y + half), socket[0][1]), *socket, ("line", socket[-1][2], (x, y - half))]
    return Contour(
        tuple(
            Line(start, end) if kind == "line" else Arc(start, end, rest[0], rest[1])
            for kind, start, end, *rest in loop
        ),
        True,
    )


def polygon_of(contour: Contour, chord: float = 2e-4) -> shapely.Polygon:
    """The contour as a shapely polygon, arcs by points on them."""
    points = []
    for segment in contour.segments:
        points.append(segment.start)
        if isinstance(segment, Arc):
            count = math.ceil(segment.sweep_rad / (2 * math.acos(1 - chord / segment.radius_mm)))
            a0 = math.atan2(segment.start[1] - segment.centre[1], segment.start[0] - segment.centre[0])
            turn = segment.sweep_rad if segment.is_ccw else -segment.sweep_rad
            for k in range(1, count):
                a = a0 + turn * k / count
                points.append((
                    segment.centre[0] + segment.radius_mm * math.cos(a),
                    segment.centre[1] + segment.radius_mm * math.sin(a),
                ))
    return shapely.Polygon(points)


def circles_of(contour: Contour, offset: float) -> list[tuple[tuple[float, float], float]]:
    """Circles that the buffer's arcs lie on: round every corner, and beside every arc."""
    found = [(segment.start, offset) for segment in contour.segments]
    for segment in contour.segments:
        if isinstance(segment, Arc):
            found.append((segment.centre, segment.radius_mm + (offset if segment.is_ccw else -offset)))
    return [(centre, radius) for centre, radius in found if radius > 0.05]


def loop_moves(contour: Contour, offset: float) -> list[tuple]:
    """The bit's way round at an offset, clockwise, from the middle of the lower long side: (kind, end, centre)."""
    polygon = polygon_of(contour).buffer(offset, quad_segs=400, join_style="round").simplify(2e-5)
    points = np.array(shapely.geometry.polygon.orient(polygon, -1.0).exterior.coords)[:-1]
    xs = points[:, 0]
    low, high = polygon.bounds[1], xs.min() + (xs.max() - xs.min()) / 2
    start = np.array([high, low])
    after = min(
        range(len(points)), key=lambda k: (abs(points[k, 1] - low) > 1e-6 or points[k, 0] >= high, -points[k, 0])
    )
    points = np.vstack((start, np.roll(points, -after, axis=0), start))
    circles = circles_of(contour, offset)
    moves, k = [], 0
    while k < len(points) - 1:
        run, centre, radius = k + 1, None, 0.0
        for c, r in circles:
            on = k
            while on < len(points) and abs(math.dist(points[on], c) - r) < 4e-4:
                on += 1
            if on - k >= 4 and on - 1 > run:
                run, centre, radius = on - 1, c, r
        end = points[run]
        if centre is not None:
            end = np.array(centre) + (end - centre) * (radius / math.dist(end, centre))
            (ax, ay), (bx, by) = points[k + 1] - np.array(centre), points[k + 2] - np.array(centre)
            cross = ax * by - ay * bx
            if moves and moves[-1][0] == "line":
                begin = np.array(moves[-1][1])
                begin = np.array(centre) + (begin - centre) * (radius / math.dist(begin, centre))
                moves[-1] = ("line", tuple(begin), None)
            moves.append(("ccw" if cross > 0 else "cw", tuple(end), centre))
            points[run] = end
        else:
            moves.append(("line", tuple(end), None))
        k = run
    return [("start", tuple(points[0]), None), *moves]


class Writer:
    """Lines of a program, four decimals."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.at = (0.0, 0.0, 0.0)

    def word(self, line: str) -> None:
        self.lines.append(line)

    def go(self, x: float, y: float, z: float, *, feed: float = 0.0) -> None:
        words = "G1" if feed else "G0"
        for letter, new, old in zip("XYZ", (x, y, z), self.at, strict=True):
            if round(new, 4) != round(old, 4):
                words += f" {letter}{new:.4f}"
        if len(words) == 2:
            return
        self.lines.append(words + (f" F{feed:.0f}" if feed else ""))
        self.at = (round(x, 4), round(y, 4), round(z, 4))

    def arc(self, x: float, y: float, z: float, centre: tuple[float, float], *, ccw: bool, feed: float) -> None:
        i, j = centre[0] - self.at[0], centre[1] - self.at[1]
        rise = f" Z{z:.4f}" if round(z, 4) != round(self.at[2], 4) else ""
        self.lines.append(f"{'G3' if ccw else 'G2'} X{x:.4f} Y{y:.4f}{rise} I{i:.4f} J{j:.4f} F{feed:.0f}")
        self.at = (round(x, 4), round(y, 4), round(z, 4))

    def down_to(self, x: float, y: float) -> None:
        """Over a place at safe height, then down to just above the wood."""
        self.go(self.at[0], self.at[1], 5.0)
        self.go(x, y, 5.0)
        self.go(x, y, 1.0)

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def levels(depth: float) -> list[float]:
    count = math.ceil(depth / STEP - 1e-9)
    return [depth * (k + 1) / count for k in range(count)]


def cut_line(out: Writer, a: tuple[float, float], b: tuple[float, float], depth: float, step: float = STEP) -> None:
    """A slot from a to b by ramps along itself, level by level."""
    out.down_to(*a)
    out.go(*a, 0.0, feed=400)
    for level in levels(depth):
        out.go(*b, -level, feed=800)
        out.go(*a, -level, feed=1500)
    out.go(*b, -depth, feed=1500)


def cut_circle(out: Writer, centre: tuple[float, float], radius: float, depth: float) -> None:
    """A ring by a helix, level by level, the last turn flat; begun above the wood."""
    start = (centre[0] + radius, centre[1])
    out.down_to(*start)
    out.go(*start, 0.0, feed=400)
    for level in levels(depth):
        out.arc(*start, -level, centre, ccw=True, feed=800)
    out.arc(*start, -depth, centre, ccw=True, feed=1500)


def cut_loop(out: Writer, moves: list[tuple], depths: list[float], *, tabs: list[float], r: float, ramp: float) -> None:
    """Round the outline at each depth: down by a ramp along the first side, tabs with ramped flanks on straight sides.

    The ramp of each level is cut again by the end of its own loop, which runs over the start by its length.
    """
    start = moves[0][1]
    out.down_to(*start)
    out.go(*start, 0.0, feed=400)
    before = 0.0
    for depth in depths:
        x = start[0] - ramp
        out.go(x, start[1], -depth, feed=800)
        for kind, end, centre in moves[1:]:
            if kind != "line":
                out.arc(*end, -depth, centre, ccw=kind == "ccw", feed=1500)
                continue
            is_side = abs(end[1] - out.at[1]) < 1e-3 and abs(end[0] - out.at[0]) > 20
            if is_side and depth > THICK - TAB_HEIGHT:
                over_tabs(out, end, depth, tabs, r)
            out.go(*end, -depth, feed=1500)
        out.go(x, start[1], -depth, feed=1500)
        out.go(*start, -depth, feed=1500)
        before = depth
    assert before > 0


def over_tabs(out: Writer, end: tuple[float, float], depth: float, tabs: list[float], r: float) -> None:
    """Lift over the tabs on a straight side, flanks sloping 1 in 2."""
    side = 1.0 if end[0] > out.at[0] else -1.0
    low, high = sorted((out.at[0], end[0]))
    top, flank = THICK - TAB_HEIGHT, 2 * (depth - THICK + TAB_HEIGHT)
    half = TAB_WIDTH / 2 + r
    for x in sorted((t for t in tabs if low + 15 < t < high - 15), reverse=side < 0):
        out.go(x - side * (half + flank), end[1], -depth, feed=1500)
        out.go(x - side * half, end[1], -top, feed=800)
        out.go(x + side * half, end[1], -top, feed=1500)
        out.go(x + side * (half + flank), end[1], -depth, feed=800)


def piece_moves(out: Writer, name: str, x: float, y: float, length: float, r: float, depth: float) -> None:
    """Everything of one piece but its outline: grooves and the socket's waste."""
    half = WIDTH / 2
    for number, middle in enumerate((-(half - (GROOVE_OUT + GROOVE_IN) / 2), half - (GROOVE_OUT + GROOVE_IN) / 2)):
        out.word(f"({name} groove {number + 1})")
        reach = (GROOVE_IN - GROOVE_OUT) / 2 - r
        for line in (y + middle - reach, y + middle + reach):
            cut_line(out, (x - 0.5, line), (x + length + 0.5, line), GROOVE_DEPTH)
    out.word(f"({name} socket)")
    cut_line(out, (x + HOLE_AT, y), (x - 2 * r, y), depth)
    cut_circle(out, (x + HOLE_AT, y), HOLE / 2 - 2 * r, depth)


def small_job(
    *, relief: float = 1.5875, ease: float = 1.6875, diameter: float = 3.175, pieces: int = 2, skin: float = 0.0
) -> SmallJob:
    """The whole job; pieces one above the other on one board."""
    r, length, left = diameter / 2, 100.0, 30.0
    depth = THICK - skin if skin else THROUGH
    out = Writer()
    for line in (
        "(two straights, invented)",
        "G21",
        "G17 G90 G94 G54",
        "G0 Z5.0000",
        "(BIT 1 flat)",
        "(PAUSE load bit)",
    ):
        out.word(line)
    out.at = (0.0, 0.0, 5.0)
    for line in ("M0", "G21", "G17 G90 G94 G54", "M3 S18000", "G4 P4", "G0 Z5.0000"):
        out.word(line)
    made, outlines = [], []
    for index in range(pieces):
        y = 35.0 + 50.0 * index
        contour = straight(left, y, length, relief=relief, ease=ease)
        outlines.append((y, contour))
        half = WIDTH / 2
        tabs = tuple(
            Tab((left + at, y + side * half), TAB_WIDTH, TAB_HEIGHT)
            for side in (-1, 1)
            for at in (25.0, 75.0)
            if not skin
        )
        middle = half - (GROOVE_OUT + GROOVE_IN) / 2
        grooves = tuple(
            Groove(
                BoardFace.TOP,
                GROOVE_IN - GROOVE_OUT,
                GROOVE_DEPTH,
                Contour((Line((left, y + offset), (left + length, y + offset)),), False),
                (Flare(0.0, 0.0), Flare(0.0, 0.0)),
            )
            for offset in (-middle, middle)
        )
        made.append(
            ManifestPiece(
                id=f"straight-{index + 1:02}",
                kind="straight",
                title="straight",
                board="A",
                pose=Pose(left, y),
                ends=(
                    End(EndKind.SOCKET, Pose(left, y, math.pi)),
                    End(EndKind.PEG, Pose(left + length, y, 0.0)),
                ),
                outline=contour,
                inner=(),
                grooves=grooves,
                tabs=tabs,
                skin_mm=skin,
                order=index + 1,
                length_mm=length,
                unreached=(),
            )
        )
    for index, (y, _) in enumerate(outlines):
        piece_moves(out, f"piece {index + 1}", left, y, length, r, depth)
    for index, (_, contour) in enumerate(outlines):
        out.word(f"(piece {index + 1} outline)")
        tabs = [] if skin else [left + 25.0, left + 75.0]
        cut_loop(out, loop_moves(contour, r + 0.2), levels(depth), tabs=tabs, r=r, ramp=10.0)
        cut_loop(out, loop_moves(contour, r), [depth], tabs=tabs, r=r, ramp=10.0)
    out.go(out.at[0], out.at[1], 5.0)
    for line in ("M5", "G0 X0.0000 Y0.0000", "M2"):
        out.word(line)
    text = out.text()
    bit = ManifestBit(
        id="flat",
        kind=BitKind.FLAT,
        diameter_mm=diameter,
        nominal_mm=diameter,
        measured_mm=None,
        cutting_length_mm=17.0,
        shank_mm=3.175,
        may_plunge=False,
        stepdown_mm=STEP,
        flutes=2,
    )
    manifest = Manifest(
        job="small",
        units="mm",
        material="hard maple",
        machine=machine_of(),
        boards=(
            ManifestBoard(
                id="A",
                size_mm=(180.0, 30.0 + 50.0 * pieces),
                thickness_mm=THICK,
                zero="top",
                no_go=(),
                allowance_mm=0.5,
                held_by="tape",
            ),
        ),
        files=(ManifestFile(name="A-1.nc", board="A", face=BoardFace.TOP, sha256=digest(text), bits=(bit,)),),
        pieces=tuple(made),
        joint=JOINT,
    )
    return SmallJob(manifest=manifest, texts={"A-1.nc": text})
