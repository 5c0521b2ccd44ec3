"""A job of the folder as the page and its workers read it: nothing outside is read, and faults know their field."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any, Final

from platelayer import files
from platelayer.desk.folder import inside
from platelayer.desk.saving import check_leads
from platelayer.errors import Fault, PlatelayerError
from platelayer.fit.shop import ShopRecord
from platelayer.job import Profiles, load_job, path_of, placed, profiles_for, read_toml
from platelayer.job.profiles import OWN_FILES, machine_files, own_file
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.units import LengthUnit, worded
from platelayer.values.tooling import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class JobText:
    """A job file: its name in the folder, its place, and its text."""

    name: str
    file: Path
    text: str

    @property
    def root(self) -> Path:
        """The folder."""
        return self.file.parents[len(PurePosixPath(self.name).parts) - 1]

    def data(self) -> dict[str, Any]:
        """The data of the text.

        Raises:
            JobError: not TOML.
        """
        return read_toml(self.text, file=str(self.file))


def job_text(root: Path, name: str) -> JobText:
    """The text of a job file of the folder.

    Raises:
        JobError: no such file, or a name that leads outside.
    """
    file = inside(root, name)
    return JobText(name=name, file=file, text=files.read_text(file))


def profiles_of(root: Path, job: JobText) -> Profiles:
    """The machine profiles that a job may choose from, none of them from outside but the shipped ones.

    Raises:
        JobError: a key that leads outside, no TOML, or a profile that cannot be read.
    """
    try:
        check_leads(root, job.file, job.data())
    except PlatelayerError as error:
        raise placed(error, job.text, file=str(job.file)) from error
    return profiles_for(job.text, file=str(job.file))


def loaded(root: Path, job: JobText) -> Job:
    """The job as its file says it.

    Raises:
        JobError: all that is wrong with it.
    """
    return load_job(job.text, file=str(job.file), profiles=profiles_of(root, job))


def learnt(job: Job, *, file: Path) -> tuple[Job, tuple[ShopRecord, ...]]:
    """The job as it is to be cut, with what its shop has learnt, and those records.

    Raises:
        JobError: a shop file that cannot be read.
        CannotCut: a fit that cannot be had.
    """
    shop = shop_file(job, file=str(file), shop=None)
    records = records_in(shop, names_it=True)
    return tuned(job, records, shop=shop), records


def owned(root: Path, job: JobText, profiles: Profiles) -> dict[str, dict[str, Any]]:
    """What a job names of the person's own, where it is a file of the folder: its name there and its data.

    The profile of its machine, and the files of bits and woods; those that are not there are left out.
    """
    table = job.data().get("job")
    named = table if isinstance(table, Mapping) else {}
    files_named = {key: own_file(str(job.file), str(named[key])) for key in OWN_FILES if named.get(key)}
    files_named["machine"] = machine_files(profiles).get(str(named.get("machine", "")), "")
    return {
        key: {"file": Path(file).relative_to(root).as_posix(), "data": plain(_data_of(profiles[file], file))}
        for key, file in files_named.items()
        if file in profiles and Path(file).is_relative_to(root)
    }


def _data_of(text: str, file: str) -> dict[str, Any] | None:
    """The data of a text, or nothing where it is no TOML."""
    try:
        return read_toml(text, file=file)
    except PlatelayerError:
        return None


def plain(value: object) -> object:
    """TOML data as JSON has it: days and times as text."""
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value if isinstance(value, bool | int | float | str | None) else str(value)


def told_faults(error: PlatelayerError, job: JobText | None = None) -> list[dict[str, Any]]:
    """The faults as the page gets them: a sentence, file and path of the field at fault, and what the page can do."""
    if job is not None:
        error = placed(error, job.text, file=str(job.file))
    told = [_told(fault, job) for fault in error.faults]
    first: dict[tuple[object, ...], dict[str, Any]] = {}
    for one in told:
        is_of_piece = one["path"][:1] == ["piece"] and len(one["path"]) == _OF_ENTRY
        first.setdefault((*one["path"],) if is_of_piece else (*one["path"], one["sentence"]), one)
    return list(first.values())


_OF_ENTRY: Final = 2
"""Steps to a whole piece: what is wrong with all its copies is told once."""


def _told(fault: Fault, job: JobText | None) -> dict[str, Any]:
    is_here = job is not None and fault.file in ("", str(job.file))
    place = job.file if job is not None and is_here else Path(fault.file)
    data: Mapping[str, Any] | None = None
    if place.suffix == ".toml" and place.is_file():
        text = job.text if job is not None and is_here else files.read_text(place)
        data = _data_of(text, str(place))
    unit: LengthUnit = fault.unit or "in"
    shown = replace(fault, file="" if is_here else place.name, line=0 if is_here else fault.line, column=0)
    is_in_folder = job is not None and place.is_relative_to(job.root)
    return {
        "sentence": str(shown),
        "problem": worded(f"{fault.problem}{'' if fault.problem.endswith(('.', '?')) else '.'} {fault.fix}", unit),
        "file": place.relative_to(job.root).as_posix() if job is not None and is_in_folder else place.name,
        "path": list(path_of(fault.where, data)) if data else [],
        "line": fault.line if is_here else 0,
        "cure": fault.cure,
    }
