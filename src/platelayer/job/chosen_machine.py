"""What a job names outside itself: its machine, its wood, what a person owns, and the feeds that follow.

Glossary:
    own: what stands in the files of bits and woods that a job names, and the profiles it may choose from.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from platelayer.errors import Fault, JobError
from platelayer.job.feeds import chip_findings, derived_finding, feeds_for, with_thin_chips
from platelayer.job.job_models import JobTable
from platelayer.job.materials import Wood, shipped_woods
from platelayer.job.near_names import did_you_mean, fix_for
from platelayer.job.own_files import read_own_bits, read_own_woods
from platelayer.job.profiles import OWN_FILES, Profile, Profiles, machine_files, no_own_file, own_file, read_profile
from platelayer.values.findings import Finding
from platelayer.values.tooling import Bit, CutData

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """Own bits and all known woods by id, and the texts of machine profiles alone."""

    bits: Mapping[str, Bit]
    woods: Mapping[str, Wood]
    profiles: Profiles


def owned(named: Mapping[str, str], profiles: Profiles, *, file: str) -> tuple[Owned, Mapping[str, list[Fault]]]:
    """What the files hold that a job names, and the faults of each of them by its key; a broken one holds nothing.

    Args:
        named: the files' names by the keys of OWN_FILES, as the job has them; empty or left out where it names none.
        profiles: texts of machine profiles and of those files.
        file: name of the job.
    """
    paths = {key: own_file(file, name) for key, name in named.items() if name}
    faults: dict[str, list[Fault]] = {key: [] for key in OWN_FILES}

    def read(key: str, reader: Callable[..., Mapping[str, Thing]]) -> Mapping[str, Thing]:
        if key not in paths:
            return {}
        if paths[key] not in profiles:
            faults[key].append(no_own_file(key, named[key]))
            return {}
        try:
            return reader(profiles[paths[key]], file=paths[key])
        except JobError as error:
            faults[key] += error.faults
            return {}

    bits, woods = read("bits", read_own_bits), read("woods", read_own_woods)
    machines = {path: text for path, text in profiles.items() if path not in paths.values()}
    return Owned(bits=bits, woods=shipped_woods() | dict(woods), profiles=machines), faults


_OWN_WOOD: Final = 'Of your own: platelayer new --woods woods.toml, and woods = "woods.toml" under [job].'


def chosen_wood(table: JobTable, own: Owned, *, faults: list[Fault]) -> Wood | None:
    """The wood that a job names; None when there is no such wood, which is added to the faults."""
    if table.material not in own.woods:
        problem = "no such material" if table.material else "missing"
        fix = did_you_mean(table.material, own.woods) or f"{fix_for(table.material, own.woods)} {_OWN_WOOD}"
        faults.append(Fault(where="[job] material", found=table.material, problem=problem, fix=fix))
    return own.woods.get(table.material)


_OWN_PROFILE: Final = (
    "One of your own: platelayer new --machine machines/NAME.toml begins it; write "
    'profiles = "machines" and machine = "NAME" under [job].'
)


def chosen_profile(table: JobTable, own: Owned, *, faults: list[Fault]) -> Profile | None:
    """The profile of the machine that a job names; None when it cannot be had, with its faults added."""
    files = machine_files(own.profiles)
    if table.machine not in files:
        problem = "no such machine" if table.machine else "missing"
        known = fix_for(table.machine, files) or "There are no machine profiles."
        faults.append(Fault(where="[job] machine", found=table.machine, problem=problem, fix=f"{known} {_OWN_PROFILE}"))
        return None
    file = files[table.machine]
    try:
        return read_profile(own.profiles[file], file=file, woods=own.woods)
    except JobError as error:
        faults.extend(error.faults)
        return None


def chosen_feeds(
    used: Sequence[Bit],
    wood: Wood,
    profile: Profile,
    own: Owned,
    *,
    bits: dict[str, Bit],
    file: str,
    derives: bool,
    faults: list[Fault],
) -> tuple[tuple[CutData, ...], tuple[Finding, ...]]:
    """Feeds of each bit that is used, and what is to be weighed in them; a bit without any is added to the faults.

    ``derives`` lets those of finish passes be worked out from them.
    """
    feeds: list[CutData] = []
    warnings: list[Finding] = []
    for bit in used:
        data = feeds_for(bit, wood, profile, bits=bits, woods=own.woods)
        if data is None:
            data = feeds_for(bit, wood, profile, others=_others(profile, own), bits=bits, woods=own.woods)
        if data is None:
            problem = f"no profile lists feeds that could serve for {bit.id} in {wood.material.title}"
            fix = "Write a [[feeds]] entry for it in the machine's profile."
            faults.append(Fault(where="[job] material", found=wood.material.id, problem=problem, fix=fix))
            continue
        feeds.append(with_thin_chips(data, bit, wood, profile.machine) if derives else data)
        if data.note:
            warnings.append(derived_finding(data, bit, wood, profile.machine, file=file))
        warnings += chip_findings(data, bit, wood, file=file)
    return tuple(feeds), tuple(warnings)


def _others(profile: Profile, own: Owned) -> list[Profile]:
    """Every other machine's profile that reads well, by id; a broken one of a machine not used is no fault here."""
    others = []
    for file in machine_files(own.profiles).values():
        if file != profile.file:
            try:
                others.append(read_profile(own.profiles[file], file=file, woods=own.woods))
            except JobError:
                continue
    return others
