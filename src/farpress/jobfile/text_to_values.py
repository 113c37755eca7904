"""A job file's text as plain values, without a model: what two versions are compared and merged by."""

from __future__ import annotations

from typing import Any

from farpress.errors import JobFileError
from farpress.jobfile.node import Node
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree

__all__ = ["tree_values", "values_of"]


def values_of(text: str) -> Any:
    """A job file's text as plain values, keys as they stand in it.

    Raises:
        JobFileError: it is no YAML.
    """
    tree, faults = text_to_tree(decode(text.encode("utf-8"), None))
    if tree is None or faults:
        raise JobFileError(faults)
    return tree_values(tree)


def tree_values(node: Node) -> Any:
    """The same of a tree that is read already."""
    if node.kind == "mapping":
        return {key: tree_values(child) for key, (_, _, child) in node.items.items()}
    if node.kind == "sequence":
        return [tree_values(child) for child in node.elements]
    data = node.data
    if isinstance(data, bool) or data is None:
        return data
    if isinstance(data, int):
        return int(data)
    return float(data) if isinstance(data, float) else str(data)
