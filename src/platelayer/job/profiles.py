"""Machine profiles: where they lie, what is in them, and the machine that follows.

Glossary:
    profile: one TOML file for one machine; its id is the file's name without ``.toml``.
    listed feeds: what the profile says of one wood and one bit. Derived feeds are worked out in feeds.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Final

import platelayer
from platelayer.errors import Fault, JobError
from platelayer.job.limits import LEAST_DECIMALS
from platelayer.job.materials import shipped_woods
from platelayer.job.profile_checks import profile_faults
from platelayer.job.profile_models import ProfileFile
from platelayer.job.reading import placed, read_model, read_toml, unit_of
from platelayer.values.dialect import Dialect
from platelayer.values.tooling import Machine, SpindleKind

Profiles = Mapping[str, str]
"""Text of every profile by file name, the person's own first; with the files of bits and woods that a job names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedFeeds:
    """One ``[[feeds]]`` entry; bit id is empty where the entry goes by diameter and flutes."""

    number: int
    material_id: str
    bit_id: str
    diameter_mm: float
    flutes: int
    spindle_rpm: float
    feed_mm_min: float
    plunge_mm_min: float
    stepdown_mm: float
    stepover_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A machine and the feeds listed for it."""

    file: str
    machine: Machine
    feeds: tuple[ListedFeeds, ...]


def profile_folders(own: Sequence[Path] = ()) -> tuple[Path, ...]:
    """Folders to look for profiles in, the person's own first, then the shipped one.

    The shipped folder is the package's own data, or the top of the source tree when running from there.
    """
    package = Path(platelayer.__file__).parent
    places = (package / "machine_profiles", package.parents[1] / "machine_profiles")
    return (*own, *[place for place in places if place.is_dir()][:1])


def load_profiles(own: Sequence[Path] = ()) -> dict[str, str]:
    """Text of every ``*.toml`` in the person's own folders and the shipped one, by path; a folder's files by name.

    Raises:
        JobError: a folder that is not there, or a file that cannot be read as text.
    """
    texts: dict[str, str] = {}
    faults: list[Fault] = []
    for folder in profile_folders(own):
        if not folder.is_dir():
            faults.append(Fault(where="", file=str(folder), problem="no such folder of machine profiles"))
        for path in sorted(folder.glob("*.toml")):
            try:
                texts[str(path)] = path.read_text(encoding="utf-8-sig")
            except (OSError, UnicodeDecodeError) as error:
                faults.append(Fault(where="", file=str(path), problem=f"cannot be read as text: {error}"))
    if faults:
        raise JobError(*faults)
    return texts


def profiles_for(job_text: str, *, file: str, own: Sequence[Path] = ()) -> dict[str, str]:
    """What a job may choose from: the given folders' profiles, those of the folder it names, the shipped ones.

    The files of bits and of woods that it names are among them, by own_file.

    Raises:
        JobError: as load_profiles; with the job's line where a folder or file is one that it names.
    """
    try:
        table = read_toml(job_text, file=file).get("job")
    except JobError:
        return load_profiles(own)  # load_job says what is wrong with the text
    names = {key: table[key] for key in _NAMED if isinstance(table.get(key), str)} if isinstance(table, dict) else {}
    try:
        folders = [_folder_beside(file, names["profiles"])] if names.get("profiles") else []
        texts = {own_file(file, names[key]): _text_beside(file, key, names[key]) for key in OWN_FILES if names.get(key)}
    except JobError as error:
        raise placed(error, job_text, file=file) from error
    return load_profiles((*own, *folders)) | texts


OWN_FILES: Final = ("bits", "woods")
"""Keys of ``[job]`` that name a file of things of the person's own."""
_NAMED: Final = ("profiles", *OWN_FILES)


def own_file(file: str, named: str) -> str:
    """The path by which a file is known that a job names."""
    return str(Path(file).parent / named)


def _folder_beside(file: str, named: str) -> Path:
    folder = Path(file).parent / named
    if not folder.is_dir():
        fix = f"Begin a profile there: platelayer new --machine {folder / 'mine.toml'}. Or leave this out."
        raise JobError(Fault(where="[job] profiles", found=named, problem="no such folder beside the job", fix=fix))
    return folder


def _text_beside(file: str, key: str, named: str) -> str:
    path = Path(file).parent / named
    if not path.is_file():
        raise JobError(no_own_file(key, named))
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise JobError(Fault(where="", file=str(path), problem=f"cannot be read as text: {error}")) from error


def no_own_file(key: str, named: str) -> Fault:
    """The fault of a file of bits or woods that is not there."""
    fix = f"Begin one: platelayer new --{key} {named}. Or leave this out."
    return Fault(where=f"[job] {key}", found=named, problem="no such file beside the job", fix=fix)


def machine_files(profiles: Profiles) -> dict[str, str]:
    """File name of every machine by id, in alphabetic order; of two with the same id the first in the mapping."""
    files: dict[str, str] = {}
    for file in profiles:
        files.setdefault(PurePath(file).stem, file)
    return dict(sorted(files.items()))


def read_profile(text: str, *, file: str, woods: Collection[str] | None = tuple(shipped_woods())) -> Profile:
    """The profile in a text.

    Args:
        text: of the profile.
        file: its name, which is the machine's id.
        woods: ids of those that feeds may be listed for; None where that is not asked.

    Raises:
        JobError: all that is wrong with it, each with file and line.
    """
    try:
        return _profile(text, file, woods)
    except JobError as error:
        raise placed(error, text, file=file) from error


def _profile(text: str, file: str, woods: Collection[str] | None) -> Profile:
    data = read_toml(text, file=file)
    reading = read_model(ProfileFile, data, unit=unit_of(data))
    model = reading.model
    more = profile_faults(model, woods=woods)
    faults = [*reading.faults, *(fault for fault in more if not reading.is_hollow(fault))]
    if faults:
        raise JobError(*faults)
    return Profile(file=file, machine=_machine(model, PurePath(file).stem), feeds=_listed(model))


def _need(value: float | None) -> float:
    """The value of a key that profile_faults has found to be there."""
    if value is None:
        raise AssertionError("a required key of a profile got past its check; please send us the profile")
    return value


def _machine(model: ProfileFile, machine_id: str) -> Machine:
    axes = (model.axis.x, model.axis.y, model.axis.z)
    spindle, places = model.spindle, model.places
    slowest, fastest = _speeds(model)
    return Machine(
        id=machine_id,
        title=model.title,
        travel_mm=_triple(tuple(axis.travel for axis in axes)),
        feed_max_mm_min=_triple(tuple(axis.feed for axis in axes)),
        rapid_mm_min=_triple(tuple(axis.rapid for axis in axes)),
        accel_mm_s2=_triple(tuple(axis.acceleration for axis in axes)),
        corner_deviation_mm=model.cornering.deviation or 0.0,
        corner_speed_mm_min=model.cornering.speed or 0.0,
        spindle=spindle.kind or SpindleKind.SWITCH,
        dial=tuple((mark.mark, mark.rpm) for mark in spindle.dial),
        spindle_min_rpm=slowest,
        spindle_max_rpm=fastest,
        spin_up_s=spindle.spin_up,
        bit_change=model.bit_change.manner,
        can_zero_in_pause=model.bit_change.can_zero_in_pause,
        homes=places.homes,
        dialect=_dialect(model),
        safe_z_mm=_need(places.safe_height),
        clear_z_mm=_need(places.clear_height),
        park=places.park,
        holder_diameter_mm=_need(spindle.holder_diameter),
        zero_at=places.zero_at,
    )


def _triple(values: tuple[float | None, ...]) -> tuple[float, float, float]:
    x, y, z = (_need(value) for value in values)
    return x, y, z


def _speeds(model: ProfileFile) -> tuple[float, float]:
    spindle = model.spindle
    if spindle.kind is SpindleKind.DIAL:
        return spindle.dial[0].rpm, spindle.dial[-1].rpm
    fastest = _need(spindle.fastest)
    return (fastest if spindle.slowest is None else spindle.slowest), fastest


def _dialect(model: ProfileFile) -> Dialect:
    said = model.dialect
    if said.arcs is None or said.dwell_unit is None or said.comments is None:
        raise AssertionError("a required dialect flag got past its check; please send us the profile")
    has_speed_word = model.spindle.kind is SpindleKind.SPEED_WORD
    return Dialect(
        arcs=said.arcs,
        dwell_unit=said.dwell_unit,
        comments=said.comments,
        units=said.units,
        decimals=said.decimals or LEAST_DECIMALS[said.units],
        end_word=said.end_word,
        spindle_speed_word=has_speed_word if said.spindle_speed_word is None else said.spindle_speed_word,
        tool_change_word=said.tool_change_word,
        path_mode=said.path_mode or "",
        path_tolerance_mm=said.path_tolerance or 0.0,
        arc_centre_word=said.arc_centre_word,
        messages=said.messages,
    )


def _listed(model: ProfileFile) -> tuple[ListedFeeds, ...]:
    return tuple(
        ListedFeeds(
            number=number,
            material_id=entry.material,
            bit_id=entry.bit,
            diameter_mm=entry.diameter or 0.0,
            flutes=entry.flutes,
            spindle_rpm=_need(entry.spindle),
            feed_mm_min=_need(entry.feed),
            plunge_mm_min=_need(entry.plunge),
            stepdown_mm=_need(entry.stepdown),
            stepover_ratio=_need(entry.stepover),
        )
        for number, entry in enumerate(model.feeds, start=1)
    )
