"""The only writer: whole or nothing, and never over what a person has edited.

Glossary:
    folder: everything one ``make`` wrote, with ``written.json`` naming each file and its hash.
    edited: a file that no longer has the hash it was written with.
    staged: a folder beside its target, hidden, held by the run that fills it. dead: a run that ended without its end.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from difflib import get_close_matches
from glob import escape
from pathlib import Path
from typing import Final

from platelayer.errors import Cure, Fault, JobError

try:
    import fcntl
except ImportError:  # a system without such locks
    fcntl = None  # type: ignore[assignment]

WRITTEN: Final = "written.json"
MANIFEST: Final = "manifest.json"

_STAGED: Final = "staged"
_OLD: Final = "old"
"""What folders beside a target hold, as their names say: what is to take its place, and what stood there."""

_NEW_FILE_MODE: Final = 0o644
"""Everybody may read what a temporary name would keep private."""


def sha256(content: bytes) -> str:
    """SHA-256 of the bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def beside(job: Path) -> Path:
    """The folder named after a job, beside it."""
    return job.parent / (job.stem if job.suffix else f"{job.name}-made")


def read_text(path: Path) -> str:
    """The text of a file, its line ends as they are.

    Raises:
        JobError: no such file, a folder, not UTF-8, or not to be read.
    """
    return as_text(read_bytes(path), where=str(path))


def read_bytes(path: Path) -> bytes:
    """The bytes of a file.

    Raises:
        JobError: no such file, a folder, or not to be read.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise JobError(Fault(where="", file=str(path), problem="no such file", fix=_near(path))) from None
    except IsADirectoryError:
        raise JobError(Fault(where="", file=str(path), problem="a folder, where a file is wanted")) from None
    except NotADirectoryError:
        raise JobError(Fault(where="", file=str(path.parent), problem="a file, where a folder is wanted")) from None
    except OSError as error:
        raise JobError(Fault(where="", file=str(path), problem=f"cannot be read ({error.strerror})")) from None


def _near(path: Path) -> str:
    """The file beside it whose name is nearly the same, asked for."""
    there = [one.name for one in path.parent.iterdir()] if path.parent.is_dir() else []
    near = get_close_matches(path.name, there, n=1, cutoff=_NEARLY_THE_SAME)
    return f"Did you mean {path.with_name(near[0])}?" if near else ""


_NEARLY_THE_SAME: Final = 0.85


def as_text(content: bytes, *, where: str) -> str:
    """Bytes as text, line ends as they are; ``where`` names them in the fault.

    Raises:
        JobError: not UTF-8.
    """
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        problem = f"not UTF-8 text (byte {error.start})"
        raise JobError(Fault(where=where, problem=problem, fix="Save it as plain text.")) from None


def write_file(path: Path, content: str | bytes, *, force: bool) -> None:
    """One file written whole, by a temporary name beside it; a link is followed, and permissions stay.

    Raises:
        JobError: the file exists already and ``force`` is not set, it is read-only, or the place cannot be written.
    """
    check_free(path, force=force)
    with staging(path.resolve()) as staged:
        fill(staged, {path.name: content if isinstance(content, bytes) else content.encode("utf-8")})
        put(staged / path.name, path)


def check_free(path: Path, *, force: bool) -> None:
    """Nothing stands where a file is to be written, or it may be written over.

    Raises:
        JobError: the file exists already and ``force`` is not set.
    """
    if path.exists() and not force:
        raise JobError(Fault(where=str(path), problem="exists already", fix="Name another, or give --force."))


def put(staged: Path, path: Path) -> None:
    """A staged file put in its place whole; a link is followed, and permissions stay.

    Raises:
        JobError: what stands there is read-only, or the place cannot be written.
    """
    target = path.resolve()
    try:
        mode = target.stat().st_mode & 0o777 if target.exists() else _NEW_FILE_MODE
        if not mode & 0o222:
            raise JobError(Fault(where=str(path), problem="read-only", fix="Make it writable, or name another."))
        staged.chmod(mode)
        staged.replace(target)
    except OSError as error:
        raise JobError(Fault(where=str(path), problem=f"cannot be written ({error.strerror})")) from None


@contextmanager
def staging(target: Path) -> Iterator[Path]:
    """A fresh empty folder beside the target, on the same disk, to be filled and handed over; gone afterwards.

    First what dead runs for the same target left is cleared away, and a hand-over in which one died is finished.

    Raises:
        JobError: the place cannot be written.
    """
    with ExitStack() as held:
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            _clear_after_the_dead(target)
            staged = held.enter_context(_held_folder(target, _STAGED))
        except OSError as error:
            raise JobError(Fault(where=str(target), problem=f"cannot be written ({error.strerror})")) from None
        try:
            yield staged
        finally:
            shutil.rmtree(staged, ignore_errors=True)


@contextmanager
def _held_folder(target: Path, what: str) -> Iterator[Path]:
    """A new folder beside the target, held so that other runs know that its owner lives."""
    with ExitStack() as held:
        with _hold(target.parent):
            folder = Path(tempfile.mkdtemp(prefix=f".{target.name}.{what}-", dir=target.parent))
            held.enter_context(_hold(folder))
        yield folder


@contextmanager
def _hold(folder: Path, *, may_wait: bool = True) -> Iterator[bool]:
    """A folder locked; true where that could be done. The lock ends with its process, however that ends.

    Some disks and systems know no such locks: nothing is held there, and so nothing cleared away.
    """
    with ExitStack() as held:
        try:
            place = os.open(folder, os.O_RDONLY)
            held.callback(os.close, place)
            fcntl.flock(place, fcntl.LOCK_EX | (0 if may_wait else fcntl.LOCK_NB))
        except (OSError, AttributeError):
            is_held = False
        else:
            is_held = True
        yield is_held


@contextmanager
def taking_turns(folder: Path) -> Iterator[None]:
    """One after another, of all that take turns at this folder, in this process and others; it is made when missing.

    Raises:
        JobError: the folder cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise JobError(Fault(where=str(folder), problem=f"cannot be written ({error.strerror})")) from None
    with _hold(folder):
        yield


def _clear_after_the_dead(target: Path) -> None:
    """Folders of ours for this target that nobody holds any more: what is to be kept goes back, the rest goes.

    A folder is made and held under a lock on the place it stands in, so that none is met between the two.
    """
    with _hold(target.parent):
        left = [
            path for what in (_OLD, _STAGED) for path in sorted(target.parent.glob(f".{escape(target.name)}.{what}-*"))
        ]
    for folder in left:
        with _hold(folder, may_wait=False) as is_dead:
            if is_dead:
                _give_back(folder, target)
                shutil.rmtree(folder, ignore_errors=True)


def _give_back(old: Path, target: Path) -> None:
    """Out of an older output laid aside: all of it where nothing took its place, else what the person added to it."""
    kept = old / target.name
    if not kept.is_dir():
        return
    if not target.exists():
        kept.rename(target)
        return
    ours = set(_record(kept)) | {WRITTEN}
    for path in kept.iterdir():
        if path.name not in ours and not (target / path.name).exists():
            path.rename(target / path.name)


def fill(folder: Path, contents: Mapping[str, bytes]) -> None:
    """The contents written into a staged folder, with the record of their hashes.

    Raises:
        JobError: the disk is full or the place cannot be written.
    """
    try:
        for name, content in contents.items():
            (folder / name).write_bytes(content)
        record = _record(folder) | {name: sha256(content) for name, content in contents.items()}
        (folder / WRITTEN).write_text(json.dumps(dict(sorted(record.items())), indent=1) + "\n", encoding="ascii")
    except OSError as error:
        raise JobError(Fault(where=str(folder), problem=f"cannot be written ({error.strerror})")) from None


def add_to(folder: Path, contents: Mapping[str, bytes], *, in_place_of: str = "") -> None:
    """More files put into a folder this program wrote, each whole, and named in its record.

    Files of ours whose name begins with ``in_place_of`` and that are not among them go.

    Raises:
        JobError: one of them was edited since it was written, or stands there and is not ours.
    """
    record = _record(folder)
    gone = {name for name in record if in_place_of and name.startswith(in_place_of)} - set(contents)
    edited = set(edited_files(folder)) & (set(contents) | gone)
    strange = {name for name in contents if name not in record and (folder / name).exists()}
    if edited or strange:
        said = ", ".join(sorted(edited | strange))
        raise JobError(Fault(where=str(folder), problem=f"edited or not ours: {said}", fix="Move it elsewhere first."))
    with staging(folder) as staged:
        fill(staged, contents)
        known = record | {name: sha256(content) for name, content in contents.items()}
        known = {name: value for name, value in known.items() if name not in gone}
        try:
            for name in contents:
                Path(staged / name).replace(folder / name)
            (staged / WRITTEN).write_text(json.dumps(dict(sorted(known.items())), indent=1) + "\n", encoding="ascii")
            Path(staged / WRITTEN).replace(folder / WRITTEN)
            for name in gone:
                (folder / name).unlink(missing_ok=True)
        except OSError as error:
            raise JobError(Fault(where=str(folder), problem=f"cannot be written ({error.strerror})")) from None


def is_ours(path: Path) -> bool:
    """The file was written by this program into the folder it stands in, and stands there still."""
    return path.name in _record(path.parent) and path.is_file()


def edited_files(folder: Path) -> tuple[str, ...]:
    """Names of the files in an earlier output folder that were changed since they were written, sorted."""
    record = _record(folder)
    return tuple(
        sorted(
            name
            for name, known in record.items()
            if (folder / name).is_file() and sha256((folder / name).read_bytes()) != known
        )
    )


def check_target(target: Path, *, force: bool) -> None:
    """Nothing of the person's own stands in the way of handing over to this target.

    Raises:
        JobError: a file of that name; a folder with things this program did not write; files edited since.
    """
    if target.is_file():
        raise JobError(Fault(where=str(target), problem="a file, where a folder is wanted", fix="Name another --out."))
    if not target.is_dir() or force:
        return
    if any(target.iterdir()) and not (target / WRITTEN).is_file():
        problem = "holds files this program did not write"
        fix = "Name another --out, or give --force."
        raise JobError(Fault(where=str(target), problem=problem, fix=fix, cure=Cure.WRITE_OVER))
    edited = edited_files(target)
    if edited:
        problem = f"edited since it was written: {', '.join(edited)}"
        fix = "Save it elsewhere, name another --out, or give --force."
        raise JobError(Fault(where=str(target), problem=problem, fix=fix, cure=Cure.WRITE_OVER))


def hand_over(staged: Path, target: Path) -> None:
    """The staged folder put in the target's place in one rename; what the person added beside our files comes along.

    Raises:
        JobError: the place cannot be written.
    """
    try:
        os.chmod(staged, 0o755)  # noqa: PTH101 mkdtemp makes it private
        if not target.exists():
            staged.rename(target)
            return
        with _held_folder(target, _OLD) as old:
            try:
                target.rename(old / target.name)
                staged.rename(target)
            finally:
                _give_back(old, target)
            shutil.rmtree(old, ignore_errors=True)
    except OSError as error:
        raise JobError(Fault(where=str(target), problem=f"cannot be written ({error.strerror})")) from None


def _record(folder: Path) -> dict[str, str]:
    try:
        data = json.loads((folder / WRITTEN).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return {}
    return {str(name): str(known) for name, known in data.items()} if isinstance(data, dict) else {}
