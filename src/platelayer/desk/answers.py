"""Every question that a worker answers, each by the function of its name; a module is imported when first asked for."""

from collections.abc import Callable
from typing import Any, Final

from platelayer.errors import Fault, JobError

Answer = Callable[..., dict[str, Any]]
"""Takes the folder, whom to tell what goes on, and what was asked by name."""
LOOKING: Final = ("read", "look")
LISTS: Final = ("lists", "begin", "keys")
FITS: Final = ("bought", "wish", "readings", "card", "read_card")
FLOORS: Final = ("floor", "close")
FILES_MADE: Final = ("prove", "make", "shop", "copy", "recut", "timing")


def answer_to(what: str) -> Answer:
    """The function that answers such a question.

    Raises:
        JobError: nobody asks that.
    """
    home: Any
    if what in LOOKING:
        from platelayer.desk import looking as home
    elif what in LISTS:
        from platelayer.desk import lists as home
    elif what in FITS:
        from platelayer.desk import fits as home
    elif what in FLOORS:
        from platelayer.desk import floors as home
    elif what in FILES_MADE:
        from platelayer.desk import files_made as home
    else:
        raise JobError(Fault(where=what, problem="not a question that is answered here"))
    found: Answer = getattr(home, what)
    return found
