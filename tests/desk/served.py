"""A served folder for tests: the command itself, in a process of its own, and a hand that asks it like a browser."""

import json
import os
import queue
import socket
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
HALLWAY = (ROOT / "examples" / "hallway" / "job.toml").read_text("utf-8")
PATIENCE_S = 120.0


class Served:
    """The command as it runs, its address, and one page's token."""

    def __init__(self, process: subprocess.Popen[str], folder: Path) -> None:
        self.process = process
        self.folder = folder
        self.first = process.stdout.readline().strip()
        self.base, self.code = self.first.split("/#")
        self.port = int(self.base.rsplit(":", 1)[1])
        self.token = ""

    def new_address(self) -> str:
        self.process.stdin.write("\n")
        self.process.stdin.flush()
        return self.process.stdout.readline().strip()

    def enter(self) -> None:
        self.token = self.post("/enter", {"code": self.new_address().split("#")[1]})[1]["token"]

    def open(self, path: str, body: bytes | None, headers: dict[str, str]) -> Any:
        asked = urllib.request.Request(self.base + path, data=body, headers=headers)
        return urllib.request.urlopen(asked, timeout=PATIENCE_S)

    def headers(self, **more: str) -> dict[str, str]:
        own = {"Origin": self.base, "Content-Type": "application/json", "X-Desk-Token": self.token}
        return {name: value for name, value in (own | more).items() if value}

    def post(self, path: str, said: object, **headers: str) -> tuple[int, Any]:
        try:
            with self.open(path, json.dumps(said).encode(), self.headers(**headers)) as answer:
                return answer.status, json.loads(answer.read() or b"null")
        except urllib.error.HTTPError as error:
            read = error.read()
            return error.code, json.loads(read) if read.startswith(b"{") else None

    def ask(self, what: str, **given: object) -> dict[str, Any]:
        status, answer = self.post("/ask", {"what": what, "given": given})
        assert status == 200
        return answer

    def save(self, path: list[object], old: object, new: object, *, file: str = "job.toml") -> tuple[int, Any]:
        return self.post("/save", {"file": file, "edits": [{"path": path, "old": old, "new": new}]})

    def raw(self, request: bytes) -> bytes:
        """Bytes sent as they are, and the first of what comes back."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=PATIENCE_S) as line:
            line.sendall(request)
            return line.recv(4096)

    @contextmanager
    def stream(self, job: str = "job.toml") -> "Iterator[queue.Queue[dict[str, Any]]]":
        told: queue.Queue[dict[str, Any]] = queue.Queue()
        answer = self.open("/stream", json.dumps({"job": job}).encode(), self.headers())

        def listen() -> None:
            try:
                for line in answer:
                    told.put(json.loads(line))
            except (OSError, ValueError, AttributeError):
                return  # closed by the test

        threading.Thread(target=listen, daemon=True).start()
        try:
            yield told
        finally:
            answer.fp.raw._sock.shutdown(socket.SHUT_RDWR)


def next_of(told: "queue.Queue[dict[str, Any]]", event: str) -> dict[str, Any]:
    """The next event of that kind, others passed over."""
    while True:
        said = told.get(timeout=PATIENCE_S)
        if said["event"] == event:
            return said


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    command = [sys.executable, "-m", "platelayer", "open", str(folder), "--no-browser"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "PYTHONUNBUFFERED": "1"}
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, text=True, env=environment) as process:
        try:
            yield Served(process, folder)
        finally:
            process.terminate()
            process.wait(PATIENCE_S)
