"""The values of a job file with their lines and columns: what the steps of reading hand on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

__all__ = ["Node", "path_text", "place_of", "plain", "plain_value"]


class Node:
    """One value of the file.

    Attributes:
        data: the value: dict, list, text, number, True, False or None.
        kind: "mapping", "sequence" or "scalar".
        line, column: where it begins, counted from 1.
        end_line, end_column: where a scalar ends (column of the first character after it).
        flow: written in brackets or braces.
        style: quote sign of a scalar, "|" or ">" for a block; empty for a plain one.
        items: of a mapping: key → (line, column of the key, node).
        elements: of a sequence.
        size: number of nodes in it, aliases counted in full.
        shared: it has an anchor.
    """

    __slots__ = (
        "column",
        "data",
        "elements",
        "end_column",
        "end_line",
        "flow",
        "items",
        "kind",
        "line",
        "shared",
        "size",
        "style",
    )

    def __init__(self, kind: str, line: int, column: int, data: Any, *, flow: bool = False) -> None:
        """Begin a node; collections are filled while they are read."""
        self.kind, self.line, self.column, self.data, self.flow = kind, line, column, data, flow
        self.end_line, self.end_column, self.style = line, column, ""
        self.items: dict[str, tuple[int, int, Node]] = {}
        self.elements: list[Node] = []
        self.size = 1
        self.shared = False

    def child(self, key: str | int) -> Node | None:
        """The node below a key or index; None if there is none."""
        if self.kind == "mapping":
            found = self.items.get(str(key))
            return found[2] if found else None
        if self.kind == "sequence" and isinstance(key, int) and 0 <= key < len(self.elements):
            return self.elements[key]
        return None


def place_of(tree: Node, path: Sequence[str | int]) -> tuple[int, int]:
    """Line and column of the value at a path, or of the deepest part of it that is there."""
    node, place = tree, (tree.line, tree.column)
    for key in path:
        child = node.child(key)
        if child is None:
            break
        in_table = node.kind == "mapping" and child.kind != "scalar"
        place = node.items[str(key)][:2] if in_table else (child.line, child.column)
        node = child
    return place


def path_text(path: Sequence[str | int]) -> str:
    """A path as it is shown: `premises.larkfen.walls[2].build`."""
    text = ""
    for key in path:
        if isinstance(key, int):
            text += f"[{key}]"
        else:
            text += f".{key}" if text else str(key)
    return text if len(text) <= 200 else text[:200] + "…"


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
