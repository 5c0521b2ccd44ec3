"""What the lists of machines, bits and woods show: rows of text, a head row apart.

Glossary:
    row: one thing of the list, as many texts as the head has.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from platelayer.errors import JobError
from platelayer.job.bits import BITS, TITLES
from platelayer.job.materials import WOODS, Wood
from platelayer.job.profiles import Profiles, machine_files, read_profile
from platelayer.units import show_length
from platelayer.values.tooling import Bit, Machine, SpindleKind


@dataclass(frozen=True, slots=True)
class Listing:
    """A list to show: the head, and rows as long as it."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def describe_machines(profiles: Profiles) -> Listing:
    """Every machine there is a profile for, in alphabetic order; a profile with faults is listed with the first."""
    rows = []
    for machine_id, file in machine_files(profiles).items():
        try:
            rows.append(_machine_row(read_profile(profiles[file], file=file, woods=None).machine))
        except JobError as error:
            rows.append((machine_id, f"cannot be used: {error.faults[0]}", "", "", ""))
    return Listing(("id", "machine", "travel x, y, z", "spindle", "bit change"), tuple(rows))


def _machine_row(machine: Machine) -> tuple[str, ...]:
    travel = ", ".join(show_length(length) for length in machine.travel_mm)
    return (machine.id, machine.title, travel, _spindle(machine), machine.bit_change.replace("_", " "))


def _spindle(machine: Machine) -> str:
    if machine.spindle is SpindleKind.DIAL:
        return "hand dial, " + ", ".join(f"{mark} = {rpm:g}" for mark, rpm in machine.dial) + " rev/min"
    if machine.spindle is SpindleKind.SWITCH:
        return f"hand switch, {machine.spindle_max_rpm:g} rev/min"
    return f"speed word, {machine.spindle_min_rpm:g} to {machine.spindle_max_rpm:g} rev/min"


def describe_bits(*, changed: Mapping[str, Bit] = MappingProxyType({})) -> Listing:
    """Every shipped bit in the order of the shipped list, then a job's or shop's own; ``changed`` ones as changed."""
    bits = {bit.id: bit for bit in BITS} | dict(changed)
    rows = tuple(
        (
            bit.id,
            TITLES.get(bit.id, bit.kind.replace("_", "-")),
            show_length(bit.diameter_mm),
            show_length(bit.cutting_length_mm),
            show_length(bit.shank_mm),
            f"{bit.flutes}, {bit.flute_direction}",
            "may plunge" if bit.may_plunge else "ramps only",
        )
        for bit in bits.values()
    )
    return Listing(("id", "bit", "diameter", "cutting length", "shank", "flutes", "entry"), rows)


def describe_materials(own: Mapping[str, Wood] = MappingProxyType({})) -> Listing:
    """Every shipped wood and the person's own, which come first of two with one id, hardest first."""
    known = {wood.material.id: wood for wood in WOODS} | dict(own)
    woods = sorted(known.values(), key=lambda wood: -wood.material.hardness_n)
    rows = tuple(
        (wood.material.id, wood.material.title, f"{wood.material.hardness_n:.0f} N", str(wood.group)) for wood in woods
    )
    return Listing(("id", "wood", "side hardness", "chip-load group"), rows)
