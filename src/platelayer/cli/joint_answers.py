"""The commands of ``platelayer fit`` that answer and change nothing: picture, spread, wood and strength."""

from pathlib import Path

import click

from platelayer.cli.fitting import faults_of_job, fit, job_argument, learnt, shop_option
from platelayer.cli.group import faults_to_exit, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import say


@fit.command()
@job_argument()
@click.option("--out", type=click.Path(path_type=Path), default=Path("joint.svg"), show_default=True, help="File.")
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def picture(job: Path, out: Path, force: bool, shop: Path | None, profile_folder: Path | None) -> None:
    """Draw peg in socket on one page: contacts and free play, before and after what the shop has learnt."""
    from platelayer import files
    from platelayer.fit_road import joint_answers

    read, records = learnt(job, shop, profile_folder)
    with Progress("contacts and free play"):
        drawn = joint_answers.picture(read, records)
    files.write_file(out, drawn, force=force)
    say([f"Written to {out}. {joint_answers.play_line(read, records)}"], read.units)
    say(joint_answers.mouth_lines(read, records), read.units)


@fit.command()
@job_argument()
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="Of the draws: the same seed, the same answer."
)
@click.option("--draws", type=click.IntRange(100, 100_000), default=2000, show_default=True, help="How many joints.")
@click.option("--bit", "bit_text", default="", help="Standard deviation of the bit's diameter; a card's, or 0.03 mm.")
@click.option("--machine", "machine_text", default="", help="Of what slack does; a card's, or 0.05 mm.")
@click.option("--mate", "mate_text", default="", help="Of the mate's sizes; 0.08 mm for a bought set, else 0.")
@click.option(
    "--bought",
    type=click.Path(path_type=Path),
    multiple=True,
    help="Readings of the bought set, as for fit bought; each size of the mate scatters as they do.",
)
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def spread(
    job: Path,
    seed: int,
    draws: int,
    bit_text: str,
    machine_text: str,
    mate_text: str,
    bought: tuple[Path, ...],
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Share of many joints that seat, hold and move as wished, and what to measure next."""
    from platelayer.fit_road import bought_sets, joint_answers

    read, records = learnt(job, shop, profile_folder)
    measured = bought_sets.read_sets(bought) if bought else None
    scatter = joint_answers.scatter_of(
        read, records, bit=bit_text, machine=machine_text, mate=mate_text, bought=measured
    )
    with Progress(f"{draws} joints drawn"):
        lines = joint_answers.spread_lines(read, records, scatter=scatter, seed=seed, draws=draws)
    say(lines, read.units)
    say(joint_answers.mouth_lines(read, records), read.units)


@fit.command()
@job_argument()
@click.option(
    "--dry", "dry_percent", type=float, default=30.0, show_default=True, help="Relative humidity of the driest room, %."
)
@click.option(
    "--damp",
    "damp_percent",
    type=float,
    default=65.0,
    show_default=True,
    help="Relative humidity of the dampest room, %.",
)
@click.option(
    "--cut", "cut_percent", type=float, default=45.0, show_default=True, help="Relative humidity where it is cut, %."
)
@click.option("--celsius", "room_celsius", type=float, default=21.0, show_default=True, help="Temperature of all air.")
@click.option(
    "--sawn", type=click.Choice(("flat", "quarter")), default="flat", show_default=True, help="How boards lie."
)
@click.option("--mate-wood", default="", help="Wood of the mate; that of the job when left out.")
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def wood(
    job: Path,
    dry_percent: float,
    damp_percent: float,
    cut_percent: float,
    room_celsius: float,
    sawn: str,
    mate_wood: str,
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Play of the joints in a dry winter room and in a damp summer."""
    from platelayer.fit_road import joint_answers

    read, records = learnt(job, shop, profile_folder)
    air = joint_answers.SeasonAir(
        dry_percent=dry_percent, damp_percent=damp_percent, cut_percent=cut_percent, room_celsius=room_celsius
    )
    lines = joint_answers.season_lines(read, records, air=air, is_flat_sawn=sawn == "flat", mate_wood=mate_wood)
    say(lines, read.units)


@fit.command()
@job_argument()
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def strength(job: Path, shop: Path | None, profile_folder: Path | None) -> None:
    """What the neck of a peg bears, and which parts a small child could swallow; a caution, never a certificate."""
    from platelayer.fit_road import joint_answers

    read, records = learnt(job, shop, profile_folder)
    with Progress("necks and small parts"):
        lines = joint_answers.strength_lines(read, records)
    say(lines, read.units)


@fit.command()
@click.argument("readings", type=click.Path(path_type=Path), nargs=-1)
@click.option("--new", type=click.Path(path_type=Path), help="Write a file to fill in, and a drawing beside it.")
@click.option("--job", type=click.Path(path_type=Path), help="Job whose joint must couple; the usual sizes without.")
@click.option("--force", is_flag=True, help="Write over files that exist.")
@profile_option
@faults_to_exit
def bought(
    readings: tuple[Path, ...], new: Path | None, job: Path | None, force: bool, profile_folder: Path | None
) -> None:
    """Sizes of a bought set from what a caliper said, as a [mate] table for a job, and what would not couple."""
    from platelayer.fit_road import bought_sets, fitting

    if bool(readings) == (new is not None):
        click.get_current_context().fail("name the files that were filled in, or one to begin with: --new bought.toml.")
    ours = fitting.load(job, own_profiles=own_folders(profile_folder))
    if new is not None:
        drawing = bought_sets.write_new(new, ours, force=force)
        say([f"Written to {new}; {drawing} shows where to measure. Then: platelayer fit bought {new}"])
        return
    found = bought_sets.read_sets(readings)
    say(["Measured:", *bought_sets.size_lines(found)], ours.units)
    say(["With our own joint:", *(f"  {line}" for line in bought_sets.clash_lines(found, ours))], ours.units)
    say(["For the job file:", bought_sets.mate_table(found)])
