"""Faults as data; the sentence a person reads is built here and nowhere else.

Glossary:
    fault: one thing wrong in what a person wrote or asked for. Not a finding: findings are what the dry run sees.
    fix: what would do instead, as a short imperative sentence.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import Final

from platelayer.units import LengthUnit, worded


class Cure(StrEnum):
    """What the working page can do about a fault itself, when a person says so."""

    TAKE_OUT = "take_out"
    """The key is known to nobody."""
    WRITE_OVER = "write_over"
    """Something of the person's own stands where files are to go."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault: what is wrong, where, what was found and what would do.

    Attributes:
        where: table and key, e.g. ``[joint] mouth_width``; empty when the whole file is meant.
        problem: what is wrong, with the limit and where it comes from, without a final stop.
        fix: what would do, a whole sentence; empty when there is nothing to add.
        file: name of the file, empty when none is involved (yet: road fills it in).
        found: the value as written or shown in both units; empty when the key itself is the trouble.
        line: line in the file, 0 when unknown.
        column: column in the line, 0 when unknown.
        code: value of the findings.Code a dry run reports this as, empty when none is named.
        measured_mm: the number found, where the code has one.
        limit_mm: the number it is held against.
        unit: the reader's own, shown first; inches until the edge says otherwise (in_unit).
        cure: what the page can do about it; None where only the person can.
    """

    where: str
    problem: str
    fix: str = ""
    file: str = ""
    found: str = ""
    line: int = 0
    column: int = 0
    code: str = ""
    measured_mm: float | None = None
    limit_mm: float | None = None
    unit: LengthUnit | None = None
    cure: Cure | None = None

    def __str__(self) -> str:
        """``FILE[:LINE[:COLUMN]] [table] key = VALUE: problem. mend``, lengths in words."""
        return worded(self._sentence(), self.unit or "in")

    def _sentence(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
        if self.column:
            place += f":{self.column}"
        subject = f"{self.where} = {self.found}" if self.found and self.where else (self.where or self.found)
        head = " ".join(part for part in (place, subject) if part)
        if not subject:
            head = place
        sentence = f"{head}: {self.problem}" if head else self.problem
        if not self.fix:
            return sentence
        stop = "" if sentence.endswith((".", "?", "!")) else "."
        return f"{sentence}{stop} {self.fix}"


PIECE: Final = "[[piece]] "
NAMED_PIECES: Final = 3
"""Pieces named of those that share a fault; the others are counted."""


def shared(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """The faults, those alike in all but the piece as one that names its pieces, or the first of many."""
    alike: dict[Fault, list[str]] = {}
    for fault in faults:
        is_of_piece = fault.where.startswith(PIECE)
        key = replace(fault, where=PIECE) if is_of_piece else fault
        alike.setdefault(key, []).append(fault.where.removeprefix(PIECE))
    return tuple(
        replace(fault, where=_named(names)) if fault.where == PIECE else fault for fault, names in alike.items()
    )


def _named(names: Sequence[str]) -> str:
    more = len(names) - NAMED_PIECES
    return PIECE + ", ".join(names[:NAMED_PIECES]) + (f" and {more} more" if more > 0 else "")


class PlatelayerError(Exception):
    """Base of everything this program raises for a person to read; holds all faults found at once."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__(*faults)

    def __str__(self) -> str:
        return "\n".join(self.lines)

    @property
    def lines(self) -> tuple[str, ...]:
        """The faults as sentences, one for all pieces that share a fault."""
        return tuple(str(fault) for fault in shared(self.faults))

    def in_file(self, file: str) -> "PlatelayerError":
        """The same error with the file's name in every fault that names none."""
        return type(self)(*(fault if fault.file else replace(fault, file=file) for fault in self.faults))

    def in_unit(self, unit: LengthUnit) -> "PlatelayerError":
        """The same error with the reader's own unit in every fault that has none."""
        return type(self)(*(fault if fault.unit else replace(fault, unit=unit) for fault in self.faults))


class JobError(PlatelayerError):
    """What a person wrote is wrong: job file, profile, measurements, or a size that cannot be. Exit code 2."""


class CannotCut(PlatelayerError):
    """A sound job that this bit, board or machine cannot make. Exit code 1."""


class NoRoom(CannotCut):
    """A sound job whose boards do not hold its pieces: too few of them, or none that is large enough for a piece."""


class Refused(CannotCut):
    """A sound job that cannot be made, and the page on which it is drawn as far as it came; None where none is."""

    def __init__(self, *faults: Fault, page: Path | None = None) -> None:
        super().__init__(*faults)
        self.page = page


class ReadError(PlatelayerError):
    """G-code or a manifest that cannot be read; its faults carry line and column. Exit code 2."""
