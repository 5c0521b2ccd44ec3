"""Folders that ``make`` wrote, from their files alone: read, dry-run, and given what a person carries to the shop."""

from collections.abc import Mapping
from pathlib import Path

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError
from platelayer.manifest.read import parse_manifest
from platelayer.preview.report.summary import verdict
from platelayer.road.foreign import dry_run_file
from platelayer.road.outputs import shop_outputs
from platelayer.road.proving import Proof, proof_of, read_back
from platelayer.values.findings import Code, Finding, Severity


def read_folder(folder: Path) -> dict[str, bytes]:
    """The manifest of a folder and every file that it names, as they stand on disk.

    Raises:
        JobError: no folder, none that was made, or a file is missing or cannot be read.
        ReadError: the manifest is not what it should be.
    """
    fix = f"Name the folder that make wrote, or write it: platelayer make JOB --out {folder}."
    if folder.is_file():
        problem, fix = "a file, where a folder is wanted", "Name the folder that make wrote."
        raise JobError(Fault(where="", file=str(folder), problem=problem, fix=fix))
    if not (folder / files.MANIFEST).is_file():
        problem = "nothing that was made and passed lies in it" if folder.is_dir() else "no such folder"
        raise JobError(Fault(where="", file=str(folder), problem=problem, fix=fix))
    manifest = files.read_bytes(folder / files.MANIFEST)
    named = parse_manifest(files.as_text(manifest, where=str(folder / files.MANIFEST))).files
    return {files.MANIFEST: manifest} | {file.name: files.read_bytes(folder / file.name) for file in named}


def dry_run_folder(folder: Path) -> Proof:
    """A folder dry-run from its files alone.

    Raises:
        JobError: a file is missing.
        ReadError: the manifest cannot be read.
    """
    return _proved(read_folder(folder))


def _proved(contents: Mapping[str, bytes]) -> Proof:
    """The proof of a folder's files, and before it the warnings that its manifest keeps from when it was made."""
    read = read_back(contents)
    warning = Severity.WARNING
    kept = [sentence.removeprefix(f"{warning}: ") for sentence in read.manifest.noticed]
    return proof_of(read, noticed=[Finding(code=Code.JOB_NOTICED, severity=warning, text=text) for text in kept])


def dry_run_foreign(place: Path, *, bit: str | None, board: str | None, zero: str) -> Proof:
    """A single file dry-run: with its folder when a manifest beside it names it, else with the bit and board given.

    Raises:
        JobError: no such file, or no manifest beside it and no bit or board given.
        ReadError: the file cannot be read.
    """
    if bit is None and board is None and (place.parent / files.MANIFEST).is_file():
        contents = read_folder(place.parent)
        if place.name in contents:
            return _proved(contents)
    if not place.exists():
        raise JobError(Fault(where="", file=str(place), problem="no such file or folder"))
    if place.suffix == ".toml":
        fix = f"To make the job and dry-run it: platelayer make {place}."
        raise JobError(Fault(where="", file=str(place), problem="no G-code", fix=fix))
    if bit is None or board is None:
        problem = "no manifest beside it names this file, so its bit and board are not known"
        fix = 'Give them: --bit "1/8 in" --board "36 x 11 x 1/2 in".'
        raise JobError(Fault(where="", file=str(place), problem=problem, fix=fix))
    return dry_run_file(place, bit=bit, board=board, zero=zero)


def sheet(folder: Path) -> tuple[str, ...]:
    """The shop sheet, templates and drawings put into a folder that ``make`` wrote; their names.

    Raises:
        JobError: a file is missing, or one of these papers was edited since it was written.
        ReadError: a file cannot be read.
        CannotCut: the dry run refuses the folder, so there is nothing to carry to the shop.
    """
    proof = dry_run_folder(folder)
    if not proof.report.passed:
        problem = verdict(proof.report)
        raise CannotCut(Fault(where=str(folder), problem=problem, fix="platelayer dryrun says what is wrong."))
    made = shop_outputs(proof)
    files.add_to(folder, made)
    return tuple(made)
