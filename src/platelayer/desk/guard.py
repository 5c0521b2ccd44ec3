"""What comes before any answer: whose request it is, how large it may be, and what the browser is told about ours.

A page of any other site can make a browser send requests to this machine, under our address by a name that leads here,
or without reading the answer. So every request must carry our own host, every one but the page itself our own origin,
and every one that reads or writes a token that only our page has.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

from platelayer.desk.keyring import Keyring

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

TOKEN: Final = "x-desk-token"
"""Header that carries the token."""
MOST_BYTES: Final = 2_000_000
"""Of a request's body: no job file comes near it."""
OPEN_TO_ALL: Final = frozenset({("GET", "/"), ("POST", "/enter")})
"""What is answered without a token: the page, which holds nothing, and the change of a code for a token."""
SEEN: Final = "/seen/"
"""What a frame asks for; a ticket stands after it."""

_ALWAYS: Final = (
    (b"cache-control", b"no-store"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
)
_NOTHING: Final = b"default-src 'none'; frame-ancestors 'none'"


class Guard:
    """The app behind its guard."""

    def __init__(self, app: App, *, port: int, keyring: Keyring) -> None:
        self._app = app
        self._keyring = keyring
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers, or refuses without asking the app."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = _headers(scope)
        status = self._refusal(scope, headers)
        if status is None and (body := await _body(headers, receive)) is None:
            status = 413
        if status is not None:
            await _refuse(status, send)
            return
        await self._app(scope, _replayed(body or b"", receive), _with_headers(send))

    def _refusal(self, scope: Scope, headers: dict[str, list[str]]) -> int | None:
        """The status with which a request is refused; None for one that may be answered."""
        host, origin = headers.get("host", []), headers.get("origin", [])
        if len(host) != 1 or host[0].lower() not in self._hosts:
            return 421
        if origin and origin != [f"http://{host[0].lower()}"]:
            return 403
        if scope["method"] not in ("GET", "POST") or (scope["method"] == "POST" and not origin):
            return 403
        if any(said not in ("same-origin", "none") for said in headers.get("sec-fetch-site", [])):
            return 403
        is_open = (scope["method"], scope["path"]) in OPEN_TO_ALL
        if is_open or (scope["method"] == "GET" and scope["path"].startswith(SEEN)):
            return None
        tokens = headers.get(TOKEN, [])
        return None if len(tokens) == 1 and self._keyring.knows(tokens[0]) else 401


def _headers(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


async def _body(headers: dict[str, list[str]], receive: Receive) -> bytes | None:
    """The whole body; None where it is larger than it may be, or than it says."""
    said = headers.get("content-length", ["0"])
    if len(said) != 1 or not said[0].isdigit() or int(said[0]) > MOST_BYTES:
        return None
    body = b""
    while True:
        message = await receive()
        body += bytes(message.get("body", b""))
        if len(body) > MOST_BYTES:
            return None
        if message["type"] != "http.request" or not message.get("more_body", False):
            return body


def _replayed(body: bytes, receive: Receive) -> Receive:
    """The body once, whole; after it what comes from the browser, which is its going away."""
    left = [body]

    async def again() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return again


def _with_headers(send: Send) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = list(message.get("headers", []))
            if not any(name.lower() == b"content-security-policy" for name, _ in given):
                given.append((b"content-security-policy", _NOTHING))
            message["headers"] = [*given, *_ALWAYS]
        await send(message)

    return with_headers


async def _refuse(status: int, send: Send) -> None:
    send = _with_headers(send)
    await send({"type": "http.response.start", "status": status, "headers": [(b"connection", b"close")]})
    await send({"type": "http.response.body", "body": b""})
