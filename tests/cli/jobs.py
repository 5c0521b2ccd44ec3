"""Small jobs for the tests of the whole road, and ways to run it."""

import base64
import json
import re
import shutil
import zlib
from functools import cache
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

from click.testing import CliRunner, Result

from platelayer.cli import main

ROOT = Path(__file__).resolve().parents[2]

SMALL = """
[job]
title = "Small job for tests"
units = "in"
machine = "mid-screw"
material = "hard-maple"

[bits]
joints = "{bit}"
{bits}
[joint]
{joint}

[[board]]
thickness = "1/2 in"
width = 26
height = 5

[[piece]]
name = "long"
length = "5 15/16"
count = {count}

[[piece]]
name = "curve"
kind = "curve"
radius = 8
angle = 45
hand = "left"
"""


def small_job(*, bit: str = "flat-3.175-long", bits: str = "", joint: str = "", count: int = 1) -> str:
    """A job of so many straights and a curve."""
    return SMALL.format(bit=bit, bits=bits, joint=joint, count=count)


def run(*words: object, typed: str = "") -> Result:
    done = CliRunner().invoke(main, [str(word) for word in words], input=typed)
    assert not has_marks(done.output)
    return done


def has_marks(text: str) -> bool:
    """A length is left in the text that nobody has put into words."""
    return "\ue000" in text or "\\ue000" in text


def make(folder: Path, text: str, *more: object) -> Result:
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return run("make", job, "--out", folder / "out", *more)


KEPT = TemporaryDirectory(prefix="made-")
"""Where jobs lie that several tests begin with; gone when the tests end."""


@cache
def _made_once(text: str, *more: str) -> tuple[Result, Path]:
    folder = Path(KEPT.name) / sha256(repr((text, more)).encode()).hexdigest() / "kept"
    folder.mkdir(parents=True)
    done = make(folder, text, *more)
    assert done.exit_code == 0, done.output
    return done, folder


def made(folder: Path, text: str, *more: str) -> Result:
    """A good job as ``make`` leaves it in this folder, and what it said: made once, and copied for every other test.

    Jobs are named by their folder, and this one is called kept.
    """
    done, kept = _made_once(text, *more)
    shutil.copytree(kept, folder, dirs_exist_ok=True)
    return done


def spoil(folder: Path, name: str, text: str) -> None:
    """The file's text changed, and its hash in the manifest with it, so that only the text can give it away."""
    (folder / name).write_text(text, encoding="ascii")
    path = folder / "manifest.json"
    data = json.loads(path.read_text(encoding="ascii"))
    for file in data["files"]:
        if file["name"] == name:
            file["sha256"] = sha256(text.encode("ascii")).hexdigest()
    path.write_text(json.dumps(data), encoding="ascii")


def page_head(page: Path) -> dict:
    """What the page is told, without its columns."""
    packed = re.search(r'<script type="text/plain" id="block">([^<]*)</script>', page.read_text(encoding="utf-8"))[1]
    data = zlib.decompress(base64.b64decode(packed))
    return json.loads(data[4 : 4 + int.from_bytes(data[:4], "little")])
