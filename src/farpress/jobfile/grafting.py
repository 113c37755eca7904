"""The tree of a job file with values changed and no text written: for copies on which changes are tried.

It is what the writer's text would be read as. Where only the text can say that, the writer is asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from farpress.domain.finding import Change
from farpress.jobfile.formats import brought_over
from farpress.jobfile.node import Node, plain
from farpress.jobfile.scalars import scalar_value, text_fault

__all__ = ["grafted"]


def grafted(tree: Node, changes: Sequence[Change]) -> Node | None:
    """The tree after changes; nodes that are not changed are the same ones.

    Args:
        tree: of the file as it is; it stays so.
        changes: what to do, in this order.

    Returns:
        None where the way to a value is not plain: a value that is quoted or shared by name, a path that
        leads nowhere, a text that no job file may hold. The writer says what is to be done then.
    """
    top: Node | None = tree
    for change in changes:
        top = _changed(top, change.path, change.value, "") if top is not None else None
    over = brought_over(plain(top)) if top is not None else None
    return _changed(top, over.path, over.value, "") if top is not None and over is not None else top


def _changed(node: Node, path: Sequence[str | int], value: object, key: str) -> Node | None:
    """A node with the value at a path below it changed; `key` is its own name."""
    if node.shared:
        return None
    if not path:
        return _made(node, value, key) if node.kind != "scalar" or not node.style else None
    first, rest = path[0], path[1:]
    if node.kind == "sequence":
        return _in_list(node, first, rest, value, key)
    if node.kind != "mapping":
        return None
    name, below = str(first), node.child(first)
    if value is None and not rest:
        return None if below is None or below.shared else _mapping(node, {**node.items, name: None})
    if below is None:
        below = Node("mapping" if rest else "scalar", node.line, node.column, {} if rest else None)
    after = _changed(below, rest, value, name)
    line, column, _ = node.items.get(name, (node.line, node.column, below))
    return _mapping(node, {**node.items, name: (line, column, after)}) if after is not None else None


def _in_list(node: Node, index: str | int, rest: Sequence[str | int], value: object, key: str) -> Node | None:
    """A list with an entry changed, added at its end or taken out."""
    count = len(node.elements)
    if not isinstance(index, int) or not 0 <= index < count + (not rest and value is not None):
        return None
    if value is None and not rest:
        return None if node.elements[index].shared else _sequence(node, _without(node.elements, index))
    old = node.elements[index] if index < count else Node("scalar", node.line, node.column, None)
    after = _changed(old, rest, value, key)
    return _sequence(node, [*node.elements[:index], after, *node.elements[index + 1 :]]) if after else None


def _without(elements: list[Node], index: int) -> list[Node]:
    return [*elements[:index], *elements[index + 1 :]]


def _made(place: Node, value: object, key: str) -> Node | None:
    """A value as a node where another one stood; None for one that a file cannot hold as it is."""
    if isinstance(value, Mapping):
        kept = {str(name): entry for name, entry in value.items() if entry is not None}
        items = {name: _made(place, entry, name) for name, entry in kept.items()}
        if any(child is None or text_fault(name, None) for name, child in items.items()):
            return None
        begun = Node("mapping", place.line, place.column, {})
        return _mapping(begun, {name: (place.line, place.column, child) for name, child in items.items()})
    if isinstance(value, list | tuple):
        children = [_made(place, entry, key) for entry in value]
        if any(child is None for child in children):
            return None
        return _sequence(Node("sequence", place.line, place.column, []), children)
    data: Any = value
    if value is not None and not isinstance(value, bool):
        if text_fault(str(value), key):
            return None
        data = value if isinstance(value, str) else scalar_value(str(value), plain=True)
    return Node("scalar", place.line, place.column, data)


def _mapping(node: Node, items: Mapping[str, tuple[int, int, Node | None] | None]) -> Node:
    after = Node("mapping", node.line, node.column, {}, flow=node.flow)
    for name, entry in items.items():
        if entry is not None and entry[2] is not None:
            after.items[name] = (entry[0], entry[1], entry[2])
            after.data[name] = entry[2].data
            after.size += entry[2].size
    return after


def _sequence(node: Node, elements: Sequence[Node | None]) -> Node:
    after = Node("sequence", node.line, node.column, [], flow=node.flow)
    after.elements = [element for element in elements if element is not None]
    after.data = [element.data for element in after.elements]
    after.size += sum(element.size for element in after.elements)
    return after
