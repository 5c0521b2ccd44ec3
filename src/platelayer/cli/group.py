"""The command line itself: the group that all commands stand on, how their faults are told, and the exit codes.

Exit codes: 0 good; 1 the job or file fails its checks; 2 wrong usage or unreadable input.
"""

import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, Final, ParamSpec

import click

GOOD: Final = 0
FAILS: Final = 1
UNREADABLE: Final = 2

P = ParamSpec("P")


def faults_to_exit(command: Callable[P, None]) -> Callable[P, None]:
    """A command whose faults become sentences on stderr and an exit code, never a traceback unless asked for.

    So does what the disk refuses where no fault was made of it, such as a name that is too long for it.
    """

    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> None:
        from platelayer.errors import CannotCut, PlatelayerError

        try:
            command(*args, **kwargs)
        except PlatelayerError as error:
            if click.get_current_context().find_root().params.get("traceback"):
                raise
            click.echo(str(error), err=True)
            sys.exit(FAILS if isinstance(error, CannotCut) else UNREADABLE)
        except BrokenPipeError:
            raise  # whoever reads what is said has gone: click ends quietly
        except OSError as error:
            if click.get_current_context().find_root().params.get("traceback") or not error.filename:
                raise
            click.echo(f"{error.filename}: {error.strerror}. Name another place.", err=True)
            sys.exit(UNREADABLE)

    return wrapped


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="platelayer")
@click.option("--traceback", is_flag=True, help="Show where in the program a fault was raised (for its makers).")
def main(traceback: bool) -> None:
    """Wooden toy-railway track: from a job file to G-code for a hobby router, proved by a dry run.

    Routers and small parts hurt people: the machine's manual and local rules come first.
    """


def profile_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """The option that names a folder of the shop's own profiles."""
    return click.option(
        "--profiles",
        "profile_folder",
        type=click.Path(path_type=Path, file_okay=False, exists=True),
        help="Folder of your own machine profiles; it comes before the shipped ones.",
    )(command)


def own_folders(profile_folder: Path | None) -> tuple[Path, ...]:
    """The folders that ``--profiles`` names: one or none."""
    return () if profile_folder is None else (profile_folder,)
