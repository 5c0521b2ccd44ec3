"""What the page saves: into files of the folder alone, and nothing that leads out of it."""

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from platelayer.desk.folder import inside
from platelayer.editing.edits import Edit
from platelayer.editing.saving import create, put_back, save
from platelayer.errors import Fault, JobError

LEADS: Final = {"job": ("profiles", "shop", "bits", "woods"), "floor": ("job",)}
"""Keys that name a file or folder beside their own file, by their table."""


def toml_place(root: Path, name: object) -> Path:
    """The place of a TOML file of the folder.

    Raises:
        JobError: another kind of file, or a name that leads outside.
    """
    if not isinstance(name, str) or not name.endswith(".toml"):
        raise JobError(Fault(where=str(name), problem="not a TOML file, which is all that this page changes"))
    return inside(root, name)


def check_leads(root: Path, file: Path, data: Mapping[str, object]) -> None:
    """Nothing, where all that a file's data name lies within the folder.

    Raises:
        JobError: a key that leads outside.
    """
    for table, key in ((table, key) for table, keys in LEADS.items() for key in keys):
        said = data.get(table)
        named = said.get(key) if isinstance(said, Mapping) else None
        if isinstance(named, str) and named:
            beside = file.parent.relative_to(root)
            try:
                place = inside(root, (beside / named).as_posix())
                for one in place.glob("*.toml") if place.is_dir() else ():
                    inside(root, one.relative_to(root).as_posix())
            except JobError as error:
                problem, fix = error.faults[0].problem, error.faults[0].fix
                raise JobError(Fault(where=f"[{table}] {key}", found=named, problem=problem, fix=fix)) from error


def save_file(root: Path, said: Mapping[str, Any]) -> dict[str, Any]:
    """Edits saved; the file's text as it stands now.

    Raises:
        Conflict: a value is not what the person saw.
        JobError: not a file of the folder, a key that would lead outside, or a place that is not there.
    """
    file = toml_place(root, said.get("file"))
    edits = [_edit(one) for one in _list(said.get("edits"))]
    for edit in edits:
        data = _data(str(edit.new)) if not edit.path else {}
        if edit.path:
            data = {str(edit.path[0]): edit.new if len(edit.path) == 1 else {str(edit.path[1]): edit.new}}
        check_leads(root, file, data)
    return {"text": save(file, edits)}


def put_back_file(root: Path, said: Mapping[str, Any]) -> dict[str, Any]:
    """The file as it stood before the last save.

    Raises:
        Conflict: it is not what the person saw.
        JobError: not a file of the folder, or nothing was saved before.
    """
    return {"text": put_back(toml_place(root, said.get("file")), seen=str(said.get("seen", "")))}


def create_file(root: Path, said: Mapping[str, Any]) -> dict[str, Any]:
    """A new file with this text.

    Raises:
        JobError: not a name of this folder, a key that leads outside, or a file stands there already.
    """
    file, text = toml_place(root, said.get("file")), str(said.get("text", ""))
    check_leads(root, file, _data(text))
    create(file, text)
    return {"text": text}


def _data(text: str) -> dict[str, object]:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return {}  # it can be saved, and is refused wherever it is read


def _list(value: object) -> Sequence[Any]:
    return value if isinstance(value, list) else ()


def _edit(said: object) -> Edit:
    """An edit as the page sends it.

    Raises:
        JobError: it is none.
    """
    if isinstance(said, Mapping) and isinstance(said.get("path"), list):
        path = tuple(said["path"])
        beside = said.get("beside", {})
        if all(type(part) in (str, int) for part in path) and isinstance(beside, Mapping):
            return Edit(path=path, old=said.get("old"), new=said.get("new"), beside=beside)
    raise JobError(Fault(where="", problem="not an edit that this page makes"))
