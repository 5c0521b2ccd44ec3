"""The commands about what is made: its dry run, and what a person carries to the shop."""

import sys
from pathlib import Path

import click

from platelayer.cli.group import FAILS, GOOD, faults_to_exit, main, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import say, show


@main.command()
@click.argument("place", type=click.Path(path_type=Path))
@click.option("--bit", help="For a file without a manifest: a bit's id, or the diameter of a flat one.")
@click.option("--board", help="For a file without a manifest: its board, as in '36 x 11 x 1/2 in'.")
@click.option("--zero", type=click.Choice(["top", "spoilboard"]), default="top", help="Where that board's z is zero.")
@click.option("--page", type=click.Path(path_type=Path), help="Write the page to watch it on to this file.")
@click.option("--force", is_flag=True, help="Write over a page that exists.")
@click.option("--json", "as_json", is_flag=True, help="Report as JSON on stdout.")
@faults_to_exit
def dryrun(
    place: Path, bit: str | None, board: str | None, zero: str, page: Path | None, force: bool, as_json: bool
) -> None:
    """Dry-run a folder that make wrote, or anyone's G-code file, from the files alone."""
    from platelayer import files
    from platelayer.road.folders import dry_run_folder, dry_run_foreign
    from platelayer.road.outputs import page_of

    with Progress(f"dry run of {place}"):
        proof = dry_run_folder(place) if place.is_dir() else dry_run_foreign(place, bit=bit, board=board, zero=zero)
    show(proof, as_json=as_json)
    if page:
        with Progress("page"):
            files.write_file(page, page_of(proof), force=force)
        click.echo(f"Page to open: {page}", err=True)
    sys.exit(GOOD if proof.report.passed else FAILS)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@faults_to_exit
def sheet(folder: Path) -> None:
    """Write the shop sheet, full-size templates and drawings into a folder that make wrote."""
    from platelayer.road import folders

    with Progress("dry run, sheet, templates and drawings"):
        names = folders.sheet(folder)
    click.echo(f"Written to {folder}: {', '.join(names)}")


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--kerf", default="1/8 in", show_default=True, help="Width of the cut your blade makes.")
@profile_option
@faults_to_exit
def saw(job: Path, kerf: str, profile_folder: Path | None) -> None:
    """Fence and blade settings to cut a job's grooves on a table saw."""
    from platelayer.road.sawing import saw_lines

    say(saw_lines(job, kerf=kerf, own_profiles=own_folders(profile_folder)))
