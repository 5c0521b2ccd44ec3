"""What there is to choose from: machines, bits, woods, and every kind of piece with its drawing."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from platelayer.desk.reading import JobText, job_text, profiles_of
from platelayer.errors import Fault, JobError, PlatelayerError
from platelayer.job import (
    Listing,
    describe_bits,
    describe_machines,
    describe_materials,
    load_job,
    load_profiles,
    starter_bits,
    starter_job,
    starter_woods,
)
from platelayer.job.bought_readings import bought_template
from platelayer.job.chosen_machine import Owned, owned
from platelayer.job.key_reference import key_files
from platelayer.job.layout_starter import starter_floor
from platelayer.job.machine_file import machine_text
from platelayer.job.machine_form import FIELDS, beginnings
from platelayer.job.profiles import OWN_FILES, machine_files
from platelayer.pieces import CATALOGUE, piece_from_order
from platelayer.pieces.kind import Key, Kind, Making, Measure
from platelayer.preview.pictures.piece_picture import piece_svg
from platelayer.road.keys import keys_page
from platelayer.units import worded
from platelayer.values.key_words import KeyWords, TableWords
from platelayer.values.tooling import Job, PieceOrder

Tell = Callable[[Any], None]
_SHOWN_MM: Final = (150.0, 220.0, 320.0)
"""Lengths tried for a key that has no usual size, until a piece can be drawn."""


def lists(root: Path, _: Tell, *, job: str = "") -> dict[str, Any]:
    """Everything to choose from; of a job's own folder of machines too where it has one.

    Raises:
        JobError: a profile that cannot be read.
    """
    own = Owned(bits={}, woods={}, profiles=load_profiles())
    with suppress(PlatelayerError):
        own = _owned(root, job_text(root, job))
    usual = load_job(starter_job(), file="starter.toml", profiles=load_profiles())
    return {
        "machines": _rows(describe_machines(own.profiles)),
        "bits": _rows(describe_bits(changed=own.bits)),
        "woods": _rows(describe_materials(own.woods)),
        "kinds": [_kind(kind, usual) for kind in CATALOGUE],
        "keys": {file.name: {table.name: _keys(file.name, table) for table in file.tables} for file in key_files()},
    }


def _owned(root: Path, job: JobText) -> Owned:
    """What a job's ``[job]`` table names of the person's own; of a file that cannot be read its own faults say why.

    Raises:
        JobError: no TOML, or a profile that cannot be read.
    """
    table = job.data().get("job")
    said = table if isinstance(table, Mapping) else {}
    named = {key: said[key] for key in OWN_FILES if isinstance(said.get(key), str)}
    return owned(named, profiles_of(root, job), file=str(job.file))[0]


def _guided(file: str, table: str, key: KeyWords) -> str:
    """What a key means; of a machine's profile, as the guided form asks for it, with what happens where it is wrong."""
    place = f"{table}.{key.name}" if table != "profile" else key.name
    asked = [field for field in FIELDS.values() if place in field.keys] if file == "machine profile" else []
    if not asked:
        return key.meaning
    return f"{asked[0].asks} {asked[0].find_out} If it is wrong: {asked[0].if_wrong}"


def _keys(file: str, table: TableWords) -> dict[str, dict[str, Any]]:
    return {
        key.name: {
            "name": key.name,
            "kind": key.kind.name.lower(),
            "meaning": worded(_guided(file, table.name, key), "in"),
            "unsaid": worded(key.unsaid, "in"),
            "choices": list(key.choices),
            "limits": worded(key.limits, "in"),
            "isNeeded": key.is_needed,
        }
        for key in table.keys
    }


def _rows(listing: Listing) -> list[dict[str, str]]:
    return [{"id": row[0], "words": worded(", ".join(cell for cell in row[1:] if cell), "in")} for row in listing.rows]


def _kind(kind: Kind, usual: Job) -> dict[str, Any]:
    return {
        "name": kind.name,
        "summary": kind.summary,
        "keys": [_key(key) for key in kind.keys],
        "ends": [{"name": name, "usual": str(usually)} for name, usually in kind.ends],
        "has_grooves": kind.has_grooves,
        "svg": _example(kind, usual),
    }


def _key(key: Key) -> dict[str, Any]:
    return {
        "name": key.name,
        "measure": str(key.measure),
        "choices": list(key.choices),
        "is_needed": key.default is None,
        "missing": key.missing,
    }


def _example(kind: Kind, usual: Job) -> str:
    """A drawing of the kind at a size that can be made; none where no size tried can."""
    order = PieceOrder(
        name=kind.name,
        kind=kind.name,
        count=1,
        sizes={},
        ends=tuple(usually for _, usually in kind.ends),
        grooves_top=kind.has_grooves,
        grooves_bottom=False,
    )
    for length in _SHOWN_MM:
        sizes = {key.name: _size(key, length) for key in kind.keys}
        with suppress(PlatelayerError, ValueError):
            one = replace(order, sizes=sizes)
            piece = piece_from_order(one, Making(track=usual.track, joint=usual.joint))
            return piece_svg(piece, name=f"kind-{kind.name}")
    return ""


def _size(key: Key, length_mm: float) -> float | str:
    if key.default is not None:
        return key.default
    return length_mm if key.measure is Measure.LENGTH else key.choices[0] if key.choices else 1.0


def keys(_: Path, __: Tell) -> dict[str, Any]:
    """Every table and key of every file, as a page."""
    return {"text": keys_page()}


def begin(_: Path, __: Tell, *, kind: str, machine: str = "") -> dict[str, Any]:
    """The text of a file to begin with: a job, the sizes of a bought set, bits, woods, or a machine.

    A machine is like a shipped one, or where none is named one of which everything is still to be said.

    Raises:
        JobError: no such machine.
    """
    if kind == "machine" and not machine:
        return {"text": machine_text(beginnings())}
    if kind == "machine":
        shipped = load_profiles()
        named = machine_files(shipped)
        if machine not in named:
            raise JobError(Fault(where="machine", found=machine, problem="no such machine", fix="Choose one listed."))
        return {"text": shipped[named[machine]]}
    texts = {"bought": bought_template, "bits": starter_bits, "floor": starter_floor, "woods": starter_woods}
    return {"text": texts.get(kind, starter_job)()}
