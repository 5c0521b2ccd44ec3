"""What a worker process does: imports the stages, then answers question after question until the server is gone."""

import os
import signal
import sys
import traceback
from multiprocessing.connection import Connection
from pathlib import Path

_GIVES_WAY = 10
"""So much nicer than what a person waits for: half of all there is."""


def work(line: Connection, root: Path, gives_way: bool) -> None:
    """Answers whatever comes down the line, about files in this folder alone; gives way to others where asked to."""
    if gives_way and hasattr(os, "nice"):
        os.nice(_GIVES_WAY)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends its workers
    from platelayer.desk.answers import answer_to
    from platelayer.desk.reading import told_faults
    from platelayer.errors import PlatelayerError

    answer_to("prove" if gives_way else "look")
    while True:
        try:
            what, given = line.recv()
        except (EOFError, OSError):
            return
        try:
            answer = answer_to(what)(root, lambda said: line.send(("told", said)), **given)
        except PlatelayerError as error:
            answer = {"refused": told_faults(error)}
        except Exception:  # a fault of ours must not end the worker
            traceback.print_exc(file=sys.stderr)
            answer = {"broken": "Something went wrong, by a fault of ours. What it was stands where platelayer runs."}
        line.send(("answer", answer))
