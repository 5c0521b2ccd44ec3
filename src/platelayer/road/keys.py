"""The reference of tables and keys: from the models that read a person's files to lines and a page."""

from platelayer.job.key_reference import key_files, keys_named
from platelayer.preview.paper.keys_html import keys_html
from platelayer.preview.report.keys_text import key_lines, table_lines


def keys_lines(wanted: str = "") -> tuple[str, ...]:
    """All tables, or every key of what goes by a name, as lines whose lengths are marks.

    Raises:
        JobError: nothing goes by that name.
    """
    files = key_files()
    return tuple(key_lines(keys_named(files, wanted)) if wanted else table_lines(files))


def keys_page() -> str:
    """Every table and key of every file as one web page, which needs nothing else."""
    return keys_html(key_files())
