"""Twelve ways to spoil a good file, each by changing its text and nothing else."""

import math
import re
from collections.abc import Callable, Iterator

from platelayer.manifest.schema import Manifest

NUMBER = r"(-?\d+(?:\.\d*)?)"


def word(line: str, letter: str) -> float | None:
    found = re.search(letter + NUMBER, line)
    return float(found[1]) if found and not line.startswith("(") else None


def with_word(line: str, letter: str, value: float) -> str:
    return re.sub(letter + NUMBER, f"{letter}{value:.4f}", line)


def followed(lines: list[str]) -> Iterator[tuple[int, str, tuple[float, float, float], tuple[float, float, float]]]:
    """Index, line, place before and place after of every line, in millimetre programs."""
    at = (0.0, 0.0, 0.0)
    for index, line in enumerate(lines):
        to = tuple(old if new is None else new for new, old in zip((word(line, c) for c in "XYZ"), at, strict=True))
        yield index, line, at, to
        at = to


def rapid_lowered(text: str, manifest: Manifest) -> str:
    """A lift in the middle of the file stops short of safe height, so that the next rapid goes low."""
    lines = text.splitlines()
    lifts = [i for i, line in enumerate(lines) if re.fullmatch(r"G0 Z\d+\.\d+", line)]
    middle = lifts[len(lifts) // 2]
    lines[middle] = with_word(lines[middle], "Z", 0.2)
    return "\n".join(lines) + "\n"


def z_too_deep(text: str, manifest: Manifest) -> str:
    """One cutting line's Z goes a millimetre further down."""
    lines = text.splitlines()
    deepest = min(z for line in lines if line.startswith("G1") and (z := word(line, "Z")) is not None)
    at = [i for i, line in enumerate(lines) if line.startswith("G1") and word(line, "Z") == deepest][-1]
    lines[at] = with_word(lines[at], "Z", deepest - 1)
    return "\n".join(lines) + "\n"


def arc_radii_differ(text: str, manifest: Manifest) -> str:
    """An arc's I is off by 0.03 mm."""
    lines = text.splitlines()
    at = next(
        i
        for i, line, (x0, y0, _), (x1, y1, _) in followed(lines)
        if line[:2] in {"G2", "G3"} and math.dist((x0, y0), (x1, y1)) > 2
    )
    lines[at] = with_word(lines[at], "I", word(lines[at], "I") + 0.03)
    return "\n".join(lines) + "\n"


def arc_bent(text: str, manifest: Manifest) -> str:
    """An arc's centre slides along the chord's bisector: both radii still agree, the arc bulges otherwise.

    The last arc wider than 4 mm is taken, which is cut at full depth round the last piece's peg.
    """
    lines = text.splitlines()
    arcs = [
        (i, (x0, y0), (x1, y1))
        for i, line, (x0, y0, _), (x1, y1, _) in followed(lines)
        if line[:2] in {"G2", "G3"} and math.dist((x0, y0), (x1, y1)) > 4
    ]
    at, start, end = arcs[-1]
    chord = math.dist(start, end)
    across = (-(end[1] - start[1]) / chord, (end[0] - start[0]) / chord)
    centre = (start[0] + word(lines[at], "I"), start[1] + word(lines[at], "J"))
    moved = (centre[0] + 0.5 * across[0], centre[1] + 0.5 * across[1])
    lines[at] = with_word(with_word(lines[at], "I", moved[0] - start[0]), "J", moved[1] - start[1])
    return "\n".join(lines) + "\n"


def tab_removed(text: str, manifest: Manifest) -> str:
    """Every lift over one tab is taken out: the bit goes on at the depth it had."""
    tab = manifest.pieces[0].tabs[-1]
    thick = manifest.boards[0].thickness_mm
    top = -(thick - tab.height_mm)
    lines = text.splitlines()
    depth = 0.0
    for index, line, (_, _, z0), (x, y, z) in list(followed(lines)):
        is_near = abs(x - tab.at[0]) < tab.width_mm + 8 and abs(y - tab.at[1]) < 3
        if is_near and word(line, "Z") is not None and abs(z - top) < 1e-6 and z0 < z:
            depth = z0
        if is_near and word(line, "Z") is not None and abs(z - top) < 1e-6 and depth:
            lines[index] = with_word(line, "Z", depth)
    return "\n".join(lines) + "\n"


def tail_cut_off(text: str, manifest: Manifest) -> str:
    """The last third of the lines is lost."""
    lines = text.splitlines()
    return "\n".join(lines[: 2 * len(lines) // 3]) + "\n"


def units_swapped(text: str, manifest: Manifest) -> str:
    """G21 becomes G20 throughout."""
    return text.replace("G21", "G20")


def spindle_never_started(text: str, manifest: Manifest) -> str:
    """No M3."""
    return "".join(line for line in text.splitlines(keepends=True) if not line.startswith("M3"))


def feed_of_zero(text: str, manifest: Manifest) -> str:
    """One feed in the middle is F0."""
    lines = text.splitlines()
    fed = [i for i, line in enumerate(lines) if line.startswith("G1") and " F" in line]
    at = fed[len(fed) // 2]
    lines[at] = re.sub(r"F\d+", "F0", lines[at])
    return "\n".join(lines) + "\n"


def piece_shifted(text: str, manifest: Manifest) -> str:
    """Everything cut for the last piece lies 0.2 mm further along x."""
    lines, last, is_last = text.splitlines(), f"(piece {len(manifest.pieces)}", False
    for index, line in enumerate(lines):
        if line.startswith("(piece"):
            is_last = line.startswith(last)
        if line.startswith("M5"):
            break
        x = word(line, "X")
        if is_last and x is not None:
            lines[index] = with_word(line, "X", x + 0.2)
    return "\n".join(lines) + "\n"


def groove_missing(text: str, manifest: Manifest) -> str:
    """The lines of one groove are left out; the bit goes on from its lift."""
    lines, kept, is_out = text.splitlines(), [], False
    for line in lines:
        if line.startswith("("):
            is_out = line == "(piece 1 groove 2)"
        if not is_out:
            kept.append(line)
    return "\n".join(kept) + "\n"


def plunge_after_tab(text: str, manifest: Manifest) -> str:
    """In the last pass the bit comes down after a tab straight, not by the flank."""
    tab = manifest.pieces[-1].tabs[-1]
    top = -(manifest.boards[0].thickness_mm - tab.height_mm)
    lines = text.splitlines()
    downs = [
        index
        for index, line, (_, _, z0), (_, _, z) in followed(lines)
        if line.startswith("G1") and abs(z0 - top) < 1e-6 and z < top - 2
    ]
    at = downs[-1]
    z = word(lines[at], "Z")
    lines[at : at + 1] = [f"G1 Z{z:.4f} F300", re.sub(r" Z-?[\d.]+", "", lines[at])]
    return "\n".join(lines) + "\n"


DAMAGES: tuple[Callable[[str, Manifest], str], ...] = (
    rapid_lowered,
    z_too_deep,
    arc_radii_differ,
    arc_bent,
    tab_removed,
    tail_cut_off,
    units_swapped,
    spindle_never_started,
    feed_of_zero,
    piece_shifted,
    groove_missing,
    plunge_after_tab,
)
