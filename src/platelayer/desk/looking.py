"""A look at a job: laid and drawn without a path, its faults at their fields, its minutes about.

Glossary:
    sound part: the job without what is at fault, so that its board can be drawn all the same.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from math import fsum
from pathlib import Path, PurePath
from typing import Any, Final

from platelayer.desk.reading import JobText, job_text, learnt, loaded, owned, plain, profiles_of, told_faults
from platelayer.editing.edits import Edit, edited
from platelayer.errors import CannotCut, JobError, NoRoom, PlatelayerError
from platelayer.geometry.contours import area_mm2
from platelayer.job.profiles import OWN_FILES
from platelayer.manifest.build import manifest_of
from platelayer.manifest.schema import Manifest
from platelayer.pieces import check_orders
from platelayer.pieces.kind import Making
from platelayer.preview.pictures.piece_picture import piece_svg
from platelayer.preview.pictures.plan import AGAIN_ON_A_SHEET, plan
from platelayer.preview.pictures.svg import svg_text
from platelayer.road.minutes import about_minutes
from platelayer.road.planning import Laid, cut_faults, lay_job, uncut_plan
from platelayer.units import LengthUnit, minutes, show_length, worded
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job

Tell = Callable[[Any], None]
_MOST_ROUNDS: Final = 40
"""Faults that are left out, one after another, before a job is given up as not to be drawn."""
_ANY_PIECE: Final = {"length": "150 mm", "name": "any"}
_USUAL: Final = {("job", "machine"): "mid-screw", ("job", "material"): "hard-maple"}
"""What stands in for what a job cannot do without, only to draw its board."""


def read(root: Path, _: Tell, *, job: str) -> dict[str, Any]:
    """What a job's file holds, before anything is laid: what its fields show.

    Raises:
        JobError: no such file, or a name that leads outside.
    """
    said = job_text(root, job)
    told: dict[str, Any] = {"job": job, "text": said.text, "data": None, "may_be_cut": False, "faults": []}
    try:
        told["data"] = plain(said.data())
        told["own"] = owned(root, said, profiles_of(root, said))
    except JobError as error:
        return told | {"faults": told_faults(error, said)}
    return told


def look(root: Path, tell: Tell, *, job: str) -> dict[str, Any]:
    """All that the page shows of a job while a person types.

    Raises:
        JobError: no such file, or a name that leads outside.
    """
    told = read(root, tell, job=job)
    said = replace(job_text(root, job), text=told["text"])
    try:
        whole = loaded(root, said)
    except JobError as error:
        return told | {"faults": told_faults(error, said)} | _of_sound_part(root, said)
    try:
        laid = lay_job(learnt(whole, file=said.file)[0])
    except PlatelayerError as error:
        faults = told_faults(error, said)
        tell(told | {"faults": faults} | _drawn(_bare(whole)))  # laying it all the same takes a while
        anyhow = _laid_anyhow(whole, lacks_room=isinstance(error, NoRoom))
        drawn = _of_sound_part(root, said) if anyhow is None else _drawn(anyhow, faults) | _sums(anyhow)
        return told | {"faults": faults} | drawn
    cannot = cut_faults(laid)
    if cannot:
        faults = told_faults(CannotCut(*cannot), said)
        return told | {"faults": faults} | _drawn(laid, faults) | _sums(laid)
    return told | _drawn(laid) | _sums(laid) | _minutes(laid) | {"may_be_cut": True}


def _laid_anyhow(job: Job, *, lacks_room: bool = False) -> Laid | None:
    """As ``laid_all_the_same``: read in for a refused job alone, since it proves and writes and a first view waits."""
    from platelayer.road.refusing import laid_all_the_same

    return laid_all_the_same(job, lacks_room=lacks_room)


def _of_sound_part(root: Path, job: JobText) -> dict[str, Any]:
    """Drawings of a job whose file has faults, without what is at fault; nothing where that cannot be had."""
    with suppress(PlatelayerError):
        sound = _sound(root, job)
        laid = None if sound.orders[0].name == _ANY_PIECE["name"] else _laid_anyhow(sound)
        return _drawn(laid) | _sums(laid) if laid else _drawn(_bare(sound))
    return {}


def _sound(root: Path, job: JobText) -> Job:
    """The job without what is at fault; with a piece of no meaning where none is left.

    Raises:
        JobError: a fault that cannot be left out.
    """
    for _ in range(_MOST_ROUNDS):
        try:
            sound = loaded(root, job)
            faults = check_orders(sound.orders, Making(joint=sound.joint, track=sound.track))
            if not faults:
                return sound
            raise JobError(*faults)
        except JobError as error:
            job = replace(job, text=_without(job, error))
    return loaded(root, job)


def _without(job: JobText, error: JobError) -> str:
    """The text without the key of the first fault, or without the piece that it is of."""
    data = job.data()
    told = told_faults(error, job)[0]
    path = tuple(told["path"]) if told["file"] == job.name else _names(data, told["file"])
    if path[:1] == ("piece",) and len(path) > 1:
        path = path[:2]
    old: Any = data
    for part in path:
        old = old.get(part) if isinstance(old, Mapping) else old[part] if part < len(old) else None
    usual = _USUAL.get(path)
    if usual is not None and old != usual:
        return edited(job.text, [Edit(path=path, old=old, new=usual)])
    if not path or (old is None and path != ("piece",)):
        raise error
    if path == ("piece",):
        return edited(job.text, [Edit(path=("piece", 0), new=_ANY_PIECE)])
    text = edited(job.text, [Edit(path=path, old=old)])
    left = replace(job, text=text).data()
    return text if left.get("piece") else edited(text, [Edit(path=("piece", 0), new=_ANY_PIECE)])


def _names(data: Mapping[str, Any], file: str) -> tuple[str, str]:
    """The key by which a job names another file that has a fault: of bits or woods, else its machine."""
    table, name = data.get("job", {}), PurePath(file).name
    return "job", next((key for key in OWN_FILES if PurePath(str(table.get(key))).name == name), "machine")


def _bare(job: Job) -> Laid:
    """The boards of a job and nothing on them."""
    return Laid(
        job=job,
        pieces=(),
        placements=(),
        bore=None,
        dowels={},
        findings=(),
        asked=job,
        given=(),
        may_move=False,
    )


def _drawn(laid: Laid, faults: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Every board with its pieces, in the order of the boards."""
    plan_of_all = uncut_plan(laid)
    if not laid.pieces:
        plan_of_all = replace(plan_of_all, boards=laid.job.boards)
    manifest = manifest_of(plan_of_all, laid.job, {}, mate=laid.job.mate)
    marked = tuple(Finding(code=Code.JOB_REFUSED, text=one["sentence"], where=Where()) for one in faults)
    return {"drawings": drawings_of(manifest, marked), "title": laid.job.title, "made_in": laid.job.name}


def drawings_of(manifest: Manifest, marked: Sequence[Finding] = ()) -> list[dict[str, str]]:
    """Every board of a manifest as it is drawn beside the fields, what is marked at its place."""
    drawings = []
    for board in manifest.boards:
        drawing = plan(manifest, {}, board_id=board.id, findings=marked, look=AGAIN_ON_A_SHEET)
        drawings.append({"board": board.id, "title": drawing.title, "svg": svg_text(drawing)})
    return drawings


def _sums(laid: Laid) -> dict[str, Any]:
    """Every line of the cut list with its drawing, and what all of them come to."""
    unit, pieces = laid.job.units, {piece.id: piece for piece in laid.pieces}
    lines = []
    for number, order in enumerate(laid.job.orders):
        piece = pieces.get(f"{order.name}-01")
        if piece is not None:
            lines.append(_line(piece, number, order.name, order.count, unit))
    length = fsum(piece.length_mm for piece in laid.pieces)
    wood = fsum(area_mm2(piece.outline) for piece in laid.pieces)
    boards = {placement.board_id for placement in laid.placements}
    there = fsum(board.width_mm * board.height_mm for board in laid.job.boards if board.id in boards)
    return {
        "pieces": lines,
        "sums": {
            "pieces": len(laid.pieces),
            "length": worded(show_length(length), unit),
            "boards": len(boards),
            "wood": f"{wood / there:.0%}" if there else "",
        },
    }


def _line(piece: Piece, number: int, name: str, count: int, unit: LengthUnit) -> dict[str, Any]:
    return {
        "name": name,
        "index": number,
        "title": worded(piece.title, unit),
        "count": count,
        "length": worded(show_length(piece.length_mm), unit),
        "svg": piece_svg(piece, name=f"piece-{number}"),
    }


def _minutes(laid: Laid) -> dict[str, Any]:
    with suppress(CannotCut):
        return {"about": minutes(about_minutes(laid) * 60)}
    return {}
