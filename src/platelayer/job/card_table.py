"""What a fit card was cut as, as the ``[card]`` table of its readings file, so that the card can be drawn again.

Glossary:
    card as cut: joint, corners and track that a card was drawn with, and the diameter its paths were made for.

Lengths are written in mm to a millionth, COINCIDENT_MM.
"""

from collections.abc import Mapping
from dataclasses import Field, dataclass, fields
from typing import Any, Final, TypeVar

from platelayer.errors import Fault, JobError
from platelayer.job.near_names import fix_for
from platelayer.job.reading import placed, read_toml
from platelayer.parsing import parse_length
from platelayer.units import LengthUnit
from platelayer.values.pieces import CornerRadii, JointSizes, TrackSizes
from platelayer.values.tuning import Lying

_MEND: Final = "Copy the [card] table from a readings.toml that fit card wrote, or cut the card again."


@dataclass(frozen=True, slots=True, kw_only=True)
class CardAsCut:
    """A card as it was cut: with which bit, in which wood, on which machine, and all that its outlines follow from."""

    bit_id: str
    material_id: str
    machine_id: str
    path_diameter_mm: float
    sizes: JointSizes
    corners: CornerRadii
    track: TrackSizes
    rungs_mm: tuple[float, ...]
    units: LengthUnit = "mm"
    lies: Lying = Lying.X


_Sizes = TypeVar("_Sizes", JointSizes, CornerRadii, TrackSizes)
_TEXTS: Final = {"bit": "bit_id", "material": "material_id", "machine": "machine_id"}
_PARTS: Final = {"sizes": JointSizes, "corners": CornerRadii, "track": TrackSizes}
_UNWRITTEN: Final = ("mate", "relief_play_ratio")
"""A card's pegs go into its own eased socket and no other."""


def card_table(card: CardAsCut) -> str:
    """The table as TOML text, to stand at the end of a readings file."""
    lines = ["# What this card was cut as: leave it as it is, fit read draws the card again from it.", "[card]"]
    lines += [f'{key} = "{getattr(card, field)}"' for key, field in _TEXTS.items()]
    lines += [f'along = "{card.lies}"', f'units = "{card.units}"', f'path_diameter = "{card.path_diameter_mm:.6f} mm"']
    lines.append(f"rungs = [{', '.join(f'{offset:.3f}' for offset in card.rungs_mm)}]")
    for part in _PARTS:
        value = getattr(card, part)
        lines += [f'{_key(field.name)} = "{getattr(value, field.name):.6f} mm"' for field in _fields(type(value))]
    return "\n".join(lines) + "\n"


def read_card_table(text: str, *, file: str) -> CardAsCut:
    """The card that a readings file is about.

    Raises:
        JobError: not TOML, no such table, or keys of it missing, unknown or of no use.
    """
    table = read_toml(text, file=file).get("card")
    if not isinstance(table, Mapping):
        problem = "missing, so that nobody knows what the card was cut as"
        raise JobError(Fault(where="[card]", file=file, problem=problem, fix=_MEND))
    lengths = {_key(field.name): field.name for kind in _PARTS.values() for field in _fields(kind)}
    lengths["path_diameter"] = "path_diameter_mm"
    faults: list[Fault] = []
    known = (*_TEXTS, "along", "units", "rungs", *lengths)
    for key in table:
        if key not in known:
            faults.append(Fault(where=f"[card] {key}", problem="unknown key", fix=fix_for(str(key), known)))
    texts = {field: _text(table, key, faults) for key, field in _TEXTS.items()}
    values = {field: _length(table, key, faults) for key, field in lengths.items()}
    rungs = _rungs(table.get("rungs"), faults)
    along = str(table.get("along", Lying.X))
    if along not in list(Lying):
        fix = fix_for(along, list(Lying))
        faults.append(Fault(where="[card] along", found=along, problem="no card lies so", fix=fix))
    if faults:
        raise placed(JobError(*faults), text, file=file)

    def part(kind: type[_Sizes]) -> _Sizes:
        sizes: dict[str, Any] = {field.name: values[field.name] for field in _fields(kind)}
        return kind(**sizes)

    return CardAsCut(
        bit_id=texts["bit_id"],
        material_id=texts["material_id"],
        machine_id=texts["machine_id"],
        path_diameter_mm=values["path_diameter_mm"],
        sizes=part(JointSizes),
        corners=part(CornerRadii),
        track=part(TrackSizes),
        rungs_mm=rungs,
        units="in" if table.get("units") == "in" else "mm",
        lies=Lying(along),
    )


def _fields(kind: type[_Sizes]) -> tuple[Field[Any], ...]:
    return tuple(field for field in fields(kind) if field.name not in _UNWRITTEN)


def _key(field: str) -> str:
    return field.removesuffix("_mm")


def _text(table: Mapping[str, Any], key: str, faults: list[Fault]) -> str:
    value = table.get(key)
    if not isinstance(value, str) or not value:
        faults.append(Fault(where=f"[card] {key}", problem="missing", fix=_MEND))
        return ""
    return value


def _rungs(value: object, faults: list[Fault]) -> tuple[float, ...]:
    sound = isinstance(value, list) and value and all(type(one) in (int, float) for one in value)
    if not isinstance(value, list) or not sound or len(value) % 2:
        problem = "not an even number of offsets in mm, one for each peg"
        faults.append(Fault(where="[card] rungs", problem=problem, fix=_MEND))
        return ()
    return tuple(float(one) for one in value)


def _length(table: Mapping[str, Any], key: str, faults: list[Fault]) -> float:
    if key not in table:
        faults.append(Fault(where=f"[card] {key}", problem="missing", fix=_MEND))
        return 0.0
    try:
        value = parse_length(table[key], unit="mm", where=f"[card] {key}")
    except JobError as error:
        faults.extend(error.faults)
        return 0.0
    if value < 0 or (value == 0 and key in ("path_diameter", "width", "thickness")):
        faults.append(Fault(where=f"[card] {key}", found=str(table[key]), problem="must be more than nothing"))
    return value
