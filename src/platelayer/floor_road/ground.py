"""A floor with its job: read, laid out, and the play of every joint.

Glossary:
    ours: pieces of one's own making, cut as the job says. bought: by the job's [mate] table, where it has one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError, PlatelayerError
from platelayer.fit.bought import in_their_socket, round_their_peg
from platelayer.fit.shapes import JointShape, as_designed
from platelayer.fit.shop import ShopRecord
from platelayer.fit_road.fitting import load
from platelayer.fit_road.joint_answers import shape_of
from platelayer.floor.chains import PlayOf
from platelayer.floor.composing import lay_floor
from platelayer.floor.gaps import measured_gap
from platelayer.floor.overlaps import overlaps
from platelayer.floor.play import PlayRegion, region_of
from platelayer.geometry.joint import peg_reach_mm
from platelayer.job import placed
from platelayer.job.layout_load import load_floor
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.units import show_length
from platelayer.values.layout import Floor, LaidFloor, PlayMeasured, Stock
from platelayer.values.pieces import CornerRadii
from platelayer.values.shapes import Arc
from platelayer.values.tooling import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A floor, its job as tuned by the shop's records, its pieces where they lie, and the play of every joint.

    Attributes:
        file: of the floor.
        text: of that file.
        job_file: where the job stands; None for the usual one.
        faults: pieces that lie on each other or in a wall; the floor can be drawn all the same.
    """

    file: str
    text: str
    floor: Floor
    job: Job
    job_file: Path | None
    records: tuple[ShopRecord, ...]
    laid: LaidFloor
    play_of: PlayOf
    faults: tuple[Fault, ...]

    @property
    def width_mm(self) -> float:
        """Of the track."""
        return self.job.track.width_mm


def read_ground(file: Path, *, own_profiles: Sequence[Path] = ()) -> Ground:
    """The floor of a file, with the job that it names beside it.

    Raises:
        JobError: all that is wrong with either file, each fault with its line.
        CannotCut: a joint that the job's bit cannot make.
    """
    return ground_of(files.read_text(file), file=str(file), own_profiles=own_profiles)


def ground_of(text: str, *, file: str, own_profiles: Sequence[Path] = ()) -> Ground:
    """The same of a text that is not saved yet; ``file`` says where it would stand.

    Raises:
        PlatelayerError: as ``read_ground``.
    """
    floor = load_floor(text, file=file)
    job_file = Path(file).parent / floor.job if floor.job else None
    job = load(job_file, own_profiles=own_profiles)
    records = () if job_file is None else records_in(shop_file(job, file=str(job_file), shop=None), names_it=True)
    job = tuned(job, records, shop=None)
    try:
        wrong = (*_tight_faults(floor, job.track.width_mm), *_gap_faults(floor, job.track.width_mm))
        if wrong:
            raise JobError(*wrong)
        laid = lay_floor(floor, peg_mm=peg_reach_mm(job.joint))
        faults = overlaps(laid, width_mm=job.track.width_mm)
    except PlatelayerError as error:
        raise placed(error, text, file=file) from error
    told = placed(CannotCut(*faults), text, file=file).faults if faults else ()
    return Ground(
        file=file,
        text=text,
        floor=floor,
        job=job,
        job_file=job_file,
        records=records,
        laid=laid,
        play_of=play_in(job, records, floor.play),
        faults=told,
    )


def _tight_faults(floor: Floor, width_mm: float) -> Iterator[Fault]:
    """A fault for each piece with a curve tighter than half the track's width: its inner edge would have no radius."""
    for stock in floor.stock:
        radii = [
            segment.radius_mm for route in stock.routes for segment in route.path.segments if isinstance(segment, Arc)
        ]
        if min(radii, default=width_mm) <= width_mm / 2:
            problem = f"tighter than half the track's width, {show_length(width_mm / 2)}"
            fix = "Measure the radius of the centre line."
            found = show_length(min(radii))
            yield Fault(where=f"[[owned]] {stock.name} radius", found=found, problem=problem, fix=fix)


def _gap_faults(floor: Floor, width_mm: float) -> Iterator[Fault]:
    """What is wrong with the readings of each gap by tape."""
    for gap in floor.gaps:
        try:
            measured_gap(gap, track_width_mm=width_mm)
        except JobError as error:
            yield from error.faults


def play_in(job: Job, records: Sequence[ShopRecord], usual: PlayMeasured) -> PlayOf:
    """The play of each joint of a floor: as cut by the job's bit or as bought, stretched to what was measured.

    Raises:
        CannotCut: when it is asked of a joint that does not go together.
    """

    @cache
    def _shape(peg_is_ours: bool, socket_is_ours: bool) -> JointShape:
        ours = shape_of(replace(job, has_bought_mate=False), records)
        if not job.has_bought_mate or (peg_is_ours and socket_is_ours):
            return ours
        if peg_is_ours:
            return in_their_socket(ours, job.mate)
        if socket_is_ours:
            return round_their_peg(ours, job.mate)
        return as_designed(job.mate, width_mm=job.track.width_mm, corners=CornerRadii())

    def _play_of(peg: Stock, socket: Stock) -> PlayRegion:
        known = _tighter(peg.play, socket.play)
        region = region_of(_shape(peg.is_made, socket.is_made), known if known.is_known else usual)
        if region is None:
            problem = "pegs and sockets of this job do not go together, so that nothing can be said of their play"
            raise CannotCut(Fault(where="[joint]", problem=problem, fix="platelayer fit picture shows what stops it."))
        return region

    return _play_of


def _tighter(one: PlayMeasured, other: PlayMeasured) -> PlayMeasured:
    """The smaller of each play that was measured on either side of a joint."""
    return PlayMeasured(
        pull_mm=_least(one.pull_mm, other.pull_mm),
        side_mm=_least(one.side_mm, other.side_mm),
        kink_rad=_least(one.kink_rad, other.kink_rad),
    )


def _least(*plays: float | None) -> float | None:
    return min((play for play in plays if play is not None), default=None)
