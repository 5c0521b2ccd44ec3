"""The commands of ``platelayer floor``: from what is owned and measured on a floor to what is to be made."""

import json
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from platelayer.cli.group import FAILS, GOOD, faults_to_exit, main, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import list_rows, say

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


@main.group()
def floor() -> None:
    """Close the gaps of a layout on the floor: what is owned, where it ends, and what to make.

    In order: floor new, floor check, floor draw, floor close, make.
    """


def floor_argument(command: Callable[..., Any]) -> Callable[..., Any]:
    """The floor file that a command is about."""
    return click.argument("floor_file", metavar="FLOOR", type=click.Path(path_type=Path))(command)


@floor.command()
@click.argument("floor_file", metavar="FLOOR", type=click.Path(path_type=Path), default=Path("floor.toml"))
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@faults_to_exit
def new(floor_file: Path, force: bool) -> None:
    """Write a commented floor file to edit."""
    from platelayer import files
    from platelayer.job.layout_starter import starter_floor

    files.write_file(floor_file, starter_floor(), force=force)
    click.echo(f"Wrote {floor_file}. Edit it, then: platelayer floor check {floor_file}", err=True)


@floor.command()
@click.argument("piece", required=False, default="")
@faults_to_exit
def sizes(piece: str) -> None:
    """Say which few sizes to take of a bought piece, and how they are written."""
    from platelayer.job.layout_starter import sizes_of

    say(sizes_of(piece))


@floor.command()
@floor_argument
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, with every end and the drawing.")
@profile_option
@faults_to_exit
def check(floor_file: Path, as_json: bool, profile_folder: Path | None) -> None:
    """Say where every stretch ends, what it misses, and whether the joints can give that."""
    from platelayer.floor_road import checking, looking
    from platelayer.floor_road.ground import read_ground

    with Progress("the play of every joint"):
        ground = read_ground(floor_file, own_profiles=own_folders(profile_folder))
        checked = checking.check(ground)
    if as_json:
        show_data(looking.view_of(checked))
        sys.exit(GOOD if checked.is_good else FAILS)
    say(checking.check_lines(checked), ground.floor.units)
    for fault in ground.faults:
        click.echo(str(fault), err=True)
    sys.exit(GOOD if checked.is_good else FAILS)


def show_data(value: "DataclassInstance") -> None:
    """A plain value as JSON on stdout."""
    click.echo(json.dumps(asdict(value), indent=1))


@floor.command()
@floor_argument
@click.option("--out", type=click.Path(path_type=Path), help="SVG or PNG file; named after the floor, beside it, else.")
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@profile_option
@faults_to_exit
def draw(floor_file: Path, out: Path | None, force: bool, profile_folder: Path | None) -> None:
    """Draw the floor to scale on one page: walls, pieces, ends and misses."""
    from platelayer.floor_road import checking, looking
    from platelayer.floor_road.ground import read_ground

    with Progress("the play of every joint"):
        svg = looking.drawing(checking.check(read_ground(floor_file, own_profiles=own_folders(profile_folder))))
    put_picture(out or floor_file.with_suffix(".svg"), svg, force=force)


def put_picture(out: Path, svg: str, *, force: bool) -> None:
    """A drawing written as SVG, or as PNG where the file's name ends so."""
    from platelayer import files
    from platelayer.preview.pictures.png import svg_to_png

    is_png = out.suffix.lower() == ".png"
    files.write_file(out, svg_to_png(svg, width_px=PNG_WIDE_PX) if is_png else svg, force=force)
    click.echo(f"Written to {out}.")


PNG_WIDE_PX = 1754
"""An A4 page at 150 dots an inch."""


@floor.command("setout")
@floor_argument
@profile_option
@faults_to_exit
def set_out(floor_file: Path, profile_folder: Path | None) -> None:
    """Table of every joint's distances from two corners of the room, to lay the track by."""
    from platelayer.floor_road import setting_out
    from platelayer.floor_road.ground import read_ground

    ground = read_ground(floor_file, own_profiles=own_folders(profile_folder))
    list_rows(setting_out.HEAD, setting_out.rows_of(ground), ground.floor.units)
    say([setting_out.corner_words(ground)], ground.floor.units)
