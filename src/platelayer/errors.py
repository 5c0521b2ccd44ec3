"""Faults as data; the sentence a person reads is built here and nowhere else.

Glossary:
    fault: one thing wrong in what a person wrote or asked for. Not a finding: findings are what the dry run sees.
    mend: what would do instead, as a short imperative sentence.
"""

from dataclasses import dataclass, replace

from platelayer.units import LengthUnit, worded


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault: what is wrong, where, what was found and what would do.

    Attributes:
        where: table and key, e.g. ``[joint] mouth_width``; empty when the whole file is meant.
        problem: what is wrong, with the limit and where it comes from, without a final stop.
        mend: what would do, a whole sentence; empty when there is nothing to add.
        file: name of the file, empty when none is involved (yet: road fills it in).
        found: the value as written or shown in both units; empty when the key itself is the trouble.
        line: line in the file, 0 when unknown.
        column: column in the line, 0 when unknown.
        code: value of the findings.Code a dry run reports this as, empty when none is named.
        measured_mm: the number found, where the code has one.
        limit_mm: the number it is held against.
        unit: the reader's own, shown first; inches until the edge says otherwise (in_unit).
    """

    where: str
    problem: str
    mend: str = ""
    file: str = ""
    found: str = ""
    line: int = 0
    column: int = 0
    code: str = ""
    measured_mm: float | None = None
    limit_mm: float | None = None
    unit: LengthUnit | None = None

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
        if not self.mend:
            return sentence
        stop = "" if sentence.endswith((".", "?", "!")) else "."
        return f"{sentence}{stop} {self.mend}"


class PlatelayerError(Exception):
    """Base of everything this program raises for a person to read; holds all faults found at once."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__(*faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)

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


class ReadError(PlatelayerError):
    """G-code or a manifest that cannot be read; its faults carry line and column. Exit code 2."""
