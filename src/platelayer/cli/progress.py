"""What is going on, shown on stderr while it lasts; nothing under a second, nothing off a terminal."""

import sys
from threading import Timer
from types import TracebackType
from typing import TYPE_CHECKING, Final, Self

if TYPE_CHECKING:
    from rich.status import Status

QUIET_S: Final = 1.0
"""Nothing is shown before this long."""


class Progress:
    """A line with a moving mark, in place from a second after the block is entered until it is left.

    Called with words, it shows those from then on.
    """

    def __init__(self, text: str = "") -> None:
        """Begins with these words."""
        self._text = text
        self._status: Status | None = None
        self._timer = Timer(QUIET_S, self._show)
        self._timer.daemon = True

    def __call__(self, text: str) -> None:
        """Shows these words from now on."""
        self._text = text
        if self._status:
            self._status.update(text)

    def __enter__(self) -> Self:
        """Waits its second where there is a terminal to show anything on."""
        if sys.stderr.isatty():
            self._timer.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Takes the line away."""
        self._timer.cancel()
        if self._timer.ident:
            self._timer.join()
        if self._status:
            self._status.stop()

    def _show(self) -> None:
        from rich.console import Console  # only work that lasts a second waits for it

        self._status = Console(stderr=True).status(self._text)
        self._status.start()
        self._status.update(self._text)
