"""The reference of keys as one web page that needs nothing else; lengths in both units, inches first."""

from collections.abc import Sequence
from html import escape

from platelayer.preview.pictures import palette
from platelayer.preview.report.keys_text import heads_words, takes_words, unsaid_words
from platelayer.units import worded
from platelayer.values.key_words import FileWords, KeyWords, TableWords


def keys_html(files: Sequence[FileWords]) -> str:
    """The whole page. A table's id is its name, a key's is ``TABLE.KEY``, so that a link may lead to either."""
    ways = "".join(
        f"<li>{escape(file.name)}: "
        + " ".join(f'<a href="#{escape(table.name)}">{escape(heads_words(table))}</a>' for table in file.tables)
        + "</li>"
        for file in files
    )
    body = "".join(map(_file, files))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>platelayer: tables and keys</title><style>{_STYLE}</style></head><body>"
        f"<header><h1>Tables and keys</h1></header><nav><ul>{ways}</ul></nav><main>{body}</main></body></html>\n"
    )


def _file(file: FileWords) -> str:
    said = f"<p>{escape(file.place)}. {escape(file.summary)}</p>"
    return f"<section><h2>{escape(file.name.capitalize())}</h2>{said}{''.join(map(_table, file.tables))}</section>"


def _table(table: TableWords) -> str:
    keys = "".join(_key(table.name, key) for key in table.keys)
    return (
        f'<section id="{escape(table.name)}"><h3>{escape(heads_words(table))}</h3>'
        f"<p>{escape(table.summary)}</p><dl>{keys}</dl></section>"
    )


def _key(table: str, key: KeyWords) -> str:
    return (
        f'<dt id="{escape(f"{table}.{key.name}")}"><code>{escape(f"{key.name} = {key.example}")}</code></dt>'
        f"<dd>{escape(key.meaning)}</dd>"
        f'<dd class="facts">{_worded(takes_words(key))}<br>{_worded(unsaid_words(key))}</dd>'
    )


def _worded(text: str) -> str:
    return escape(worded(text, "in"))


_STYLE = f"""
body{{font:16px/1.45 system-ui,'Liberation Sans',Arial,sans-serif;color:{palette.INK};background:{palette.PAPER};
max-width:52rem;margin:0 auto;padding:1rem 1.2rem 3rem;overflow-wrap:anywhere}}
header{{border-bottom:2px solid {palette.INK}}} h1{{margin:.3rem 0;font-size:1.7rem}}
h2{{font-size:1.35rem;margin:2rem 0 .2rem}} h3{{font-size:1.1rem;margin:1.6rem 0 .2rem}}
a{{color:inherit}} nav ul{{padding-left:1.2rem}} nav a{{display:inline-block;margin-right:.4rem}}
dl{{margin:.4rem 0}} dt{{margin-top:.8rem;font-weight:700}} dd{{margin:0 0 0 1.2rem}} .facts{{font-size:.92rem}}
p{{margin:.3rem 0}} code{{font-family:ui-monospace,'Liberation Mono',monospace}}
"""
