"""Rows with named values as numpy arrays of the same names, for machine code, and back, for plain code."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Final, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.ways_packed import (
    STEPS,
    BoxRow,
    CornerRow,
    EchoRow,
    EdgeRow,
    MaterialRow,
    OpeningRow,
    Packed,
    SlabRow,
    WallRow,
)
from farpress.sources import Mark, cites

__all__ = ["as_arrays", "as_rows", "layout", "repeated", "rows_of"]

_ROWS: Final = Packed(WallRow, OpeningRow, SlabRow, BoxRow, CornerRow, MaterialRow, EdgeRow, EchoRow)  # type: ignore[arg-type]
"""The kind of row of each block of a packed scene."""

_KINDS: Final[dict[str, tuple[Any, ...]]] = {"float": ("f8",), "int": ("i8",), "Table": ("f8", (STEPS,))}

Row = TypeVar("Row")


@cites("A plan as arrays with named columns", mark=Mark.COMPUTED)
def layout(kind: type[Any]) -> np.dtype[Any]:
    """The numpy row that holds the values of a tuple or object, by their names.

    Args:
        kind: the class of the tuple or object; its values are numbers or tables.
    """
    return _layout(cast("Any", kind))


@functools.cache
def _layout(kind: Any) -> np.dtype[Any]:
    """The same, made once for each class."""
    named = [
        (name, *_KINDS[str(getattr(written, "__forward_arg__", written))])
        for name, written in kind.__annotations__.items()
    ]
    return np.dtype(named, align=True)


@cites("A plan as arrays with named columns", mark=Mark.COMPUTED)
def rows_of(kind: type[Row], array: NDArray[Any]) -> list[Row]:
    """The rows of an array as tuples or objects of plain numbers.

    Args:
        kind: the class of a row.
        array: of its layout, (n,).
    """
    rows = array.tolist()
    if any(array.dtype[name].shape for name in array.dtype.names or ()):
        rows = [[value.tolist() if isinstance(value, np.ndarray) else value for value in row] for row in rows]
    return list(itertools.starmap(kind, rows))


@cites("A plan as arrays with named columns", mark=Mark.COMPUTED)
def as_rows(packed: Packed) -> Packed:
    """A packed scene as lists of tuples, for plain code.

    Args:
        packed: in arrays.
    """
    return Packed(*(rows_of(kind, np.asarray(block)) for kind, block in zip(_ROWS, packed)))  # type: ignore[arg-type]


@cites("A plan as arrays with named columns", mark=Mark.COMPUTED)
def as_arrays(packed: Packed) -> Packed:
    """A packed scene as arrays, for machine code.

    Args:
        packed: as lists of tuples.
    """
    blocks = (_array_of(kind, block) for kind, block in zip(_ROWS, packed))
    return Packed(*blocks)  # type: ignore[arg-type]


def _array_of(kind: Any, rows: Sequence[Any]) -> NDArray[Any]:
    return np.array([tuple(row) for row in rows], dtype=layout(kind))


@cites("A plan as arrays with named columns", mark=Mark.COMPUTED)
def repeated(row: Any, count: int) -> NDArray[Any]:
    """An array of rows with the values of one object.

    Args:
        row: the object.
        count: how many rows.
    """
    values = tuple(getattr(row, field.name) for field in fields(row))
    return np.full(count, np.array(values, dtype=layout(type(row))))
