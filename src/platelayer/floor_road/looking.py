"""A floor as a person looks at it: its drawing, its ends, and what is said of it, for a file or a page.

Glossary:
    view: all of it as plain values; lengths in the reader's own unit already.
"""

import math
from dataclasses import dataclass

from platelayer.floor_road.answers import answer_lines, answer_svg, said_of
from platelayer.floor_road.checking import Checked, check_lines, judged_lines, open_end_names
from platelayer.floor_road.closing import Answers, gap_names
from platelayer.floor_road.cut_list import piece_table
from platelayer.floor_road.ground import Ground
from platelayer.preview.pictures.floor_plan import floor_svg
from platelayer.units import worded


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSeen:
    """An end on the floor: name, kind, place and heading, and whether nothing is joined to it."""

    name: str
    kind: str
    x: float
    y: float
    heading_deg: float
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorView:
    """A floor drawn and in sentences; ``is_good`` where every stretch comes to what it is to meet.

    ``gaps`` are the names of what may be closed.
    """

    title: str
    svg: str
    lines: tuple[str, ...]
    ends: tuple[EndSeen, ...]
    gaps: tuple[str, ...]
    is_good: bool


def view_of(checked: Checked) -> FloorView:
    """The view of a floor that was checked."""
    floor = checked.ground.floor
    faults = [str(fault) for fault in checked.ground.faults]
    return FloorView(
        title=floor.title,
        svg=drawing(checked),
        lines=(*(worded(line, floor.units) for line in check_lines(checked)), *faults),
        ends=_ends(checked.ground, set(open_end_names(checked))),
        gaps=gap_names(checked),
        is_good=checked.is_good,
    )


def drawing(checked: Checked) -> str:
    """The floor as SVG text, with what its stretches miss in words."""
    ground = checked.ground
    notes = [" ".join(judged_lines(one)) for one in checked.judged]
    return floor_svg(ground.laid, width_mm=ground.width_mm, notes=notes, unit=ground.floor.units)


def _ends(ground: Ground, open_names: set[str]) -> tuple[EndSeen, ...]:
    return tuple(
        EndSeen(
            name=name,
            kind=end.kind.value,
            x=end.pose.x,
            y=end.pose.y,
            heading_deg=math.degrees(end.pose.heading_rad),
            is_open=name in open_names,
        )
        for piece in ground.laid.pieces
        for end in piece.ends
        for name in (f"{piece.id}.{end.name}",)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSeen:
    """One answer to a gap: pieces in words, sentences, the drawing of the floor with it, and what is new.

    Attributes:
        new: by the keys of a job's piece.
        share_ratio: of their play that joints use.
        seconds_s: of machine time.
    """

    pieces: str
    lines: tuple[str, ...]
    svg: str
    new: tuple[dict[str, object], ...]
    share_ratio: float
    seconds_s: float
    boards: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingView:
    """The answers to one gap, best first, and all that is said of them."""

    gap: str
    lines: tuple[str, ...]
    answers: tuple[AnswerSeen, ...]


def closing_view(ground: Ground, found: Answers) -> ClosingView:
    """The view of a gap's answers."""
    unit = ground.floor.units
    return ClosingView(
        gap=found.asked.gap.name,
        lines=tuple(worded(line, unit) for line in answer_lines(found)),
        answers=tuple(
            AnswerSeen(
                pieces=one.pieces,
                lines=tuple(worded(line, unit) for line in said_of(one)),
                svg=answer_svg(ground, found, one),
                new=tuple(piece_table(order) for order in one.orders),
                share_ratio=one.closed.share_ratio,
                seconds_s=one.cost.seconds_s,
                boards=one.cost.boards,
            )
            for one in found.answers
        ),
    )
