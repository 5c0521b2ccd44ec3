"""The workers from the server's side: asked one question at a time, and ended in the middle of one if need be."""

import asyncio
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

Work = Callable[[Connection, Path, bool], None]
Tell = Callable[[Any], None]


class Worker:
    """One process that answers; another takes its place when it was ended or died."""

    def __init__(self, work: Work, root: Path, *, gives_way: bool = False) -> None:
        self._work = work
        self._root = root
        self._gives_way = gives_way
        self._turn = asyncio.Lock()
        self._process: SpawnProcess | None = None
        self._line: Connection | None = None

    def start(self) -> None:
        """A process that imports what it needs, while nobody waits for it yet."""
        context = multiprocessing.get_context("spawn")
        self._line, theirs = context.Pipe()
        self._process = context.Process(target=self._work, args=(theirs, self._root, self._gives_way), daemon=True)
        self._process.start()
        theirs.close()

    async def ask(self, what: str, given: dict[str, Any], *, tell: Tell = lambda _: None) -> dict[str, Any]:
        """The answer to a question; ``tell`` hears what goes on meanwhile. Cancelled, the process is ended.

        A process that dies answers ``{"died": True}``.
        """
        async with self._turn:
            if self._process is None or not self._process.is_alive():
                await asyncio.to_thread(self.start)
            line = self._line
            assert line is not None
            try:
                await asyncio.to_thread(line.send, (what, given))
                while True:
                    kind, said = await asyncio.to_thread(line.recv)
                    if kind == "answer":
                        return dict(said)
                    tell(said)
            except (EOFError, OSError):
                self.stop()
                return {"died": True}
            except asyncio.CancelledError:
                self.stop()
                raise

    def stop(self) -> None:
        """Ends the process at once; what it was to answer is lost."""
        if self._process is not None:
            self._process.kill()
            self._process = None
