"""A worker answers one question after another, and one that is broken off does not hold up the next."""

import asyncio
import os
import time
from multiprocessing.connection import Connection
from pathlib import Path

from platelayer.desk.workers import Worker


def slow_or_quick(line: Connection, root: Path, gives_way: bool) -> None:
    """Says how it is called, after as long as it is asked to take."""
    while True:
        what, given = line.recv()
        line.send(("told", "begun"))
        time.sleep(given["takes_s"])
        if what == "die":
            os._exit(1)  # as one that is killed
        line.send(("answer", {"what": what, "who": os.getpid(), "root": str(root), "gives_way": gives_way}))


def test_questions_are_answered_one_after_another_by_one_process(tmp_path: Path) -> None:
    async def asked() -> list[dict]:
        worker = Worker(slow_or_quick, tmp_path, gives_way=True)
        heard: list[object] = []
        answers = await asyncio.gather(
            worker.ask("first", {"takes_s": 0.1}, tell=heard.append), worker.ask("second", {"takes_s": 0.0})
        )
        worker.stop()
        assert heard == ["begun"]
        return answers

    first, second = asyncio.run(asked())
    assert (first["what"], second["what"]) == ("first", "second")
    assert first["who"] == second["who"]
    assert first["root"] == str(tmp_path)
    assert first["gives_way"]


def test_a_question_broken_off_ends_its_process_and_not_the_next_question(tmp_path: Path) -> None:
    async def asked() -> tuple[dict, dict]:
        worker = Worker(slow_or_quick, tmp_path)
        before = await worker.ask("before", {"takes_s": 0.0})
        long = asyncio.create_task(worker.ask("long", {"takes_s": 600.0}))
        await asyncio.sleep(0.2)
        long.cancel()
        after = await worker.ask("after", {"takes_s": 0.0})
        assert long.cancelled()
        worker.stop()
        return before, after

    before, after = asyncio.run(asked())
    assert after["what"] == "after"
    assert after["who"] != before["who"]


def test_a_process_that_dies_is_told_and_replaced(tmp_path: Path) -> None:
    async def asked() -> tuple[dict, dict]:
        worker = Worker(slow_or_quick, tmp_path)
        died = await worker.ask("die", {"takes_s": 0.0})
        after = await worker.ask("after", {"takes_s": 0.0})
        worker.stop()
        return died, after

    died, after = asyncio.run(asked())
    assert died == {"died": True}
    assert after["what"] == "after"
