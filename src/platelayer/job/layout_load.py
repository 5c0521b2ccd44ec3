"""The floor file, from text to a checked Floor: every fault at once, each with its line."""

import math
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.job.layout_models import (
    FloorFile,
    GapTable,
    OwnedTable,
    PlayTable,
    StretchTable,
    WallTable,
)
from platelayer.job.layout_words import asked_of, end_name
from platelayer.job.names import entry_labels
from platelayer.job.near_names import fix_for
from platelayer.job.owned import stock_of
from platelayer.job.reading import Reading, placed, read_model, read_toml, unit_of
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.layout import (
    Ahead,
    EndName,
    Floor,
    GapMeasured,
    Goal,
    PlayMeasured,
    Stock,
    Stretch,
    Wall,
    WallName,
)
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Line, Point, Pose

ROOM_WALLS: Final = ("near", "right", "far", "left")
"""The four walls of a room whose size is known, by the side on which they lie as one looks along y."""


def load_floor(text: str, *, file: str) -> Floor:
    """The floor that a text describes, all of it checked as far as it can be without geometry.

    Raises:
        JobError: all that is wrong with the file.
    """
    try:
        data = read_toml(text, file=file)
        reading = read_model(FloorFile, data, unit=unit_of(data.get("floor")))
        faults: list[Fault] = []
        floor = _floor(reading, file=file, faults=faults)
    except JobError as error:
        raise placed(error, text, file=file) from error
    faults = [*reading.faults, *(fault for fault in faults if not _follows(fault, reading))]
    if faults:
        raise placed(JobError(*dict.fromkeys(faults)), text, file=file)
    return floor


def _follows(fault: Fault, reading: Reading[FloorFile]) -> bool:
    """The fault may only be there because a key that it was judged by could not be read."""
    if reading.is_hollow(fault):
        return True
    return fault.where.startswith("[[stretch]]") and not reading.are_sound("[[owned]]", "[[wall]]", "[floor] size")


def _floor(reading: Reading[FloorFile], *, file: str, faults: list[Fault]) -> Floor:
    model = reading.model
    stock = _stock(model.owned, reading.entries("owned"), faults)
    walls = (*_room_walls(model.floor.size), *_walls(model.wall, reading.entries("wall"), faults))
    stretches = _stretches(model.stretch, reading.entries("stretch"), stock, walls, faults)
    labels = entry_labels("gap", reading.entries("gap"))
    gaps = tuple(_gap(table, label, faults) for table, label in zip(model.gap, labels, strict=True))
    _refuse_twins("gap", [gap.name for gap in gaps], faults)
    if not (stretches or gaps):
        fix = 'Write a [[stretch]] with pieces = ["3 long", "bend left"].'
        faults.append(Fault(where="[[stretch]]", problem="missing: nothing is laid and no gap is measured", fix=fix))
    name = PurePath(file).stem
    return Floor(
        name=name,
        title=model.floor.title or name,
        units=model.floor.units or "mm",
        job=model.floor.job,
        size_mm=model.floor.size,
        walls=walls,
        stock=stock,
        stretches=stretches,
        gaps=gaps,
        play=_play(model.play),
        most_share_ratio=model.close.most_share,
        least_radius_mm=model.close.least_radius,
    )


def _play(table: PlayTable | OwnedTable) -> PlayMeasured:
    return PlayMeasured(pull_mm=table.pull, side_mm=table.side, kink_rad=table.kink)


def _refuse_twins(table: str, names: Sequence[str], faults: list[Fault]) -> None:
    for number, name in enumerate(names):
        if name in names[:number]:
            problem, fix = f"there is another {table} of this name", "Give each its own."
            faults.append(Fault(where=f"[[{table}]] {number + 1} name", found=name, problem=problem, fix=fix))


def _stock(tables: Sequence[OwnedTable], entries: list[object], faults: list[Fault]) -> tuple[Stock, ...]:
    labels = entry_labels("owned", entries)
    found = tuple(
        stock_of(table, label=label, play=_play(table), faults=faults)
        for table, label in zip(tables, labels, strict=True)
    )
    _refuse_twins("owned", [stock.name for stock in found], faults)
    return found


def _room_walls(size: tuple[float, float] | None) -> tuple[Wall, ...]:
    if size is None:
        return ()
    (width, depth) = size
    corners: tuple[Point, ...] = ((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth))
    following = (*corners[1:], corners[0])
    return tuple(Wall(name, Line(a, b)) for name, a, b in zip(ROOM_WALLS, corners, following, strict=True))


def _walls(tables: Sequence[WallTable], entries: list[object], faults: list[Fault]) -> tuple[Wall, ...]:
    walls = []
    for table, label in zip(tables, entry_labels("wall", entries), strict=True):
        where = f"[[wall]] {label}"
        if table.name in ROOM_WALLS:
            problem = "the name of a wall of the room itself"
            faults.append(Fault(where=f"{where} name", found=table.name, problem=problem, fix="Give it another."))
        if len(table.line) != 2 or math.dist(*table.line) <= COINCIDENT_MM:
            fix = 'Write its two ends, as in line = [[0, "4 ft"], ["2 ft", "4 ft"]].'
            faults.append(Fault(where=f"{where} line", problem="not two points apart", fix=fix))
            continue
        walls.append(Wall(table.name or label, Line(table.line[0], table.line[1])))
    return tuple(walls)


def _stretches(
    tables: Sequence[StretchTable],
    entries: list[object],
    stock: Sequence[Stock],
    walls: Sequence[Wall],
    faults: list[Fault],
) -> tuple[Stretch, ...]:
    by_name = {one.name: one for one in stock}
    found = []
    for table, label in zip(tables, entry_labels("stretch", entries), strict=True):
        where = f"[[stretch]] {label}"
        asked = [
            one
            for number, text in enumerate(table.pieces, start=1)
            for one in asked_of(text, number, stock=by_name, where=f"{where} pieces {number}", faults=faults)
        ]
        begins, goal = _begins(table, where, faults), _goal(table, where, walls, faults)
        found.append(Stretch(name=label, begins=begins, asked=tuple(asked), goal=goal))
    _refuse_twins("stretch", [stretch.name for stretch in found], faults)
    return tuple(found)


def _begins(table: StretchTable, where: str, faults: list[Fault]) -> Pose | EndName:
    """Where a stretch begins; the corner of the room where it does not say."""
    if not isinstance(table.begins, str):
        return Pose(0.0, 0.0) if table.begins is None else Pose(*table.begins)
    name = end_name(table.begins)
    if name is None:
        problem, fix = "not the name of an end", 'Write the piece and its end, as in "points.branch".'
        faults.append(Fault(where=f"{where} begins", found=table.begins, problem=problem, fix=fix))
        return Pose(0.0, 0.0)
    return name


def _goal(table: StretchTable, where: str, walls: Sequence[Wall], faults: list[Fault]) -> Goal | None:
    if table.length is not None and table.meets is not None:
        problem, fix = "says in another way what meets says", "Leave one of the two out."
        faults.append(Fault(where=f"{where} length", problem=problem, fix=fix))
    if table.length is not None:
        return Ahead(table.length)
    if table.meets is None:
        return None
    if not isinstance(table.meets, str):
        return Pose(*table.meets)
    if table.meets in [wall.name for wall in walls]:
        return WallName(table.meets)
    name = end_name(table.meets)
    if name is None:
        problem = "neither a wall nor the name of an end"
        known = [wall.name for wall in walls]
        fix = fix_for(table.meets, known) or 'Write the piece and its end, as in "loop.start", or give the room a size.'
        faults.append(Fault(where=f"{where} meets", found=table.meets, problem=problem, fix=fix))
    return name


_READINGS: Final[Mapping[str, str]] = {
    "left": "Write the distance along the left edge, as seen from here.",
    "right": "Write the distance along the right edge, as seen from here.",
    "diagonal": "Write the distance from the left mark here to the right mark there.",
}


def _gap(table: GapTable, label: str, faults: list[Fault]) -> GapMeasured:
    where = f"[[gap]] {label}"
    for key, fix in _READINGS.items():
        if getattr(table, key) is None:
            faults.append(Fault(where=f"{where} {key}", problem="missing", fix=fix))
    begins = end_name(table.begins)
    if table.begins and begins is None:
        problem, fix = "not the name of an end", 'Write the piece and its end, as in "loop.end".'
        faults.append(Fault(where=f"{where} begins", found=table.begins, problem=problem, fix=fix))
    return GapMeasured(
        name=label,
        left_mm=table.left or 0.0,
        right_mm=table.right or 0.0,
        diagonal_mm=table.diagonal or 0.0,
        base_mm=table.base or 0.0,
        set_mm=table.set,
        reading_mm=table.reading,
        here=EndKind(table.here),
        there=EndKind(table.there),
        begins=begins,
    )
