"""A job with grooves on both faces, made once, and ways to spoil its files: for the tests of turned boards."""

import re
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from cli.jobs import small_job
from platelayer.manifest.schema import Manifest, TurnLine
from platelayer.proof.dry_run import dry_run
from platelayer.values.findings import Finding, Report, Severity

BOTH = (
    small_job()
    .replace('name = "long"', 'name = "long"\ngrooves = "both"')
    .replace('kind = "curve"', 'kind = "curve"\ngrooves = "both"')
)
BOTTOM = "A-1-bottom-flat-3.175-long.nc"
TOP = "A-2-flat-3.175-long.nc"


@dataclass(frozen=True, kw_only=True)
class Made:
    """Manifest and texts as they were written."""

    manifest: Manifest
    texts: dict[str, str]

    def with_text(self, name: str, text: str) -> "Made":
        """The same with another text in one file, and its hash made to agree."""
        assert text != self.texts[name], "nothing was changed"
        files = tuple(
            replace(file, sha256=sha256(text.encode()).hexdigest()) if file.name == name else file
            for file in self.manifest.files
        )
        return replace(self, manifest=replace(self.manifest, files=files), texts=self.texts | {name: text})

    def with_board(self, **changes: object) -> "Made":
        """The same with another board in the manifest."""
        (board,) = self.manifest.boards
        return replace(self, manifest=replace(self.manifest, boards=(replace(board, **changes),)))

    def with_turning(self, **changes: object) -> "Made":
        """The same with its board turned otherwise in the manifest."""
        return self.with_board(turning=replace(self.manifest.boards[0].turning, **changes))

    def with_turn_at(self, y: float) -> "Made":
        """The same with the lower face mirrored in another line, in the manifest."""
        files = tuple(replace(file, turn=TurnLine(at_mm=y)) if file.turn else file for file in self.manifest.files)
        return replace(self, manifest=replace(self.manifest, files=files))

    @cached_property
    def _report(self) -> Report:
        return dry_run(self.manifest, self.texts)

    def report(self) -> Report:
        """The dry run's."""
        return self._report

    def errors(self) -> list[Finding]:
        """What the dry run refuses."""
        return [one for one in self.report().findings if one.severity is Severity.ERROR]


def read_made(folder: Path) -> Made:
    """What stands in a folder that make wrote."""
    from platelayer.manifest.read import parse_manifest

    manifest = parse_manifest((folder / "manifest.json").read_text(encoding="ascii"))
    texts = {file.name: (folder / file.name).read_text(encoding="ascii") for file in manifest.files}
    return Made(manifest=manifest, texts=texts)


def shifted(text: str, dx: float, dy: float, *, only: str = "") -> str:
    """Every X and Y of a program moved, on lines after a comment that has these words in it; arcs keep their shape."""
    lines, on = [], not only
    for line in text.splitlines():
        if line.startswith("("):
            on = not only or only in line
        elif on and line.startswith("G") and re.match(r"G[0-3]\b", line):
            line = re.sub(r"X(-?[\d.]+)", lambda m: f"X{float(m[1]) + dx:.4f}", line)
            line = re.sub(r"Y(-?[\d.]+)", lambda m: f"Y{float(m[1]) + dy:.4f}", line)
        lines.append(line)
    return "\n".join(lines) + "\n"


def without(text: str, title: str) -> str:
    """The program without what stands under a comment, up to the next comment."""
    lines, on = [], True
    for line in text.splitlines():
        if line.startswith("("):
            on = line != f"({title})"
        if on:
            lines.append(line)
    return "\n".join(lines) + "\n"
