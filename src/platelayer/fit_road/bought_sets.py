"""A bought set by caliper: the file to fill in, what its sizes come to, and what of ours would not couple with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.fit.bought import (
    LETTERS,
    BoughtSize,
    MeasuredSize,
    clashes,
    in_their_socket,
    measured,
    round_their_peg,
    sharp_mouth_words,
    sizes_from,
)
from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import as_designed
from platelayer.fit.target_play import shape_for
from platelayer.job.bought_readings import bought_template, read_bought
from platelayer.pieces.sizes import check_joint
from platelayer.preview.pictures.caliper_places import bought_page
from platelayer.road.tuning import cutter_of
from platelayer.tolerances import FLOOR_STEP_MM
from platelayer.units import show_length, show_small
from platelayer.values.pieces import CornerRadii, JointSizes
from platelayer.values.tooling import Job

_KEYS: Final = {
    "neck_width_mm": "neck",
    "head_diameter_mm": "head",
    "head_setback_mm": "peg_length",
    "mouth_width_mm": "mouth",
    "hole_diameter_mm": "hole",
    "hole_setback_mm": "socket_depth",
}


@dataclass(frozen=True, slots=True)
class BoughtSet:
    """A set's sizes with their spread, and the joint that follows."""

    measures: Mapping[BoughtSize, MeasuredSize]
    sizes: JointSizes

    @property
    def socket_spread_mm(self) -> tuple[float, float, float]:
        """Spread of mouth, hole and socket depth."""
        return self._spreads(BoughtSize.MOUTH, BoughtSize.HOLE, BoughtSize.SOCKET_DEPTH)

    @property
    def peg_spread_mm(self) -> tuple[float, float, float]:
        """Spread of neck, head and peg length."""
        return self._spreads(BoughtSize.NECK, BoughtSize.HEAD, BoughtSize.PEG_LENGTH)

    def _spreads(self, across: BoughtSize, round_: BoughtSize, along: BoughtSize) -> tuple[float, float, float]:
        return self.measures[across].spread_mm, self.measures[round_].spread_mm, self.measures[along].spread_mm


def write_new(file: Path, job: Job, *, force: bool) -> Path:
    """A readings file to fill in, and beside it the drawing that shows where to measure; the drawing's place.

    Raises:
        JobError: one of the two exists already, or the place cannot be written.
    """
    if file.is_dir():
        raise JobError(Fault(where=str(file), problem="a folder, where a file is wanted"))
    drawing = file.with_suffix(".svg")
    for place in (file, drawing):
        files.check_free(place, force=force)
    shape = as_designed(job.joint, width_mm=job.track.width_mm, corners=CornerRadii())
    files.write_file(file, bought_template(), force=force)
    files.write_file(drawing, bought_page(shape, job.track), force=force)
    return drawing


def read_sets(places: Sequence[Path]) -> BoughtSet:
    """The set that all these files together describe.

    Raises:
        JobError: faults of the files, sizes that nobody measured, or of which no joint can be made.
    """
    read = [read_bought(files.read_text(place), file=str(place)) for place in places]
    pooled = {
        size: tuple(value for one in read for value in one.get(size, ()))
        for size in BoughtSize
        if any(size in one for one in read)
    }
    shown = ", ".join(str(place) for place in places)
    try:
        measures = {size: measured(values) for size, values in pooled.items()}
        sizes = sizes_from(measures)
    except ValueError as error:
        raise JobError(
            Fault(where=shown, problem=str(error), fix="Measure it, or take it from another piece.")
        ) from error
    faults = (*check_joint(sizes, table="mate"), *_setback_faults(sizes), *_floor_faults(measures))
    if faults:
        raise JobError(*faults).in_file(shown)
    return BoughtSet(measures, sizes)


def _setback_faults(sizes: JointSizes) -> tuple[Fault, ...]:
    pairs = (
        ("peg_length", sizes.head_setback_mm, "the head is"),
        ("socket_depth", sizes.hole_setback_mm, "the hole is"),
    )
    return tuple(
        Fault(where=key, problem=f"less than {what} wide", fix="Measure from the end face, all the way.")
        for key, setback, what in pairs
        if setback < 0
    )


def _floor_faults(measures: Mapping[BoughtSize, MeasuredSize]) -> tuple[Fault, ...]:
    floor, thickness = measures.get(BoughtSize.FLOOR_HEIGHT), measures.get(BoughtSize.THICKNESS)
    if floor is None or thickness is None or floor.mean_mm < thickness.mean_mm:
        return ()
    problem = f"no less than the track is thick, {show_length(thickness.mean_mm)}"
    fix = "It is the wood under a groove: thickness less the groove's depth."
    return (Fault(where="floor_height", found=show_length(floor.mean_mm), problem=problem, fix=fix),)


def size_lines(bought: BoughtSet) -> list[str]:
    """Mean, spread and count of every size, a line each."""
    lines = []
    for size, one in bought.measures.items():
        count = f"{one.count} {'reading' if one.count == 1 else 'readings'}"
        shown = show_length(one.mean_mm)
        lines.append(f"  {LETTERS[size]} {size.value}: {shown}, spread {one.spread_mm:.3f} mm, {count}")
    return lines


def clash_lines(bought: BoughtSet, job: Job) -> list[str]:
    """What of a job's own joint would not couple with the set, or the plays it would have, a line each.

    Raises:
        JobError: sizes of the job that cannot be.
        CannotCut: corners that its bit cannot make.
    """
    return [
        *_joint_lines(bought, job),
        *_width_lines(bought, job),
        *_floor_lines(bought, job),
        *_thickness_lines(bought, job),
        *_groove_lines(bought, job),
    ]


def _width_lines(bought: BoughtSet, job: Job) -> list[str]:
    """Tracks so unlike in width that an edge stands out where they meet."""
    theirs, ours = bought.measures.get(BoughtSize.WIDTH), job.track.width_mm
    if theirs is None or abs(theirs.mean_mm - ours) <= _STEP_MM:
        return []
    shown = [show_length(one) for one in (theirs.mean_mm, ours)]
    return [f"Their track is {shown[0]} wide, ours {shown[1]}: say so as width under [track], or an edge stands out."]


def _floor_lines(bought: BoughtSet, job: Job) -> list[str]:
    """Floors of grooves so unlike in height that a wheel feels the step; their depths do not matter to it."""
    theirs, ours = bought.measures.get(BoughtSize.FLOOR_HEIGHT), job.boards[0].thickness_mm - job.track.groove_depth_mm
    if theirs is None or abs(theirs.mean_mm - ours) <= FLOOR_STEP_MM:
        return []
    step = show_length(abs(theirs.mean_mm - ours))
    return [
        f"The floor of their grooves lies {show_length(theirs.mean_mm)} above the table, ours {show_length(ours)}: a "
        f"wheel meets a step of {step} at every joint, more than {show_length(FLOOR_STEP_MM)}. Write floor_height = "
        f'"{theirs.mean_mm:.2f} mm" in place of groove_depth under [track].'
    ]


def _thickness_lines(bought: BoughtSet, job: Job) -> list[str]:
    """Tracks so unlike in thickness that a top stands out where they meet."""
    theirs, ours = bought.measures.get(BoughtSize.THICKNESS), job.boards[0].thickness_mm
    if theirs is None or abs(theirs.mean_mm - ours) <= _STEP_MM:
        return []
    shown = show_length(theirs.mean_mm), show_length(ours)
    return [
        f"Their track is {shown[0]} thick, ours {shown[1]}: take wood of their thickness, or the top steps where they "
        "meet; wheels feel the floor alone."
    ]


def _groove_lines(bought: BoughtSet, job: Job) -> list[str]:
    """Grooves whose walls stand so far from ours that a wheel's side meets wood at the joint."""
    width, between = bought.measures.get(BoughtSize.GROOVE_WIDTH), bought.measures.get(BoughtSize.BETWEEN_GROOVES)
    if width is None or between is None:
        return []
    inner = (job.track.width_mm - between.mean_mm) / 2
    outer = inner - width.mean_mm
    apart = max(abs(inner - job.track.groove_inner_mm), abs(outer - job.track.groove_outer_mm))
    if apart <= _STEP_MM:
        return []
    ours = job.track.groove_width_mm, job.track.width_mm - 2 * job.track.groove_inner_mm
    shown = [show_length(one) for one in (width.mean_mm, between.mean_mm, *ours, apart)]
    keys = f'groove_outer = "{outer:.2f} mm" and groove_inner = "{inner:.2f} mm"'
    return [
        f"Their grooves are {shown[0]} wide with {shown[1]} of wood between them, ours {shown[2]} and {shown[3]}: a "
        f"wall steps by {shown[4]} where they meet. Write {keys} under [track]."
    ]


_STEP_MM: Final = 0.5
"""A step in the track's edge that a finger feels. Common practice, no source."""


def _joint_lines(bought: BoughtSet, job: Job) -> list[str]:
    cutter = cutter_of(job)
    try:
        found = list(clashes(job.joint, bought.sizes, cutter=cutter))
        if found:
            return found
        shape = shape_for(job.joint, cutter)
    except ValueError as error:
        return [f"Our joint: {error}."]
    peg, socket = in_their_socket(shape, bought.sizes), round_their_peg(shape, bought.sizes)
    plays = (("Our peg in their socket", in_line(peg)), ("Their peg in our socket", in_line(socket)))
    return [
        *(
            f"{title}: side play {show_small(one.side_mm)}, pull-out play {show_small(one.play_mm)}."
            for title, one in plays
        ),
        *sharp_mouth_words(peg),
    ]


def mate_table(bought: BoughtSet) -> str:
    """The set as the ``[mate]`` table of a job file, spreads in remarks."""
    lines = ["[mate]"]
    for field in fields(JointSizes):
        spread = bought.measures[BoughtSize(_KEYS[field.name])].spread_mm
        value = getattr(bought.sizes, field.name)
        lines.append(
            f'{field.name.removesuffix("_mm")} = "{value:.3f} mm"  # spread of {_KEYS[field.name]} {spread:.3f} mm'
        )
    return "\n".join(lines)
