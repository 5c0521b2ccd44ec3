"""The fit on the page: a bought set by caliper, the card, its readings one after another, and what they come to."""

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from platelayer import files
from platelayer.desk.folder import inside
from platelayer.desk.reading import job_text, learnt, loaded, plain, told_faults
from platelayer.errors import PlatelayerError
from platelayer.fit.bought import LETTERS, WORDS, BoughtSize
from platelayer.fit.correction import questions
from platelayer.fit.shapes import as_designed
from platelayer.fit_road import readings as road
from platelayer.fit_road.bought_sets import clash_lines, read_sets, size_lines
from platelayer.fit_road.cards import READINGS, cut_card, next_lines, scrap
from platelayer.fit_road.fitting import preset_lines, target_of
from platelayer.fit_road.joint_answers import picture, play_line
from platelayer.job import load_job, load_profiles, read_toml, starter_job
from platelayer.job.bought_readings import read_bought
from platelayer.preview.pictures.caliper_places import bought_page
from platelayer.preview.report.summary import verdict
from platelayer.road.tuning import records_in, shop_file
from platelayer.units import show_mm, worded
from platelayer.values.pieces import CornerRadii, JointSizes
from platelayer.values.tooling import Job

Tell = Callable[[Any], None]
SHOP: Final = "shop.toml"
CARD: Final = "-card"


def bought(root: Path, _: Tell, *, file: str, job: str = "") -> dict[str, Any]:
    """What to measure of a bought set, with the drawing; what was read, what it comes to, and its ``[mate]`` table.

    Raises:
        JobError: a name that leads outside.
    """
    usual = load_job(starter_job(), file="starter.toml", profiles=load_profiles())
    shape = as_designed(usual.joint, width_mm=usual.track.width_mm, corners=CornerRadii())
    told: dict[str, Any] = {
        "sizes": [{"name": str(size), "letter": LETTERS[size], "words": WORDS[size]} for size in BoughtSize],
        "svg": bought_page(shape, usual.track),
        "lines": [],
        "faults": [],
    }
    place = inside(root, file)
    if not place.is_file():
        return told
    try:
        text = files.read_text(place)
        told["data"] = plain(read_toml(text, file=str(place)))
        read_bought(text, file=str(place))
        found = read_sets([place])
        told["mate"] = {
            field.name.removesuffix("_mm"): f"{getattr(found.sizes, field.name):.3f} mm" for field in fields(JointSizes)
        }
        lines = size_lines(found)
        if job:
            lines += clash_lines(found, loaded(root, job_text(root, job)))
        return told | {"lines": [worded(line, "mm") for line in lines]}
    except PlatelayerError as error:
        return told | {"faults": told_faults(error)}


def wish(root: Path, _: Tell, *, job: str) -> dict[str, Any]:
    """How a job's joints come out as its file stands: in words, drawn, and where the figures come from.

    Raises:
        JobError: what is wrong with the job.
        CannotCut: a fit that cannot be had.
    """
    said = job_text(root, job)
    words = [worded(line, "mm") for line in preset_lines()]
    try:
        one = loaded(root, said)
        tuned, records = learnt(one, file=said.file)
        told = [] if tuned.tuning is None else [worded(line, one.units) for line in tuned.tuning.words]
        return {
            "feels": words,
            "play": worded(play_line(one, records), one.units),
            "svg": picture(one, records),
            "words": told,
        }
    except PlatelayerError as error:
        return {"feels": words, "faults": told_faults(error, said)}


def card(root: Path, tell: Tell, *, job: str, board: str = "", force: bool = False) -> dict[str, Any]:
    """A fit card for a job, cut and proved like any job, with its readings file to fill in.

    Raises:
        JobError: a scrap that is no board, or files that stand in the way.
    """
    said = job_text(root, job)
    made_in = files.beside(said.file)
    out = inside(root, made_in.with_name(made_in.name + CARD).relative_to(root).as_posix())
    try:
        one = loaded(root, said)
        like = scrap(board, like=one.boards[0], unit=one.units) if board else None
        done = cut_card(
            one,
            _records(one, said.file),
            target=target_of("", side="", pull=""),
            board=like,
            out=out,
            force=force,
            progress=lambda words: tell({"event": "working", "words": words}),
        )
    except PlatelayerError as error:
        return {"refused": told_faults(error, said)}
    if not done.made.proof.report.passed:
        return {"refused": [{"sentence": verdict(done.made.proof.report), "path": []}]}
    folder = out.relative_to(root)
    lines = next_lines(done, Path(folder), shop=SHOP)
    return {
        "readings": (folder / READINGS).as_posix(),
        "files": [(folder / file.name).as_posix() for file in done.made.proof.manifest.files],
        "lines": [worded(line, one.units) for line in lines[:3]],
    }


def _records(job: Job, file: Path) -> Sequence[Any]:
    place = shop_file(job, file=str(file), shop=None)
    return records_in(place) if place is not None and place.exists() else ()


def readings(root: Path, _: Tell, *, file: str) -> dict[str, Any]:
    """Every reading that a card asks for, with what was read so far, and those that are asked about.

    Raises:
        JobError: no such file, a name that leads outside, or readings that cannot be.
        CannotCut: sizes of which no card can be made.
    """
    place = inside(root, file)
    read = road.read_card(place)
    drawn = road.peg_drawn_mm(read)
    sizes = [
        {
            "path": ["sizes", one.feature.value],
            "words": one.words,
            "drawn": show_mm(one.designed_mm),
        }
        for one in read.card.features
    ]
    by_pips = {peg.pips: number for number, peg in enumerate(read.readings.pegs)}
    pegs = []
    for rung in read.card.rungs:
        number = by_pips.get(rung.pips)
        if number is not None:
            pegs += [
                {
                    "path": ["peg", number, key],
                    "words": f"{rung.pips} {'pip' if rung.pips == 1 else 'pips'}: {words}",
                    "drawn": show_mm(drawn[key]),
                }
                for key, words in road.PEG_KEYS.items()
            ]
    return {
        "data": plain(read_toml(read.text, file=str(place))),
        "fields": sizes + pegs,
        "best": read.readings.best_pips,
        "pips": [rung.pips for rung in read.card.rungs],
        "asked": [{"where": one.where, "index": one.index, "words": str(one)} for one in questions(read.readings)],
    }


def read_card(
    root: Path, _: Tell, *, file: str, left_out: Sequence[Sequence[Any]] = (), keep: bool = False
) -> dict[str, Any]:
    """What a card's readings say of bit and machine, put at the end of the shop's own file; or what is doubtful.

    Args:
        root: the folder.
        file: the readings.
        left_out: place and number of those that the person leaves out, of those asked about.
        keep: what is doubtful and may be true is right all the same, the person says.

    Raises:
        JobError: readings that cannot be, or too few.
        CannotCut: sizes of which no card can be made.
    """
    place = inside(root, file)
    read = road.read_card(place)
    asked, out = questions(read.readings), {(where, index) for where, index in left_out}
    gone = [one for one in asked if (one.where, one.index) in out]
    read = replace(read, readings=road.without(read.readings, gone))
    found = road.correction_of(read)
    unit = read.as_cut.units
    doubts = road.doubts_of(read, found, kept=[one for one in asked if one not in gone])
    lines = [worded(line, unit) for line in road.result_lines(read, found, left_out=gone)]
    if doubts and not (keep and all(one.may_be for one in doubts)):
        told = [worded(str(one), unit) for one in doubts]
        return {"doubts": told, "may_be": all(one.may_be for one in doubts), "lines": lines}
    day = datetime.now().astimezone().date().isoformat()
    is_new = road.store(found, read, shop=inside(root, SHOP), date=day)
    return {"lines": lines, "is_new": is_new, "shop": SHOP, "date": day}
