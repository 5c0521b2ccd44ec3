"""A job of the folder as the page and its workers read it: nothing outside is read, and faults know their field."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from platelayer import files
from platelayer.desk.folder import inside
from platelayer.desk.saving import check_leads
from platelayer.errors import Fault, PlatelayerError
from platelayer.fit.shop import ShopRecord
from platelayer.job import Profiles, load_job, path_of, placed, profiles_for, read_toml
from platelayer.job.profiles import machine_files
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.units import LengthUnit, worded
from platelayer.values.tooling import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class JobText:
    """A job file: its name in the folder, its place, and its text."""

    name: str
    file: Path
    text: str

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
        check_leads(root, job.file, job.data().get("job"))
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


def own_machine(root: Path, name: str, profiles: Profiles) -> dict[str, Any]:
    """The profile of a job's machine where it is a file of the folder: its name there, its text and its data."""
    file = Path(machine_files(profiles).get(name, ""))
    if not file.is_relative_to(root):
        return {}
    text = profiles[str(file)]
    try:
        data: object = plain(read_toml(text, file=str(file)))
    except PlatelayerError:
        data = None
    return {"file": file.relative_to(root).as_posix(), "text": text, "data": data}


def plain(value: object) -> object:
    """TOML data as JSON has it: days and times as text."""
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value if isinstance(value, bool | int | float | str) else str(value)


def told_faults(error: PlatelayerError, job: JobText | None = None) -> list[dict[str, Any]]:
    """The faults as the page gets them: a sentence, and the path of the field at fault where it is of this job."""
    if job is not None:
        error = placed(error, job.text, file=str(job.file))
    data: Mapping[str, Any] = {}
    if job is not None:
        try:
            data = job.data()
        except PlatelayerError:
            data = {}
    told = [_told(fault, job, data) for fault in error.faults]
    first: dict[tuple[object, ...], dict[str, Any]] = {}
    for one in told:
        is_of_piece = one["path"][:1] == ["piece"] and len(one["path"]) == _OF_ENTRY
        first.setdefault((*one["path"],) if is_of_piece else (*one["path"], one["sentence"]), one)
    return list(first.values())


def _data_at(file: str) -> tuple[Mapping[str, Any], str]:
    """The data of another file that a fault names, and its name in its folder; no data where it is no TOML."""
    place = Path(file)
    if place.suffix != ".toml" or not place.is_file():
        return {}, place.name
    try:
        return read_toml(files.read_text(place), file=file), f"{place.parent.name}/{place.name}"
    except PlatelayerError:
        return {}, f"{place.parent.name}/{place.name}"


_OF_ENTRY: Final = 2
"""Steps to a whole piece: what is wrong with all its copies is told once."""


def _told(fault: Fault, job: JobText | None, data: Mapping[str, Any]) -> dict[str, Any]:
    is_here = job is not None and fault.file in ("", str(job.file))
    data, name = (data, job.name) if job is not None and is_here else _data_at(fault.file)
    unit: LengthUnit = fault.unit or "in"
    shown = replace(fault, file="" if is_here else Path(fault.file).name, line=0 if is_here else fault.line, column=0)
    return {
        "sentence": str(shown),
        "problem": worded(f"{fault.problem}{'' if fault.problem.endswith(('.', '?')) else '.'} {fault.fix}", unit),
        "file": name,
        "path": list(path_of(fault.where, data)) if data else [],
        "line": fault.line if is_here else 0,
    }
