"""Every question that a worker answers, by the name under which the server passes it on."""

from collections.abc import Callable
from typing import Any, Final

from platelayer.desk.files_made import copy, make_job, prove_job, recut, shop
from platelayer.desk.fits import bought, card, read_card, readings, wish
from platelayer.desk.lists import begin, keys, lists
from platelayer.desk.looking import look

ANSWERS: Final[dict[str, Callable[..., dict[str, Any]]]] = {
    "look": look,
    "lists": lists,
    "begin": begin,
    "keys": keys,
    "prove": prove_job,
    "make": make_job,
    "shop": shop,
    "copy": copy,
    "recut": recut,
    "bought": bought,
    "wish": wish,
    "card": card,
    "readings": readings,
    "read_card": read_card,
}
"""Each takes the folder, whom to tell what goes on, and what was asked by name."""
