"""What commands tell people on stdout: the summary, lines and lists."""

import json
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from platelayer.road.proving import Proof


def show(proof: "Proof", *, as_json: bool) -> None:
    """The summary, as text or as data, on stdout."""
    from platelayer.preview.report.summary import summary_data, summary_text

    if as_json:
        click.echo(json.dumps(summary_data(proof.manifest, proof.report), indent=1))
    else:
        click.echo(summary_text(proof.manifest, proof.report), nl=False)


def say(lines: Iterable[str]) -> None:
    """Lines on stdout."""
    for line in lines:
        click.echo(line)


def list_rows(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Rows in columns under their head, on stdout."""
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    for row in (head, *rows):
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
