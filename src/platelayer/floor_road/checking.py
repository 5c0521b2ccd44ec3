"""What a floor comes to in words: pieces, ends, what each stretch misses, and what its joints can give.

Glossary:
    verdict: of one miss: met, closed by play, out of reach of any play, or not known to close.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from platelayer.floor.chains import chain_of
from platelayer.floor.composing import miss_size
from platelayer.floor.sharing import Closed, cannot_close, least_share
from platelayer.floor_road.ground import Ground
from platelayer.tolerances import MEETS_MM, MEETS_RAD
from platelayer.units import show_small
from platelayer.values.layout import Miss
from platelayer.values.shapes import Pose


class Verdict(StrEnum):
    """What becomes of a miss; all but the first two need pieces or another place."""

    MET = "met"
    BY_PLAY = "closed by play"
    BEYOND = "cannot be closed"
    NOT_FOUND = "none found"
    ENDS = "ends do not couple"


@dataclass(frozen=True, slots=True)
class Judged:
    """A miss, its verdict, and how its joints close it, or would with more play; None where nothing is known to."""

    miss: Miss
    verdict: Verdict
    closed: Closed | None

    @property
    def is_good(self) -> bool:
        """The stretch comes to what it is to meet."""
        return self.verdict in (Verdict.MET, Verdict.BY_PLAY)


@dataclass(frozen=True, slots=True)
class Checked:
    """A floor's misses, judged, in the order of its stretches."""

    ground: Ground
    judged: tuple[Judged, ...]

    @property
    def is_good(self) -> bool:
        """No piece lies on another and every stretch comes to what it is to meet."""
        return not self.ground.faults and all(one.is_good for one in self.judged)


def check(ground: Ground) -> Checked:
    """Every miss of a floor judged by its joints.

    Raises:
        CannotCut: joints that do not go together at all.
    """
    return Checked(ground, tuple(_judged(ground, miss) for miss in ground.laid.misses))


def _judged(ground: Ground, miss: Miss) -> Judged:
    away, turned = miss_size(miss.gap)
    chain = chain_of(ground.laid, miss, play_of=ground.play_of)
    if chain is None:
        return Judged(miss, Verdict.ENDS, None)
    if away <= MEETS_MM and turned <= MEETS_RAD:
        return Judged(miss, Verdict.MET, None)
    closed = least_share(chain)
    if closed is not None and closed.share_ratio <= 1:
        return Judged(miss, Verdict.BY_PLAY, closed)
    return Judged(miss, Verdict.BEYOND if cannot_close(chain) else Verdict.NOT_FOUND, closed)


def check_lines(checked: Checked) -> list[str]:
    """The floor in sentences, their lengths as marks."""
    laid = checked.ground.laid
    count, open_ends = len(laid.pieces), open_end_names(checked)
    lines = [f"{laid.floor.title}: {count} {'piece' if count == 1 else 'pieces'} laid"]
    if open_ends:
        more = len(open_ends) - _NAMED
        named = ", ".join(open_ends[:_NAMED]) + (f" and {more} more" if more > 0 else "")
        lines.append(f"  open ends: {named}")
    for one in checked.judged:
        lines += [f"  {words}" for words in judged_lines(one)]
    lines += [f"  {gap.name} is a gap by tape: platelayer floor close says what closes it." for gap in laid.floor.gaps]
    return lines


_NAMED: Final = 6
"""Joints or ends named in a sentence; the others are counted."""


def open_end_names(checked: Checked) -> tuple[str, ...]:
    """Ends that are joined to nothing and meet nothing, by piece and end."""
    laid = checked.ground.laid
    good = [one.miss for one in checked.judged if one.is_good]
    taken = set(laid.joined)
    taken |= {(miss.last, miss.last_end) for miss in good if miss.last is not None}
    taken |= {miss.met for miss in good if miss.met is not None}
    return tuple(
        f"{piece.id}.{end.name}"
        for index, piece in enumerate(laid.pieces)
        for number, end in enumerate(piece.ends)
        if (index, number) not in taken
    )


def judged_lines(judged: Judged) -> list[str]:
    """One miss and what becomes of it, in sentences."""
    miss = judged.miss
    if judged.verdict is Verdict.MET:
        return [f"{miss.stretch} meets {miss.goal}."]
    lines = [f"{miss.stretch} misses {miss.goal} by {miss_words(miss.gap)}."]
    match judged.verdict:
        case Verdict.BY_PLAY if judged.closed is not None:
            count = len(judged.closed.shares)
            lines.append(f"Its {count} joints give that with {judged.closed.share_ratio:.0%} of their play.")
            lines.append(f"At that share: {_joints_words(judged.closed.hardest, count)}.")
        case Verdict.BEYOND:
            lines.append("It cannot be closed by play: no poses of its joints reach so far.")
        case Verdict.ENDS if miss.there is not None:
            kinds = " and ".join(end.value for end in (miss.here, miss.there) if end is not None)
            lines.append(f"What would meet there is {kinds}, which do not couple: a piece must go between.")
        case Verdict.ENDS:
            lines.append("Nothing is laid yet.")
        case _:
            lines.append(f"None found that closes it by play{_would_take(judged.closed)}.")
    return lines


def _would_take(closed: Closed | None) -> str:
    if closed is None or not math.isfinite(closed.share_ratio):
        return ""
    return f"; what was found would take {closed.share_ratio:.0%} of it"


def _joints_words(names: Sequence[str], count: int) -> str:
    if len(names) == count:
        return "all of them"
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def miss_words(gap: Pose) -> str:
    """A miss in distance and turn; where it has more than one part, each as seen from the open end."""
    away, turned = miss_size(gap)
    ahead = "short" if gap.x > 0 else "too long"
    aside = "left" if gap.y > 0 else "right"
    parts = [f"{show_small(abs(gap.x))} {ahead}"] if abs(gap.x) > MEETS_MM else []
    parts += [f"{show_small(abs(gap.y))} to its {aside}"] if abs(gap.y) > MEETS_MM else []
    turn = f" and {math.degrees(turned):.2f} degrees" if turned > MEETS_RAD else ""
    if len(parts) == 1 and not turn:
        return parts[0]
    return f"{show_small(away)}{turn}" + (f": {', '.join(parts)}" if parts else "")
