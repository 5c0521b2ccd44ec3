"""What a job's joints come out as: pictures before and after, spread, seasons, strength and small parts.

Glossary:
    shape as it comes: a joint as this machine leaves it, by the newest record of its bit, wood and machine.
    before: cut as the job's own sizes and bit say. after: cut as tuned.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.errors import CannotCut, Fault, JobError
from platelayer.fit.applied import as_it_comes
from platelayer.fit.in_line import in_line
from platelayer.fit.moisture import (
    MOVEMENT_HOLDS_RATIO,
    MOVEMENTS,
    SUMMER,
    WINTER,
    Climate,
    Movement,
    equilibrium_moisture,
    growth_ratio,
    seasons,
)
from platelayer.fit.shapes import JointShape
from platelayer.fit.shop import ShopRecord
from platelayer.fit.small_parts import DEEP_MM, WIDTH_MM, caution_words, in_cylinder
from platelayer.fit.spread import Scatter, next_words, spread_of
from platelayer.fit.strength import STRENGTHS, neck_words
from platelayer.fit.target_play import Part, TargetPlay
from platelayer.fit_road.bought_sets import BoughtSet
from platelayer.geometry.contours import bounds, circle
from platelayer.job.near_names import fix_for
from platelayer.offset.relief import corner_radii
from platelayer.parsing import parse_length
from platelayer.pieces import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.preview.pictures.joint_play import Panel, joint_page
from platelayer.road.tuning import bought_mouth_words, cutter_of, is_for_bought, record_of_job, tuned, with_mate
from platelayer.tolerances import SEAT_MM
from platelayer.units import show_length, show_small, worded
from platelayer.values.findings import Seat
from platelayer.values.pieces import EndKind
from platelayer.values.tooling import Job

BIT_SCATTER_MM: Final = 0.03
"""Spread of a bit's diameter that no card was cut with. Common practice, no source."""
MACHINE_SCATTER_MM: Final = 0.05
"""Spread of what a machine's slack does, where no card was cut. Common practice, no source."""
MATE_SCATTER_MM: Final = 0.08
"""Spread of a bought set's sizes. Common practice, no source."""


def shape_of(job: Job, records: Sequence[ShopRecord]) -> JointShape:
    """A job's joint as it comes off this machine: with the bought set's other part where there is one.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: a joint that this bit cannot make.
    """
    bit = job.bit(job.joints_bit)
    record = record_of_job(job, records)
    try:
        shape = as_it_comes(job.joint, cutter=cutter_of(job), record=record, path_diameter_mm=bit.diameter_mm)
    except ValueError as error:
        fix = "Take a smaller bit for the joints."
        raise CannotCut(Fault(where="[bits] joints", found=bit.id, problem=str(error), fix=fix)) from error
    return with_mate(shape, job) if is_for_bought(job) else shape


def mouth_lines(job: Job, records: Sequence[ShopRecord]) -> tuple[str, ...]:
    """What sharp corners of a bought mouth do to the plays of a job as tuned; none where our peg meets none.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: a joint that this bit cannot make, or plays that cannot be had.
    """
    return bought_mouth_words(tuned(job, records, shop=None), record_of_job(job, records))


def picture(job: Job, records: Sequence[ShopRecord]) -> str:
    """One page on a job's joint, as SVG text: before and after where something was tuned, else as it comes.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: a joint that this bit cannot make, or plays that cannot be had.
    """
    title = f"{job.title}: peg in socket"
    before, after = shape_of(job, records), shape_of(tuned(job, records, shop=None), records)
    if before == after:
        return worded(joint_page(title, (Panel("as it comes off the machine", before),)), job.units)
    panels = (Panel("before the correction", before), Panel("after the correction", after))
    return worded(joint_page(title, panels), job.units)


def play_line(job: Job, records: Sequence[ShopRecord]) -> str:
    """The plays of a job's joint as it is tuned, in a sentence."""
    plays = in_line(shape_of(tuned(job, records, shop=None), records))
    if plays.play_mm <= 0:
        return "It does not go together."
    side, pull_out = (show_small(one) for one in (plays.side_mm, plays.play_mm))
    apart = f" The faces stay {show_small(plays.opening_mm)} apart."
    return f"Side play {side} each way, pull-out play {pull_out}.{apart if plays.opening_mm > SEAT_MM else ''}"


def scatter_of(
    job: Job,
    records: Sequence[ShopRecord],
    *,
    bit: str = "",
    machine: str = "",
    mate: str = "",
    bought: BoughtSet | None = None,
) -> Scatter:
    """Scatter of a job's joints: as written or read, else a card's own uncertainties, else what is usual.

    Raises:
        JobError: a scatter that is no length, or less than nothing; a bought set for a job without one, or beside
            ``mate``.
    """
    record, wood, is_bought = record_of_job(job, records), MOVEMENTS.get(job.material.id), is_for_bought(job)
    if bought is not None and (mate or not is_bought):
        problem = "the scatter of the mate is written too" if mate else "joints of this job go with no bought set"
        fix = (
            "Leave one of the two out." if mate else "Put its [mate] table into the job, and let part be peg or socket."
        )
        raise JobError(Fault(where="--mate" if mate else "--bought", problem=problem, fix=fix))
    apart = 0.0
    if wood is not None and is_bought:
        dry, damp = (
            growth_ratio(wood, is_flat_sawn=True, cut_moisture_ratio=0.0, climate=one) for one in (WINTER, SUMMER)
        )
        apart = (damp - dry) / 2
    mate_is_socket = job.fit.part != Part.SOCKET
    if bought is None:
        of_mate = (_scatter(mate, "--mate", MATE_SCATTER_MM if is_bought else 0.0),) * 3
    else:
        of_mate = bought.socket_spread_mm if mate_is_socket else bought.peg_spread_mm
    return Scatter(
        bit_mm=_scatter(bit, "--bit", BIT_SCATTER_MM if record is None else record.bit_spread_mm),
        machine_mm=_scatter(machine, "--machine", MACHINE_SCATTER_MM if record is None else record.bias_spread_mm),
        mate_mm=of_mate,
        growth_ratio=apart,
        mate_is_socket=mate_is_socket,
        mate_is_bought=is_bought,
    )


def _scatter(text: str, where: str, usual_mm: float) -> float:
    if not text:
        return usual_mm
    written = parse_length(text, where=where)
    if written < 0:
        raise JobError(Fault(where=where, found=text, problem="a scatter is not less than nothing"))
    return written


def spread_lines(job: Job, records: Sequence[ShopRecord], *, scatter: Scatter, seed: int, draws: int) -> list[str]:
    """Shares and spreads of many joints of a job as tuned, and what to measure next, a line each.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: a joint that does not go together, so that nothing can be said of many.
    """
    job = tuned(job, records, shop=None)
    shape = shape_of(job, records)
    plays = in_line(shape)
    if plays.play_mm <= 0 or plays.side_mm <= 0:
        problem = "the joint does not go together, so that its scatter says nothing"
        raise CannotCut(Fault(where="[joint]", problem=problem, fix="platelayer fit picture shows what stops it."))
    target = TargetPlay(plays.side_mm, plays.play_mm)
    if job.fit.is_asked:
        target = TargetPlay(job.fit.side_mm, job.fit.pull_out_mm)
    found = spread_of(shape, scatter=scatter, target=target, seed=seed, draws=draws)
    drawn = f"{draws} joints, seed {seed}: bit {scatter.bit_mm:.3f} mm, machine {scatter.machine_mm:.3f} mm"
    mate = ", ".join(dict.fromkeys(f"{one:.3f}" for one in scatter.mate_mm))
    kinks = ", ".join(f"{math.degrees(one):.2f}" for one in found.kink_rad)
    return [
        f"{drawn}, mate {mate} mm, growth {scatter.growth_ratio:.2%}",
        f"  {found.seats_ratio:.1%} seat, {found.holds_ratio:.1%} hold, {found.as_wished_ratio:.1%} are as wished",
        f"  pull-out play {_centiles(found.pull_out_mm)}",
        f"  side play {_centiles(found.side_mm)}",
        f"  kink each way {kinks} degrees at 5, 50 and 95 % of them",
        *(f"  {share:4.0%} of the scatter from {source.value}" for source, share in found.weights if share > 0),
        *((next_words(found),) if found.weights[0][1] > 0 else ()),
    ]


def _centiles(values: tuple[float, float, float]) -> str:
    shown = ", ".join(show_small(one) for one in values)
    return f"{shown} at 5, 50 and 95 % of them"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonAir:
    """Air in which a joint is cut, and the dry and the damp room in which it is used: relative humidities."""

    dry_percent: float
    damp_percent: float
    cut_percent: float
    room_celsius: float


def season_lines(
    job: Job, records: Sequence[ShopRecord], *, air: SeasonAir, is_flat_sawn: bool, mate_wood: str
) -> list[str]:
    """The play of a job's joint in a dry room and in a damp one, a line each; the mate may be of another wood.

    Raises:
        JobError: a wood whose movement is not known, or air that no room has.
        CannotCut: a joint that this bit cannot make.
    """
    dry, damp, cut = _climates(air)
    ours, mate = _movement(job.material.id, "[job] material"), _movement(mate_wood or job.material.id, "--mate-wood")
    peg, socket = (mate, ours) if job.fit.part == Part.SOCKET else (ours, mate)
    job = tuned(job, records, shop=None)
    moisture = equilibrium_moisture(cut) / 100
    found = seasons(
        shape_of(job, records),
        peg=peg,
        socket=socket,
        is_flat_sawn=is_flat_sawn,
        cut_moisture_ratio=moisture,
        climates=(dry, damp),
    )
    sawn = "flat-sawn" if is_flat_sawn else "quarter-sawn"
    woods = " with ".join(dict.fromkeys((job.material.id, mate_wood or job.material.id)))
    cut_in = f"{air.cut_percent:g} % humidity, {air.room_celsius:g} C"
    return [
        f"{woods}, {sawn}, cut at {moisture:.1%} of moisture ({cut_in}):",
        *(
            f"  at {one.climate.humidity_ratio:.0%} humidity the wood comes to {one.moisture_ratio:.1%}: "
            f"{_seat_words(one.seat)}"
            for one in found
        ),
        "  Moisture moves widths only: grain runs along the peg, and along the grain wood hardly moves.",
        *_beyond_words(moisture, *(one.moisture_ratio for one in found)),
    ]


def _beyond_words(*moistures_ratio: float) -> tuple[str, ...]:
    """That the table of movements was left, where one of those moistures lies outside it."""
    least, most = MOVEMENT_HOLDS_RATIO
    if all(least <= one <= most for one in moistures_ratio):
        return ()
    return (f"  Coefficients are tabulated from {least:.0%} to {most:.0%} of moisture; beyond, they are a guess.",)


def _climates(air: SeasonAir) -> tuple[Climate, ...]:
    """The dry room, the damp one, and the air in which it is cut.

    Raises:
        JobError: air that no room has.
    """
    percents = {"--dry": air.dry_percent, "--damp": air.damp_percent, "--cut": air.cut_percent}
    problem = "relative humidity is more than 0 and less than 100 %"
    faults = [
        Fault(where=where, found=f"{value:g}", problem=problem)
        for where, value in percents.items()
        if not 0 < value < 100
    ]
    if not faults and air.dry_percent >= air.damp_percent:
        faults.append(Fault(where="--dry", found=f"{air.dry_percent:g}", problem="no drier than --damp"))
    if not 0 <= air.room_celsius <= _WARMEST_CELSIUS:
        problem = f"a room is between 0 and {_WARMEST_CELSIUS} degrees Celsius"
        faults.append(Fault(where="--celsius", found=f"{air.room_celsius:g}", problem=problem))
    if faults:
        raise JobError(*faults)
    return tuple(Climate(air.room_celsius, value / 100) for value in percents.values())


_WARMEST_CELSIUS: Final = 60
"""The equation for moisture holds for rooms; nobody keeps track in an oven."""


def _movement(wood: str, where: str) -> Movement:
    if wood not in MOVEMENTS:
        problem = "no movement is tabulated for it"
        raise JobError(Fault(where=where, found=wood, problem=problem, fix=fix_for(wood, MOVEMENTS)))
    return MOVEMENTS[wood]


def _seat_words(seat: Seat) -> str:
    if not seat.couples:
        return "it does not go together"
    pull_out = seat.pull_out_mm - seat.opening_mm
    apart = f", faces {show_small(seat.opening_mm)} apart" if seat.opening_mm > SEAT_MM else ""
    return f"side play {show_small(seat.side_mm)}, pull-out play {show_small(pull_out)}{apart}"


def strength_lines(job: Job, records: Sequence[ShopRecord]) -> list[str]:
    """What the neck bears, and a caution for every part that may be a small one, a line each.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: a joint that this bit cannot make.
    """
    job = tuned(job, records, shop=None)
    thickness = job.boards[0].thickness_mm
    known = STRENGTHS.get(job.material.id)
    if known is None:
        lines = [f"No strength of {job.material.id} is known here; known: {', '.join(STRENGTHS)}."]
    else:
        shape = shape_of(replace(job, has_bought_mate=False), records)
        lines = [f"Neck {show_length(job.joint.neck_width_mm)} wide, in {job.material.id}:"]
        lines += [f"  {line}" for line in neck_words(shape, known, thickness_mm=thickness)]
    head = in_cylinder(circle((0.0, 0.0), job.joint.head_diameter_mm / 2), thickness_mm=thickness)
    return [*lines, "Small parts:", f"  {caution_words('A head broken off', head)}", *_piece_cautions(job, thickness)]


def _piece_cautions(job: Job, thickness_mm: float) -> list[str]:
    corners, track, _ = corner_radii(job)
    longest = math.hypot(WIDTH_MM, DEEP_MM)
    making, lines = Making(track=track, joint=job.joint, corners=corners), []
    for order in job.orders:
        piece = piece_from_order(order, making)
        low_x, low_y, high_x, high_y = bounds(piece.outline)
        over_all = max(high_x - low_x, high_y - low_y)
        title = f"{piece.title}, {show_length(over_all)} over all"
        if EndKind.PEG in order.ends:
            title += ", its peg counted"
        if over_all > longest:
            shown = show_length(longest)
            lines.append(f"  {title}: longer than the cylinder across its corners, {shown}; it never goes in.")
        else:
            lines.append(f"  {caution_words(title, in_cylinder(piece.outline, thickness_mm=thickness_mm))}")
    return list(dict.fromkeys(lines))
