"""The shop's own measurements as TOML text: records with their dates, and the readings of a fit card.

Glossary:
    shop file: records in the order in which they were made, one ``[[record]]`` each. Only ever added to: comments stay,
    nothing is overwritten, and the newest record of a bit, wood and machine is the one that counts.
    readings file: what the caliper said about one card; written empty by the program, filled in by a person.

Lengths are written in mm with their unit; both units are read, as everywhere.
"""

from collections.abc import Collection, Mapping
from datetime import date as calendar_day
from typing import Any, Final

from platelayer.errors import Fault, JobError, PlatelayerError
from platelayer.fit.card import Feature, FitCard
from platelayer.fit.correction import CardReadings, Correction, PegReadings
from platelayer.fit.shop import ShopRecord
from platelayer.fit.target_play import TargetPlay
from platelayer.job.near_names import fix_for
from platelayer.job.reading import placed, read_toml
from platelayer.job.record_keys import BEST, LENGTHS, NEEDED_KEYS, RATIOS, RECORD_KEYS, TEXTS
from platelayer.parsing import parse_length
from platelayer.units import show_mm
from platelayer.values.tuning import Lying

NEW_SHOP_FILE: Final = """\
# What this shop's bits, woods and machines really do, by fit cards and caliper.
# The program adds a record at the end and changes nothing above it; the newest of a bit, wood and machine counts.
"""

_PEG_KEYS: Final = ("span_shut", "span_open", "over_left", "over_right")


def record_of(
    correction: Correction,
    *,
    best: TargetPlay | None = None,
    date: str,
    bit_id: str,
    material_id: str,
    machine_id: str,
    note: str = "",
) -> ShopRecord:
    """The correction as a record, with the best peg's plays; the date is given, as this room has no clock."""
    return ShopRecord(
        date=date,
        bit_id=bit_id,
        material_id=material_id,
        machine_id=machine_id,
        lies=correction.lies,
        bit_diameter_mm=correction.bit_diameter_mm.value_mm,
        bit_spread_mm=correction.bit_diameter_mm.spread_mm,
        head_offset_mm=correction.head_offset_mm.value_mm,
        lip_bias_mm=correction.lip_bias_mm.value_mm,
        bias_spread_mm=max(correction.head_offset_mm.spread_mm, correction.lip_bias_mm.spread_mm),
        slack_x_mm=correction.slack_x_mm.value_mm,
        slack_y_mm=correction.slack_y_mm.value_mm,
        wider_y_mm=correction.sizes.wider_y_mm.value_mm,
        scale_x_ratio=correction.scale_x.value_ratio,
        scale_y_ratio=correction.scale_y.value_ratio,
        depth_error_mm=correction.depth_error_mm.value_mm,
        best_pips=correction.best_pips,
        best_side_mm=best.side_mm if best else 0.0,
        best_pull_mm=best.pull_out_mm if best else 0.0,
        note=note,
    )


def with_record(text: str, record: ShopRecord) -> str:
    """The shop file with the record added at its end; every byte that was there stays."""
    head = text or NEW_SHOP_FILE
    lines = ["[[record]]"]
    lines += [f"{key} = {_quoted(getattr(record, field))}" for key, field in TEXTS.items() if getattr(record, field)]
    lines.append(f'along = "{record.lies}"')
    lines += [f'{key} = "{getattr(record, field):.4f} mm"' for key, field in LENGTHS.items()]
    lines += [f"{key} = {getattr(record, field):.6f}" for key, field in RATIOS.items()]
    if record.best_pips:
        lines.append(f"best_pips = {record.best_pips}")
        lines += [f'{key} = "{getattr(record, field):.4f} mm"' for key, field in BEST.items()]
    newline = newline_of(head)
    gap = "" if head.endswith("\n") else newline
    return f"{head}{gap}{newline}" + newline.join(lines) + newline


def newline_of(text: str) -> str:
    """How the lines of a text end; a file written elsewhere keeps its own way."""
    return "\r\n" if "\r\n" in text else "\n"


def read_records(text: str, *, file: str = "") -> tuple[ShopRecord, ...]:
    """All records of a shop file, in its order.

    Raises:
        JobError: with every fault of the file.
    """
    faults: list[Fault] = []
    data = read_toml(text, file=file)
    if others := [key for key in data if key != "record"]:
        problem = f"holds {', '.join(others)}, where a shop's own file has [[record]] tables alone"
        fix = "platelayer fit read READINGS --shop FILE makes one of a card's readings."
        raise JobError(Fault(where="", file=file, problem=problem, fix=fix))
    tables = _list_of_tables(data, "record", faults)
    found = [_record(table, f"[[record]] {number + 1}", faults) for number, table in enumerate(tables)]
    if faults:
        raise placed(JobError(*faults), text, file=file)
    return tuple(one for one in found if one is not None)


def readings_template(card: FitCard) -> str:
    """A readings file to fill in: each size with how to measure it, each peg of the ladder with its pips."""
    lines = [
        "# Readings of a fit card. Three each, in mm unless a unit is written; leave out what you cannot read.",
        "# Let the wood rest an hour after cutting, brush the edges off, and close the caliper without squeezing.",
        "",
        "best_peg = 0        # pips of the peg that went in best by hand",
        "",
        "[sizes]",
    ]
    for feature in card.features:
        lines += [f"# {feature.words}; drawn {show_mm(feature.designed_mm)}", f"{feature.feature.value} = []"]
    lines += [
        "",
        "# Each peg in the gauge stick's socket; leave out a peg that does not go in.",
        "# span: outside jaws over the joint, from the slot beside it on one stick to the slot on the other,",
        f"# pushed shut, then pulled apart; drawn {show_mm(card.span_mm)} shut.",
        "# over: outside jaws across the joint, over both long edges within half an inch of the faces,",
        "# pushed shut and slid left, then slid right.",
    ]
    for rung in card.rungs:
        lines += ["", "[[peg]]", f"pips = {rung.pips}", *(f"{key} = []" for key in _PEG_KEYS)]
    return "\n".join(lines) + "\n"


def read_readings(text: str, *, file: str = "") -> CardReadings:
    """The readings of a card; bare numbers are in mm.

    Raises:
        JobError: with every fault of the file.
    """
    data = read_toml(text, file=file)
    faults: list[Fault] = []
    sizes: dict[Feature, tuple[float, ...]] = {}
    known = [feature.value for feature in Feature]
    _unknown(data, "", ("best_peg", "sizes", "peg", "card"), faults)
    for key, written in _table(data, "sizes", faults).items():
        if key not in known:
            faults.append(Fault(where=f"[sizes] {key}", problem="no such size on a fit card", fix=fix_for(key, known)))
            continue
        values = _lengths(written, f"[sizes] {key}", faults)
        if values:
            sizes[Feature(key)] = values
    tables = _list_of_tables(data, "peg", faults)
    pegs = tuple(_peg(table, f"[[peg]] {number}", faults) for number, table in enumerate(tables, start=1))
    best = _whole(data, "best_peg", "best_peg", faults)
    if faults:
        raise placed(JobError(*faults), text, file=file)
    return CardReadings(sizes_mm=sizes, pegs=pegs, best_pips=best)


def _list_of_tables(data: Mapping[str, Any], key: str, faults: list[Fault]) -> list[dict[str, Any]]:
    tables = data.get(key, [])
    if isinstance(tables, list) and all(isinstance(table, dict) for table in tables):
        return tables
    faults.append(Fault(where=f"[[{key}]]", problem="not a list of tables", fix=f"Begin each with [[{key}]]."))
    return []


def _table(data: Mapping[str, Any], key: str, faults: list[Fault]) -> dict[str, Any]:
    table = data.get(key, {})
    if isinstance(table, dict):
        return table
    faults.append(Fault(where=f"[{key}]", problem="not a table", fix=f"Begin it with [{key}]."))
    return {}


def _unknown(table: Mapping[str, Any], where: str, known: Collection[str], faults: list[Fault]) -> None:
    """A fault for every key that nothing is read from, so that no reading is lost to a slip of the pen."""
    for key in table:
        if key not in known:
            faults.append(Fault(where=f"{where} {key}".strip(), problem="unknown key", fix=fix_for(key, known)))


def _whole(table: Mapping[str, Any], key: str, where: str, faults: list[Fault]) -> int:
    value = table.get(key, 0)
    if type(value) is int and value >= 0:
        return value
    faults.append(Fault(where=where, found=str(value), problem="not a whole number", fix="Write it without quotes."))
    return 0


def _ratio(value: object, where: str, faults: list[Fault]) -> float:
    if type(value) in (int, float) and abs(float(str(value))) < 1:
        return float(str(value))
    faults.append(Fault(where=where, found=str(value), problem="not a share between -1 and 1"))
    return 0.0


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ") + '"'


def _record(table: Mapping[str, Any], where: str, faults: list[Fault]) -> ShopRecord | None:
    before = len(faults)
    known = RECORD_KEYS
    _unknown(table, where, known, faults)
    for key in NEEDED_KEYS:
        if key not in table:
            faults.append(
                Fault(where=f"{where} {key}", problem="missing", fix="Cut a fit card, or take the record out.")
            )
    fields: dict[str, Any] = {"bit_spread_mm": 0.0, "bias_spread_mm": 0.0}
    fields["best_pips"] = _whole(table, "best_pips", f"{where} best_pips", faults)
    fields |= {field: str(table[key]) for key, field in TEXTS.items() if key in table}
    along = str(table.get("along", Lying.X))
    if along not in list(Lying):
        fix = fix_for(along, list(Lying))
        faults.append(Fault(where=f"{where} along", found=along, problem="no card lies so", fix=fix))
    else:
        fields["lies"] = Lying(along)
    if "date" in table and not _is_day(fields["date"]):
        problem, fix = "not a day, so that nobody knows which record is the newest", 'Write it as in "2026-11-25".'
        faults.append(Fault(where=f"{where} date", found=fields["date"], problem=problem, fix=fix))
    for key, field in (LENGTHS | BEST).items():
        if key in table:
            fields[field] = _length(table[key], f"{where} {key}", faults)
    if fields.get("bit_diameter_mm", 1.0) <= 0 and len(faults) == before:
        problem = "a bit has a diameter above zero"
        faults.append(Fault(where=f"{where} bit_diameter", found=str(table["bit_diameter"]), problem=problem))
    for key, field in RATIOS.items():
        if key in table:
            fields[field] = _ratio(table[key], f"{where} {key}", faults)
    return ShopRecord(**fields) if len(faults) == before else None


def _is_day(text: str) -> bool:
    try:
        return calendar_day.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _peg(table: Mapping[str, Any], where: str, faults: list[Fault]) -> PegReadings:
    pips = _whole(table, "pips", f"{where} pips", faults)
    if pips < 1:
        faults.append(Fault(where=f"{where} pips", found=str(pips), problem="a peg of the card has at least one pip"))
    _unknown(table, where, ("pips", *_PEG_KEYS), faults)
    read = {f"{key}_mm": _lengths(table.get(key, []), f"{where} {key}", faults) for key in _PEG_KEYS}
    return PegReadings(pips=pips, **read)


def _lengths(written: object, where: str, faults: list[Fault]) -> tuple[float, ...]:
    values = written if isinstance(written, list) else [written]
    return tuple(_length(value, where, faults) for value in values)


def _length(written: object, where: str, faults: list[Fault]) -> float:
    if not isinstance(written, str | int | float):
        faults.append(Fault(where=where, found=str(written), problem="not a length"))
        return 0.0
    try:
        return parse_length(written, unit="mm", where=where)
    except PlatelayerError as error:
        faults.extend(error.faults)
        return 0.0
