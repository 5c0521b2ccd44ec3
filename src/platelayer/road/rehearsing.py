"""Runs in the air before anything is cut: air passes and traces, proved and written to a folder of their own."""

from dataclasses import replace
from pathlib import Path

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.rerun.rehearsal import rehearsal
from platelayer.road import judge, read_back
from platelayer.road.outputs import ReadBack
from platelayer.road.recutting import entry_of
from platelayer.units import parse_length
from platelayer.values.findings import Severity


def rehearse(folder: Path, *, out: Path, lift: str, has_spindle_on: bool, force: bool = False) -> ReadBack:
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
    if out.resolve() == folder.resolve():
        raise JobError(Fault(where="--out", found=str(out), problem="is the folder of the job", mend="Name another."))
    files.check_target(out, force=force)
    read = read_back(folder)
    lift_mm = parse_length(lift, unit=read.manifest.units, where="--lift") if lift else None
    times = {name: move_times(motion, read.manifest.machine).total_s for name, motion in read.motions.items()}
    made = rehearsal(read.manifest, read.texts, read.motions, times, lift_mm=lift_mm, has_spindle_on=has_spindle_on)
    texts = {name: text for name, (_, text) in made.items()}
    motions = {name: read_program(text, name=name) for name, text in texts.items()}
    listed = tuple(entry_of(file, texts[name], motions[name]) for name, (file, _) in made.items())
    boards = tuple(replace(board, turning=None) for board in read.manifest.boards)
    rehearsed = ReadBack(replace(read.manifest, boards=boards, files=listed, pieces=()), texts, motions)
    report = judge(rehearsed)
    if not report.passed:
        errors = (one for one in report.findings if one.severity is Severity.ERROR)
        raise CannotCut(*(Fault(where=one.where.file, problem=one.text, mend=one.advice) for one in errors))
    staged = files.stage_folder(out)
    try:
        files.fill(staged, {name: text.encode("ascii") for name, text in texts.items()})
        files.hand_over(staged, out)
    finally:
        files.drop(staged)
    return rehearsed
