"""A copy of a case that notes what is looked at; everything in it is as in the case itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from typing import Any, Final

from pydantic import BaseModel

from farpress.case.after import CaseAfter
from farpress.case.case import Case
from farpress.case.reads import CASE, NOW, WHOLE, note, unnoted
from farpress.domain.equipment import Equipment
from farpress.domain.job import Job
from farpress.domain.parts import Part
from farpress.domain.quantity import Model

__all__ = ["EQUIPMENT", "JOB", "OF_THE_JOB", "ORIGINS", "watched_case"]

JOB: Final = "job"
"""Where a job stands, and `EQUIPMENT` its parts."""
EQUIPMENT: Final = "equipment"

OF_THE_JOB: Final = frozenset({"receivers", "devices", "panels", "supplies", "batteries", "fobs", "cells"})
"""Kinds of parts that stand on a job, each filled in; the others are the catalogue's."""

ORIGINS: Final = "origins"
"""Where the sources of a part's values stand, below the part."""

_get: Final = object.__getattribute__

_VALUES: Final[Any] = BaseModel.__dict__["__dict__"]
"""Where the values of a model lie, whatever its class says of them."""


def watched_case(case: Case) -> CaseAfter:
    """The case with every field of its job, and each of its parts, noted where it is looked at."""
    job = _watched(case.job, JOB)
    equipment = Equipment(**{field.name: _parts(case.equipment, field.name) for field in fields(Equipment)})
    others = (case.fingerprint, case.folder, case.document, case.job_without_evidence, case.doubted)
    assert isinstance(job, Job)
    return _WatchedCase(job, equipment, *others)


def _noted_field(name: str) -> Any:
    def get(case: Case) -> Any:
        note(CASE, name)
        return case.__dict__[name]

    def keep(case: Case, value: Any) -> None:
        case.__dict__[name] = value

    return property(get, keep)


class _WatchedCase(CaseAfter):
    """A case whose own fields are noted; its job and its parts note theirs."""

    fingerprint = _noted_field("fingerprint")
    folder = _noted_field("folder")
    document = _noted_field("document")
    job_without_evidence = _noted_field("job_without_evidence")
    doubted = _noted_field("doubted")

    def with_job(self, job: Job) -> Case:
        """The same with another job, nothing of it looked at."""
        with unnoted():
            return super().with_job(job)


def _watched(value: Any, place: str) -> Any:
    """A value of a job as it is, or a copy whose fields are noted at a place; tables and lists likewise."""
    if isinstance(value, Model):
        kind = type(value)
        made = object.__new__(_watched_kind(kind))
        inner = {
            name: entry if type(entry) in _PLAIN else _watched(entry, f"{place}\0{name}")
            for name, entry in value.__dict__.items()
        }
        object.__setattr__(made, "__dict__", inner)
        for name in ("__pydantic_fields_set__", "__pydantic_extra__", "__pydantic_private__"):
            object.__setattr__(made, name, _get(value, name))
        object.__setattr__(made, "_place", place)
        object.__setattr__(made, "_plain", value)
        return made
    if isinstance(value, dict):
        return {
            key: entry if type(entry) in _PLAIN else _watched(entry, f"{place}\0{key}")
            for key, entry in value.items()
        }
    if isinstance(value, tuple):
        return tuple(
            entry if type(entry) in _PLAIN else _watched(entry, f"{place}\0{number}")
            for number, entry in enumerate(value)
        )
    return value


_PLAIN: Final = frozenset({str, int, float, bool, type(None)})


@cache
def _watched_kind(kind: type[Model]) -> type[Model]:
    """The class of a watched copy: the same with its fields noted, made without building a model again."""

    def plain(self: Any) -> Any:
        note(_get(self, "_place"), WHOLE)
        return _get(self, "_plain")

    def model_copy(self: Any, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Any:
        with unnoted():
            made = kind.model_copy(self, update=update, deep=deep)
            object.__setattr__(made, "_place", _get(self, "_place"))
            object.__setattr__(made, "_plain", _get(self, "_plain").model_copy(update=_bare(update or {})))
        return made

    content = {
        "__slots__": ("_place", "_plain", "_values"),
        "__module__": kind.__module__,
        "__doc__": kind.__doc__,
        "__dict__": property(_whole, _keep_values),
        **{name: property(_look_at(name)) for name in kind.model_fields},
        "__eq__": lambda self, other: plain(self) == _bare(other),
        "__hash__": lambda self: hash(plain(self)),
        "__repr__": lambda self: repr(plain(self)),
        "__str__": lambda self: str(plain(self)),
        "__iter__": lambda self: iter(plain(self)),
        "model_copy": model_copy,
        "model_dump": lambda self, **how: plain(self).model_dump(**how),
        "model_dump_json": lambda self, **how: plain(self).model_dump_json(**how),
    }
    made: type[Model] = type.__new__(type(kind), kind.__name__, (kind,), content)
    return made


def _look_at(name: str) -> Callable[[Any], Any]:
    """Gives the value of a field and notes it; nothing is called for it, as it is asked for so often."""

    def look(self: Any) -> Any:
        reads = NOW.reads
        if reads is not None:
            reads.keys.add((self._place, name))
        return self._values[name]

    return look


def _whole(self: Any) -> dict[str, Any]:
    """All values of a watched copy, noted as a whole."""
    if NOW.reads is not None:  # a copy that is being made has no place yet
        note(_get(self, "_place"), WHOLE)
    values: dict[str, Any] = _get(self, "_values")
    return values


def _keep_values(self: Any, values: dict[str, Any]) -> None:
    """Values of a watched copy: where a model has them, and where they are looked at."""
    _VALUES.__set__(self, values)
    object.__setattr__(self, "_values", values)


def _bare(value: Any) -> Any:
    """A value without anything that notes; what is taken out has been read as a whole."""
    if isinstance(value, Model):
        place = getattr(type(value), "_place", None)
        if place is None:
            return value
        note(_get(value, "_place"), WHOLE)
        return _get(value, "_plain")
    if isinstance(value, dict):
        return {key: _bare(entry) for key, entry in value.items()}
    if isinstance(value, tuple):
        return tuple(map(_bare, value))
    return value


def _parts(equipment: Equipment, kind: str) -> dict[str, Any]:
    """The parts of one kind; of those that stand on the job every value is noted for itself."""
    parts, place = getattr(equipment, kind), f"{EQUIPMENT}\0{kind}"
    if kind in OF_THE_JOB:
        parts = {
            name: Part(
                part.name,
                part.says,
                _watched(part.sheet, f"{place}\0{name}"),
                _Table(part.origins, f"{place}\0{name}\0{ORIGINS}"),
            )
            for name, part in parts.items()
        }
    return _Table(parts, place)


class _Table(dict[str, Any]):
    """Things under their names: one that is asked for is noted under its name, all where they are gone
    through.
    """

    def __init__(self, things: Mapping[str, Any], place: str) -> None:
        super().__init__(things)
        self._place = place

    def __getitem__(self, name: str) -> Any:
        note(self._place, name)
        return dict.__getitem__(self, name)

    def get(self, name: str, otherwise: Any = None) -> Any:
        note(self._place, name)
        return dict.get(self, name, otherwise)

    def __contains__(self, name: object) -> bool:
        note(self._place, str(name))
        return super().__contains__(name)


def _of_all(name: str) -> Callable[..., Any]:
    plain = getattr(dict, name)

    def noting(self: _Table, *others: Any) -> Any:
        note(self._place, WHOLE)
        return plain(self, *others)

    return noting


for _name in (
    "__iter__",
    "__len__",
    "__eq__",
    "__or__",
    "__ror__",
    "__repr__",
    "keys",
    "items",
    "values",
    "copy",
):
    setattr(_Table, _name, _of_all(_name))
