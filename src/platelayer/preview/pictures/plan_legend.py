"""Round the plan: title, rulers in both units, and the legend that says what every mark means.

Glossary:
    column: one of the legend's blocks: depth, marks, files, problems.
"""

import math
from collections.abc import Mapping, Sequence

from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.plan_marks import BACKING_STEPS, sign
from platelayer.preview.pictures.plan_swaths import CutFile
from platelayer.preview.pictures.svg import num, tag, text
from platelayer.units import inches, show_fraction, to_inches
from platelayer.values.findings import Finding
from platelayer.values.pieces import BoardFace

_SERIF = "'Liberation Serif', Georgia, 'DejaVu Serif', serif"


def title(manifest: Manifest, board: ManifestBoard, *, face: BoardFace, step_mm: float) -> str:
    """Name of the job, and under it board, sizes in both units, wood and machine."""
    width, height = board.size_mm
    sizes = f"{width:.1f} × {height:.1f} × {board.thickness_mm:.1f} mm"
    parts = " × ".join(show_fraction(part).removesuffix(" in") for part in (width, height, board.thickness_mm))
    up = f"board {board.id}, {face.value} face"
    if face is BoardFace.BOTTOM:
        up += " as seen through the board from above, its zero far left"
    under = [up, sizes, f"{parts} in", manifest.material, manifest.machine.id]
    return text(
        manifest.heading, 0.0, -9.6 * step_mm, size_mm=3.2 * step_mm, font_family=_SERIF, font_weight="bold"
    ) + text(
        "  ·  ".join(part for part in under if part),
        0.0,
        -7.2 * step_mm,
        size_mm=1.15 * step_mm,
        fill=palette.FAINT_INK,
    )


def rulers(board: ManifestBoard, *, step_mm: float) -> str:
    """Millimetres along the near and left edges, inches along the far and right edges."""
    width, height = board.size_mm
    every_mm = next(unit for unit in (10, 20, 50, 100, 200, 500, 10**9) if unit >= 3.4 * step_mm)
    every_in = next(unit for unit in (1, 2, 3, 6, 12, 24, 10**9) if inches(unit) >= 3.4 * step_mm)
    small_in = next(unit for unit in (0.125, 0.25, 0.5, 1, 3) if inches(unit) >= 0.5 * step_mm)
    ticks: list[str] = []
    names: list[str] = []
    for along, size in (("x", width), ("y", height)):
        small = every_mm / 10 if every_mm / 10 >= 0.45 * step_mm else every_mm / 5
        for count in range(math.floor(size / small) + 1):
            _tick(ticks, names, along, count * small, every_mm, f"{count * small:g}", board, step_mm, is_near=True)
        for count in range(math.floor(to_inches(size) / small_in) + 1):
            at = count * small_in
            label = f"{at:g}″"
            _tick(ticks, names, along, inches(at), inches(every_in), label, board, step_mm, is_near=False)
    frame = tag("path", d="".join(ticks), stroke=palette.INK, stroke_width=0.05 * step_mm, fill="none")
    units = text("mm", width + 0.8 * step_mm, height + 2.6 * step_mm, size_mm=0.85 * step_mm, fill=palette.FAINT_INK)
    units += text("in", -2.2 * step_mm, -1.8 * step_mm, size_mm=0.85 * step_mm, fill=palette.FAINT_INK)
    return frame + "".join(names) + units


def _tick(
    ticks: list[str],
    names: list[str],
    along: str,
    at: float,
    every: float,
    label: str,
    board: ManifestBoard,
    step_mm: float,
    *,
    is_near: bool,
) -> None:
    width, height = board.size_mm
    turn = at / every
    is_long = abs(turn - round(turn)) < 1 / 1000
    is_half = abs(2 * turn - round(2 * turn)) < 1 / 1000
    gap, reach = 0.5 * step_mm, (1.1 if is_long else 0.75 if is_half else 0.45) * step_mm
    size = 0.85 * step_mm
    if along == "x":
        gap += BACKING_STEPS * step_mm if board.is_strip else 0.0
        base = height + gap if is_near else -gap
        tip = base + (reach if is_near else -reach)
        ticks.append(f"M{num(at)} {num(base)}V{num(tip)}")
        if is_long:
            y = tip + (size if is_near else -0.25 * size)
            names.append(text(label, at, y, size_mm=size, text_anchor="middle", fill=palette.FAINT_INK))
        return
    base = -gap if is_near else width + gap
    tip = base + (-reach if is_near else reach)
    ticks.append(f"M{num(base)} {num(height - at)}H{num(tip)}")
    if is_long:
        x = tip + (-0.3 * size if is_near else 0.3 * size)
        anchor = "end" if is_near else "start"
        names.append(
            text(label, x, height - at + 0.35 * size, size_mm=size, text_anchor=anchor, fill=palette.FAINT_INK)
        )


def legend(
    manifest: Manifest,
    board: ManifestBoard,
    cut: Sequence[CutFile],
    *,
    seconds: Mapping[str, float],
    findings: Sequence[Finding],
    step_mm: float,
) -> tuple[str, float]:
    """The legend under the board, and the room it takes downwards from the board's near edge."""
    s = step_mm
    top = board.size_mm[1] + 6.2 * s
    blocks = [_depths(manifest, board, s), _marks(s), _files(cut, seconds, s)]
    if findings:
        blocks.append(_problems(findings, s))
    out, x, y, low = [], 0.0, top, 0.0
    for content, wide, tall in blocks:
        if x and x + wide > board.size_mm[0] + 4 * s:
            x, y = 0.0, low + 2.2 * s
        out.append(tag("g", content, transform=f"translate({num(x)} {num(y)})"))
        x += wide + 3 * s
        low = max(low, y + tall)
    return "".join(out), low - board.size_mm[1]


def _heading(content: str, s: float) -> str:
    return text(content, 0.0, 0.0, size_mm=1.25 * s, font_family=_SERIF, font_weight="bold")


def _depths(manifest: Manifest, board: ManifestBoard, s: float) -> tuple[str, float, float]:
    thick = board.thickness_mm
    mine = [piece for piece in manifest.pieces if piece.board == board.id]
    meant = {groove.depth_mm: "groove" for piece in mine for groove in piece.grooves}
    meant |= {thick - tab.height_mm: "over a tab" for piece in mine for tab in piece.tabs}
    meant |= {thick - piece.skin_mm: "over the skin" for piece in mine if piece.skin_mm > 0}
    rows = [
        (depth / thick, f"{depth:.2f} mm  ({show_fraction(depth)})", name) for depth, name in sorted(meant.items())[:6]
    ]
    if not rows:
        rows = [(part / 4, f"{thick * part / 4:.2f} mm  ({show_fraction(thick * part / 4)})", "") for part in (1, 2, 3)]
    rows.append((1.0, "through", ""))
    out = [_heading("Depth of cut", s)]
    for row, (share, sizes, name) in enumerate(rows):
        y = (1.0 + 1.6 * row) * s
        out.append(tag("rect", x=0.0, y=y, width=2.4 * s, height=1.6 * s, fill=palette.depth_colour(share)))
        out.append(text(sizes, 3 * s, y + 1.15 * s, size_mm=s))
        out.append(text(name, 13.4 * s, y + 1.15 * s, size_mm=s, fill=palette.FAINT_INK))
    return "".join(out), 19 * s, (1.0 + 1.6 * len(rows)) * s


def _marks(s: float) -> tuple[str, float, float]:
    width = 0.1 * s
    dash = f"{num(0.7 * s)} {num(0.35 * s)}"
    box = f"M0 {num(-0.75 * s)}h{num(2.4 * s)}v{num(1.1 * s)}h{num(-2.4 * s)}z"
    half = "M0.9 0A0.9 0.9 0 0 0 0 -0.9V0ZM-0.9 0A0.9 0.9 0 0 0 0 0.9V0Z"
    rows = [
        (tag("path", d=box, fill=palette.MAPLE, stroke=palette.INK, stroke_width=width), "piece, outline as designed"),
        (tag("path", d=box, fill=palette.WASTE), "waste"),
        (
            tag("circle", cx=1.2 * s, cy=-0.2 * s, r=0.9 * s, fill=palette.INK)
            + text("3", 1.2 * s, 0.15 * s, size_mm=s, fill="#ffffff", text_anchor="middle", font_weight="bold"),
            "order of cutting",
        ),
        (
            tag(
                "rect", x=0.4 * s, y=-0.6 * s, width=1.6 * s, height=0.8 * s, fill=palette.VERMILLION, stroke="#ffffff"
            ),
            "tab: wood left, saw it by hand",
        ),
        (
            tag(
                "path",
                d=f"M0 {num(-0.2 * s)}H{num(2.4 * s)}",
                stroke=palette.BLUE,
                stroke_width=0.12 * s,
                stroke_dasharray=dash,
            ),
            "rapid, bit in the air",
        ),
        (tag("path", d=box, fill="url(#nogo)", stroke=palette.INK, stroke_width=width), "no-go: clamp, screw, knot"),
        (
            tag(
                "g",
                tag("circle", r=0.9, fill="#ffffff", stroke=palette.INK, stroke_width=0.1)
                + tag("path", d=half, fill=palette.INK),
                transform=f"translate({num(1.2 * s)} {num(-0.2 * s)}) scale({num(s)})",
            ),
            "program zero",
        ),
    ]
    out = [_heading("Marks", s)]
    for row, (mark, words) in enumerate(rows):
        out.append(
            tag(
                "g",
                mark + text(words, 3.2 * s, 0.15 * s, size_mm=s),
                transform=f"translate(0 {num((2.1 + 1.7 * row) * s)})",
            )
        )
    return "".join(out), 18 * s, (2.1 + 1.7 * len(rows) - 1.2) * s


def _files(cut: Sequence[CutFile], seconds: Mapping[str, float], s: float) -> tuple[str, float, float]:
    out = [_heading("Files, in order", s)]
    wide = 16.0
    for row, (_, file) in enumerate(cut):
        y = (2.1 + 3.0 * row) * s
        bits = ", ".join(
            f"{bit.kind.value.replace('_', '-')} {bit.diameter_mm:.3f} mm ({show_fraction(bit.diameter_mm)})"
            for bit in file.bits
        )
        minutes = f" · {seconds[file.name] / 60:.0f} min" if file.name in seconds else ""
        out.append(text(f"{row + 1}.  {file.name}", 0.0, y, size_mm=s, font_weight="bold"))
        out.append(text(bits + minutes, 1.6 * s, y + 1.3 * s, size_mm=0.9 * s, fill=palette.FAINT_INK))
        wide = max(wide, 0.55 * (len(file.name) + 4), 0.48 * len(bits + minutes) + 2)
    return "".join(out), wide * s, (2.1 + 3.0 * len(cut) - 1.5) * s


def _problems(findings: Sequence[Finding], s: float) -> tuple[str, float, float]:
    out = [_heading("Problems", s)]
    kept = list(findings)[:8]
    for row, finding in enumerate(kept):
        y = (2.1 + 2.0 * row) * s
        out.append(sign(1.2 * s, y + 0.7 * s, str(row + 1), severity=finding.severity, step_mm=0.8 * s))
        words = finding.text if len(finding.text) <= 60 else finding.text[:59] + "…"
        out.append(text(words, 3.2 * s, y, size_mm=s))
    if len(findings) > len(kept):
        more = f"and {len(findings) - len(kept)} more"
        out.append(text(more, 3.2 * s, (2.1 + 2.0 * len(kept)) * s, size_mm=s, fill=palette.FAINT_INK))
    return "".join(out), 34 * s, (2.1 + 2.0 * (len(kept) + (len(findings) > len(kept)))) * s
