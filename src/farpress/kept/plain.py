"""Values of known kinds as plain JSON and back, nothing lost; reading makes no other kinds, come what may.

A composite is a list that begins with its kind: the name of a class that is known, or a sign for a tuple, a
list or a table. Floats keep all their digits.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

__all__ = ["Plain"]


class Plain:
    """Writes and reads values made of some classes: dataclasses, named tuples and enumerations."""

    def __init__(self, *kinds: type[Any]) -> None:
        """Know these classes; their names are different."""
        self._kinds = {kind.__name__: kind for kind in kinds}
        self._names = {kind: _field_names(kind) for kind in kinds if not issubclass(kind, Enum)}

    def write(self, value: Any) -> Any:
        """The value as plain JSON.

        Raises:
            TypeError: it is, or holds, something of another kind.
        """
        kind = type(value)
        if value is None or kind in (str, int, float, bool):
            return value
        if kind in self._names:
            return [kind.__name__, *(self.write(getattr(value, name)) for name in self._names[kind])]
        if kind.__name__ in self._kinds and self._kinds[kind.__name__] is kind:
            return [kind.__name__, value.value]
        if kind is tuple or kind is list:
            return ["()" if kind is tuple else "[]", *map(self.write, value)]
        if isinstance(value, dict):
            return ["{}", *([self.write(key), self.write(inner)] for key, inner in value.items())]
        if isinstance(value, float):
            return float(value)  # a float of numpy is one
        raise TypeError(f"{kind.__name__} is not kept")

    def read(self, data: Any) -> Any:
        """The value that was written.

        Raises:
            ValueError, KeyError, TypeError, IndexError: nothing of the kind.
        """
        if not isinstance(data, list):
            return data
        sign, *content = data
        if sign == "()":
            return tuple(map(self.read, content))
        if sign == "[]":
            return [self.read(inner) for inner in content]
        if sign == "{}":
            return {self.read(key): self.read(inner) for key, inner in content}
        return self._kinds[sign](*map(self.read, content))


def _field_names(kind: type[Any]) -> tuple[str, ...]:
    """Names of the fields in the order in which the class takes them.

    Raises:
        TypeError: it has none, or does not take one of them.
    """
    if is_dataclass(kind):
        if not all(field.init for field in fields(kind)):
            raise TypeError(f"{kind.__name__} makes a field of its own")
        return tuple(field.name for field in fields(kind))
    names: tuple[str, ...] = getattr(kind, "_fields", ())
    if not names:
        raise TypeError(f"{kind.__name__} has no fields")
    return names
