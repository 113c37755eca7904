"""The loops of reach as plain Python on the arrays that machine code gets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import astuple, is_dataclass
from typing import Any

import numpy as np

from farpress.core.reach import ways_packed, ways_work
from farpress.core.reach.ways_arrays import layout, rows_of
from farpress.core.reach.ways_at_hand import BUILT

_PACKED = ("WallRow", "OpeningRow", "SlabRow", "BoxRow", "CornerRow", "MaterialRow", "EdgeRow", "EchoRow")
_WORK = ("PointRow", "ImageRow", "Ahead", "ListSpan", "Hit", "Received")
KINDS = [*(getattr(ways_packed, name) for name in _PACKED), *(getattr(ways_work, name) for name in _WORK)]


def plain(loop: Callable[..., None]) -> Callable[..., None]:
    """A loop that takes arrays, runs as plain Python on their rows, and writes what it changed."""

    def run(*arguments: Any) -> None:
        rows = [_rows(argument) for argument in arguments]
        written = list(_written(tuple(arguments), tuple(rows)))
        before = [[astuple(row) for row in block] for _, block in written]
        loop(*rows)
        for (array, block), was in zip(written, before, strict=True):
            for number, row in enumerate(block):
                if astuple(row) != was[number]:  # other threads may be at work on the rest
                    array[number] = astuple(row)

    return run


def _rows(value: Any) -> Any:
    if isinstance(value, tuple):
        return type(value)(*(_rows(part) for part in value))
    if isinstance(value, np.ndarray) and value.dtype.names:
        return rows_of(next(kind for kind in KINDS if layout(kind) == value.dtype), value)
    return value


def _written(value: Any, rows: Any) -> Iterator[tuple[Any, list[Any]]]:
    if isinstance(value, tuple):
        for part, own in zip(value, rows, strict=True):
            yield from _written(part, own)
    elif isinstance(value, np.ndarray) and value.dtype.names and rows and is_dataclass(rows[0]):
        yield value, rows


@contextmanager
def no_machine_code() -> Iterator[None]:
    """Meanwhile no loops are at hand: a few points run as plain Python."""
    before, BUILT[:] = list(BUILT), []
    try:
        yield
    finally:
        BUILT[:] = before
