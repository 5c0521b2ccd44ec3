"""The one folder that the page works in: what lies in it, and no way out of it."""

import tomllib
from pathlib import Path, PurePosixPath
from typing import Any, Final

from platelayer.editing.saving import BEFORE
from platelayer.errors import Fault, JobError

KINDS: Final = {
    "floor": ("floor", "stretch"),
    "job": ("piece", "board", "job"),
    "machine": ("axis", "spindle", "dialect"),
    "shop": ("record",),
    "readings": ("card", "peg"),
    "bits": ("bit",),
    "woods": ("wood",),
    "bought": ("neck", "head", "mouth", "hole"),
}
"""What a TOML file is, by the keys that only such a file has; the first that fits."""
_MOST_FILES: Final = 500


def inside(root: Path, name: str) -> Path:
    """The place of a name within a folder, links followed; the file need not be there.

    Raises:
        JobError: a name that leads outside, by ``..``, as a whole path, or by a link.
    """
    path = PurePosixPath(name)
    parts = path.parts
    if not parts or path.is_absolute() or ".." in parts or "\\" in name or ":" in name or not name.isprintable():
        raise _outside(name)
    place = root.joinpath(*parts)
    for one in (place, place.parent / BEFORE / place.name):
        if not one.resolve().is_relative_to(root.resolve()):
            raise _outside(name)
    return place


def _outside(name: str) -> JobError:
    problem, fix = "leads out of the folder that this page works in", "Name a file or a folder within it."
    return JobError(Fault(where=name, problem=problem, fix=fix))


def toml_files(root: Path) -> list[dict[str, str]]:
    """Every TOML file in the folder and one below, by name, with its kind; those that cannot be read have none."""
    found = sorted([*root.glob("*.toml"), *root.glob("[!.]*/*.toml")])[:_MOST_FILES]
    listed = []
    for path in found:
        name = path.relative_to(root).as_posix()
        try:
            inside(root, name)
            listed.append({"name": name, "kind": _kind(path)})
        except (JobError, OSError):
            continue
    return listed


def _kind(path: Path) -> str:
    try:
        data: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError):
        return "unreadable"
    return next((kind for kind, keys in KINDS.items() if any(key in data for key in keys)), "other")


def stamp(root: Path) -> tuple[tuple[str, int, int], ...]:
    """What changes when any TOML file of the folder does."""
    found = []
    for path in (*root.glob("*.toml"), *root.glob("[!.]*/*.toml")):
        try:
            state = path.stat()
        except OSError:
            continue
        found.append((str(path), state.st_mtime_ns, state.st_size))
    return tuple(sorted(found))
