"""The only writer: whole or nothing, and never over what a person has edited.

Glossary:
    folder: everything one ``make`` wrote, with ``written.json`` naming each file and its hash.
    edited: a file that no longer has the hash it was written with.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from platelayer.errors import Fault, JobError

WRITTEN: Final = "written.json"
MANIFEST: Final = "manifest.json"

_NEW_FILE_MODE: Final = 0o644
"""Everybody may read what a temporary name would keep private."""


def sha256(content: bytes) -> str:
    """SHA-256 of the bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


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
        raise JobError(Fault(where=str(path), problem="no such file")) from None
    except IsADirectoryError:
        raise JobError(Fault(where=str(path), problem="a folder, where a file is wanted")) from None
    except OSError as error:
        raise JobError(Fault(where=str(path), problem=f"cannot be read ({error.strerror})")) from None


def as_text(content: bytes, *, where: str) -> str:
    """Bytes as text, line ends as they are; ``where`` names them in the fault.

    Raises:
        JobError: not UTF-8.
    """
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        problem = f"not UTF-8 text (byte {error.start})"
        raise JobError(Fault(where=where, problem=problem, mend="Save it as plain text.")) from None


def write_file(path: Path, content: str, *, force: bool) -> None:
    """One file written whole, by a temporary name beside it; a link is followed, and permissions stay.

    Raises:
        JobError: the file exists already and ``force`` is not set, it is read-only, or the place cannot be written.
    """
    check_free(path, force=force)
    staged = stage_folder(path.resolve())
    try:
        fill(staged, {path.name: content.encode("utf-8")})
        put(staged / path.name, path)
    finally:
        drop(staged)


def check_free(path: Path, *, force: bool) -> None:
    """Nothing stands where a file is to be written, or it may be written over.

    Raises:
        JobError: the file exists already and ``force`` is not set.
    """
    if path.exists() and not force:
        raise JobError(Fault(where=str(path), problem="exists already", mend="Name another, or give --force."))


def put(staged: Path, path: Path) -> None:
    """A staged file put in its place whole; a link is followed, and permissions stay.

    Raises:
        JobError: what stands there is read-only, or the place cannot be written.
    """
    target = path.resolve()
    try:
        mode = target.stat().st_mode & 0o777 if target.exists() else _NEW_FILE_MODE
        if not mode & 0o222:
            raise JobError(Fault(where=str(path), problem="read-only", mend="Make it writable, or name another."))
        staged.chmod(mode)
        staged.replace(target)
    except OSError as error:
        raise JobError(Fault(where=str(path), problem=f"cannot be written ({error.strerror})")) from None


def stage_folder(target: Path) -> Path:
    """A fresh empty folder beside the target, on the same disk, to be filled and then handed over or dropped.

    Raises:
        JobError: the place cannot be written.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        return Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    except OSError as error:
        raise JobError(Fault(where=str(target), problem=f"cannot be written ({error.strerror})")) from None


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


def add_to(folder: Path, contents: Mapping[str, bytes]) -> None:
    """More files put into a folder this program wrote, each whole, and named in its record.

    Raises:
        JobError: one of them was edited since it was written, or stands there and is not ours.
    """
    record = _record(folder)
    edited = set(edited_files(folder)) & set(contents)
    strange = {name for name in contents if name not in record and (folder / name).exists()}
    if edited or strange:
        said = ", ".join(sorted(edited | strange))
        raise JobError(Fault(where=str(folder), problem=f"edited or not ours: {said}", mend="Move it elsewhere first."))
    staged = stage_folder(folder)
    try:
        fill(staged, contents)
        for name in contents:
            Path(staged / name).replace(folder / name)
        known = record | {name: sha256(content) for name, content in contents.items()}
        (staged / WRITTEN).write_text(json.dumps(dict(sorted(known.items())), indent=1) + "\n", encoding="ascii")
        Path(staged / WRITTEN).replace(folder / WRITTEN)
    except OSError as error:
        raise JobError(Fault(where=str(folder), problem=f"cannot be written ({error.strerror})")) from None
    finally:
        drop(staged)


def drop(folder: Path) -> None:
    """The staged folder removed, whatever it holds."""
    shutil.rmtree(folder, ignore_errors=True)


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
        raise JobError(Fault(where=str(target), problem="a file, where a folder is wanted", mend="Name another --out."))
    if not target.is_dir() or force:
        return
    if any(target.iterdir()) and not (target / WRITTEN).is_file():
        problem = "holds files this program did not write"
        raise JobError(Fault(where=str(target), problem=problem, mend="Name another --out, or give --force."))
    edited = edited_files(target)
    if edited:
        problem = f"edited since it was written: {', '.join(edited)}"
        raise JobError(
            Fault(where=str(target), problem=problem, mend="Save it elsewhere, name another --out, or give --force.")
        )


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
        old = Path(tempfile.mkdtemp(prefix=f".{target.name}.old.", dir=target.parent))
        ours = set(_record(target)) | {WRITTEN}
        kept = old / target.name
        target.rename(kept)
        staged.rename(target)
        for path in kept.iterdir():
            if path.name not in ours and not (target / path.name).exists():
                path.rename(target / path.name)
        drop(old)
    except OSError as error:
        raise JobError(Fault(where=str(target), problem=f"cannot be written ({error.strerror})")) from None


def _record(folder: Path) -> dict[str, str]:
    try:
        data = json.loads((folder / WRITTEN).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return {}
    return {str(name): str(known) for name, known in data.items()} if isinstance(data, dict) else {}
