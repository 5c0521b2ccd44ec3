"""Who may ask: one-time codes, the tokens they are changed for, and tickets for what a frame shows."""

import secrets
from typing import Final

_BYTES: Final = 24


class Keyring:
    """All that opens anything; it lives as long as the server and is written nowhere."""

    def __init__(self) -> None:
        self._codes: set[str] = set()
        self._tokens: set[str] = set()
        self._tickets: dict[str, str] = {}

    def new_code(self) -> str:
        """A code that is good for one page, once."""
        code = secrets.token_urlsafe(_BYTES)
        self._codes.add(code)
        return code

    def enter(self, code: str) -> str | None:
        """A token for a code, which is spent by it; None for one that was never given out, or is spent."""
        if code not in self._codes:
            return None
        self._codes.remove(code)
        token = secrets.token_urlsafe(_BYTES)
        self._tokens.add(token)
        return token

    def knows(self, token: str) -> bool:
        """The token was given out by this server."""
        return token in self._tokens

    def new_ticket(self, name: str) -> str:
        """A ticket for one look at one file of the folder."""
        ticket = secrets.token_urlsafe(_BYTES)
        self._tickets[ticket] = name
        return ticket

    def spend(self, ticket: str) -> str | None:
        """The file that a ticket is for; None for one that was never given out, or is spent."""
        return self._tickets.pop(ticket, None)
