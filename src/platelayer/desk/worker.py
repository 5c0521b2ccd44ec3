"""What a worker process does: imports the stages, then answers question after question until the server is gone."""

import signal
import sys
import traceback
from multiprocessing.connection import Connection
from pathlib import Path


def work(line: Connection, root: Path) -> None:
    """Answers whatever comes down the line, about files in this folder alone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends its workers
    from platelayer.desk.answers import ANSWERS, told_faults
    from platelayer.errors import PlatelayerError

    while True:
        try:
            what, given = line.recv()
        except (EOFError, OSError):
            return
        try:
            answer = ANSWERS[what](root, lambda said: line.send(("told", said)), **given)
        except PlatelayerError as error:
            answer = {"refused": told_faults(error)}
        except Exception:  # a fault of ours must not end the worker
            traceback.print_exc(file=sys.stderr)
            answer = {"broken": "Something went wrong that is our fault. What it was stands in the window where platelayer runs."}
        line.send(("answer", answer))
