"""Values of the job file that stand on other lines than before, and are the same.

An entry more or less moves all that stand below it. Whatever was found of them is the same still, but for
the line that it names: so the lines are written anew in what is taken over, and nothing is judged again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, Final, TypeVar

from farpress.domain.equipment import Equipment
from farpress.domain.finding import Finding
from farpress.sources import Citation

__all__ = ["MovedLines", "are_moved", "moved_lines", "with_lines_moved"]

MovedLines = Mapping[Citation, Citation]
"""Each source that names a line of the job file → the same with the line where that stands now."""

_Value = TypeVar("_Value")

_LINE: Final = re.compile(r"\bline \d+")


def moved_lines(before: Equipment, after: Equipment) -> MovedLines:
    """The sources of values that stand on other lines.

    Empty as well where two that were one are two now, or the other way round: what cites both would differ in
    more than the lines.
    """
    there: dict[Citation, Citation] = {}
    back: dict[Citation, Citation] = {}
    for old, new in _pairs(before, after):
        if not (old == new or are_moved(old, new)):
            continue
        if there.setdefault(old, new) != new or back.setdefault(new, old) != old:
            return {}
    return {old: new for old, new in there.items() if old != new}


def _pairs(before: Equipment, after: Equipment) -> Iterator[tuple[Citation, Citation]]:
    for kind in fields(Equipment):
        parts, others = getattr(before, kind.name), getattr(after, kind.name)
        if parts is others:
            continue
        for name, part in parts.items():
            other = others.get(name)
            if other is None or not hasattr(part, "origins"):
                continue
            for value, old in part.origins.items():
                new = other.origins.get(value)
                if new is not None and "line " in old.place:
                    yield old, new


def are_moved(old: Citation, new: Citation) -> bool:
    """Whether two sources differ in the line alone."""
    return (
        old != new
        and (old.document, old.edition, old.mark) == (new.document, new.edition, new.mark)
        and _LINE.sub("line", old.place) == _LINE.sub("line", new.place)
    )


def with_lines_moved(value: _Value, lines: MovedLines) -> _Value:
    """What was found, with the lines where things stand now; the very same where it names none of them."""
    return _moved(value, lines) if lines else value


def _moved(value: Any, lines: MovedLines) -> Any:
    kind = type(value)
    if kind in _PLAIN:
        return value
    if kind is Citation:
        return lines.get(value, value)
    if kind is Finding:  # nothing else of it names a source
        sources = _moved(value.sources, lines)
        return value if sources is value.sources else replace(value, sources=sources)
    if kind is dict:
        pairs = {_moved(key, lines): _moved(entry, lines) for key, entry in value.items()}
        is_same = all(a is c and b is d for (a, b), (c, d) in zip(value.items(), pairs.items()))
        return value if is_same and len(pairs) == len(value) else pairs
    if isinstance(value, tuple | list | frozenset | set):
        entries = [_moved(entry, lines) for entry in value]
        if all(map(_is, value, entries)):
            return value
        return kind(*entries) if hasattr(value, "_fields") else kind(entries)
    if is_dataclass(value) and not isinstance(value, type):
        old = {field.name: getattr(value, field.name) for field in fields(value)}
        new = {name: _moved(entry, lines) for name, entry in old.items()}
        return value if all(map(_is, old.values(), new.values())) else replace(value, **new)
    return value


def _is(value: Any, other: Any) -> bool:
    return value is other


_PLAIN: Final = frozenset({str, int, float, bool, type(None)})
