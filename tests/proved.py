"""Jobs proved in memory: what ``make`` would write as bytes by name, ways to spoil it, and what is refused of it."""

import json
from collections.abc import Callable, Mapping
from functools import cache
from hashlib import sha256

from platelayer.job import load_job, load_profiles
from platelayer.road.making import contents_of
from platelayer.road.planning import plan_job
from platelayer.road.proving import prove
from platelayer.values.findings import Finding, Severity

MANIFEST = "manifest.json"
Contents = Mapping[str, bytes]


@cache
def written(text: str) -> Contents:
    """G-code, placement and manifest of a job; worked out once for all tests that begin with it."""
    job = load_job(text, file="job.toml", profiles=load_profiles(()))
    plan, noticed = plan_job(job)
    return contents_of(plan, job, (*job.warnings, *noticed))


def text_of(contents: Contents, name: str) -> str:
    return contents[name].decode("ascii")


def data_of(contents: Contents) -> dict:
    """The manifest as plain data."""
    return json.loads(contents[MANIFEST])


def with_manifest(contents: Contents, change: Callable[[dict], None]) -> Contents:
    """The same files with a manifest that says something else."""
    data = data_of(contents)
    change(data)
    return {**contents, MANIFEST: json.dumps(data).encode("ascii")}


def spoilt(contents: Contents, name: str, text: str) -> Contents:
    """A file's text changed, and its hash in the manifest with it, so that only the text can give it away."""
    assert text != text_of(contents, name)

    def change(data: dict) -> None:
        (entry,) = (file for file in data["files"] if file["name"] == name)
        entry["sha256"] = sha256(text.encode("ascii")).hexdigest()

    return with_manifest({**contents, name: text.encode("ascii")}, change)


def refusals(contents: Contents) -> list[Finding]:
    report = prove(contents).report
    found = [one for one in report.findings if one.severity is Severity.ERROR]
    assert report.passed == (not found)
    return found


def errors(contents: Contents) -> dict[str, str]:
    """Codes of what is refused, and a text of each."""
    return {one.code.value: one.text for one in refusals(contents)}
