"""The instructions of one function in the assembly language of LLVM, as `code` writes them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

from farpress.core.reach.typed.kinds import Kind, Kinds

__all__ = ["Loops", "Rows", "Value"]


class Value(NamedTuple):
    """A value: what it is called, and its kind."""

    text: str
    kind: Kind


class Loops(Protocol):
    """What a writer asks about the functions around its own."""

    kinds: Kinds

    def name_of(self, function: Callable[..., Any]) -> str:
        """What a function is called in machine code; empty for one from elsewhere."""

    def signature(self, function: Callable[..., Any]) -> tuple[tuple[str, ...], tuple[Kind, ...], Kind]:
        """Names and kinds of its arguments, and the kind of what it gives."""


class Rows:
    """The rows of one function: instructions, labels, names and their places."""

    def __init__(self) -> None:
        self.rows: list[str] = []
        self.places: dict[str, Kind] = {}
        self.is_open = True
        self._count = 0

    def row(self, text: str, kind: Kind) -> Value:
        """An instruction that gives a value."""
        self._count += 1
        self.rows.append(f"%t{self._count} = {text}")
        return Value(f"%t{self._count}", kind)

    def label(self) -> str:
        """A name for a place to go on from."""
        self._count += 1
        return f"l{self._count}"

    def begin(self, label: str) -> None:
        """What follows is reached by this label, and by what stands before."""
        self.leave(f"br label %{label}")
        self.rows.append(f"{label}:")
        self.is_open = True

    def leave(self, instruction: str) -> None:
        """What follows is not reached from here."""
        if self.is_open:
            self.rows.append(instruction)
        self.is_open = False

    def nameless(self, kind: Kind) -> str:
        """A place without a name."""
        self._count += 1
        self.places[f"t{self._count}.p"] = kind
        return f"t{self._count}.p"

    def load(self, place: str) -> Value:
        """What a place holds."""
        kind = self.places[place]
        return self.row(f'load {kind.text}, ptr %"{place}"', kind)

    def store(self, place: str, value: Value) -> None:
        """Give a place a value of its kind."""
        self.rows.append(f'store {value.kind.text} {value.text}, ptr %"{place}"')
