"""The one module that knows the order of rooms: job -> geometry -> offset -> board -> post -> files -> preview.

Glossary:
    made: everything ``make`` is about to hand over, already read back from disk and proved.
"""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from types import MappingProxyType

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError, PlatelayerError, ReadError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import second_readings
from platelayer.geometry import check_orders, piece_from_order
from platelayer.geometry.saw_table import saw_table, saw_table_lines
from platelayer.job import load_job, load_profiles, placed
from platelayer.job.profiles import Profiles
from platelayer.manifest.build import machine_of, manifest_of
from platelayer.manifest.read import parse_manifest
from platelayer.manifest.schema import Manifest
from platelayer.manifest.write import manifest_bytes
from platelayer.offset.cutting import cut_piece
from platelayer.offset.dowels import bore_of
from platelayer.offset.relief import corner_radii
from platelayer.offset.room import room_needed_mm, wide_parts
from platelayer.placing.collet import with_collet_room
from platelayer.placing.dowels import dowels_of, with_keep_outs
from platelayer.placing.grain import allowed_turns, grain_findings
from platelayer.placing.kept import Kept, kept_text, read_kept
from platelayer.placing.screws import with_screws
from platelayer.post import head_texts, program_text, stops_of, timed_text
from platelayer.preview.report.summary import show_finding, verdict
from platelayer.proof.dry_run import dry_run
from platelayer.road.foreign import dry_run_file
from platelayer.road.laying import WEB_MM, lay_pieces
from platelayer.road.outputs import PLACEMENT, PREVIEW, ReadBack, page_of, papers, shop_papers
from platelayer.road.sharing import sharing_of, stack_cuts
from platelayer.road.strip_laying import is_of_strips, lay_strips
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.road.working import work_findings
from platelayer.sequence.plan import plan_boards
from platelayer.units import parse_length
from platelayer.values.cuts import PieceCuts, Plan
from platelayer.values.findings import Finding, Report, Severity
from platelayer.values.motion import Motion
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job

__all__ = [
    "PREVIEW",
    "Made",
    "ReadBack",
    "dry_run_folder",
    "dry_run_stranger",
    "finish",
    "judge",
    "make",
    "page_of",
    "plan_job",
    "read_back",
    "sheet",
]

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Made:
    """What one ``make`` came to: the plan, and the report of the dry run that read the files back from disk."""

    job: Job
    manifest: Manifest
    report: Report


def plan_job(job: Job, *, kept: Kept | None = None, pieces: Sequence[Piece] = ()) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan of a job, and what was noticed on the way; pieces stay where ``kept`` says.

    Pieces that are given are cut in place of those of the cut list, which must have ends and grooves like theirs.

    Raises:
        JobError: sizes that cannot be, or kept places that do not fit them.
        CannotCut: a sound job that these bits, boards or this machine cannot make.
    """
    job = replace(job, boards=with_screws(job.boards, job.holding, unit=job.units))
    faults = check_orders(job.orders, joint=job.joint, track=job.track, unit=job.units)
    if faults:
        raise JobError(*faults)
    corners, track, findings = corner_radii(job)
    pieces = pieces or [
        replace(
            piece_from_order(order, index, track=track, joint=job.joint, corners=corners, unit=job.units),
            turns=allowed_turns(order.turns, has_grain=job.material.has_grain),
        )
        for order in job.orders
        for index in range(1, order.count + 1)
    ]
    cuts, noticed = _cut_shapes(job, pieces)
    room_mm = max(room_needed_mm(job, board) for board in job.boards)
    bore = bore_of(job)
    boards = job.boards if bore is None else with_keep_outs(job.boards, job.turning, web_mm=WEB_MM)
    if kept is None:
        boards = with_collet_room(boards, wide_parts(job))
    sharing = sharing_of(job, pieces)
    if is_of_strips(job):
        job, placements = lay_strips(job, pieces, room_mm=room_mm, is_kept=kept is not None)
    else:
        placements = lay_pieces(pieces, boards, job=job, room_mm=room_mm, kept=kept, sharing=sharing)
    stacks, seen = stack_cuts(job, pieces, placements, sharing=sharing, room_mm=room_mm)
    dowels = {} if bore is None else {board.id: dowels_of(board, job.turning, bore) for board in job.boards}
    plan = plan_boards(job, pieces, cuts, placements, bore=bore, dowels=dowels, stacks=stacks)
    steep = grain_findings(plan.pieces, plan.boards) if job.material.has_grain else ()
    return plan, (*findings, *noticed, *seen, *steep)


def _cut_shapes(job: Job, pieces: Sequence[Piece]) -> tuple[dict[str, PieceCuts], tuple[Finding, ...]]:
    """Cuts of each distinct shape, worked out once; all boards of a job are of one thickness and zero."""
    cuts: dict[str, PieceCuts] = {}
    findings: dict[Finding, None] = {}
    for piece in pieces:
        if piece.shape not in cuts:
            board = job.boards[0]
            cuts[piece.shape], noticed = cut_piece(piece, job=job, board=board, room_mm=room_needed_mm(job, board))
            findings.update(dict.fromkeys(noticed))
    return cuts, tuple(findings)


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
    """A job made, written, read back from disk, proved, and handed over in one rename; nothing is handed over else.

    Bits and joints are as the shop's own file says, ``shop`` or the one that the job names.

    Raises:
        JobError: faults in the job or its files, or in the placement file whose places are to be kept.
        CannotCut: the job cannot be made so.
    """
    files.check_target(out, force=force)
    kept = None if placement is None else read_kept(files.read_text(placement), file=str(placement))
    try:
        job = load_job(job_text, file=file, profiles=profiles)
        measured = shop_file(job, file=file, shop=shop)
        job = tuned(job, records_in(measured, names_it=shop is None), shop=measured)
        progress(f"{len(job.orders)} kinds of piece: working out cuts")
        plan, noticed = plan_job(job, kept=kept)
    except PlatelayerError as error:
        raise placed(error, job_text, file=file) from error
    return finish(job, plan, noticed, out=out, progress=progress)


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

    Raises:
        JobError: the place cannot be written.
    """
    staged = files.stage_folder(out)
    try:
        made = _prove(job, plan, noticed, staged, progress)
        if made.report.passed:
            files.fill(staged, more)
            files.hand_over(staged, out)
    finally:
        files.drop(staged)
    return made


def _prove(job: Job, plan: Plan, noticed: Sequence[Finding], staged: Path, progress: Progress) -> Made:
    """Files written to the staged folder, read back from it, judged, and their pictures and summary put beside."""
    texts = _timed_texts(plan)
    hashes = {name: files.sha256(text.encode("ascii")) for name, text in texts.items()}
    known = tuple(show_finding(one) for one in (*job.warnings, *noticed) if one.severity is not Severity.NOTE)
    heads = {program.name: head_texts(program, plan) for program in plan.programs}
    stops = {program.name: stops_of(program, plan) for program in plan.programs}
    manifest = replace(manifest_of(plan, job, hashes, mate=job.mate, heads=heads, stops=stops), noticed=known)
    contents = {name: text.encode("ascii") for name, text in texts.items()}
    contents[PLACEMENT] = kept_text(plan.pieces).encode("ascii")
    files.fill(staged, contents | {files.MANIFEST: manifest_bytes(manifest)})
    progress(f"{len(texts)} files: dry run")
    read = read_back(staged)
    report = judge(read, noticed=(*job.warnings, *noticed))
    if report.passed:
        progress("pictures and summary")
        files.fill(staged, papers(read, report))
    return Made(job, read.manifest, report)


def _timed_texts(plan: Plan) -> dict[str, str]:
    """G-code of every program by name, with its minutes in the header: timed as it will be read."""
    machine = machine_of(plan.machine)
    texts: dict[str, str] = {}
    for program in plan.programs:
        untimed = program_text(program, plan=plan)
        time = move_times(read_program(untimed, name=program.name), machine)
        texts[program.name] = timed_text(untimed, duration_s=time.total_s)
    return texts


def read_back(folder: Path) -> ReadBack:
    """The manifest of a folder and every file it names, read from disk.

    A file that cannot be understood has no motion here; the dry run says what is wrong with it.

    Raises:
        JobError: a file is missing or is no text.
        ReadError: the manifest is not what it should be.
    """
    manifest = parse_manifest(files.read_text(folder / files.MANIFEST))
    texts = {file.name: files.read_text(folder / file.name) for file in manifest.files}
    motions: dict[str, Motion] = {}
    for name, text in texts.items():
        with suppress(ReadError):
            motions[name] = read_program(text, name=name)
    return ReadBack(manifest, texts, motions)


def judge(read: ReadBack, *, noticed: Sequence[Finding] = ()) -> Report:
    """The dry run's report on a folder, second reader and the bits' work included, what was noticed before put first.

    The second reader and the work run beside the dry run; each sees only the files, so the order changes nothing.
    """
    with ThreadPoolExecutor(max_workers=1) as beside:
        others = beside.submit(_beside_the_dry_run, read)
        report = dry_run(read.manifest, read.texts, motions=read.motions)
        return replace(report, findings=(*noticed, *report.findings, *others.result()))


def _beside_the_dry_run(read: ReadBack) -> tuple[Finding, ...]:
    second = second_readings({name: (read.texts[name], motion) for name, motion in read.motions.items()})
    return (*chain.from_iterable(second.values()), *work_findings(read.manifest, read.motions))


def dry_run_folder(folder: Path) -> tuple[ReadBack, Report]:
    """A folder dry-run from its files alone.

    Raises:
        JobError: a file is missing.
        ReadError: the manifest cannot be read.
    """
    read = read_back(folder)
    return read, judge(read)


def dry_run_stranger(place: Path, *, bit: str | None, board: str | None, zero: str) -> tuple[ReadBack, Report]:
    """A single file dry-run: with its folder when a manifest beside it names it, else with the bit and board given.

    Raises:
        JobError: no such file, or no manifest beside it and no bit or board given.
        ReadError: the file cannot be read.
    """
    if bit is None and board is None and (place.parent / files.MANIFEST).is_file():
        read = read_back(place.parent)
        if place.name in read.texts:
            return read, judge(read)
    if not place.exists():
        raise JobError(Fault(where=str(place), problem="no such file or folder"))
    if bit is None or board is None:
        problem = "no manifest beside it names this file, so its bit and board are not known"
        mend = 'Give them: --bit "1/8 in" --board "36 x 11 x 1/2 in".'
        raise JobError(Fault(where=str(place), problem=problem, mend=mend))
    return dry_run_file(place, bit=bit, board=board, zero=zero)


def sheet(folder: Path) -> tuple[str, ...]:
    """The shop sheet, templates and drawings put into a folder that ``make`` wrote; their names.

    Raises:
        JobError: a file is missing, or one of these papers was edited since it was written.
        ReadError: a file cannot be read.
        CannotCut: the dry run refuses the folder, so there is nothing to carry to the shop.
    """
    read = read_back(folder)
    report = judge(read)
    if not report.passed:
        raise CannotCut(Fault(where=str(folder), problem=verdict(report), mend="platelayer dryrun says what is wrong."))
    made = shop_papers(read, report)
    files.add_to(folder, made)
    return tuple(made)


def saw_lines(place: Path, *, kerf: str, own_profiles: Sequence[Path] = ()) -> tuple[str, ...]:
    """Settings of a table saw for the grooves of a job's track, as lines to read.

    Raises:
        JobError: faults in the job, or a kerf that is no length.
        CannotCut: a kerf wider than the groove.
    """
    job = load_job(files.read_text(place), file=str(place), profiles=load_profiles(own_profiles))
    kerf_mm = parse_length(kerf, unit=job.units, where="--kerf")
    if kerf_mm <= 0:
        mend = "Measure the slot of a test cut."
        raise JobError(Fault(where="--kerf", found=kerf, problem="a blade leaves more than nothing", mend=mend))
    return saw_table_lines(saw_table(job.track, kerf_mm=kerf_mm, unit=job.units), unit=job.units)
