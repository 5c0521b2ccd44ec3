"""What a person owns, as files of their own: bits with their sizes by caliper, and woods that are not shipped."""

from collections.abc import Sequence
from typing import Final

from pydantic import BaseModel, Field

from platelayer.errors import Fault, JobError
from platelayer.job.chosen_bits import known_bits
from platelayer.job.entry_models import BitTable
from platelayer.job.field_types import CLOSED, Flag, Force, Name, Title, key
from platelayer.job.limits import HARDNESS_N
from platelayer.job.materials import Wood, WoodGroup
from platelayer.job.names import entry_labels
from platelayer.job.reading import placed, read_model, read_toml, unit_of
from platelayer.units import LengthUnit
from platelayer.values.key_words import NEEDED, Bound
from platelayer.values.tooling import Bit, Material


class BitsFile(BaseModel):
    """``units``: in which unit bare numbers of the file are."""

    model_config = CLOSED
    units: LengthUnit | None = key(
        None, "Unit of bare numbers in this file.", '"mm"', unsaid="none: every length carries its unit"
    )
    bit: list[BitTable] = Field(default_factory=list)


class WoodTable(BaseModel):
    """``[[wood]]``: a wood of your own. Its feeds follow from its hardness, unless the machine's profile lists them."""

    model_config = CLOSED
    id: Name = key("", "What material = in [job] calls it.", '"walnut"', unsaid=NEEDED)
    title: Title = key("", "What people call it.", '"black walnut"', unsaid="its id")
    # the ball: from memory of ASTM D143
    hardness: Force | None = key(
        None,
        "Side hardness at 12 % moisture, the force that presses a ball of 11.28 mm in by half its diameter; a wood "
        "dealer's table has it. The harder, the slower it is cut.",
        '"1010 lbf"',
        unsaid=NEEDED,
        least=Bound(HARDNESS_N[0]),
        most=Bound(HARDNESS_N[1]),
    )
    group: WoodGroup | None = key(None, "Under which woods a chart of chips has it.", '"hardwood"', unsaid=NEEDED)
    has_grain: Flag = key(True, "False for what has no grain to go by, as plywood and boards of fibre.", "false")


class WoodsFile(BaseModel):
    """A file of woods."""

    model_config = CLOSED
    wood: list[WoodTable] = Field(default_factory=list)


def read_own_bits(text: str, *, file: str) -> dict[str, Bit]:
    """The bits of a file by id, in its order: shipped ones as it changes them, and the person's own.

    Raises:
        JobError: all that is wrong with the file.
    """
    try:
        data = read_toml(text, file=file)
        reading = read_model(BitsFile, data, unit=unit_of(data))
        faults: list[Fault] = []
        bits = known_bits(reading.model.bit, reading.entries("bit"), faults=faults)
        _refuse([*reading.faults, *(fault for fault in faults if not reading.is_hollow(fault))])
    except JobError as error:
        raise placed(error, text, file=file) from error
    return {table.id: bits[table.id] for table in reading.model.bit}


def read_own_woods(text: str, *, file: str) -> dict[str, Wood]:
    """The woods of a file by id, in its order.

    Raises:
        JobError: all that is wrong with the file.
    """
    try:
        reading = read_model(WoodsFile, read_toml(text, file=file), unit=None)
        tables = reading.model.wood
        labels = entry_labels("wood", reading.entries("wood"))
        faults = [fault for number in range(len(tables)) for fault in _wood_faults(tables, number, labels[number])]
        _refuse([*reading.faults, *(fault for fault in faults if not reading.is_hollow(fault))])
    except JobError as error:
        raise placed(error, text, file=file) from error
    return {table.id: _wood(table) for table in tables}


def _refuse(faults: Sequence[Fault]) -> None:
    if faults:
        raise JobError(*faults)


_NO_HARDNESS: Final = "Look it up in a table of side hardness, or take that of a wood your nail goes into as hard."


def _wood_faults(tables: Sequence[WoodTable], number: int, label: str) -> list[Fault]:
    table, where = tables[number], f"[[wood]] {label}"
    faults = []
    fixes = {"id": "", "hardness": _NO_HARDNESS, "group": f"One of {', '.join(WoodGroup)}."}
    for name, fix in fixes.items():
        if not getattr(table, name):
            faults.append(Fault(where=f"{where} {name}", problem="missing", fix=fix))
    if table.id and table.id in {one.id for one in tables[:number]}:
        problem, fix = "there is another wood of this id", "Give each its own."
        faults.append(Fault(where=f"{where} id", found=table.id, problem=problem, fix=fix))
    low, high = HARDNESS_N
    if table.hardness and not low <= table.hardness <= high:
        problem = f"no wood is so soft or so hard: the limits are {low:g} and {high:g} N"
        fix = "Look at the unit: is it lbf or N?"
        faults.append(Fault(where=f"{where} hardness", found=f"{table.hardness:.6g} N", problem=problem, fix=fix))
    return faults


def _wood(table: WoodTable) -> Wood:
    material = Material(
        id=table.id, title=table.title or table.id, hardness_n=table.hardness or 0.0, has_grain=table.has_grain
    )
    return Wood(material, table.group or WoodGroup.HARDWOOD)
