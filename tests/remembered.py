"""Stages remembered while a process runs its tests: what two tests ask alike is worked out once.

Stages are pure functions between frozen values, so what goes in says what comes out; that it does is for the tests of
sameness to show, which work all ``anew``. The last few answers are kept, found by a hash of all that went in.
"""

import functools
import pickle
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from typing import Final

from platelayer.errors import PlatelayerError
from platelayer.road import outputs, planning, proving

KEPT: Final = 150
STAGES: Final = ((planning, "lay_job"), (planning, "cut_laid"), (proving, "dry_run"), (proving, "_beside_the_dry_run"))
PNG_WIDTH_PX: Final = 300
"""Pictures for paper take a second each at the width they are printed at, and no test looks at their dots."""

_is_anew = False


def remembered(stage: Callable) -> Callable:
    """The same stage, whose last answers are given again."""
    known = OrderedDict()

    @functools.wraps(stage)
    def answered(*args, **named):
        if _is_anew:
            return stage(*args, **named)
        key = sha256(pickle.dumps((args, named))).digest()
        if key not in known:
            known[key] = _done(stage, args, named)
        known.move_to_end(key)
        while len(known) > KEPT:
            known.popitem(last=False)
        refusal, answer = known[key]
        if refusal is not None:
            raise refusal.with_traceback(None)
        return answer

    return answered


def _done(stage: Callable, args: tuple, named: dict) -> tuple[PlatelayerError | None, object]:
    """What a stage refuses with, or answers."""
    try:
        return None, stage(*args, **named)
    except PlatelayerError as refusal:
        return refusal, None


@contextmanager
def anew() -> Iterator[None]:
    """Every stage works out what it is asked, and nothing of it is kept."""
    global _is_anew
    _is_anew = True
    try:
        yield
    finally:
        _is_anew = False


def remember() -> None:
    """From now on plans and proofs are remembered, and pictures for paper drawn small."""
    for module, name in STAGES:
        setattr(module, name, remembered(getattr(module, name)))
    outputs.PNG_WIDTH_PX = PNG_WIDTH_PX
