"""What the fit needs to know of a job, and what it answers: target plays, pictures, spread, seasons and strength.

Glossary:
    ground: design, cutter and the rest of a job as far as the fit of its joints depends on them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError, PlatelayerError
from platelayer.fit.shop import ShopRecord, cutter_on, peg_made_up
from platelayer.fit.target_play import BEST, PRESETS, Cutter, Part, TargetAnswer, TargetPlay, solve_target
from platelayer.geometry.joint import mixed
from platelayer.job import load_job, placed, profiles_for, starter_job, written_unit
from platelayer.job.near_names import fix_for
from platelayer.offset.relief import corner_radii
from platelayer.parsing import parse_length
from platelayer.road.tuning import cutter_of
from platelayer.tolerances import PLAY_MM
from platelayer.units import show_small
from platelayer.values.pieces import TrackSizes
from platelayer.values.tooling import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A job, its track with the flare as it can stay, and the cutter of its joints bit, corners as chosen."""

    job: Job
    track: TrackSizes
    cutter: Cutter


def load(file: Path | None, *, own_profiles: Sequence[Path] = ()) -> Job:
    """The job of a file; the starter job, with the usual sizes and the usual bit, without one.

    Raises:
        JobError: all that is wrong with it.
    """
    text, name = (starter_job(), "the starter job") if file is None else (files.read_text(file), str(file))
    return load_job(text, file=name, profiles=profiles_for(text, file=name, own=own_profiles))


def in_job(error: PlatelayerError, file: Path | None) -> PlatelayerError:
    """The same error in the job's own unit, with file and line where it is about something that the job says."""
    tables = [fault for fault in error.faults if fault.where.startswith("[") and fault.file in ("", str(file))]
    text = starter_job() if file is None else files.read_text(file) if file.is_file() else ""
    if not text or file is None or len(tables) < len(error.faults):
        return error.in_unit(written_unit(text))
    return placed(error, text, file=str(file))


def ground_of(job: Job) -> Ground:
    """The ground of a job.

    Raises:
        JobError: sizes that cannot be.
        CannotCut: corners that this bit cannot make.
    """
    cutter = cutter_of(job)
    _, track, _ = corner_radii(job)
    return Ground(job=job, track=track, cutter=cutter)


def wished(ground: Ground, target: TargetPlay, part: Part, *, record: ShopRecord | None = None) -> TargetAnswer:
    """Sizes of our part that give the plays asked for with the mate's, or with our other part where both are ours.

    With a record they are those to draw, so that the machine's own errors come out made up for.
    """
    job = ground.job
    cutter = cutter_on(ground.cutter, record, part=part, is_mate_bought=job.has_bought_mate)
    sizes = {
        Part.PEG: mixed(peg=job.joint, socket=job.mate),
        Part.SOCKET: mixed(peg=job.mate, socket=job.joint),
        Part.BOTH: job.joint,
    }[part]
    ours = peg_made_up(sizes, record, part=part, is_mate_bought=job.has_bought_mate)
    return solve_target(target, sizes=ours, part=part, cutter=cutter)


PART_WORDS: Final = {
    Part.PEG: "our peg in the mate's socket",
    Part.SOCKET: "our socket round the mate's peg",
    Part.BOTH: "our peg in our socket",
}
"""Whose sizes are sought, and against what."""


def target_of(feel: str, *, side: str, pull: str, best: Callable[[], TargetPlay] | None = None) -> TargetPlay | None:
    """The target play that a person wrote, as a word or as two lengths with their unit; None when nothing was.

    Raises:
        JobError: a word that is not known, a word and lengths, one length without the other, or no length; else as
            ``best``, which gives the plays of the peg that went in best by hand.
    """
    if feel and (side or pull):
        problem = "a word and figures were given"
        raise JobError(Fault(where="--feel", found=feel, problem=problem, fix="Leave one of the two out."))
    if feel == BEST and best is not None:
        return best()
    if feel:
        if feel not in PRESETS:
            fix = fix_for(feel, PRESETS if best is None else (*PRESETS, BEST))
            raise JobError(Fault(where="--feel", found=feel, problem="no such word for a feel", fix=fix))
        return PRESETS[feel]
    if not (side or pull):
        return None
    if not (side and pull):
        where, fix = "--pull" if side else "--side", 'Give both, as in --side "0.3 mm" --pull "0.3 mm".'
        raise JobError(Fault(where=where, problem="missing; a feel is side play and pull-out play", fix=fix))
    return TargetPlay(_play(side, "--side"), _play(pull, "--pull"))


def _play(text: str, where: str) -> float:
    length = parse_length(text, where=where)
    if length <= 0:
        raise JobError(Fault(where=where, found=text, problem="a play asked for must be more than nothing"))
    return length


def target_words(target: TargetPlay) -> str:
    """``side play ... each way and pull-out play ...``, in both units."""
    side, pull_out = show_small(target.side_mm), show_small(target.pull_out_mm)
    return f"side play {side} each way and pull-out play {pull_out}"


def preset_lines() -> tuple[str, ...]:
    """The words for a feel with their numbers, a line each."""
    return tuple(f"{name}: {target_words(target)}" for name, target in PRESETS.items())


def refuse_target(answer: TargetAnswer) -> None:
    """Nothing, where the target play is met and the joint goes together with play that a hand feels.

    Raises:
        CannotCut: why it is not met, and what is nearest; or that the joint jams.
    """
    where = "The target play"
    if not answer.is_met:
        raise CannotCut(*(Fault(where=where, problem=reason.rstrip(".")) for reason in answer.reasons))
    if answer.pull_out_mm < PLAY_MM:
        shown, least = (show_small(one) for one in (answer.pull_out_mm, PLAY_MM))
        problem = f"a joint with less pull-out play than {least} jams in use, and the dry run refuses it"
        raise CannotCut(Fault(where=where, found=shown, problem=problem, fix="Ask for more."))
