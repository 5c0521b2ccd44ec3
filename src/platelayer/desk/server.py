"""The server of the working page: the one door to starlette and uvicorn.

It listens on this machine's own address alone. It reads and saves the files of one folder, and hands questions about
them to two workers: a quick one for what a person waits for while typing, and a steady one for proofs and files.
"""

import asyncio
import json
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any, Final

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from platelayer.desk.document import document
from platelayer.desk.folder import stamp, toml_files
from platelayer.desk.guard import Guard
from platelayer.desk.keyring import Keyring
from platelayer.desk.saving import create_file, put_back_file, save_file
from platelayer.desk.workers import Worker
from platelayer.editing.edits import Conflict
from platelayer.errors import PlatelayerError

LOOK_EVERY_S: Final = 0.15
"""How often the folder's files are looked at for what others save."""
PATIENT_S: Final = 2.0
"""A look that has gone on for so long gives way to a newer state of the job; what is quicker is let end."""
QUIET_S: Final = 0.7
"""A job is proved when nothing of it has changed for so long: whoever types is not kept waiting by it."""
LEAVE_WITHIN_S: Final = 0.5
"""How soon a page that is connected is let go when the server ends."""
QUICK: Final = frozenset({"lists", "begin", "bought", "readings", "wish", "floor"})
STEADY: Final = frozenset({"make", "shop", "recut", "card", "read_card", "copy", "close", "timing"})
KEYS: Final = "keys"
"""What a ticket is for that shows the reference of keys and no file."""
_FRAME_POLICY: Final = (
    "sandbox allow-scripts; default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; "
    "img-src data: blob:; frame-ancestors 'self'"
)
"""The dry run's page asks no server for anything; its scripts run apart from ours."""


class Desk:
    """One folder, who may ask about it, and who answers."""

    def __init__(self, root: Path, keyring: Keyring, quick: Worker, steady: Worker) -> None:
        self.is_leaving: Callable[[], bool] = lambda: False
        self._root = root
        self._keyring = keyring
        self._quick, self._steady = quick, steady
        self._revision = 0
        self._stamp: object = None
        self._news = asyncio.Condition()
        self._proofs: set[asyncio.Task[None]] = set()

    def app(self) -> Starlette:
        """Every address there is, with what it answers."""
        posts = {
            "/enter": self._enter,
            "/ask": self._ask,
            "/save": self._save,
            "/stream": self._stream,
            "/ticket": self._ticket,
        }
        routes = [Route(path, answer, methods=["POST"]) for path, answer in posts.items()]
        gets = [Route("/", self._page, methods=["GET"]), Route("/seen/{ticket}", self._seen, methods=["GET"])]
        return Starlette(routes=[*routes, *gets], lifespan=self._lifespan)

    @asynccontextmanager
    async def _lifespan(self, _: Starlette) -> AsyncIterator[None]:
        watching = asyncio.create_task(self._watch_folder())
        try:
            yield
        finally:
            watching.cancel()
            for worker in (self._quick, self._steady):
                worker.stop()

    async def _watch_folder(self) -> None:
        while True:
            await self._look_for_news()
            await asyncio.sleep(LOOK_EVERY_S)

    async def _look_for_news(self) -> None:
        found = await asyncio.to_thread(stamp, self._root)
        if found != self._stamp:
            async with self._news:
                self._stamp = found
                self._revision += 1
                self._news.notify_all()

    async def _page(self, _: Request) -> Response:
        page, policy = document()
        return HTMLResponse(page, headers={"content-security-policy": policy})

    async def _enter(self, request: Request) -> Response:
        said = await _said(request)
        token = self._keyring.enter(str(said.get("code", "")))
        return Response(status_code=403) if token is None else JSONResponse({"token": token})

    async def _ask(self, request: Request) -> Response:
        said = await _said(request)
        what, given = str(said.get("what", "")), said.get("given", {})
        if what == "files":
            return JSONResponse({"files": await asyncio.to_thread(toml_files, self._root), "folder": self._root.name})
        if what not in QUICK | STEADY or not isinstance(given, dict):
            return Response(status_code=404)
        if what in QUICK:
            return JSONResponse(await self._quick.ask(what, given))
        was_proving = [proof.cancel() for proof in tuple(self._proofs)]
        answer = await self._steady.ask(what, given)
        if was_proving:
            self._stamp = None  # what was broken off for this is begun again
        await self._look_for_news()
        return JSONResponse(answer)

    async def _save(self, request: Request) -> Response:
        said = await _said(request)
        ways: dict[str, Callable[..., dict[str, Any]]] = {"edit": save_file, "back": put_back_file, "new": create_file}
        way = ways.get(str(said.pop("how", "edit")))
        if way is None:
            return Response(status_code=404)
        try:
            done = await asyncio.to_thread(way, self._root, said)
        except Conflict as conflict:
            told = {"conflict": str(conflict), "found": conflict.found, "path": list(conflict.edit.path)}
            return JSONResponse(json.loads(json.dumps(told, default=str)), status_code=409)
        except PlatelayerError as error:
            return JSONResponse({"refused": [{"sentence": str(fault)} for fault in error.faults]}, status_code=422)
        await self._look_for_news()
        return JSONResponse(done | {"revision": self._revision})

    async def _ticket(self, request: Request) -> Response:
        said = await _said(request)
        return JSONResponse({"ticket": self._keyring.new_ticket(str(said.get("file", "")))})

    async def _seen(self, request: Request) -> Response:
        name = self._keyring.spend(request.path_params["ticket"])
        if name is None:
            return Response(status_code=403)
        if name == KEYS:
            found = await self._quick.ask("keys", {})
        else:
            found = await self._steady.ask("copy", {"file": name, "kind": "page"})
        if "text" not in found:
            return Response(status_code=404)
        return HTMLResponse(found["text"], headers={"content-security-policy": _FRAME_POLICY})

    async def _stream(self, request: Request) -> Response:
        said = await _said(request)
        return StreamingResponse(self._events(str(said.get("job", ""))), media_type="application/x-ndjson")

    async def _events(self, job: str) -> AsyncIterator[str]:
        queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        watching = asyncio.create_task(self._watch_job(job, queue))
        try:
            while not self.is_leaving():
                with suppress(TimeoutError):
                    yield json.dumps(await asyncio.wait_for(queue.get(), LEAVE_WITHIN_S)) + "\n"
        finally:
            watching.cancel()

    async def _watch_job(self, job: str, queue: asyncio.Queue[dict[str, Any]]) -> None:
        """Every state of the job that there is time for, looked at, then proved; the newest ends older proofs."""
        seen, proof = -1, None
        try:
            while True:
                seen_before, seen = seen, await self._newer_than(seen)
                if proof is not None:
                    proof.cancel()
                listed = await asyncio.to_thread(toml_files, self._root)
                if seen_before < 0:
                    read = await self._quick.ask("read", {"job": job})
                    queue.put_nowait({"event": "read", "revision": seen, "files": listed} | read)
                news = {"event": "looked", "revision": seen, "files": listed}
                looked = await self._newest_look(job, queue, news)
                if looked is None:
                    continue
                if looked.get("may_be_cut"):
                    proof = asyncio.create_task(self._prove(job, seen, queue))
                    self._proofs.add(proof)
                    proof.add_done_callback(self._proofs.discard)
        finally:
            if proof is not None:
                proof.cancel()

    async def _newest_look(
        self, job: str, queue: asyncio.Queue[dict[str, Any]], news: dict[str, Any]
    ) -> dict[str, Any] | None:
        """A look at the job, told; nothing where it takes long and meanwhile there is a newer state to look at."""

        def tell(said: dict[str, Any]) -> None:
            queue.put_nowait(news | said)

        look = asyncio.create_task(self._quick.ask("look", {"job": job}, tell=tell))
        newer = asyncio.create_task(self._newer_than(news["revision"]))
        try:
            await asyncio.wait({look}, timeout=PATIENT_S)
            await asyncio.wait({look, newer}, return_when=asyncio.FIRST_COMPLETED)
            if not look.done():
                return None
            tell(look.result())
            return look.result()
        finally:
            look.cancel()
            newer.cancel()

    async def _newer_than(self, seen: int) -> int:
        """The newest state of the folder, as soon as there is one that was not seen."""
        async with self._news:
            await self._news.wait_for(lambda: self._revision != seen)
            return self._revision

    async def _prove(self, job: str, revision: int, queue: asyncio.Queue[dict[str, Any]]) -> None:
        def tell(said: dict[str, Any]) -> None:
            queue.put_nowait(said | {"revision": revision})

        with suppress(asyncio.CancelledError):
            await asyncio.sleep(QUIET_S)
            answer = await self._steady.ask("prove", {"job": job}, tell=tell)
            queue.put_nowait({"event": "proved", "revision": revision} | answer)


async def _said(request: Request) -> dict[str, Any]:
    """What the page sent, or nothing where it is not what our page sends."""
    try:
        said = await request.json()
    except (ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}


def serve(root: Path, *, quick: Worker, steady: Worker, port: int, told: Callable[[Callable[[], str]], None]) -> None:
    """The page served on this machine until Ctrl-C.

    Args:
        root: the folder.
        quick: answers what a person waits for; started already, so that it is warm the sooner.
        steady: proves, and makes files.
        port: to listen on; 0 for any that is free.
        told: called once the address can be opened, with what gives a new address each time.
    """
    keyring = Keyring()
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", port))
        listening.listen()
        port = listening.getsockname()[1]
        desk = Desk(root, keyring, quick, steady)
        config = uvicorn.Config(
            Guard(desk.app(), port=port, keyring=keyring),
            log_level="warning",
            access_log=False,
            server_header=False,
            ws="none",
            http="h11",
            timeout_graceful_shutdown=5,
        )
        server = uvicorn.Server(config)
        desk.is_leaving = lambda: server.should_exit
        # from before the address is told: an interrupt raised while modules are imported may be lost in a callback
        with suppress(KeyboardInterrupt), server.capture_signals():
            told(lambda: f"http://127.0.0.1:{port}/#{keyring.new_code()}")
            server.run(sockets=[listening])
