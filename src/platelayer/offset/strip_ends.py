"""The ends of a piece on a strip of track width: cut across from edge to edge, and bridged beside the long edges.

Glossary:
    way: where the bit's centre goes across a strip in front of an end face, dodging a peg; from the strip's one long
        edge to the other. Not a loop: the long edges stay untouched.
    bridge: a tab at a corner of the piece, between the end face and the waste before it, to be sawn.
    middle (of a way): the part of it between the bridges, which goes right through.

The bit never leaves the strip with its centre, so it reaches past a long edge by its radius, above the bridges only.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import reversed_contour, transform_point
from platelayer.offset.depths import canyon_levels, levels
from platelayer.offset.entries import to_and_fro
from platelayer.offset.finish_ways import finish_pass, finish_way
from platelayer.offset.outlines import OutlineTask, deep_slot, near_loop, whole_loop
from platelayer.offset.paths import nearest_along, steps_along, stretch
from platelayer.offset.room import widening_mm
from platelayer.offset.tabs import tab_height_mm
from platelayer.tolerances import FINISH_ALLOWANCE_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind, Pass, Step, Tab
from platelayer.values.findings import Finding
from platelayer.values.pieces import End
from platelayer.values.shapes import Contour, Line
from platelayer.values.thin_cuts import ThinCut


@dataclass(frozen=True, slots=True, kw_only=True)
class StripEnds:
    """Both ends' cut, the bridges in the piece's own frame, and what was noticed."""

    cut: Cut
    tabs: tuple[Tab, ...]
    findings: tuple[Finding, ...]


def cut_strip_ends(task: OutlineTask) -> StripEnds:
    """Both ends of a straight, each roughed down to the bridges, through between them, and finished by climb.

    Raises:
        CannotCut: bridges that leave no way between them, or a bit too wide to go round a peg.
    """
    passes: list[Pass] = []
    tabs: list[Tab] = []
    findings: tuple[Finding, ...] = ()
    for end in task.piece.ends:
        found, findings = _end_passes(task, end)
        passes += found
        tabs += _bridges(task, end)
    cut = Cut(piece_id=task.piece.id, kind=CutKind.OUTLINE, bit_id=task.bit.id, passes=tuple(passes))
    return StripEnds(cut=cut, tabs=tuple(tabs), findings=findings)


def _bridges(task: OutlineTask, end: End) -> list[Tab]:
    """The two bridges of an end, at the outermost parts of its face."""
    aside = (task.board.height_mm - task.holding.tab_width_mm) / 2
    height = tab_height_mm(task.holding, task.board)
    return [Tab(transform_point((0.0, y), end.pose), task.holding.tab_width_mm, height) for y in (-aside, aside)]


def _end_passes(task: OutlineTask, end: End) -> tuple[list[Pass], tuple[Finding, ...]]:
    bit = task.bit
    over_mm = task.board.thickness_mm - tab_height_mm(task.holding, task.board)
    near = _way(task, end, near_loop(task), bit.radius_mm + FINISH_ALLOWANCE_MM)
    finish = reversed_contour(_way(task, end, whole_loop(task, bit.radius_mm), bit.radius_mm))
    upper = levels(over_mm, task.data.stepdown_mm)
    lower = levels(task.depth_mm, task.data.stepdown_mm, from_mm=over_mm)
    passes, findings = _rough(task, end, near, upper)
    passes.append(to_and_fro(_middle(task, near), upper[-1], lower))
    slot = reversed_contour(near)
    way = finish_way(over_mm, bit=bit, data=task.data, side_mm=FINISH_ALLOWANCE_MM)
    passes += [_finish(task, slot, finish, level, way.thin) for level in way.levels]
    passes.append(_finish(task, _middle(task, slot), _middle(task, finish), -task.depth_mm, None))
    return passes, findings


def _way(task: OutlineTask, end: End, loop: Contour, distance_mm: float) -> Contour:
    """The way across in front of an end along a loop at a distance from the piece, counter-clockwise round it."""
    half = task.board.height_mm / 2
    first, last = (nearest_along(loop, transform_point((distance_mm, y), end.pose)) for y in (-half, half))
    return stretch(loop, first, last if last > first else last + loop.length_mm)


def _middle(task: OutlineTask, way: Contour) -> Contour:
    """The way without its ends, over the bridges.

    Raises:
        CannotCut: nothing is left.
    """
    clear = task.holding.tab_width_mm + task.bit.radius_mm
    if way.length_mm <= 2 * clear + task.bit.diameter_mm:
        raise CannotCut(
            Fault(
                where="[holding] tab_width",
                found=show_length(task.holding.tab_width_mm),
                problem=f"two bridges beside the edges of a strip "
                f"{show_length(task.board.height_mm)} wide leave no "
                "way between them for the bit",
                fix="Use narrower tabs.",
            )
        )
    return stretch(way, clear, way.length_mm - clear)


def _rough(task: OutlineTask, end: End, near: Contour, down: Sequence[float]) -> tuple[list[Pass], tuple[Finding, ...]]:
    """The near way down to the bridges; a wider one beside it as far down as the slot would be too deep otherwise."""
    first = canyon_levels(levels(task.depth_mm, task.data.stepdown_mm), task.bit, depth_mm=task.depth_mm)
    if not first:
        return [to_and_fro(near, 0.0, down)], ()
    more = widening_mm(task.bit, task.data, depth_mm=task.depth_mm, clearance_mm=task.clearance_mm)
    if more <= 0:
        return [to_and_fro(near, 0.0, down)], (deep_slot(task),)
    wide_mm = task.bit.radius_mm + FINISH_ALLOWANCE_MM + more
    wide = _way(task, end, whole_loop(task, wide_mm), wide_mm)
    count = min(len(first), len(down))
    passes = [to_and_fro(near, 0.0, down[:count]), to_and_fro(wide, 0.0, down[:count])]
    if count < len(down):
        passes.append(to_and_fro(near, down[count - 1], down[count:]))
    return passes, ()


def _finish(task: OutlineTask, slot: Contour, way: Contour, level: float, thin: ThinCut | None) -> Pass:
    """Down in the roughed slot, sideways onto the finish way, along it and back into the slot."""
    middle = steps_along(way, ((0.0, level), (way.length_mm, level)))
    way_in = Step(Line(slot.start, middle[0].segment.start), level, level)
    way_out = Step(Line(middle[-1].segment.end, slot.end), level, level)
    return finish_pass(way_in, middle, way_out, thin=thin, bit=task.bit, data=task.data, rough=slot)
