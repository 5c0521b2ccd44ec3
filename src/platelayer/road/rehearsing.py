"""Runs in the air before anything is cut: air passes and traces, proved and written to a folder of their own."""

from dataclasses import replace
from pathlib import Path

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.parsing import parse_length
from platelayer.rerun.rehearsal import rehearsal
from platelayer.road.folders import read_folder
from platelayer.road.proving import Proof, proof_of, read_back, read_of
from platelayer.road.resuming import entry_of
from platelayer.values.findings import Severity


def rehearse(folder: Path, *, out: Path, lift: str, has_spindle_on: bool, force: bool = False) -> Proof:
    """An air pass of every file of a folder, and a trace of every board, in a folder of their own.

    Args:
        folder: what ``make`` wrote.
        out: folder to write.
        lift: length by which all is raised, as written by a person; empty for what each file needs.
        has_spindle_on: the spindle turns as in the cut.
        force: write over edited files.

    Raises:
        JobError: ``out`` stands in the way, or the lift is no length.
        CannotCut: the lift leaves the bit too near the wood, or the raised files leave the machine's travel.
        ReadError: a file of the folder cannot be read.
    """
    if out.exists() and folder.exists() and out.samefile(folder):
        raise JobError(Fault(where="--out", found=str(out), problem="is the folder of the job", fix="Name another."))
    files.check_target(out, force=force)
    read = read_back(read_folder(folder))
    lift_mm = parse_length(lift, unit=read.manifest.units, where="--lift") if lift else None
    seconds = {name: time.total_s for name, time in read.times.items()}
    try:
        made = rehearsal(
            read.manifest, read.texts, read.motions, seconds, lift_mm=lift_mm, has_spindle_on=has_spindle_on
        )
    except CannotCut as error:
        raise error.in_unit(read.manifest.units) from error
    boards = tuple(replace(board, turning=None) for board in read.manifest.boards)
    listed = tuple(entry_of(file, text, name=name) for name, (file, text) in made.items())
    aloft = replace(read.manifest, boards=boards, files=listed, pieces=(), bound=())
    with files.staging(out) as staged:
        files.fill(staged, {name: text.encode("ascii") for name, (_, text) in made.items()})
        proof = proof_of(read_of(aloft, {name: files.read_bytes(staged / name) for name in made}))
        if not proof.report.passed:
            errors = (one for one in proof.report.findings if one.severity is Severity.ERROR)
            raise CannotCut(*(Fault(where=one.where.file, problem=one.text, fix=one.advice) for one in errors))
        files.hand_over(staged, out)
    return proof
