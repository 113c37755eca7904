"""Which fields of two cases are not the same: what stands between them, as `reads` notes it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.moved_lines import MovedLines
from farpress.case.reads import CASE, WHOLE, ReadKey
from farpress.case.watched import EQUIPMENT, JOB, OF_THE_JOB, ORIGINS
from farpress.domain.equipment import Equipment
from farpress.domain.parts import Part
from farpress.domain.quantity import Model
from farpress.sources import Citation

__all__ = ["differences"]

_NEVER_THE_SAME: Final = ("fingerprint", "folder", "document")
"""Who looks at these looks at files: what they say is nothing of the case."""


_NOTHING_MOVED: Final[MovedLines] = {}

_WORDS: Final = frozenset({str, int, bool})
"""Kinds of values that are the same where they are equal; a number may be a nought of either sign."""


def differences(before: Case, after: Case, lines: MovedLines = _NOTHING_MOVED) -> frozenset[ReadKey]:
    """The fields that are otherwise in one case than in the other, each as `reads` notes it.

    A value that only stands on another line is the same where `lines` says so. Where a table has other names,
    or a list another length, the field that holds it counts; a place counts as a whole where anything below
    it is different.
    """
    found: set[ReadKey] = {(CASE, name) for name in _NEVER_THE_SAME}
    if before.job is not after.job:
        _of_models(before.job, after.job, JOB, found)
    for field in fields(Equipment):
        parts, others = getattr(before.equipment, field.name), getattr(after.equipment, field.name)
        _of_parts(parts, others, field.name, found, lines)
    for name in ("doubted", "job_without_evidence"):
        if not _are_same(getattr(before, name), getattr(after, name)):
            found.add((CASE, name))
    return frozenset(found)


def _of_models(before: Model, after: Model, place: str, found: set[ReadKey]) -> bool:
    """Whether two models of one kind differ, their fields that do added."""
    said = before.model_fields_set ^ after.model_fields_set
    found.update((place, name) for name in said)  # what is said to be as it is anyway is another job
    differ = bool(said)
    others = after.__dict__
    for name, value in before.__dict__.items():
        other = others[name]
        if value is other or (type(value) in _WORDS and type(other) is type(value) and value == other):
            continue
        inner = f"{place}\0{name}"
        shape, below = _of_values(value, other, inner, found)
        if shape:
            found.add((place, name))
        differ = differ or shape or below
    if differ:
        found.add((place, WHOLE))
    return differ


def _of_values(before: Any, after: Any, place: str, found: set[ReadKey]) -> tuple[bool, bool]:
    """Whether what a field gives is another value or shape, and whether something below it differs."""
    if before is after:
        return False, False
    if type(before) is not type(after):
        return True, False
    if isinstance(before, Model):
        return False, _of_models(before, after, place, found)
    if isinstance(before, dict):
        if list(before) != list(after):
            return True, False
        pairs = [(key, value, after[key]) for key, value in before.items()]
    elif isinstance(before, tuple):
        if len(before) != len(after):
            return True, False
        pairs = [(number, value, after[number]) for number, value in enumerate(before)]
    else:
        return not _are_same(before, after), False
    results = [_of_values(value, other, f"{place}\0{key}", found) for key, value, other in pairs]
    return any(shape for shape, _ in results), any(below for _, below in results)


def _of_parts(
    before: Mapping[str, Any], after: Mapping[str, Any], kind: str, found: set[ReadKey], lines: MovedLines
) -> None:
    if before is after:
        return
    place, differ = f"{EQUIPMENT}\0{kind}", list(before) != list(after)
    found.update((place, name) for name in before.keys() ^ after.keys())
    for name, part in before.items():
        other = after.get(name)
        if part is other or other is None:
            continue
        inner = f"{place}\0{name}"
        if kind not in OF_THE_JOB or (part.name, part.says) != (other.name, other.says):
            shape = not _are_same_part(part, other, lines)
            differ = differ or shape
            found.update([(place, name)] if shape else [])
        else:
            differ = _of_models(part.sheet, other.sheet, inner, found) or differ
            differ = _of_origins(part.origins, other.origins, f"{inner}\0{ORIGINS}", found, lines) or differ
    if differ:
        found.add((place, WHOLE))


def _of_origins(
    before: Mapping[str, Citation],
    after: Mapping[str, Citation],
    place: str,
    found: set[ReadKey],
    lines: MovedLines,
) -> bool:
    """Whether the sources of two parts differ; the names of those that do added."""
    here = _with_lines(before, lines)
    if here == after and list(here) == list(after):
        return False
    found.update((place, name) for name in {**here, **after} if here.get(name) != after.get(name))
    found.add((place, WHOLE))
    return True


def _are_same_part(before: Any, after: Any, lines: MovedLines) -> bool:
    """The same of two parts, or of what is kept with them."""
    if not lines or not (isinstance(before, Part) and isinstance(after, Part)):
        return _are_same(before, after)
    here = _with_lines(before.origins, lines)
    return _are_same(replace(before, origins=here), after) and list(here) == list(after.origins)


def _with_lines(origins: Mapping[str, Citation], lines: MovedLines) -> Mapping[str, Citation]:
    return {name: lines.get(source, source) for name, source in origins.items()} if lines else origins


def _are_same(before: Any, after: Any) -> bool:
    """Whether two values are equal and would be written alike: a nought below nought is another number."""
    if before is after:
        return True
    if type(before) is not type(after) or before != after:
        return False
    return not isinstance(before, float) or math.copysign(1.0, before) == math.copysign(1.0, after)
