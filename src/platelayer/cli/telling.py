"""What commands tell people on stdout: the summary, lines and lists."""

import json
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from platelayer.road.proving import Proof
    from platelayer.units import LengthUnit


def show(proof: "Proof", *, as_json: bool) -> None:
    """The summary, as text or as data, on stdout."""
    from platelayer.preview.report.summary import summary_data, summary_text

    if as_json:
        click.echo(json.dumps(summary_data(proof.manifest, proof.report), indent=1))
    else:
        click.echo(summary_text(proof.manifest, proof.report), nl=False)


def say(lines: Iterable[str], unit: "LengthUnit" = "in") -> None:
    """Lines on stdout, their lengths in words."""
    from platelayer.units import worded

    for line in lines:
        click.echo(worded(line, unit))


def list_rows(head: Sequence[str], rows: Sequence[Sequence[str]], unit: "LengthUnit" = "in") -> None:
    """Rows in columns under their head, on stdout, their lengths in words."""
    from platelayer.units import worded

    table = [head, *([worded(cell, unit) for cell in row] for row in rows)]
    widths = [max(len(row[column]) for row in table) for column in range(len(head))]
    for row in table:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
