"""Grooves on a table saw, for straights and for those without a router: where the fence stands, pass by pass.

Glossary:
    fence distance: from the fence to the near side of the blade's kerf. Not to the blade's middle.
    kerf: width of the slot that the blade leaves in this wood, measured in a test cut. Not the plate's thickness.
    setting: one fence distance; every strip is run twice at each, turned end for end between, so that both grooves are
    cut alike and lie at the same distance from their own edges.
"""

import math
from dataclasses import dataclass

from platelayer.errors import CannotCut, Fault
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.pieces import TrackSizes


@dataclass(frozen=True, slots=True, kw_only=True)
class SawTable:
    """Settings for the two grooves of a strip.

    Attributes:
        fence_mm: fence distances in the order of use, from the outer wall of the groove inwards.
        blade_height_mm: height of the teeth over the table: the groove's depth.
        kerf_mm: as measured.
        passes_a_strip: times that a strip is pushed through: twice the settings.
        width_mm: groove that results.
    """

    fence_mm: tuple[float, ...]
    blade_height_mm: float
    kerf_mm: float
    passes_a_strip: int
    width_mm: float


def saw_table(track: TrackSizes, *, kerf_mm: float) -> SawTable:
    """Settings that cut both grooves of a track with a flat-topped blade of that kerf.

    The fewest settings that leave no ridge, spread evenly: the outermost wall is cut by the first, the inner by the
    last. Grooves come out straight, without flare at the ends.

    Args:
        track: cross-section.
        kerf_mm: kerf as measured.

    Raises:
        CannotCut: the kerf is not positive, or wider than the groove.
    """
    width = track.groove_width_mm
    if not 0 < kerf_mm <= width + COINCIDENT_MM:
        raise CannotCut(
            Fault(
                where="--kerf",
                found=show_length(kerf_mm),
                problem=f"must be more than nothing and no wider than a groove, {show_length(width)}",
                fix="Use a thinner blade, or a router for the grooves.",
            )
        )
    count = max(1, math.ceil(width / kerf_mm - COINCIDENT_MM))
    step = (width - kerf_mm) / (count - 1) if count > 1 else 0.0
    return SawTable(
        fence_mm=tuple(track.groove_outer_mm + index * step for index in range(count)),
        blade_height_mm=track.groove_depth_mm,
        kerf_mm=kerf_mm,
        passes_a_strip=2 * count,
        width_mm=kerf_mm + (count - 1) * step,
    )


def saw_table_lines(table: SawTable) -> tuple[str, ...]:
    """What to do at the saw, one sentence a line, both units."""
    settings = [
        f"Setting {index}: fence {show_length(fence)} from the near side of the teeth; run every strip, "
        "turn it end for end, run it again."
        for index, fence in enumerate(table.fence_mm, start=1)
    ]
    return (
        f"Blade with flat-topped teeth, kerf {show_length(table.kerf_mm)} as a test cut must show, "
        f"{show_length(table.blade_height_mm)} over the table.",
        *settings,
        f"{table.passes_a_strip} passes a strip make two grooves {show_length(table.width_mm)} wide. "
        "Straights only; groove long strips first, then cut them to length.",
        "The cut does not go through: set guard, riving knife and push blocks as the saw's manual says for that, or "
        "leave it.",
    )
