"""What the caliper said of a card: read, asked about, turned into the shop's errors, and stored with its date.

Glossary:
    card read: a card as it was cut, drawn again, with the readings of it.
    asked about: a reading too far from its fellows; the person says whether it is left out.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.fit.card import Feature, FitCard
from platelayer.fit.card_sizes import Estimate, Share
from platelayer.fit.correction import (
    CardReadings,
    Correction,
    PegReadings,
    Question,
    best_plays,
    correct,
)
from platelayer.fit.plausible import Doubt, doubts
from platelayer.fit.target_play import BEST, Cutter
from platelayer.fit_road.cards import card_of
from platelayer.fit_road.fitting import target_words
from platelayer.job import placed
from platelayer.job.card_table import CardAsCut, read_card_table
from platelayer.job.measurements import newline_of, read_readings, read_records, record_of, with_record
from platelayer.units import show_change, show_length, show_mm, show_small, show_unsure

PEG_KEYS: Final = {
    "span_shut": "over the joint, from slot to slot, pushed shut",
    "span_open": "the same, pulled apart until it holds",
    "over_left": "across the joint, over both long edges near the faces, pushed shut, the peg's stick slid left",
    "over_right": "the same, slid right",
}
"""What is read of each peg, in the order in which a hand does it."""

_FAR_MM: Final = 2.0
"""A reading this far from what was drawn is of something else, or in another unit: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRead:
    """A card as it was cut, drawn again, and its readings; the file they came from and its text."""

    file: Path
    text: str
    as_cut: CardAsCut
    card: FitCard
    readings: CardReadings


def read_card(file: Path) -> CardRead:
    """The card of a readings file and what was read of it.

    Raises:
        JobError: every fault of the file: keys, lengths, pegs that the card has not, readings of something else.
        CannotCut: sizes in its card table of which no card can be made.
    """
    text = files.read_text(file)
    readings = read_readings(text, file=str(file))
    as_cut = read_card_table(text, file=str(file))
    card = card_of(as_cut)
    read = CardRead(file=file, text=text, as_cut=as_cut, card=card, readings=readings)
    check_readings(read)
    return read


def check_readings(read: CardRead) -> None:
    """Nothing, where every reading can be what it says it is.

    Raises:
        JobError: pegs that the card has not, and readings far from what was drawn.
    """
    pips = [rung.pips for rung in read.card.rungs]
    shown = ", ".join(str(one) for one in pips)
    faults = []
    best = read.readings.best_pips
    if best and best not in pips:
        fix = f"Write one of {shown}, or 0 when nobody tried."
        faults.append(Fault(where="best_peg", found=str(best), problem="no such peg on the card", fix=fix))
    seen: set[int] = set()
    for number, peg in enumerate(read.readings.pegs, start=1):
        if peg.pips not in pips or peg.pips in seen:
            problem = "stands twice" if peg.pips in seen else "no such peg on the card"
            fix = f"Pegs have {shown} pips, and one table each."
            faults.append(Fault(where=f"[[peg]] {number} pips", found=str(peg.pips), problem=problem, fix=fix))
        seen.add(peg.pips)
    for where, values, drawn_mm in _places(read):
        faults += far_off(values, drawn_mm=drawn_mm, where=where)
    if faults:
        raise placed(JobError(*faults), read.text, file=str(read.file))


def far_off(values: Sequence[float], *, drawn_mm: float, where: str = "") -> tuple[Fault, ...]:
    """A fault for every reading that must be of something else, or in another unit."""
    problem = f"drawn {show_mm(drawn_mm)}, and nothing is off by more than {show_mm(_FAR_MM)} on a card"
    return tuple(
        Fault(where=where, found=show_mm(value), problem=problem, fix="Measure again, or write the unit.")
        for value in values
        if abs(value - drawn_mm) > _FAR_MM
    )


def peg_drawn_mm(read: CardRead) -> dict[str, float]:
    """What was drawn of each size that is read of a peg, by its key."""
    span, width = read.card.span_mm, read.as_cut.track.width_mm
    return {"span_shut": span, "span_open": span, "over_left": width, "over_right": width}


def _places(read: CardRead) -> list[tuple[str, tuple[float, ...], float]]:
    """Every group of readings with its place in the file and what was drawn there."""
    sizes = [
        (f"[sizes] {feature.feature.value}", read.readings.sizes_mm.get(feature.feature, ()), feature.designed_mm)
        for feature in read.card.features
    ]
    drawn = peg_drawn_mm(read)
    pegs = [
        (f"[[peg]] {number} {key}", getattr(peg, f"{key}_mm"), drawn[key])
        for number, peg in enumerate(read.readings.pegs, start=1)
        for key in PEG_KEYS
    ]
    return sizes + pegs


def correction_of(read: CardRead) -> Correction:
    """The shop's errors from one card.

    Raises:
        JobError: too little was read to tell them apart.
    """
    try:
        return correct(read.readings, card=read.card, cutter=_cutter(read.as_cut), lies=read.as_cut.lies)
    except ValueError as error:
        fix = "Read at least boss_x and slot_x, three times each."
        raise JobError(Fault(where="[sizes]", file=str(read.file), problem=str(error), fix=fix)) from error


def _cutter(as_cut: CardAsCut) -> Cutter:
    """What the card's paths were made for."""
    return Cutter(bit_radius_mm=as_cut.path_diameter_mm / 2, corners=as_cut.corners, width_mm=as_cut.track.width_mm)


def doubts_of(read: CardRead, found: Correction, *, kept: Sequence[Question] = ()) -> tuple[Doubt, ...]:
    """What is doubtful in a card's readings and in what was found, but for readings that a person said to keep."""
    said = {one.where for one in kept}
    doubtful = doubts(read.readings, found, card=read.card, cutter=_cutter(read.as_cut))
    return tuple(one for one in doubtful if not (one.may_be and said & set(one.places)))


def without(readings: CardReadings, left_out: Sequence[Question]) -> CardReadings:
    """The readings but for those that were asked about and are left out."""
    out = {(question.where, question.index) for question in left_out}

    def kept(where: str, values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(value for index, value in enumerate(values) if (where, index) not in out)

    sizes = {feature: kept(feature.value, values) for feature, values in readings.sizes_mm.items()}
    pegs = tuple(
        PegReadings(
            pips=peg.pips,
            **{f"{key}_mm": kept(f"peg {peg.pips} {key}", getattr(peg, f"{key}_mm")) for key in PEG_KEYS},
        )
        for peg in readings.pegs
    )
    return replace(readings, sizes_mm=sizes, pegs=pegs)


def result_lines(read: CardRead, found: Correction, *, left_out: Sequence[Question] = ()) -> tuple[str, ...]:
    """What the card told, with uncertainties, and which readings were left out, a line each."""
    as_cut = read.as_cut
    error = found.bit_diameter_mm.value_mm - as_cut.path_diameter_mm
    paths = show_length(as_cut.path_diameter_mm)
    depth = found.depth_error_mm
    wide, scatter = found.bit_diameter_mm, show_small(found.reading_scatter_mm)
    lines = [
        f"Bit {as_cut.bit_id} in {as_cut.material_id} on {as_cut.machine_id}; paths were made for {paths}:",
        f"  the bit cuts {_length(wide)} wide, {show_change(error)} from that",
        f"  heads come out {_far(found.head_offset_mm)} their face than that explains",
        f"  lips come out {_far(found.lip_bias_mm)} the middle, each",
        _slack_line(found),
        f"  scale along x {_percent(found.scale_x)}, along y {_percent(found.scale_y)}; for the machine's own setting",
        f"  grooves {_depth(depth)}",
        f"  readings scatter by {scatter}",
    ]
    best = {rung.pips: rung.peg_offset_mm for rung in read.card.rungs}.get(found.best_pips)
    if best is not None:
        name = f"{found.best_pips} {'pip' if found.best_pips == 1 else 'pips'}"
        lines.append(f"  best by hand: the peg with {name}, its head {abs(best):.2f} mm {_smaller(best)} each side")
        plays = best_plays(found, card=read.card, cutter=_cutter(as_cut))
        if plays is not None and plays.side_mm > 0 and plays.pull_out_mm > 0:
            lines.append(f'    it had {target_words(plays)}; feel = "{BEST}" asks for that')
        else:
            lines.append("    by these readings it does not go in: read them again, or name another")
    lines += [f"  left out: {one.where}, reading {one.index + 1}, {show_mm(one.read_mm)}" for one in left_out]
    return tuple(lines)


def _slack_line(found: Correction) -> str:
    """Slack by axis; of a bit that cutting pushes through it only what the axes differ by is known."""
    if not found.sizes.is_pushed:
        return f"  slack along x {_slack(found.slack_x_mm)}, along y {_slack(found.slack_y_mm)}; in the two lines above"
    wider = found.sizes.wider_y_mm
    axes = ("y", "x") if wider.value_mm > 0 else ("x", "y")
    shown = _length(replace(wider, value_mm=abs(wider.value_mm)))
    return f"  cutting pushes the bit off the wall: along {axes[0]} it cuts {shown} wider than along {axes[1]}"


def _slack(one: Estimate) -> str:
    """No slack is less than none: what comes out below that is none, as surely as the readings tell."""
    return _length(replace(one, value_mm=max(one.value_mm, 0.0)))


def _smaller(offset_mm: float) -> str:
    return "larger" if offset_mm < 0 else "smaller"


def _far(one: Estimate) -> str:
    shown = _length(replace(one, value_mm=abs(one.value_mm)))
    return f"{shown} {'further from' if one.value_mm >= 0 else 'nearer to'}"


def _depth(one: Estimate) -> str:
    if not math.isfinite(one.spread_mm):
        return "not read"
    shown = _length(replace(one, value_mm=abs(one.value_mm)))
    return f"{shown} too {'deep' if one.value_mm >= 0 else 'shallow'}; for how z is zeroed"


def _length(one: Estimate) -> str:
    return show_unsure(one.value_mm, one.spread_mm) if math.isfinite(one.spread_mm) else "not read"


def _percent(one: Share) -> str:
    if not math.isfinite(one.spread_ratio):
        return "not read"
    return f"{one.value_ratio:+.2%} +/- {one.spread_ratio:.2%}"


def store(found: Correction, read: CardRead, *, shop: Path, date: str, note: str = "") -> bool:
    """The correction added at the end of the shop file, which is made when missing; every byte before it stays.

    False where the file says the same already, and nothing was added.

    Raises:
        JobError: a shop file that cannot be read or written, or to whose end nothing can be added.
    """
    as_cut = read.as_cut
    record = record_of(
        found,
        best=best_plays(found, card=read.card, cutter=_cutter(as_cut)),
        date=date,
        bit_id=as_cut.bit_id,
        material_id=as_cut.material_id,
        machine_id=as_cut.machine_id,
        note=note,
    )
    text = files.read_text(shop) if shop.exists() else ""
    before = read_records(text, file=str(shop))
    more = with_record(text, record)
    after = read_records(more, file=str(shop))
    if after[-1] in before:
        return False
    files.write_file(shop, more, force=True)
    return True


def filled(read: CardRead) -> str:
    """The text of a readings file with the readings in it where it had none; every other byte stays.

    Raises:
        JobError: a file that was changed so that they do not go in.
    """
    sizes, pegs = read.readings.sizes_mm, {peg.pips: peg for peg in read.readings.pegs}
    lines, pips = [], 0
    newline = newline_of(read.text)
    for line in read.text.splitlines():
        match = re.fullmatch(r"(\w+) = (\[\]|\d+)(\s*#.*)?", line)
        key, written = (match[1], match[2]) if match else ("", "")
        if key == "pips":
            pips = int(written)
        elif key == "best_peg" and read.readings.best_pips:
            line = f"best_peg = {read.readings.best_pips}"
        elif written == "[]" and key in PEG_KEYS and pips in pegs:
            line = f"{key} = {list(getattr(pegs[pips], f'{key}_mm'))}"
        elif written == "[]" and key in list(Feature):
            line = f"{key} = {list(sizes.get(Feature(key), ()))}"
        lines.append(line)
    text = newline.join(lines) + newline
    again = read_readings(text, file=str(read.file))
    if {key: value for key, value in sizes.items() if value} != dict(again.sizes_mm) or _pegs(again) != _pegs(
        read.readings
    ):
        problem, fix = (
            "was changed so that readings cannot be put in",
            "Write them in by hand, and leave --prompt out.",
        )
        raise JobError(Fault(where=str(read.file), problem=problem, fix=fix))
    return text


def _pegs(readings: CardReadings) -> dict[int, PegReadings]:
    return {peg.pips: peg for peg in readings.pegs if any(getattr(peg, f"{key}_mm") for key in PEG_KEYS)}
