"""The command that weighs a person's bits for a job."""

from pathlib import Path

import click

from platelayer.cli.group import faults_to_exit, main, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import say


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--own", multiple=True, help="Id of a bit you own, besides those of the job and its file of bits.")
@click.option("--shop", type=click.Path(path_type=Path), help="The shop's own measurements, as fit read wrote them.")
@profile_option
@faults_to_exit
def quicker(job: Path, own: tuple[str, ...], shop: Path | None, profile_folder: Path | None) -> None:
    """Say with which of your bits a JOB is done sooner, each way cut and dry-run; nothing is written or changed."""
    from platelayer import files
    from platelayer.job import profiles_for
    from platelayer.road.quicker import quicker_lines, quicker_ways

    text = files.read_text(job)
    profiles = profiles_for(text, file=str(job), own=own_folders(profile_folder))
    with Progress("reading the job") as progress:
        ways = quicker_ways(text, file=str(job), profiles=profiles, own=own, shop=shop, progress=progress)
    say(quicker_lines(ways))
