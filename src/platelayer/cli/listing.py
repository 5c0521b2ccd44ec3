"""The commands that list what there is: machines, bits, woods, pieces, and every key that a file may hold."""

from pathlib import Path

import click

from platelayer.cli.group import faults_to_exit, main, profile_option
from platelayer.cli.telling import list_rows, say


@main.command()
@profile_option
@faults_to_exit
def machines(profile_folder: Path | None) -> None:
    """List the machines there is a profile for."""
    from platelayer.job import describe_machines, load_profiles, profile_folders

    listing = describe_machines(load_profiles((profile_folder,) if profile_folder else ()))
    list_rows(listing.head, listing.rows, "mm")
    click.echo(f"The shipped profiles lie in {profile_folders()[-1]}. For your own machine copy one,", err=True)
    click.echo('mend it, and name its folder: profiles = "FOLDER" under [job], or --profiles FOLDER.', err=True)


@main.command()
def bits() -> None:
    """List the shipped bits; a job may add its own and give measured sizes."""
    from platelayer.job import describe_bits

    listing = describe_bits()
    list_rows(listing.head, listing.rows)


@main.command()
def materials() -> None:
    """List the woods that feeds are known for."""
    from platelayer.job import describe_materials

    listing = describe_materials()
    list_rows(listing.head, listing.rows)


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
