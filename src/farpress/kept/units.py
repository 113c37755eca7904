"""Units of work kept by a hash of all they are made from: a way of radio, a search. An edit touches few.

In memory for as long as the process lives, and with the store (`bring`, `carry`) from one run to the next. A
unit is a pure function of what its key is the hash of, so what is found is what would be computed.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from farpress.kept.plain import Plain
from farpress.kept.store import put, take

__all__ = ["Units", "bring", "carry", "forget_all", "forget_with_all"]

_Unit = TypeVar("_Unit")

_EVERY: dict[str, Units[Any]] = {}
_OTHERS: list[Callable[[], None]] = []
_BROUGHT: dict[str, dict[str, Any]] = {}
"""Name of the kind → key → unit as it was written, until it is asked for."""


class Units(Generic[_Unit]):
    """The units of one kind; safe for several threads."""

    def __init__(self, name: str, *, most: int, plain: Plain) -> None:
        """Begin without any.

        Args:
            name: of the kind, unlike all others.
            most: units held in memory, the oldest dropped first.
            plain: writes and reads them.
        """
        self._name, self._most, self._plain = name, most, plain
        self._lock = threading.Lock()
        self._values: dict[str, _Unit] = {}
        self._used: dict[str, None] = {}
        self.made = 0
        _EVERY[name] = self

    def once(self, key: str, make: Callable[[], _Unit]) -> _Unit:
        """The unit under a key, made where there is none; what fails is not kept."""
        with self._lock:
            self._used[key] = None
            if key in self._values:
                return self._values[key]
            written = _BROUGHT.get(self._name, {}).get(key)
        unit = self._read(written) if written is not None else None
        if unit is None:
            unit = make()
            self.made += 1
        with self._lock:
            self._values[key] = unit
            while len(self._values) > self._most:
                oldest = next(iter(self._values))
                del self._values[oldest]
                self._used.pop(oldest, None)
        return unit

    def has(self, key: str) -> bool:
        """Whether a unit is at hand."""
        with self._lock:
            return key in self._values or key in _BROUGHT.get(self._name, {})

    def forget(self) -> None:
        """Drop all, in memory and brought."""
        with self._lock:
            self._values.clear()
            self._begin({})

    def _begin(self, brought: dict[str, Any]) -> None:
        _BROUGHT[self._name] = brought
        self._used.clear()
        self.made = 0

    def _read(self, written: Any) -> _Unit | None:
        try:
            unit: _Unit = self._plain.read(written)
        except (ValueError, KeyError, TypeError, IndexError):
            return None
        return unit

    def _carry(self) -> dict[str, Any]:
        """What was used since it was brought, as plain JSON."""
        with self._lock:
            used = {key: self._values[key] for key in self._used if key in self._values}
            return {key: self._plain.write(unit) for key, unit in used.items()}


def forget_all() -> None:
    """Drop all units of every kind, and what others keep in memory, as a process that begins."""
    for units in _EVERY.values():
        units.forget()
    for forget in _OTHERS:
        forget()


def forget_with_all(forget: Callable[[], None]) -> Callable[[], None]:
    """Have a function called by `forget_all`, for what is kept in memory elsewhere."""
    _OTHERS.append(forget)
    return forget


def bring(key: str) -> None:
    """Have at hand what was kept under a key; it is read one by one as it is asked for."""
    bundle = take(key)
    _BROUGHT.clear()
    if isinstance(bundle, dict):
        _BROUGHT.update({name: units for name, units in bundle.items() if isinstance(units, dict)})
    for name, units in _EVERY.items():
        units._begin(_BROUGHT.get(name, {}))


def carry(key: str) -> None:
    """Keep under a key what was used since `bring`, where anything of it is new."""
    if any(units.made for units in _EVERY.values()):
        try:
            put(key, {name: units._carry() for name, units in _EVERY.items()})
        except TypeError:
            return
