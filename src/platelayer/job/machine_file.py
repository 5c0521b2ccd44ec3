"""A machine profile written from the answers to the guided form, with what each key means beside it."""

import json
import re
import textwrap
from collections.abc import Iterator, Mapping
from typing import Final

from platelayer.errors import Fault
from platelayer.job.key_reference import key_files
from platelayer.job.machine_form import FIELDS, FormField
from platelayer.job.profiles import read_profile
from platelayer.values.key_words import KeyWords, ValueKind

_HEAD: Final = """\
# A machine of your own; the name of this file, without .toml, is its id. Lines that begin with # are remarks.
# What still has a # before it is to be found out and written: nothing is guessed of a machine.
# In the job, under [job]: profiles = "FOLDER" for the folder of this file, beside the job, and machine = "ITS ID".
"""
_FEEDS: Final = """\
# Feeds that you have tried, one [[feeds]] for each wood and bit; platelayer keys feeds tells the keys. Without any they
# are worked out from those of other machines, never faster, and the summary says so.
"""
_TABLES: Final = ("", "axis.x", "axis.y", "axis.z", "cornering", "spindle", "bit_change", "places", "dialect")
_WIDE: Final = 118


def machine_text(answers: Mapping[str, str]) -> str:
    """The profile as TOML; a question without an answer leaves its key as a remark, with an example.

    Args:
        answers: by the names of the form's fields, as typed.
    """
    told: set[str] = set()
    words = form_keys()
    lines = [_HEAD]
    for table in _TABLES:
        lines += ["", f"[{table}]"] if table else ['units = "mm"                   # of bare numbers in this file']
        for field in FIELDS.values():
            for key in field.keys:
                if key.rpartition(".")[0] == table and _is_written(field, answers):
                    if field.name not in told:
                        lines += _told_lines(field)
                    told.add(field.name)
                    lines.append(_key_line(key.rpartition(".")[2], words[field.name], answers.get(field.name, "")))
        if table == "dialect" and answers.get("bit_change") == "tool_word":
            lines += ["# Bits are changed by a word, so it takes one.", "tool_change_word = true"]
    return "\n".join([*lines, "", _FEEDS])


def own_profile(answers: Mapping[str, str], *, file: str) -> str:
    """The profile's text, which reads as a good one.

    Raises:
        JobError: all that is wrong with the answers; ``field_at`` finds the question of each fault.
    """
    text = machine_text({name: said for name, said in answers.items() if name in FIELDS})
    read_profile(text, file=file)
    return text


def field_at(fault: Fault, answers: Mapping[str, str]) -> FormField | None:
    """The question whose answer a fault is about; None where it is about none of them."""
    place = ".".join(re.split(r"[\s.]+", re.sub(r"[\[\]]", " ", fault.where).strip()))
    asked = [field for field in FIELDS.values() if field.is_asked(answers)]
    for field in asked:
        if any(f"{place}.".startswith(f"{key}.") for key in field.keys):
            return field
    return next((field for field in asked if any(key.startswith(f"{place}.") for key in field.keys)), None)


def form_keys() -> dict[str, KeyWords]:
    """By each field's name what the reference says of its key: kind, choices, limits. A dial is a text."""
    tables = next(file for file in key_files() if file.name == "machine profile").tables
    known = {
        ".".join(part for part in (head.strip("[]"), key.name) if part): key
        for table in tables
        for head in table.heads or ("",)
        for key in table.keys
    }
    return {name: known.get(field.keys[0], _DIAL) for name, field in FIELDS.items()}


_DIAL: Final = KeyWords(
    name="dial",
    kind=ValueKind.TEXT,
    meaning="Marks of the dial with their speeds, slowest first.",
    unsaid="must be written",
    example='[{ mark = "1", rpm = 9000 }, { mark = "2", rpm = 13000 }]',
    limits="two marks or more, as 1 = 9000, 2 = 13000",
)


def _is_written(field: FormField, answers: Mapping[str, str]) -> bool:
    """The field has a place in the file: it arises with the answers, or might where its own question is open."""
    return field.is_asked(answers) or (field.only_if is not None and not answers.get(field.only_if[0]))


def _told_lines(field: FormField) -> Iterator[str]:
    """A blank line, and the question with what the form says of it, as remarks."""
    only = ""
    if field.only_if:
        only = f'Only for {FIELDS[field.only_if[0]].keys[0].rpartition(".")[2]} = "{field.only_if[1]}". '
    words = f"{only}{field.asks} {field.find_out} If it is wrong: {field.if_wrong[:1].lower()}{field.if_wrong[1:]}"
    yield ""
    yield from textwrap.wrap(words, _WIDE, initial_indent="# ", subsequent_indent="# ")


def _key_line(key: str, words: KeyWords, answer: str) -> str:
    said = answer.strip()
    return f"{key} = {_value(words, said)}" if said else f"# {key} = {words.example}"


def _value(key: KeyWords, said: str) -> str:
    """An answer as TOML; one that is nothing of its kind stays a text, and the reading of the profile says so."""
    if key is _DIAL:
        marks = [re.split(r"\s*[=:]\s*", part.strip(), maxsplit=1) for part in re.split(r"[,;]", said) if part.strip()]
        return "[" + ", ".join(f"{{ mark = {_quoted(m[0])}, rpm = {_bare(m[-1])} }}" for m in marks) + "]"
    if key.kind is ValueKind.FLAG:
        return {"yes": "true", "no": "false"}.get(said.lower(), said if said in ("true", "false") else _quoted(said))
    return _quoted(said) if key.kind in (ValueKind.TEXT, ValueKind.CHOICE) else _bare(said)


def _bare(said: str) -> str:
    """A number as it is, anything else as a text."""
    return said if re.fullmatch(r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?", said) else _quoted(said)


def _quoted(said: str) -> str:
    return json.dumps(said, ensure_ascii=False).replace("\x7f", "\\u007f")
