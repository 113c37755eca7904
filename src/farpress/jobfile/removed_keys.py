"""Keys that a job file had once: a file that still has one is read without it, and told what to write now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from farpress.errors import Fault
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.source import Source

__all__ = ["without_removed_keys"]


@dataclass(frozen=True)
class _Removed:
    """A key that is no more.

    Attributes:
        path: where it stood; "*" is any key, and a path that begins with "**" any beginning.
        instead: what to write now.
    """

    path: tuple[str, ...]
    instead: str


_REMOVED: Final = (
    _Removed(
        ("**", "cable", "ambient"),
        "The warmest air around a cable is written 'warmest: 40 degC', and the ohms and amperes follow it",
    ),
    _Removed(
        ("premises", "*", "devices", "*", "ambient"),
        "A drive that is slower in frost has its time under 'travel_worst'",
    ),
    _Removed(("parts", "*", "ambient"), "A drive that is slower in frost has its time under 'travel_worst'"),
    _Removed(
        ("premises", "*", "devices", "*", "seen_by_driver"),
        "From where a movement is seen is said at the place: 'street: {at: [14, -25], sees: [gate]}'",
    ),
)


def without_removed_keys(tree: Node, source: Source) -> tuple[Any, tuple[Fault, ...]]:
    """The values of a file without the keys that are no more, and a remark for each of them.

    Args:
        tree: of the file; left as it is.
        source: its text, for the remarks.
    """
    if not any(removed.path[-1] in source.text for removed in _REMOVED):
        return tree.data, ()
    remarks: list[Fault] = []
    return _kept(tree, (), source, remarks), tuple(remarks)


def _kept(node: Node, path: tuple[str | int, ...], source: Source, remarks: list[Fault]) -> Any:
    if node.kind == "sequence":
        return [_kept(child, (*path, index), source, remarks) for index, child in enumerate(node.elements)]
    if node.kind == "scalar":
        return node.data
    values = {}
    for key, (line, column, child) in node.items.items():
        here = (*path, key)
        removed = next(_fitting(here), None)
        if removed is None:
            values[key] = _kept(child, here, source, remarks)
        else:
            message = f"'{key}' is no longer a key of a job file; it was left out. {removed.instead}"
            remarks.append(source.fault(line, column, path_text(here), message))
    return values


def _fitting(path: tuple[str | int, ...]) -> Iterator[_Removed]:
    for removed in _REMOVED:
        any_beginning = removed.path[0] == "**"
        wanted = removed.path[1:] if any_beginning else removed.path
        given = path[len(path) - len(wanted) :] if any_beginning else path
        if len(given) == len(wanted) and all(
            name in ("*", str(key)) for name, key in zip(wanted, given, strict=True)
        ):
            yield removed
