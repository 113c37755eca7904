"""The few lines of a job file that a change is about, cut out as a text of their own.

A round trip of the whole file costs a millisecond a line. Most changes concern one entry of
a table or list: its lines, taken out and moved to the margin, are a small file by themselves.
Where that is not so (values shared by name, blocks of text, entries that begin on the line of
another) nothing is cut, and the whole file makes the trip.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Change
from farpress.jobfile.node import Node

__all__ = ["Cut", "cuts_for"]

_WRAP: Final = "entries"
"""Key that a piece of a list is hung below, so that its dashes keep their place."""


@dataclass(frozen=True)
class Cut:
    """One entry of a table or list, and the changes in it.

    Attributes:
        start, stop: its lines, counted from 0, the last one not included.
        text: the lines at the margin; pieces of a list hang below a key.
        changes: with paths as seen from the text.
    """

    start: int
    stop: int
    text: str
    changes: tuple[Change, ...]
    margin: str
    is_list: bool

    def put_back(self, text: str) -> list[str]:
        """The lines to stand in the place of those cut out, from the text after the changes."""
        lines = text.rstrip("\n").split("\n")
        if self.is_list:
            head, lines = lines[0], lines[1:]
            if head.split(":", 1)[1].strip():  # nothing is left of the piece: "entries: []"
                return []
        elif lines == ["{}"]:
            return []
        return [f"{self.margin}{line}" if line.strip() else line for line in lines]


@dataclass(frozen=True)
class _Place:
    """Where an entry stands: below which path, which line, and up to where its lines may reach."""

    path: tuple[str | int, ...]
    key: str | int
    node: Node
    line: int
    column: int
    stop: int
    is_list: bool


def cuts_for(tree: Node, lines: Sequence[str], changes: Sequence[Change], *, offset: int) -> list[Cut] | None:
    """Cuts that hold all changes and do not touch each other; None where one cannot be made.

    Args:
        tree: of the file.
        lines: of the file, without their ends.
        changes: in their order.
        offset: how far a dash stands from its key in this file.
    """
    if any(line.startswith(("---", "...", "%")) for line in lines):
        return None
    moved = (
        {change.path[:-1] for change in changes if change.value is None and isinstance(change.path[-1], int)}
        if len(changes) > 1
        else set()
    )
    found: dict[tuple[int, int], tuple[_Place, list[Change]]] = {}
    for change in changes:
        place = _place_for(tree, lines, change, moved)
        if place is None:
            return None
        found.setdefault((place.line, -place.stop), (place, []))[1].append(change)
    outer: list[tuple[_Place, list[Change]]] = []
    for key in sorted(found):
        place, own = found[key]
        if outer and place.line < outer[-1][0].stop:
            if place.stop > outer[-1][0].stop:
                return None
            outer[-1][1].extend(own)
        else:
            outer.append((place, own))
    order = {id(change): number for number, change in enumerate(changes)}
    made = [
        _cut(place, lines, sorted(own, key=lambda change: order[id(change)]), offset) for place, own in outer
    ]
    return None if any(cut is None for cut in made) else [cut for cut in made if cut is not None]


def _place_for(
    tree: Node, lines: Sequence[str], change: Change, moved: set[tuple[str | int, ...]]
) -> _Place | None:
    """The smallest entry that can be cut out and holds the change."""
    node, stop, best = tree, len(lines), None
    for depth, key in enumerate(change.path):
        path = change.path[:depth]
        place = None if node.flow or node.shared or path in moved else _entry(node, path, key, lines, stop)
        if place is None:
            break
        is_last = depth == len(change.path) - 1
        count = len(node.items) + len(node.elements)
        if is_last and change.value is None and count < 2:
            break  # the table or list would be empty: its own entry is changed then
        best = place
        child = node.child(key)
        if child is None or is_last:
            break
        node, stop = child, place.stop
    return best


def _entry(
    node: Node, path: tuple[str | int, ...], key: str | int, lines: Sequence[str], stop: int
) -> _Place | None:
    """The entry of a table or list under a key, or its last one where the key is new; lines counted from
    0.
    """
    if node.kind == "mapping" and node.items:
        keys = list(node.items)
        index = keys.index(str(key)) if str(key) in node.items else len(keys) - 1
        line, column, child = node.items[keys[index]]
        if lines[line - 1][: column - 1].strip():
            return None  # it begins on the line of another
        if index + 1 < len(keys):
            stop = node.items[keys[index + 1]][0] - 1
        return _Place(path, keys[index], child, line - 1, column - 1, stop, False)
    if node.kind == "sequence" and node.elements and isinstance(key, int):
        index = min(key, len(node.elements) - 1)
        child = node.elements[index]
        before = lines[child.line - 1][: child.column - 1]
        if before.strip() != "-":
            return None
        if index + 1 < len(node.elements):
            stop = node.elements[index + 1].line - 1
        return _Place(path, index, child, child.line - 1, before.index("-"), stop, True)
    return None


def _cut(place: _Place, lines: Sequence[str], changes: Sequence[Change], offset: int) -> Cut | None:
    if any(node.style in ("|", ">") or node.shared for node in _all(place.node)):
        return None
    stop = place.stop
    while stop > place.line + 1 and (not lines[stop - 1].strip() or lines[stop - 1].lstrip().startswith("#")):
        stop -= 1  # remarks before the next entry belong to that one
    own = lines[place.line : stop]
    column = place.column
    if any(line[:column].strip() for line in own):
        return None
    shift = min(offset, column) if place.is_list else 0
    margin = own[0][: column - shift]
    text = "\n".join(line[len(margin) :] for line in own) + "\n"
    if place.is_list:
        text = f"{_WRAP}:\n{text}"
    depth = len(place.path)
    seen: list[Change] = []
    for change in changes:
        key, rest = change.path[depth], change.path[depth + 1 :]
        if place.is_list:
            assert isinstance(key, int)
            assert isinstance(place.key, int)
            seen.append(Change((_WRAP, key - place.key, *rest), change.value))
        else:
            seen.append(Change((key, *rest), change.value))
    return Cut(place.line, stop, text, tuple(seen), margin, place.is_list)


def _all(node: Node) -> list[Node]:
    found, todo = [], [node]
    while todo:
        current = todo.pop()
        found.append(current)
        todo += [child for _, _, child in current.items.values()] + current.elements
    return found
