"""Proofs in the background, and files made: G-code and all that goes to the shop, runs in the air, cuts gone on with.

Whatever is handed out was read back from disk and proved there; the proof in the background is for looking only.
"""

import base64
from collections.abc import Callable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from platelayer import files
from platelayer.desk.folder import inside
from platelayer.desk.looking import drawings_of
from platelayer.desk.reading import job_text, learnt, loaded, profiles_of, told_faults
from platelayer.errors import Fault, JobError, PlatelayerError
from platelayer.preview.paper.content import shop_sheet
from platelayer.preview.report.between_words import words_before
from platelayer.preview.report.naming import numbered
from platelayer.preview.report.summary import show_finding, verdict, whole_s
from platelayer.rerun.rehearsal import TRACE
from platelayer.road import making
from platelayer.road.folders import dry_run_folder, sheet
from platelayer.road.outputs import PREVIEW
from platelayer.road.planning import cut_laid, lay_job
from platelayer.road.proving import Proof, proof_of, read_back
from platelayer.road.redrawing import with_direction_words
from platelayer.road.rehearsing import rehearse
from platelayer.road.resuming import ResumeFrom, recut_file
from platelayer.road.timing import asked_moves, timed_words, write_timed_moves
from platelayer.units import minutes, show_length, worded
from platelayer.values.findings import Severity

Tell = Callable[[Any], None]
AIR: Final = "-air"
"""After the name of a job's folder: the folder of its runs in the air."""
AXES: Final = ("x", "y", "z")
AGAIN: Final = "-again"
"""The same for cuts that go on."""


def prove(root: Path, tell: Tell, *, job: str) -> dict[str, Any]:
    """The dry run of a job that nobody has made yet: from bytes in memory, so for looking only.

    Raises:
        JobError: what is wrong with the job.
    """
    said = job_text(root, job)
    try:
        tell({"event": "working", "words": "Working out the cuts"})
        one, _ = learnt(loaded(root, said), file=said.file)
        laid = lay_job(one)
        plan, noticed = cut_laid(laid)
        one = with_direction_words(one, plan)
        read = read_back(making.contents_of(plan, one, (*one.warnings, *noticed)))
        seconds = sum(time.total_s for time in read.times.values())
        lie = {(laid.pieces[here.index].id, here.board_id, here.pose) for here in laid.placements}
        is_moved = lie != {(placed.piece.id, placed.board_id, placed.pose) for placed in plan.pieces}
        drawn = {"drawings": drawings_of(read.manifest)} if is_moved else {}
        tell({"event": "planned", "minutes": minutes(seconds)} | drawn)
        tell({"event": "working", "words": f"Dry run of {_files(len(plan.programs))}"})
        return _proved(proof_of(read, noticed=(*one.warnings, *noticed)))
    except PlatelayerError as error:
        return {"passed": False, "faults": told_faults(error, said)}


def _traces_first(name: str) -> tuple[bool, str]:
    """A trace shows a clamp in the way before a program runs through it."""
    return not name.endswith(TRACE), name


def _files(count: int) -> str:
    return f"{count} {'file' if count == 1 else 'files'}"


def _proved(proof: Proof) -> dict[str, Any]:
    manifest, report = proof.manifest, proof.report
    return {
        "passed": report.passed,
        "verdict": verdict(report),
        "minutes": minutes(whole_s(manifest, report)),
        "findings": [
            {"severity": str(one.severity), "words": worded(numbered(show_finding(one), manifest), manifest.units)}
            for one in sorted(report.told, key=lambda one: list(Severity).index(one.severity))
        ],
    }


def make(root: Path, tell: Tell, *, job: str, force: bool = False) -> dict[str, Any]:
    """A job made as ``make`` makes it, with its shop sheet and its runs in the air; or why it is not.

    Raises:
        JobError: what stands in the way.
    """
    said = job_text(root, job)
    out = inside(root, files.beside(said.file).relative_to(root).as_posix())
    try:
        made = making.make(
            said.text,
            file=str(said.file),
            out=out,
            profiles=profiles_of(root, said),
            force=force,
            progress=lambda words: tell({"event": "working", "words": words}),
        )
    except PlatelayerError as error:
        return {"refused": told_faults(error, said)}
    if not made.proof.report.passed:
        return _proved(made.proof)
    sheet(out)
    rehearse(out, out=out.with_name(out.name + AIR), lift="", has_spindle_on=False, force=True)
    return shop(root, tell, job=job)


def shop(root: Path, _: Tell, *, job: str) -> dict[str, Any]:
    """What stands in a job's folder, dry-run from disk: its files, and all that a person does with them in the shop.

    Raises:
        JobError: a name that leads outside, or files that are missing.
        ReadError: files that cannot be read.
    """
    place = inside(root, job)
    out = inside(root, files.beside(place).relative_to(root).as_posix())
    if not (out / files.MANIFEST).is_file():
        return {"is_made": False}
    proof = dry_run_folder(out)
    words = shop_sheet(proof.manifest, proof.report, proof.read.motions)
    name, air = out.name, out.with_name(out.name + AIR)
    known = {file.name: file for file in proof.report.files}
    zeros = {board.id: board.zero for board in proof.manifest.boards}
    before = words_before(proof.manifest)
    return _proved(proof) | {
        "is_made": True,
        "is_older": _is_older(out, place),
        "folder": out.relative_to(root).as_posix(),
        "page": PREVIEW,
        "sheet": asdict(words),
        "files": [
            {
                "name": file.name,
                "board": file.board,
                "face": str(file.face),
                "bits": [
                    {
                        "id": bit.id,
                        "dial": bit.dial,
                        "reach": _words(proof, show_length(bit.reach_mm)) if bit.reach_mm else "",
                    }
                    for bit in file.bits
                ],
                "zero": zeros[file.board],
                "before": [_words(proof, one) for one in before.get(file.name, ())],
                "minutes": minutes(known[file.name].seconds_s) if file.name in known else "",
            }
            for file in proof.manifest.files
        ],
        "pieces": [piece.id for piece in proof.manifest.pieces],
        "air": sorted((path.name for path in air.glob("*.nc")), key=_traces_first) if air.is_dir() else [],
        "air_folder": name + AIR,
        "papers": [paper for paper in ("sheet.pdf", "templates.pdf") if files.is_ours(out / paper)],
    }


def _words(proof: Proof, text: str) -> str:
    return worded(text, proof.manifest.units)


def _is_older(out: Path, job: Path) -> bool:
    """The job was saved after its folder was made."""
    return (out / files.MANIFEST).stat().st_mtime_ns < job.stat().st_mtime_ns


def copy(root: Path, _: Tell, *, file: str, kind: str) -> dict[str, Any]:
    """A file that this program made: a page or a paper as it was written, G-code only as its folder is proved now.

    Raises:
        JobError: not such a file, or changed since it was written.
        ReadError: a folder that cannot be read.
    """
    place = inside(root, file)
    wanted = {"page": ".html", "paper": ".pdf", "gcode": ".nc"}.get(kind)
    if wanted is None or place.suffix != wanted or not files.is_ours(place):
        raise JobError(Fault(where=file, problem="not a file that was made here"))
    if place.name in files.edited_files(place.parent):
        raise JobError(Fault(where=file, problem="changed since it was made", fix="Make the job again."))
    if kind == "gcode" and (place.parent / files.MANIFEST).is_file():
        proof = dry_run_folder(place.parent)
        if not proof.report.passed or place.name not in proof.read.texts:
            raise JobError(Fault(where=file, problem=verdict(proof.report), fix="Make the job again."))
    content = files.read_bytes(place)
    if kind == "paper":
        return {"base64": base64.b64encode(content).decode("ascii"), "name": place.name}
    return {"text": files.as_text(content, where=file), "name": place.name}


def timing(root: Path, _: Tell, *, axis: str, feed: str, length: str, took: str = "") -> dict[str, Any]:
    """Moves to be timed along an axis, in a file beside the job; with the seconds that they took, what those say.

    Raises:
        JobError: no such axis, no length, no feed, or no time that such moves can take.
    """
    if axis not in AXES:
        raise JobError(Fault(where="axis", found=axis, problem=f"one of {', '.join(AXES)} is meant"))
    moves = asked_moves(feed=feed, length=length)
    if took:
        try:
            took_s = float(took)
        except ValueError:
            raise JobError(Fault(where="took", found=took, problem="not a number of seconds")) from None
        return {"words": timed_words(moves, took_s=took_s)}
    out = inside(root, f"timing-{axis}.nc")
    write_timed_moves(axis, moves, out=out, force=True)
    return {"text": files.read_text(out), "name": out.name, "count": moves.count}


def recut(root: Path, _: Tell, *, file: str, zero: str, start: Mapping[str, Any]) -> dict[str, Any]:
    """A file that goes on with one that stopped, in a folder beside the job's own.

    Raises:
        JobError: no such file, line, piece or pass; nobody said whether zero was kept.
        ReadError: a file of the folder cannot be read.
    """
    place = inside(root, file)
    if zero not in ("kept", "lost"):
        fix = "Lost when power failed, a motor stalled or slipped, the bit was changed, or the board moved."
        raise JobError(Fault(where="zero", problem="say whether the machine still has it", fix=fix))
    line, piece, number = (start.get(key) for key in ("line", "piece", "number"))
    begin = ResumeFrom(
        line=line if isinstance(line, int) else None,
        piece=str(piece or ""),
        number=number if isinstance(number, int) else 1,
    )
    if begin.line is None and not begin.piece and not isinstance(number, int):
        raise JobError(Fault(where="line", problem="say where to go on: a line, a piece or a pass"))
    after = f"line-{begin.line}" if begin.line is not None else f"{begin.piece or 'pass'}-{begin.number}"
    folder = place.parent.with_name(place.parent.name + AGAIN)
    out = inside(root, (folder / f"{place.stem}-from-{after}.nc").relative_to(root).as_posix())
    done = recut_file(place, begin, zero_is_lost=zero == "lost", out=out, force=True)
    told = _proved(done.proof) | {"sentences": list(done.recut.sentences)}
    if not done.proof.report.passed:
        return told
    return told | {"file": out.relative_to(root).as_posix(), "text": files.read_text(out), "name": out.name}
