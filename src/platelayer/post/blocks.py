"""Motions as lines: rapids, feeds and passes, each line valid on its own.

Glossary:
    pen: where the program has brought the bit, with the lines written so far.
    rapid height: as low as the bit goes at rapid while it moves sideways. safe height: where files start and end.
    shift: what turns z 0 at the board's top into the machine's zero.
"""

import math
from dataclasses import dataclass, field
from typing import Final

from platelayer.post.dialect import feed_word
from platelayer.post.rounding import Grid, Leg, Place, legs_of
from platelayer.post.words import LINE_LENGTH_MOST, word
from platelayer.tolerances import RAPID_CLEARANCE_MM
from platelayer.values.cuts import FeedKind, Pass, Step
from platelayer.values.tooling import Board, CutData, Machine

NO_GO_CLEARANCE_MM: Final = 2.0
"""Height kept above the highest no-go area when the bit moves sideways at rapid. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Heights above the board's top, and the shift to the machine's zero, mm."""

    safe_mm: float
    rapid_mm: float
    shift_mm: float


@dataclass(slots=True, kw_only=True)
class Pen:
    """The program so far. Unknown coordinates are None: after a pause every word is written again."""

    machine: Machine
    grid: Grid
    heights: Heights
    lines: list[str] = field(default_factory=list)
    x: int | None = None
    y: int | None = None
    z: int | None = None
    feed: str = ""

    def forget(self) -> None:
        """After a pause nothing is taken for granted."""
        self.x = self.y = self.z = None
        self.feed = ""


def heights_of(machine: Machine, board: Board) -> Heights:
    """Safe and rapid heights, lifted over the highest no-go area of the board where there is one."""
    over = max((no_go.height_mm + NO_GO_CLEARANCE_MM for no_go in board.no_go), default=0.0)
    rapid_mm = max(machine.clear_z_mm, 2 * RAPID_CLEARANCE_MM, over)
    shift_mm = board.thickness_mm if board.zero == "spoilboard" else 0.0
    return Heights(safe_mm=max(machine.safe_z_mm, rapid_mm), rapid_mm=rapid_mm, shift_mm=shift_mm)


def rapid_to_height(pen: Pen, height_mm: float) -> None:
    """Z alone, at rapid, up or down to a height above the board's top; no lower than the rapid height."""
    z = _level(pen, height_mm)
    if z != pen.z:
        pen.lines.append(f"G0 {word('Z', z, decimals=pen.grid.decimals)}")
        pen.z = z


def rapid_across(pen: Pen, x: float, y: float) -> None:
    """X and Y alone, at rapid, at the height the bit has."""
    assert pen.z is not None, "the height is known before the bit moves sideways"
    _write(pen, "G0", Leg((pen.grid.digits(x), pen.grid.digits(y), pen.z)), "")


def write_pass(pen: Pen, cut_pass: Pass, data: CutData, *, may_continue: bool) -> None:
    """One pass: to its start and down to it, then its steps at feed.

    ``may_continue`` allows to go on without lifting over the wood where the pass starts above or below the place where
    the last one ended, or where it has a way there.
    """
    x, y = pen.grid.digits(cut_pass.start[0]), pen.grid.digits(cut_pass.start[1])
    if may_continue and pen.z is not None and ((x, y) == (pen.x, pen.y) or cut_pass.way_z_mm < 0):
        _go_on(pen, cut_pass, data)
    else:
        if pen.z is None or pen.z < _level(pen, pen.heights.rapid_mm):
            rapid_to_height(pen, pen.heights.rapid_mm)
        rapid_across(pen, cut_pass.start[0], cut_pass.start[1])
        rapid_to_height(pen, pen.heights.rapid_mm)
    _descend(pen, cut_pass, data)
    for step in cut_pass.steps:
        feed = feed_word(feed_mm_min(step, data, pen.machine), pen.machine.dialect)
        for leg in _legs(pen, step):
            name = "G1" if leg.offset is None else "G3" if leg.is_ccw else "G2"
            _write(pen, name, leg, feed)


def _go_on(pen: Pen, cut_pass: Pass, data: CutData) -> None:
    """To above the start without leaving the slot: up where the pass begins higher or its way is, and along the way."""
    x, y = pen.grid.digits(cut_pass.start[0]), pen.grid.digits(cut_pass.start[1])
    assert pen.z is not None, "the bit is where the pass before ended"
    if (x, y) != (pen.x, pen.y):
        _rise(pen, _level(pen, cut_pass.way_z_mm))
        fastest = min(pen.machine.feed_max_mm_min[:2])
        feed = max(fastest, data.feed_mm_min) if cut_pass.is_way_open else data.feed_mm_min
        _write(pen, "G1", Leg((x, y, pen.z)), feed_word(_limited(feed, 0.0, pen.machine), pen.machine.dialect))
    _rise(pen, _level(pen, cut_pass.steps[0].z_start))


def _rise(pen: Pen, z: int) -> None:
    """Straight up at rapid, where that is up."""
    if pen.z is not None and pen.z < z:
        pen.lines.append(f"G0 {word('Z', z, decimals=pen.grid.decimals)}")
        pen.z = z


def _descend(pen: Pen, cut_pass: Pass, data: CutData) -> None:
    """Down to the start: at the axis's own limit to RAPID_CLEARANCE_MM above what may be wood, then at the plunge.

    What may be wood stands as high as the cuts were written, which is a last digit above the plan.
    """
    x, y = pen.grid.digits(cut_pass.start[0]), pen.grid.digits(cut_pass.start[1])
    z = _level(pen, cut_pass.steps[0].z_start)
    fast_z = max(z, _level(pen, cut_pass.clear_z_mm) + pen.grid.level_digits(RAPID_CLEARANCE_MM))
    for level, feed in ((fast_z, pen.machine.feed_max_mm_min[2]), (z, data.plunge_mm_min)):
        if pen.z is not None and level < pen.z:
            word_of = feed_word(_limited(feed, 1.0, pen.machine), pen.machine.dialect)
            _write(pen, "G1", Leg((x, y, level)), word_of)


def feed_mm_min(step: Step, data: CutData, machine: Machine) -> float:
    """The feed of a step along its path: its own, or as cut data say; no faster down than the plunge, nor the machine.

    A ramp of slope s (rise over length along the path) goes down at feed times s, which may not exceed the plunge.
    """
    fall = step.z_start - step.z_end
    along = math.hypot(step.segment.length_mm, fall)
    steepness = abs(fall) / along if along else 0.0
    feed = step.feed_mm_min or (data.plunge_mm_min if step.feed is FeedKind.PLUNGE else data.feed_mm_min)
    if fall > 0 and steepness > 0:
        feed = min(feed, data.plunge_mm_min / steepness)
    return _limited(feed, steepness, machine)


def _limited(feed: float, steepness: float, machine: Machine) -> float:
    """The feed cut down to what the machine's axes can do on a path of this steepness (rise over length)."""
    level = math.sqrt(max(1 - steepness**2, 0.0))
    limits = [machine.feed_max_mm_min[2] / steepness] if steepness else []
    limits += [min(machine.feed_max_mm_min[:2]) / level] if level else []
    return min(feed, *limits)


def _level(pen: Pen, height_mm: float) -> int:
    return pen.grid.level_digits(height_mm + pen.heights.shift_mm)


def _legs(pen: Pen, step: Step) -> list[Leg]:
    start: Place = (pen.x or 0, pen.y or 0, pen.z or 0)
    shift = pen.heights.shift_mm
    return legs_of(
        step.segment,
        z_start=step.z_start + shift,
        z_end=step.z_end + shift,
        start=start,
        grid=pen.grid,
        has_arcs=pen.machine.dialect.arcs,
    )


def _write(pen: Pen, name: str, leg: Leg, feed: str) -> None:
    """One motion: words that change, both of X and Y on an arc; nothing when nothing moves."""
    decimals, is_arc = pen.grid.decimals, leg.offset is not None
    ends = zip("XYZ", leg.end, (pen.x, pen.y, pen.z), strict=True)
    words = [word(letter, to, decimals=decimals) for letter, to, at in ends if to != at or (is_arc and letter != "Z")]
    if leg.offset is not None:
        words += [word(letter, by, decimals=decimals) for letter, by in zip("IJ", leg.offset, strict=True)]
    if not words:
        return
    if feed and feed != pen.feed:
        words.append(feed)
        pen.feed = feed
    line = " ".join([name, *words])
    if len(line) > LINE_LENGTH_MOST and feed and words[-1] == feed:
        pen.lines.append(feed)
        line = " ".join([name, *words[:-1]])
    pen.lines.append(line)
    pen.x, pen.y, pen.z = leg.end
