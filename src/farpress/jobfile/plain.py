"""The values of a file as comparable ones: to see whether a change reads back as it was meant."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from farpress.jobfile.tree import Node

__all__ = ["plain", "plain_value"]


def plain(node: Node) -> Any:
    """The values of a tree as comparable ones: numbers as they were written, text as text."""
    if node.kind == "mapping":
        return {key: plain(child) for key, (_, _, child) in node.items.items()}
    if node.kind == "sequence":
        return [plain(child) for child in node.elements]
    return plain_value(node.data)


def plain_value(value: Any) -> Any:
    """A value of a program likewise; entries of None are left out."""
    if isinstance(value, Mapping):
        return {str(key): plain_value(entry) for key, entry in value.items() if entry is not None}
    if isinstance(value, list | tuple):
        return [plain_value(entry) for entry in value]
    return value if value is None or isinstance(value, bool) else str(value)
