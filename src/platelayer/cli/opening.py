"""The command that opens the working page."""

import os
import sys
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Thread
from typing import Final

import click

from platelayer.cli.group import faults_to_exit, main

_MOST_TYPED: Final = 1024


@main.command("open")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False, exists=True), default=Path())
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port to listen on; any that is free else.")
@click.option("--no-browser", is_flag=True, help="Only say the address.")
@faults_to_exit
def open_page(folder: Path, port: int, no_browser: bool) -> None:
    """Do the whole job in FOLDER on a page in your browser, from this machine and for nobody else.

    The address is good for one page; Enter gives a new one, Ctrl-C ends it.
    """
    from platelayer.desk.worker import work
    from platelayer.desk.workers import Worker

    root = folder.resolve()
    quick, steady = Worker(work, root), Worker(work, root, gives_way=True)
    quick.start()
    from platelayer.desk.server import serve

    def told(new_address: Callable[[], str]) -> None:
        address = new_address()
        click.echo(address)
        click.echo("That address is good once. Enter: a new one. Ctrl-C: the end.", err=True)
        if not no_browser:
            webbrowser.open(address)
        Thread(target=give_addresses, args=(new_address,), daemon=True).start()

    try:
        serve(root, quick=quick, steady=steady, port=port, told=told)
    except OSError as error:
        click.get_current_context().fail(f"port {port} cannot be listened on ({error.strerror}); leave --port out.")


def give_addresses(new_address: Callable[[], str]) -> None:
    """A new address for every line that comes from the terminal, until it is closed.

    Read past Python's own buffer, whose lock would be held by a thread that waits when the program ends.
    """
    with suppress(OSError, ValueError):  # no terminal at all
        while os.read(sys.stdin.fileno(), _MOST_TYPED):
            click.echo(new_address())
