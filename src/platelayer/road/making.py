"""The main road: a job planned, written, read back from disk, proved, and handed over, or not at all.

Glossary:
    made: what one ``make`` came to, handed over or not.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from platelayer import files
from platelayer.errors import CannotCut, NoRoom, PlatelayerError, Refused
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.job import load_job, placed
from platelayer.job.profiles import Profiles
from platelayer.manifest.build import machine_of, manifest_of
from platelayer.manifest.write import manifest_bytes
from platelayer.offset.bound import bound_of
from platelayer.placing.kept import kept_text, read_kept
from platelayer.post import head_texts, program_text, stops_of, timed_text
from platelayer.preview.report.summary import show_finding
from platelayer.road.folders import read_folder
from platelayer.road.minutes import about_minutes
from platelayer.road.outputs import PLACEMENT, SHEET, outputs, shop_outputs
from platelayer.road.owned_bits import owned_note
from platelayer.road.planning import cut_laid, lay_job
from platelayer.road.proving import Proof, prove
from platelayer.road.redrawing import with_direction_words
from platelayer.road.refusing import draw_uncut, draw_unproved
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.units import minutes, worded
from platelayer.values.cuts import Plan
from platelayer.values.findings import Finding, Severity
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Made:
    """The proof of the files read back from disk, and the page of a job that is refused.

    ``quicker`` says what the bits that the person owns could do; empty where there is nothing to say.
    """

    proof: Proof
    refused_page: Path | None = None
    quicker: str = ""


def make(
    job_text: str,
    *,
    file: str,
    out: Path,
    profiles: Profiles,
    force: bool = False,
    placement: Path | None = None,
    shop: Path | None = None,
    progress: Progress = lambda _: None,
) -> Made:
    """A job made, written, read back from disk, proved, and handed over in one rename; else only drawings are left.

    Bits and joints are as the shop's own file says, ``shop`` or the one that the job names.

    Raises:
        JobError: faults in the job or its files, or in the placement file whose places are to be kept.
        CannotCut: fits that cannot be had.
        Refused: the job cannot be made so; with the page on which it is drawn.
    """
    files.check_target(out, force=force)
    kept = None if placement is None else read_kept(files.read_text(placement), file=str(placement))
    try:
        job = load_job(job_text, file=file, profiles=profiles)
        measured = shop_file(job, file=file, shop=shop)
        job = tuned(job, records_in(measured, names_it=shop is None), shop=measured)
        progress(f"{len(job.orders)} kinds of piece: laying them")
    except PlatelayerError as error:
        raise placed(error, job_text, file=file) from error
    try:
        laid = lay_job(job, kept=kept)
        about = minutes(60 * about_minutes(laid))
        progress(f"{len(laid.pieces)} pieces laid, about {about} at the machine: working out cuts")
        plan, noticed = cut_laid(laid)
        quicker = owned_note(job_text, file=file, profiles=profiles, laid=laid)
    except CannotCut as error:
        told = placed(error, job_text, file=file)
        page = draw_uncut(job, told.faults, out, lacks_room=isinstance(error, NoRoom))
        raise Refused(*told.faults, page=page) from error
    except PlatelayerError as error:
        raise placed(error, job_text, file=file) from error
    job = with_direction_words(job, plan)
    made = replace(finish(job, plan, noticed, out=out, progress=progress), quicker=quicker)
    return made if made.proof.report.passed else replace(made, refused_page=draw_unproved(made.proof, out))


def finish(
    job: Job,
    plan: Plan,
    noticed: Sequence[Finding],
    *,
    out: Path,
    more: Mapping[str, bytes] = MappingProxyType({}),
    progress: Progress = lambda _: None,
) -> Made:
    """A plan written, read back from disk, proved, and handed over with ``more`` files in one rename, or not at all.

    A shop sheet that stands where it goes is made again with it.

    Raises:
        JobError: the place cannot be written.
    """
    noticed = (*job.warnings, *noticed)
    with files.staging(out) as staged:
        files.fill(staged, contents_of(plan, job, noticed))
        progress(f"{len(plan.programs)} files: dry run")
        proof = prove(read_folder(staged), noticed=noticed)
        if proof.report.passed:
            progress("pictures and summary")
            files.fill(staged, {**outputs(proof), **more})
            if files.is_ours(out / SHEET):
                progress("shop sheet and templates, as they stood there")
                files.fill(staged, shop_outputs(proof))
            files.hand_over(staged, out)
    return Made(proof)


def contents_of(plan: Plan, job: Job, noticed: Sequence[Finding]) -> dict[str, bytes]:
    """What is proved, by file name: G-code, placement, and the manifest with what was noticed before."""
    contents = {name: text.encode("ascii") for name, text in _timed_texts(plan).items()}
    hashes = {name: files.sha256(content) for name, content in contents.items()}
    known = tuple(worded(show_finding(one), job.units) for one in noticed if one.severity is not Severity.NOTE)
    heads = {program.name: head_texts(program, plan) for program in plan.programs}
    stops = {program.name: stops_of(program, plan) for program in plan.programs}
    manifest = manifest_of(plan, job, hashes, mate=job.mate, heads=heads, stops=stops)
    manifest = replace(manifest, noticed=known, bound=bound_of(job, plan.boards, _pieces_on(plan)))
    contents[PLACEMENT] = kept_text(plan.pieces).encode("ascii")
    return contents | {files.MANIFEST: manifest_bytes(manifest)}


def _pieces_on(plan: Plan) -> dict[str, list[Piece]]:
    """Its pieces in board coordinates, by board."""
    return {board.id: [placed.piece for placed in plan.pieces if placed.board_id == board.id] for board in plan.boards}


def _timed_texts(plan: Plan) -> dict[str, str]:
    """G-code of every program by name, with its minutes in the header: timed as it will be read."""
    machine = machine_of(plan.machine)
    texts: dict[str, str] = {}
    for program in plan.programs:
        untimed = program_text(program, plan=plan)
        time = move_times(read_program(untimed, name=program.name), machine)
        texts[program.name] = timed_text(untimed, duration_s=time.total_s)
    return texts
