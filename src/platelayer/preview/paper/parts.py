"""What a shop sheet is made of, before anyone decides between paper and screen.

Glossary:
    sheet: everything a person carries to the shop for one job. section: a heading with what stands under it.
    check: a line with a box to tick.
"""

from dataclasses import dataclass, replace

from platelayer.units import LengthUnit, worded


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTable:
    """A table: head, rows of equally many cells, and the widths of the columns as shares of the page."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSection:
    """A heading, then sentences, checks and a table, whichever there are; ``is_warning`` sets it apart.

    A sentence that begins with a space goes under the one before it: ``is_under``.
    """

    title: str
    sentences: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    table: SheetTable | None = None
    is_warning: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSheet:
    """A whole sheet: title, verdict of the dry run, facts at a glance, then sections before and after the drawings."""

    title: str
    verdict: str
    passed: bool
    facts: tuple[tuple[str, str], ...]
    first: tuple[SheetSection, ...]
    after: tuple[SheetSection, ...]


def is_under(sentence: str) -> bool:
    """The sentence is one of a list that the sentence before it announces."""
    return sentence.startswith(" ")


def worded_sheet(sheet: ShopSheet, first: LengthUnit) -> ShopSheet:
    """The sheet with its lengths in words, the reader's own unit first."""
    return replace(
        sheet,
        facts=tuple((name, worded(fact, first)) for name, fact in sheet.facts),
        first=tuple(_worded_section(section, first) for section in sheet.first),
        after=tuple(_worded_section(section, first) for section in sheet.after),
    )


def _worded_section(section: SheetSection, first: LengthUnit) -> SheetSection:
    table = section.table
    if table is not None:
        table = replace(table, rows=tuple(tuple(worded(cell, first) for cell in row) for row in table.rows))
    sentences, checks = (tuple(worded(line, first) for line in lines) for lines in (section.sentences, section.checks))
    return replace(section, sentences=sentences, checks=checks, table=table)
