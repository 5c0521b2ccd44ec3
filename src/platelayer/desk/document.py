"""The page as one document, and what the browser is told of it: its own script and style run, and nothing else."""

import base64
import hashlib
from importlib.resources import files
from typing import Final

_PROGRAM: Final = (
    "wire.js",
    "paper.js",
    "fields.js",
    "setting.js",
    "wood.js",
    "making.js",
    "fitting.js",
    "floor.js",
    "desk.js",
)
"""The page's scripts in the order in which they become one."""


def program() -> str:
    """The page's scripts as the one script that they become."""
    return '"use strict";\n' + "\n".join(_asset(name) for name in _PROGRAM)


def document() -> tuple[str, str]:
    """The page, and its content security policy."""
    script, style = program(), _asset("desk.css")
    page = _asset("desk.html").replace("@style@", style, 1).replace("@program@", script, 1)
    policy = (
        f"default-src 'none'; script-src {_hash(script)}; style-src {_hash(style)}; connect-src 'self'; "
        "img-src 'self' data:; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return page, policy


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode('ascii')}'"


def _asset(name: str) -> str:
    return files("platelayer.desk").joinpath("assets", name).read_text(encoding="utf-8")
