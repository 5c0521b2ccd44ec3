"""The commands that list what there is: machines, bits, woods, pieces, and every key that a file may hold."""

from pathlib import Path

import click

from platelayer.cli.group import faults_to_exit, main, own_folders, profile_option
from platelayer.cli.telling import list_rows, say


@main.command()
@profile_option
@faults_to_exit
def machines(profile_folder: Path | None) -> None:
    """List the machines there is a profile for."""
    from platelayer.job import describe_machines, load_profiles, profile_folders

    listing = describe_machines(load_profiles(own_folders(profile_folder)))
    list_rows(listing.head, listing.rows, "mm")
    click.echo(f"The shipped profiles lie in {profile_folders()[-1]}. For your own machine:", err=True)
    click.echo('platelayer new --machine machines/mine.toml, and profiles = "machines" under [job].', err=True)


@main.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@faults_to_exit
def bits(file: Path | None) -> None:
    """List the shipped bits, and those of a FILE of your own as they are."""
    from platelayer import files
    from platelayer.job import describe_bits
    from platelayer.job.own_files import read_own_bits

    listing = describe_bits(changed=read_own_bits(files.read_text(file), file=str(file)) if file else {})
    list_rows(listing.head, listing.rows)
    click.echo('For bits of your own: platelayer new --bits, and bits = "bits.toml" under [job].', err=True)


@main.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@faults_to_exit
def materials(file: Path | None) -> None:
    """List the woods that feeds are known for, and those of a FILE of your own."""
    from platelayer import files
    from platelayer.job import describe_materials
    from platelayer.job.own_files import read_own_woods

    listing = describe_materials(read_own_woods(files.read_text(file), file=str(file)) if file else {})
    list_rows(listing.head, listing.rows)
    click.echo('For a wood of your own: platelayer new --woods, and woods = "woods.toml" under [job].', err=True)


@main.command()
def pieces() -> None:
    """List the kinds of piece, and the keys of a job that size them."""
    from platelayer.pieces.catalogue import CATALOGUE

    list_rows(
        ("kind", "piece", "keys"),
        [(kind.name, kind.summary, ", ".join((*kind.own_keys, "turns"))) for kind in CATALOGUE],
    )


@main.command()
@click.argument("table", default="")
@click.option("--page", type=click.Path(path_type=Path), help="Write all of it to this file, as a page to open.")
@click.option("--force", is_flag=True, help="Write over a page that exists.")
@faults_to_exit
def keys(table: str, page: Path | None, force: bool) -> None:
    """Tell the tables of all files, or of a TABLE or a key its meaning, limits and an example."""
    from platelayer import files
    from platelayer.road.keys import keys_lines, keys_page

    if page is not None:
        files.write_file(page, keys_page(), force=force)
        click.echo(f"Wrote {page}.", err=True)
    else:
        say(keys_lines(table))
