"""Round the plan: title, rulers in both units, and the legend that says what every mark means.

Glossary:
    block: one of the legend's columns: depth, marks, files, problems; its own frame begins at its upper left.
"""

import math
from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Final

from platelayer.geometry.contours import rectangle
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Anchor, Group, Ink, Part, Shape, Words, polyline
from platelayer.preview.pictures.lying import Lying
from platelayer.preview.pictures.plan_marks import BACKING_STEPS, WHITE, badge, hatch, quartered, sign
from platelayer.preview.pictures.plan_swaths import CutFile
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import LengthUnit, inches, minutes, show_length, to_inches, worded
from platelayer.values.findings import Finding
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Contour, Point

Block = tuple[list[Part], float, float]
"""Parts of a block of the legend, its width and its height."""


def title(manifest: Manifest, board: ManifestBoard, *, face: BoardFace, step_mm: float) -> Group:
    """Name of the job, and under it board, sizes in both units, wood and machine."""
    width, height = board.size_mm
    sizes = f"{show_length(width)} by {show_length(height)}, {show_length(board.thickness_mm)} thick"
    up = f"board {board.id}, {face.value} face"
    if face is BoardFace.BOTTOM:
        up += " up, as it lies on the machine"
    under = [up, worded(sizes, manifest.units), manifest.material, manifest.machine.id]
    heading = Words(
        text=manifest.heading,
        at=(0.0, height + 9.6 * step_mm),
        size_mm=3.2 * step_mm,
        is_serif=True,
        is_bold=True,
    )
    said = "  ·  ".join(part for part in under if part)
    size = min(1.15 * step_mm, (width + 6 * step_mm) / (_LETTER_WIDTH * len(said)))
    return Group(parts=(heading, _faint(said, (0.0, height + 7.2 * step_mm), size)))


_LETTER_WIDTH: Final = 0.52
"""Width of a letter in heights of print, on the whole and with some to spare."""


def _faint(text: str, at: Point, size_mm: float, anchor: Anchor = Anchor.START) -> Words:
    return Words(text=text, at=at, size_mm=size_mm, anchor=anchor, colour=palette.FAINT_INK)


def rulers(board: ManifestBoard, *, step_mm: float) -> Group:
    """Millimetres along the near and left edges, inches along the far and right edges."""
    every_mm = next(unit for unit in (10, 20, 50, 100, 200, 500, 10**9) if unit >= 3.4 * step_mm)
    small_mm = every_mm / 10 if every_mm / 10 >= 0.45 * step_mm else every_mm / 5
    every_in = next(unit for unit in (1, 2, 3, 6, 12, 24, 10**9) if inches(unit) >= 3.4 * step_mm)
    small_in = next(unit for unit in (0.125, 0.25, 0.5, 1, 3) if inches(unit) >= 0.5 * step_mm)
    ticks: list[Contour] = []
    names: list[Words] = []
    width, height = board.size_mm
    for is_across, size in ((False, width), (True, height)):
        for count in range(math.floor(size / small_mm) + 1):
            at = count * small_mm
            _tick(ticks, names, (at, at / every_mm, f"{at:g}"), board, step_mm, is_across=is_across, is_near=True)
        for count in range(math.floor(to_inches(size) / small_in) + 1):
            at = count * small_in
            place = (inches(at), at / every_in, f'{at:g}"')
            _tick(ticks, names, place, board, step_mm, is_across=is_across, is_near=False)
    frame = Shape(tuple(ticks), Ink(stroke=palette.INK, width_mm=0.05 * step_mm))
    size = 0.85 * step_mm
    units = (
        _faint("mm", (width + 1.3 * step_mm, -2.6 * step_mm), size),
        _faint("in", (-2.2 * step_mm, height + 1.8 * step_mm), size),
    )
    return Group(parts=(frame, *names, *units))


def _tick(
    ticks: list[Contour],
    names: list[Words],
    place: tuple[float, float, str],
    board: ManifestBoard,
    step_mm: float,
    *,
    is_across: bool,
    is_near: bool,
) -> None:
    """One tick and, at every whole number of turns, its name; place: mm along the edge, turns, name."""
    at, turn, label = place
    is_long = abs(turn - round(turn)) < 1 / 1000
    is_half = abs(2 * turn - round(2 * turn)) < 1 / 1000
    out = -1 if is_near else 1
    edge = 0.0 if is_near else board.size_mm[0 if is_across else 1]
    gap = 0.5 + (BACKING_STEPS if board.is_strip and not is_across else 0.0)
    base = edge + out * gap * step_mm
    tip = base + out * (1.1 if is_long else 0.75 if is_half else 0.45) * step_mm
    ticks.append(polyline((base, at), (tip, at)) if is_across else polyline((at, base), (at, tip)))
    if not is_long:
        return
    size = 0.85 * step_mm
    if is_across:
        anchor = Anchor.END if is_near else Anchor.START
        names.append(_faint(label, (tip + out * 0.3 * size, at - 0.35 * size), size, anchor))
    else:
        names.append(_faint(label, (at, tip - size if is_near else tip + 0.25 * size), size, Anchor.MIDDLE))


def legend(
    manifest: Manifest,
    scene: Lying,
    *,
    seconds: Mapping[str, float],
    findings: Sequence[Finding],
    step_mm: float,
    is_alone: bool,
) -> tuple[Group, float]:
    """The legend under the board, and the room it takes downwards from the board's near edge."""
    s, board, cut = step_mm, scene.board, scene.cut
    blocks = [_depths(scene, manifest.units, s), _marks(scene, s, is_alone=is_alone)]
    if is_alone:
        blocks.append(_files(manifest, cut, seconds, s))
    if findings:
        blocks.append(_problems(findings, board.size_mm[0], s))
    out, x, y, low = [], 0.0, -6.2 * s, 0.0
    for content, wide, tall in blocks:
        if x and x + wide > board.size_mm[0] + 4 * s:
            x, y = 0.0, low - 2.2 * s
        out.append(Group(parts=tuple(content), at=(x, y)))
        x += wide + 3 * s
        low = min(low, y - tall)
    return Group(parts=tuple(out)), -low


def _heading(content: str, s: float) -> Words:
    return Words(text=content, at=(0.0, 0.0), size_mm=1.25 * s, is_serif=True, is_bold=True)


def _depths(scene: Lying, first: LengthUnit, s: float) -> Block:
    thick, mine = scene.board.thickness_mm, scene.pieces
    meant = {groove.depth_mm: "groove" for piece in mine for groove in piece.grooves if groove.face is scene.face}
    meant |= {thick - tab.height_mm: "over a tab" for piece in mine for tab in piece.tabs}
    meant |= {thick - piece.skin_mm: "over the skin" for piece in mine if piece.skin_mm > 0}
    rows = [(depth / thick, worded(show_length(depth), first), name) for depth, name in sorted(meant.items())[:6]]
    if not rows:
        rows = [(part / 4, worded(show_length(thick * part / 4), first), "") for part in (1, 2, 3)]
    if not scene.cut or any(motion.end[:, 2].min(initial=0.0) < COINCIDENT_MM - thick for motion, _ in scene.cut):
        rows.append((1.0, "through", ""))
    out: list[Part] = [_heading("Depth of cut", s)]
    for row, (share, sizes, name) in enumerate(rows):
        y = -(1.0 + 1.6 * row) * s
        out.append(Shape((rectangle((0.0, y - 1.6 * s), (2.4 * s, y)),), Ink(fill=palette.depth_colour(share))))
        out.append(Words(text=sizes, at=(3 * s, y - 1.15 * s), size_mm=s))
        if name:
            out.append(_faint(name, (14.2 * s, y - 1.15 * s), s))
    return out, 20 * s, (1.0 + 1.6 * len(rows)) * s


def _marks(scene: Lying, s: float, *, is_alone: bool) -> Block:
    """What the marks mean that stand on this plan."""
    box, edge = rectangle((0.0, -0.35 * s), (2.4 * s, 0.75 * s)), 0.1 * s
    bar = rectangle((0.4 * s, -0.2 * s), (2.0 * s, 0.6 * s))
    dash = Ink(stroke=palette.BLUE, width_mm=0.12 * s, dash_mm=(0.7 * s, 0.35 * s))
    hidden = Ink(stroke=palette.FAINT_INK, width_mm=0.12 * s, dash_mm=(0.9 * s, 0.45 * s))
    lies_down = any(groove.face is not scene.face for piece in scene.pieces for groove in piece.grooves)
    rapid = ((Shape((polyline((0.0, 0.2 * s), (2.4 * s, 0.2 * s)),), dash), "rapid, bit in the air"),)
    groove = ((Shape((polyline((0.0, 0.2 * s), (2.4 * s, 0.2 * s)),), hidden), "groove in the lower face"),)
    red = Ink(fill=palette.VERMILLION, stroke=WHITE, width_mm=edge)
    tab = ((Shape((bar,), red), "tab: wood left, saw it by hand"),)
    rows: list[tuple[Part, str]] = [
        (
            Shape((box,), Ink(fill=palette.MAPLE, stroke=palette.INK, width_mm=edge)),
            "piece, outline as designed",
        ),
        (Shape((box,), Ink(fill=palette.WASTE)), "waste"),
        (badge("3", (1.2 * s, 0.2 * s), radius_mm=0.9 * s), "order of cutting"),
        *(tab if any(piece.tabs for piece in scene.pieces) else ()),
        *(groove if lies_down and scene.face is BoardFace.TOP else ()),
        *(rapid if is_alone and scene.cut else ()),
        *(((hatch(box, step_mm=0.6 * s), "no-go: clamp, screw, knot"),) if scene.board.no_go else ()),
        (quartered((1.2 * s, 0.2 * s), 0.9 * s), "program zero"),
    ]
    out: list[Part] = [_heading("Marks", s)]
    for row, (mark, words) in enumerate(rows):
        name = Words(text=words, at=(3.2 * s, -0.15 * s), size_mm=s)
        out.append(Group(parts=(mark, name), at=(0.0, -(2.1 + 1.7 * row) * s)))
    return out, 18 * s, (2.1 + 1.7 * len(rows) - 1.2) * s


def _files(manifest: Manifest, cut: Sequence[CutFile], seconds: Mapping[str, float], s: float) -> Block:
    """The files of this face, numbered as they stand among all."""
    number, first = {file.name: place for place, file in enumerate(manifest.files, start=1)}, manifest.units
    out: list[Part] = [_heading("Files, in order", s)]
    wide = 16.0
    for row, (_, file) in enumerate(cut):
        y = -(2.1 + 3.0 * row) * s
        bits = ", ".join(
            worded(f"{bit.kind.value.replace('_', '-')} {show_length(bit.diameter_mm)}", first) for bit in file.bits
        )
        took = f" · {minutes(seconds[file.name])}" if file.name in seconds else ""
        out.append(Words(text=f"{number[file.name]}.  {file.name}", at=(0.0, y), size_mm=s, is_bold=True))
        out.append(_faint(bits + took, (1.6 * s, y - 1.3 * s), 0.9 * s))
        wide = max(wide, 0.55 * (len(file.name) + 4), 0.48 * len(bits + took) + 2)
    return out, wide * s, (2.1 + 3.0 * len(cut) - 1.5) * s


def _problems(findings: Sequence[Finding], board_wide_mm: float, s: float) -> Block:
    """The problems with their signs, each shown whole, on as many lines as it takes across the board."""
    out: list[Part] = [_heading("Problems", s)]
    wide, y = max(34 * s, board_wide_mm), -2.1 * s
    for number, finding in enumerate(findings[:_PROBLEMS_MOST], 1):
        out.append(sign((1.2 * s, y - 0.7 * s), str(number), severity=finding.severity, step_mm=0.8 * s))
        for line in wrap(finding.text, math.floor((wide / s - 3.2) / _LETTER_WIDTH)):
            out.append(Words(text=line, at=(3.2 * s, y), size_mm=s))
            y -= 1.3 * s
        y -= 0.7 * s
    if len(findings) > _PROBLEMS_MOST:
        out.append(_faint(f"and {len(findings) - _PROBLEMS_MOST} more in the summary", (3.2 * s, y), s))
        y -= 2.0 * s
    return out, wide, -y


_PROBLEMS_MOST: Final = 8
"""Signs beyond these stand on the plan, their sentences in the summary alone."""
