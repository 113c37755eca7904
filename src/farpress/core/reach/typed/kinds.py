"""Kinds of values in loops that are written as plain Python and run as machine code.

What a name of such a loop holds is said by its annotations: a number, a group of numbers with names
(`NamedTuple`, `tuple`), a row that lies in an array (`RowKind`, handed over as the place where it lies), or
a list of numbers or rows (an array, as the place of its first entry and its length). See `code`.
"""

from __future__ import annotations

import collections.abc
import typing
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

__all__ = ["BOOL", "FLOAT", "INT", "NOTHING", "GroupKind", "Kind", "Kinds", "ListKind", "RowKind"]


@dataclass(frozen=True)
class Kind:
    """A kind of value; `text` is what LLVM calls it."""

    text: str

    def with_(self, other: Kind) -> Kind:
        """The kind that holds values of this and another."""
        return FLOAT if FLOAT in (self, other) else self


FLOAT: Final = Kind("double")
INT: Final = Kind("i64")
BOOL: Final = Kind("i1")
NOTHING: Final = Kind("void")

_PLAIN: Final[Mapping[Any, Kind]] = {float: FLOAT, int: INT, bool: BOOL, type(None): NOTHING}


@dataclass(frozen=True)
class RowKind(Kind):
    """The place of a row in an array.

    Attributes:
        name: of its class.
        size: of a row [bytes].
        fields: name → where it lies in the row [bytes], and its kind.
        lengths: name of a field that is a table → how many numbers it holds.
    """

    name: str
    size: int
    fields: Mapping[str, tuple[int, Kind]]
    lengths: Mapping[str, int]


@dataclass(frozen=True)
class ListKind(Kind):
    """An array of numbers or rows: where it begins, and its length."""

    item: Kind


@dataclass(frozen=True)
class GroupKind(Kind):
    """Several values; with names where it is a class."""

    names: tuple[str, ...]
    kinds: tuple[Kind, ...]


class Kinds:
    """Annotations read as kinds, each class once."""

    def __init__(self, rows: Mapping[type[Any], np.dtype[Any]]) -> None:
        """Take the classes whose values lie in arrays, and how."""
        self._rows = rows
        self._known: dict[type[Any], Kind] = {}

    def of(self, annotation: Any) -> Kind:
        """The kind that an annotation means.

        Raises:
            TypeError: an annotation of another sort.
        """
        if annotation in _PLAIN:
            return _PLAIN[annotation]
        origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
        if origin is tuple:
            return self.group([self.of(part) for part in inner])
        if origin in (collections.abc.Sequence, collections.abc.MutableSequence):
            return ListKind("{ ptr, i64 }", self.of(inner[0]))
        if isinstance(annotation, type):
            if annotation not in self._known:
                self._known[annotation] = self._of_class(annotation)
            return self._known[annotation]
        raise TypeError(f"{annotation!r} is no kind of value that a loop may hold")

    def group(self, kinds: Iterable[Kind], names: Iterable[str] = ()) -> GroupKind:
        """Several values in one."""
        of = tuple(kinds)
        return GroupKind("{ " + ", ".join(kind.text for kind in of) + " }", tuple(names), of)

    def _of_class(self, own: type[Any]) -> Kind:
        hints = typing.get_type_hints(own)
        if own not in self._rows:
            return self.group([self.of(hint) for hint in hints.values()], hints)
        layout = self._rows[own]
        assert layout.fields is not None
        fields = {name: (int(layout.fields[name][1]), self.of(hint)) for name, hint in hints.items()}
        lengths = {name: layout[name].shape[0] for name in hints if layout[name].shape}
        return _Row("ptr", own.__name__, layout.itemsize, fields, lengths)


class _Row(RowKind):
    """A row is known by its name alone."""

    def __hash__(self) -> int:
        return hash(self.name)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Row) and self.name == other.name
