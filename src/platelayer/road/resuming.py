"""A cut that failed goes on: from a line, a piece or a pass to a file proved together with what was cut before it."""

from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.job.near_names import fix_for
from platelayer.manifest.read import parse_manifest
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestFile
from platelayer.rerun.recut import Recut, begun_from_top, cut_before_text, pass_at_line, pass_named, recut_text
from platelayer.rerun.recut_head import RecutHead
from platelayer.rerun.written import WrittenPass, passes_of
from platelayer.road.folders import read_folder
from platelayer.road.proving import Proof, ReadBack, proof_of, read_back, read_of
from platelayer.values.pieces import BoardFace


@dataclass(frozen=True, slots=True, kw_only=True)
class ResumeFrom:
    """Where a recut begins: the line at which the file stopped, else a pass of the file or of one piece."""

    line: int | None = None
    piece: str = ""
    number: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """A recut, and the report of the dry run on it together with what was cut before and everything cut after."""

    recut: Recut
    asked: WrittenPass
    begins: WrittenPass
    proof: Proof


def recut_file(place: Path, start: ResumeFrom, *, zero_is_lost: bool, out: Path, force: bool = False) -> Resumed:
    """A file that goes on with one that stopped, proved together with what was cut before, and written when it passes.

    Args:
        place: the file that stopped, in the folder that ``make`` wrote.
        start: where it goes on.
        zero_is_lost: what the person said; nobody else can know.
        out: the file to write.
        force: write over an earlier recut.

    Raises:
        JobError: not a file of that folder, changed since, no such line, pass or piece, or ``out`` stands in the way.
        ReadError: a file of the folder cannot be read.
    """
    file, board = stopped_file(place)
    read = read_back(read_folder(place.parent))
    if out.name in read.texts:
        problem = "is the name of a file of this job"
        raise JobError(Fault(where="--out", found=str(out), problem=problem, fix="Name another."))
    text, motion = read.texts[file.name], read.motions[file.name]
    passes = passes_of(text, motion, top_mm=board.top_mm)
    if start.line is not None:
        asked = pass_at_line(passes, motion, start.line)
    else:
        asked = pass_named(passes, motion, piece=start.piece, number=start.number, fix_for=fix_for)
    begins = begun_from_top(passes, asked)
    head = RecutHead(
        name=file.name,
        stop_line=start.line or 0,
        asked=asked,
        begins=begins,
        pass_count=len(passes),
        zero_is_lost=zero_is_lost,
        board=board,
        bits=file.bits,
        is_turned=_is_turned(read.manifest, file),
    )
    untimed = read_program(recut_text(text, motion, head).text, name=out.name)
    recut = recut_text(text, motion, replace(head, duration_s=move_times(untimed, read.manifest.machine).total_s))
    before = cut_before_text(text, motion, line=start.line or asked.first_line)
    files.check_free(out, force=force)
    with files.staging(out.resolve()) as staged:
        files.fill(staged, {out.name: recut.text.encode("ascii")})
        written = files.read_bytes(staged / out.name)
        proof = _proved_together(read, file, before, recut, begins, name=out.name, written=written)
        if proof.report.passed:
            files.put(staged / out.name, out)
    return Resumed(recut=recut, asked=asked, begins=begins, proof=proof)


def stopped_file(place: Path) -> tuple[ManifestFile, ManifestBoard]:
    """The entry and the board of a file that stopped, which lies in its folder as ``make`` wrote it.

    Raises:
        JobError: not a file of such a folder, or changed since.
        ReadError: the manifest cannot be read.
    """
    if not (place.parent / files.MANIFEST).is_file():
        problem = f"no {files.MANIFEST} beside it, so what the file means is not known"
        raise JobError(Fault(where=str(place), problem=problem, fix="Give the file in the folder that make wrote."))
    manifest = parse_manifest(files.read_text(place.parent / files.MANIFEST))
    named = {file.name: file for file in manifest.files}
    if place.name not in named:
        problem = f"not a file of {place.parent / files.MANIFEST}"
        raise JobError(Fault(where=str(place), problem=problem, fix=fix_for(place.name, named)))
    file = named[place.name]
    if files.sha256(files.read_text(place).encode("utf-8")) != file.sha256.lower():
        problem = "changed since make wrote it, so its lines may mean something else"
        raise JobError(Fault(where=str(place), problem=problem, fix="Put back the file as it was made."))
    return file, {board.id: board for board in manifest.boards}[file.board]


def _is_turned(manifest: Manifest, file: ManifestFile) -> bool:
    """The board is turned over before this file: the first to cut its top after others cut it from below."""
    faces = [one.face for one in manifest.files[: manifest.files.index(file)] if one.board == file.board]
    return file.face is BoardFace.TOP and BoardFace.BOTTOM in faces and BoardFace.TOP not in faces


def _proved_together(
    read: ReadBack,
    file: ManifestFile,
    before: str,
    recut: Recut,
    begins: WrittenPass,
    *,
    name: str,
    written: bytes,
) -> Proof:
    """The whole job dry-run with the file replaced by what was cut of it and the recut, each a file of its own."""
    entries = (
        entry_of(file, before, name=f"{file.name} as cut"),
        entry_of(replace(file, bits=file.bits[begins.bit :]), recut.text, name=name),
    )
    contents = {entries[0].name: before.encode("ascii"), name: written}
    added = read_of(replace(read.manifest, files=entries), contents)
    listed = chain.from_iterable(entries if one.name == file.name else (one,) for one in read.manifest.files)
    return proof_of(
        ReadBack(
            replace(read.manifest, files=tuple(listed)),
            {**read.texts, **added.texts},
            {**read.motions, **added.motions},
            {**read.times, **added.times},
        )
    )


def entry_of(like: ManifestFile, text: str, *, name: str) -> ManifestFile:
    """The entry of a file of ours that was made from another, with as many of that one's bits as it names."""
    named = text.count("(BIT ")
    sha256 = files.sha256(text.encode("ascii"))
    return replace(like, name=name, bits=like.bits[:named], sha256=sha256, head=(), stops=None)
