"""Answers to a gap in words, as a drawing and as a job.

Glossary:
    picked: the answer that is drawn and made.
"""

import math
from collections.abc import Sequence
from pathlib import Path

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.floor.easing import eased
from platelayer.floor_road.checking import miss_words
from platelayer.floor_road.closing import Answer, Answers
from platelayer.floor_road.cut_list import with_pieces
from platelayer.floor_road.ground import Ground
from platelayer.floor_road.makeable import cost_words
from platelayer.job import load_job, profiles_for, starter_job
from platelayer.preview.pictures.floor_plan import floor_svg
from platelayer.tolerances import MEETS_MM, MEETS_RAD
from platelayer.units import show_small, worded
from platelayer.values.tooling import PieceOrder


def answer_lines(answers: Answers) -> list[str]:
    """What closes a gap, best first, in sentences with lengths as marks."""
    asked = answers.asked
    lines = [f"{asked.gap.name}, to meet {asked.gap.goal}: {_gap_words(answers)}"]
    if answers.is_favoured:
        lines[0] = f"{asked.gap.name}, to meet {asked.gap.goal}: nothing closes it as measured."
        lines.append(f"  If it is as straight as the tape allows: {_gap_words(answers)}")
    for number, one in enumerate(answers.answers, start=1):
        lines += [f"{number}. {one.pieces}", *(f"   {words}" for words in said_of(one))]
    if not answers.answers:
        lines.append("  Nothing was found that closes it.")
    lines += [f"  Left out, {count}: {why}" for why, count in answers.dropped]
    looked = "Every way with the owned pieces was looked through"
    lines.append(f"  {looked}." if answers.is_whole else "  The time was up: these are the best found so far.")
    return lines


def _gap_words(answers: Answers) -> str:
    gap = answers.asked.gap
    pose = gap.pose
    parts = [f"{show_small(pose.x)} ahead"]
    if abs(pose.y) > MEETS_MM and not gap.meets_wall:
        parts.append(f"{show_small(abs(pose.y))} to the {'left' if pose.y > 0 else 'right'}")
    if abs(pose.heading_rad) > MEETS_RAD and not gap.meets_wall:
        side = "left" if pose.heading_rad > 0 else "right"
        parts.append(f"turned {abs(math.degrees(pose.heading_rad)):.2f} degrees to the {side}")
    if any(gap.unsure):
        x, y, turn = (2 * one for one in gap.unsure)
        unsure = f"{show_small(x)} along, {show_small(y)} aside and {math.degrees(turn):.2f} degrees"
        parts.append(f"by tape, give or take {unsure}")
    return f"{', '.join(parts)}; {gap.here.value} here, {gap.there.value} there."


def said_of(one: Answer) -> list[str]:
    """What is said of one answer: its reason, what it leaves, how sure that is, and what it takes to make."""
    unsure = show_small(one.unsure_mm)
    if one.unsure_rad > MEETS_RAD:
        unsure += f" and {math.degrees(one.unsure_rad):.2f} degrees"
    left = math.hypot(one.left.x, one.left.y) > MEETS_MM or abs(one.left.heading_rad) > MEETS_RAD
    said = [
        one.reason,
        f"It lies {miss_words(one.left)}: the joints give that with {one.closed.share_ratio:.0%} of their play."
        if left
        else "It comes out as it should, and asks nothing of the joints.",
        f"Bought lengths, tape and machine leave {unsure} unsure: so much short takes {_share(one.short_share_ratio)}, "
        f"so much long {_share(one.long_share_ratio)}.",
    ]
    if one.orders:
        said.append(f"{cost_words(one.cost)}.")
    return said


def _share(share_ratio: float) -> str:
    return f"{share_ratio:.0%} of the play" if share_ratio <= 1 else "more play than there is"


def picked(answers: Answers, number: int) -> Answer:
    """The answer of that number, from 1.

    Raises:
        JobError: there is none.
    """
    if not 1 <= number <= len(answers.answers):
        fix = f"There are {len(answers.answers)}." if answers.answers else "Nothing was found that closes the gap."
        raise JobError(Fault(where="--pick", found=str(number), problem="no such answer", fix=fix))
    return answers.answers[number - 1]


def answer_svg(ground: Ground, answers: Answers, one: Answer) -> str:
    """The floor with an answer in its gap, its joints as they make up what is left; new pieces in another colour."""
    name, laid = answers.asked.gap.name, one.laid
    notes = [f"{name}: {one.pieces}", *said_of(one)[:2]]
    miss = next(miss for miss in laid.misses if miss.stretch == name)
    if one.closed.share_ratio and any(stretch.name == name for stretch in laid.floor.stretches):
        laid = eased(laid, miss, one.closed.poses, play_of=ground.play_of)
        notes.append("Drawn with the joints as they lie then.")
    return floor_svg(laid, width_mm=ground.width_mm, new=one.new_ids, notes=notes, unit=ground.floor.units)


def new_job(ground: Ground, orders: Sequence[PieceOrder], out: Path, *, title: str, force: bool) -> None:
    """A job of those pieces alone, the rest of it as in the floor's job, or as in the starter.

    Raises:
        JobError: nothing is to be made, the file exists, or what it names beside it is not beside the new one.
    """
    text = starter_job() if ground.job_file is None else files.read_text(ground.job_file)
    _write(with_pieces(text, _some(orders, out), file=str(out), title=title, in_place=True), out, ground, force=force)


def add_to_job(ground: Ground, orders: Sequence[PieceOrder], out: Path) -> None:
    """Those pieces put at the end of a job's cut list, everything else in it as it stands.

    Raises:
        JobError: nothing is to be made, or a name that is taken already.
    """
    text = files.read_text(out)
    _load(text, out)
    _write(with_pieces(text, _some(orders, out), file=str(out)), out, ground, force=True)


def _some(orders: Sequence[PieceOrder], out: Path) -> Sequence[PieceOrder]:
    if not orders:
        fix = "Of several answers to a gap, --pick takes another."
        raise JobError(
            Fault(where=str(out), problem="nothing to write: owned pieces do, and none is to be made", fix=fix)
        )
    return orders


def _write(text: str, out: Path, ground: Ground, *, force: bool) -> None:
    _load(text, out)
    files.write_file(out, worded(text, ground.floor.units), force=force)


def _load(text: str, out: Path) -> None:
    load_job(text, file=str(out), profiles=profiles_for(text, file=str(out), own=()))
