"""The formats of a job file: which there are, and what a file of an earlier one did not have.

Every format is read for ever. A file of format 1 stays as it is until something that format 1 did not know is
written into it; its first line is then brought over with that change. What format 1 knew is frozen in
`format_1.json`, so that a key or word added to the models counts as new by itself.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final, TypeAlias

from farpress.domain.finding import Change
from farpress.domain.job import Job
from farpress.jobfile.allowed import Allowed, allowed, child_of, words_of
from farpress.jobfile.each import EACH

__all__ = ["FORMATS", "NEWEST", "brought_over", "newer_than_first"]

FORMATS: Final = (1, 2)
"""Every format that is read."""

NEWEST: Final = FORMATS[-1]
"""The one that new files have."""

_Path: TypeAlias = tuple[str | int, ...]

_Row = Mapping[str, Any]
"""What format 1 says of a key: `holds`, the form of the tables below it and their names; `words`, the words
it may be; neither for plain values.
"""


def brought_over(values: Any) -> Change | None:
    """The change of the first line that a file needs; None where it says its format rightly.

    Args:
        values: of the whole file, as it is to be.
    """
    if not isinstance(values, Mapping) or str(values.get("farpress")) != "1":
        return None
    return Change(("farpress",), NEWEST) if next(newer_than_first(values), None) is not None else None


def newer_than_first(values: Any) -> Iterator[_Path]:
    """Paths of every key and word that format 1 did not know and a later one does, in the order of the file.

    Args:
        values: of the whole file.
    """
    return (path for path in _in_table(values, "Job", ()) if path[-1] == EACH or _is_known_now(values, path))


def _is_known_now(values: Any, path: _Path) -> bool:
    """Whether a key or word at a path is one of the tables as they are; else it is a slip and no news."""
    place: Allowed | None = allowed(Job)
    for key in path:
        place = child_of(place, key, values)
        values = values[key]
    if place is None:
        return False
    words = words_of(place)
    return not words or not isinstance(values, str) or values in words


@cache
def _tables() -> Mapping[str, Mapping[str, _Row]]:
    text = Path(__file__).with_name("format_1.json").read_text(encoding="utf-8")
    tables: Mapping[str, Mapping[str, _Row]] = json.loads(text)
    return tables


def _in_table(values: Any, table: str, path: _Path) -> Iterator[_Path]:
    if not isinstance(values, Mapping):
        return
    keys = _tables().get(table)
    if keys is None:  # a part of a kind that is new, or that is none
        if isinstance(values.get("kind"), str):
            yield (*path, "kind")
        return
    for key, value in values.items():
        row = keys.get(str(key))
        here = (*path, str(key))
        if row is None:
            yield here
        elif "holds" in row:
            form, *names = row["holds"]
            yield from _held(value, form, names, here)
        elif "words" in row:
            yield from _new_words(value, row["words"], here)


def _held(value: Any, form: str, names: Sequence[str], path: _Path) -> Iterator[_Path]:
    if form == "names" and isinstance(value, Mapping):
        for name, entry in value.items():
            yield from _in_table(entry, _table_of(names, entry), (*path, str(name)))
    elif form == "list" and isinstance(value, Sequence) and not isinstance(value, str):
        for number, entry in enumerate(value):
            yield from _in_table(entry, _table_of(names, entry), (*path, number))
    elif form == "table":
        yield from _in_table(value, _table_of(names, value), path)


def _table_of(names: Sequence[str], entry: Any) -> str:
    """Which of several tables an entry is: parts say it by their kind."""
    if len(names) == 1 or not isinstance(entry, Mapping):
        return names[0]
    return f"Own{str(entry.get('kind', '')).capitalize()}"


def _new_words(value: Any, words: Sequence[str], path: _Path) -> Iterator[_Path]:
    if isinstance(value, str) and value not in words:
        yield path
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for number, entry in enumerate(value):
            yield from _new_words(entry, words, (*path, number))
