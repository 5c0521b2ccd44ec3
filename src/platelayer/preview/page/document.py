"""The page: one HTML file that opens from disk, offline, and plays the files on the board in three dimensions.

Glossary:
    page: markup, style, program and block in one file. block: see page_data. scene: one face of one board.

Everything the page draws comes from the files as read; the manifest adds outlines, tabs, no-go areas and names. The
program under ``assets`` is ours and uses nothing but what browsers bring (WebGL2); the page asks no server for
anything, and says so to the browser (content security policy). Where WebGL2 is missing it shows the plans instead.
"""

import re
from collections.abc import Mapping
from html import escape
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from platelayer.manifest.schema import Manifest
from platelayer.preview.page.data import page_block
from platelayer.preview.report.holding_words import holding_lines
from platelayer.preview.report.naming import numbered
from platelayer.units import worded
from platelayer.values.findings import Report
from platelayer.values.motion import Motion, MotionTime
from platelayer.values.pieces import BoardFace

_PROGRAM: Final = (
    "units.js",
    "block.js",
    "half.js",
    "shapes.js",
    "field.js",
    "camera.js",
    "shaders.js",
    "renderer.js",
    "meshes.js",
    "lines.js",
    "strip.js",
    "codelist.js",
    "overlay.js",
    "measure.js",
    "play.js",
    "panels.js",
    "main.js",
    "hands.js",
)
"""The page's scripts in the order in which they become one."""
_ROOM: Final = "platelayer.preview.page"
_WORDS: Final = {True: "Dry run passed", False: "Dry run found errors", None: "Not checked"}


def page_html(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    texts: Mapping[str, str],
    *,
    report: Report | None = None,
    times: Mapping[str, MotionTime] | None = None,
    plans: Mapping[tuple[str, BoardFace], str] = MappingProxyType({}),
    verdict: str = "",
) -> str:
    """The whole page as text.

    Args:
        manifest: boards, files and pieces; one without pieces will do for a file from other hands.
        motions: the files as read, by name.
        texts: the files' own texts, by name.
        report: what the dry run said; its findings are listed and marked.
        times: times of the moves by file; a file without them is played at its feeds.
        plans: pictures of the boards by board and face, in order; for paper and where the board cannot be drawn.
        verdict: a few words for the head of the page, where it is not the dry run's.
    """
    verdict = verdict or _WORDS[report.passed if report else None]
    parts = {
        "@title@": escape(f"{manifest.heading}: the dry run"),
        "@job@": escape(manifest.heading),
        "@verdict@": escape(verdict),
        "@verdict-class@": {True: "good", False: "bad", None: "unknown"}[report.passed if report else None],
        "@problems@": _print_holding(manifest) + _print_problems(report, manifest),
        "@style@": _asset("page.css"),
        "@plans@": _figures(plans),
        "@block@": page_block(manifest, motions, texts, report=report, times=times or {}),
        "@program@": program(),
    }
    return re.sub("@[a-z-]+@", lambda mark: parts[mark[0]], _asset("page.html"))


def program() -> str:
    """The page's scripts as the one script that they become."""
    return "\n".join(_asset(name) for name in _PROGRAM)


def _asset(name: str) -> str:
    return files(_ROOM).joinpath("assets", name).read_text(encoding="utf-8")


def _figures(plans: Mapping[tuple[str, BoardFace], str]) -> str:
    names = {key: escape(f"Plan of board {key[0]}, {key[1].value} face") for key in plans}
    return "\n".join(f'<figure class="plan" aria-label="{names[key]}">{svg}</figure>' for key, svg in plans.items())


def _print_holding(manifest: Manifest) -> str:
    """How the boards are held, as a plain list."""
    lines = (worded(line.strip(), manifest.units) for line in holding_lines(manifest))
    rows = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<ul>{rows}</ul>" if rows else ""


def _print_problems(report: Report | None, manifest: Manifest) -> str:
    """Problems as a plain list for paper and for browsers that cannot draw the board."""
    if report is None or not report.told:
        return "<p>No problems found.</p>"
    rows = []
    for finding in report.told:
        place = ":".join(part for part in (finding.where.file, str(finding.where.line or "")) if part)
        said = " ".join(part for part in (place, finding.where.piece, finding.text, finding.advice) if part)
        words = worded(numbered(said, manifest), manifest.units)
        rows.append(f"<li><b>{finding.severity.value}</b> {escape(words)}</li>")
    return f"<ol>{''.join(rows)}</ol>"
