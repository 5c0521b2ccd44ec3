"""The manifest as its text; lengths mm, angles in degrees, numbers unrounded. Nothing here touches the disk.

The reading side shares the schema and nothing else with this one.
"""

import json
import math
from enum import StrEnum
from typing import Any

from platelayer.manifest.schema import VERSION, Manifest, entries_of
from platelayer.values.cuts import Tab
from platelayer.values.shapes import Arc, Contour, Line, Pose

Data = dict[str, Any]


def manifest_bytes(manifest: Manifest) -> bytes:
    """The manifest as JSON: keys in the order of DEVELOPERS.md, numbers unrounded, one final newline."""
    return (json.dumps(manifest_data(manifest), indent=1, ensure_ascii=True) + "\n").encode("ascii")


def manifest_data(manifest: Manifest) -> Data:
    """The manifest as dicts, lists, numbers and strings, in the documented order of keys."""
    return {"manifest": VERSION, "units": "mm", **_object(manifest)}


def _object(value: object) -> Data:
    cls: type = type(value)
    data: Data = {}
    for entry in entries_of(cls):
        found = getattr(value, entry.field)
        if entry.is_left_out and found == entry.default:
            continue
        *objects, key = entry.path
        at = data
        for name in objects:
            at = at.setdefault(name, {})
        at[key] = math.degrees(found) if entry.is_angle else _plain(found)
    return data


def _plain(value: object) -> object:
    match value:
        case StrEnum():
            return value.value
        case None | bool() | int() | float() | str():
            return value
        case tuple():
            return [_plain(item) for item in value]
        case Pose():
            return [value.x, value.y, math.degrees(value.heading_rad)]
        case Tab():
            return [*value.at, value.width_mm, value.height_mm]
        case Contour():
            return [_plain(segment) for segment in value.segments]
        case Line():
            return {"line": [*value.start, *value.end]}
        case Arc():
            return {"arc": [*value.start, *value.end, *value.centre, "ccw" if value.is_ccw else "cw"]}
        case _:
            return _object(value)
