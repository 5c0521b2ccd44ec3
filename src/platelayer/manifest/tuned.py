"""The fit as tuned, from the manifest: what the dry run adds to a play, and the words a person reads.

Glossary:
    play change: pull-out play that this machine leaves more, or less, than one without slack, by its fit card.
"""

from dataclasses import fields

from platelayer.manifest.fields import Fields
from platelayer.manifest.schema import Manifest
from platelayer.values.pieces import EndKind, JointSizes
from platelayer.values.tuning import Tuning


def tuning_of(data: Fields) -> Tuning:
    """The tuning in an object of the manifest; what is wrong is noted with its key."""
    changes = data.inside("play_change")
    return Tuning(
        design=_sizes(data.inside("design")),
        drawn=_sizes(data.inside("drawn")),
        peg_change_mm=changes.number("peg"),
        socket_change_mm=changes.number("socket"),
        own_change_mm=changes.number("own"),
        words=data.texts("words"),
    )


def _sizes(data: Fields) -> JointSizes:
    return JointSizes(**{field.name: data.number(field.name) for field in fields(JointSizes)})


def play_change_mm(manifest: Manifest, kind: EndKind, *, is_nominal: bool) -> float:
    """How much more pull-out play this machine leaves an end with its partner; 0 where no card was cut."""
    tuning = manifest.tuning
    if tuning is None:
        return 0.0
    if not is_nominal:
        return tuning.own_change_mm
    return tuning.peg_change_mm if kind is EndKind.PEG else tuning.socket_change_mm


def tuned_words(manifest: Manifest) -> tuple[str, ...]:
    """Where the sizes of bits and joints come from, as sentences; none where nothing was tuned."""
    return () if manifest.tuning is None else manifest.tuning.words
