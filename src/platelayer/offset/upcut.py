"""Whether a compression bit reaches past its own up-cut tip where it leaves the upper edge of a wall.

Such a bit throws the chip up at its tip and down above it: both faces of a panel stay whole, but only where one pass
takes the wall from below the tip's length to the top. A shallower pass cuts the upper edge with the tip alone.

Glossary:
    up-cut tip: the length from the tip over which the flutes throw the chip up.
    first level: the z on which the uppermost pass that leaves a wall runs. Not a stepdown: roughing leaves no wall.
"""

from collections.abc import Sequence

from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.tooling import Bit, FluteDirection, Job

_WALLS = {
    CutKind.GROOVE: "the grooves",
    CutKind.SOCKET: "the sockets",
    CutKind.NOTCH: "the pegs",
    CutKind.OUTLINE: "the outline",
}
"""Cuts that leave a wall up to the face, and what a person calls what they leave."""


def upcut_findings(cuts: Sequence[Cut], *, job: Job) -> tuple[Finding, ...]:
    """A warning for each sort of wall whose first level lies in the up-cut tip, or where that is not known."""
    walls = [(cut, job.bit(cut.bit_id)) for cut in cuts if cut.kind in _WALLS and not _is_opening(cut, job)]
    found = [
        _finding(bit, cut)
        for cut, bit in walls
        if bit.flute_direction is FluteDirection.COMPRESSION
        and (not bit.upcut_length_mm or first_level_mm(cut) <= bit.upcut_length_mm + COINCIDENT_MM)
    ]
    return tuple(dict.fromkeys(found))


def _is_opening(cut: Cut, job: Job) -> bool:
    """A larger bit only opens the socket: its wall is left to the joints bit."""
    return cut.kind is CutKind.SOCKET and cut.bit_id != job.joints_bit


def first_level_mm(cut: Cut) -> float:
    """Depth of the first level of a cut that leaves a wall, mm; of its roughing where nothing finishes it."""
    steps = [step for one in cut.passes if one.is_finish for step in one.steps]
    steps = steps or [step for one in cut.passes for step in one.steps]
    return next((-step.z_end for step in steps if step.z_start == step.z_end < -COINCIDENT_MM), 0.0)


def _finding(bit: Bit, cut: Cut) -> Finding:
    level_mm, deep_mm = first_level_mm(cut), -min(step.z_end for one in cut.passes for step in one.steps)
    walls = _WALLS[cut.kind]
    level, tip = show_length(level_mm), show_length(bit.upcut_length_mm)
    if not bit.upcut_length_mm:
        text = f"the length of the up-cut tip of {bit.id} is not known; the first pass on {walls} goes {level} deep."
        advice = "Measure it and write upcut_length in [[bit]]; that pass has to go deeper, or the upper edge tears."
    else:
        text = f"{bit.id} finishes {walls} {level} deep at first, with nothing but its up-cut tip of {tip}: it lifts "
        text += "the fibres of the upper edge, as an up-cut bit does."
        advice = f"Name a down-cut or straight bit for {walls}: they are no deeper than that tip is long."
        if deep_mm > bit.upcut_length_mm + COINCIDENT_MM:
            advice = f"List a stepdown of more than {tip} for it in [[feeds]] of the machine, or name a down-cut bit."
    return Finding(
        code=Code.CUTTING_UPCUT_TIP,
        severity=Severity.WARNING,
        text=text,
        advice=advice,
        measured=level_mm,
        limit=bit.upcut_length_mm,
    )
