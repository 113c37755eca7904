"""Equal blocks written once: `R<each>: {each: [A, B, C], …}` stands for RA, RB and RC.

Inside the block `<each>` is the name. A table instead of the list has what is different:
`each: {A: {at: [1, 2]}, B: {at: [5, 2]}}`. What stands under a made name beside the block,
`RB: {at: [6, 2]}`, wins over the block: a change that is made to one of them is written there.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from farpress.errors import Fault
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.source import Source

__all__ = ["EACH", "written_out"]

EACH: Final = "each"
"""The key of a block that stands for several."""

MARK: Final = "<each>"
"""What stands for the name inside it."""

MOST: Final = 200
"""Blocks that one may stand for; our choice."""

_Path = tuple[str | int, ...]
_Renamed = Callable[[str], str]


def written_out(tree: Node, source: Source) -> tuple[Node, list[Fault]]:
    """The tree with every such block written out, and what is wrong with them; the given tree stays as it is.

    Args:
        tree: of the file.
        source: its text, for the faults.
    """
    if EACH not in source.text:
        return tree, []
    writer = _BlockWriter(source)
    return writer.whole(tree, (), _same), writer.faults


def _same(text: str) -> str:
    return text


class _BlockWriter:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.faults: list[Fault] = []

    def whole(self, node: Node, path: _Path, renamed: _Renamed) -> Node:
        """A node with its blocks written out, and with another name where it lies in one."""
        if node.kind == "scalar":
            return self._scalar(node, renamed)
        copied = _like(node)
        if node.kind == "sequence":
            for number, child in enumerate(node.elements):
                if child.kind == "mapping" and EACH in child.items:
                    line, column, _ = child.items[EACH]
                    self._refuse(
                        (line, column),
                        (*path, number, EACH),
                        "only a named block can stand for several; the entries of a list are written out",
                    )
                copied.elements.append(self.whole(child, (*path, number), renamed))
            copied.data = [child.data for child in copied.elements]
            return copied
        for key, (line, column, child) in node.items.items():
            if child.kind == "mapping" and EACH in child.items:
                self._blocks(copied, key, (line, column), child, path, renamed)
            elif MARK in key and renamed is _same:
                self._refuse(
                    (line, column),
                    (*path, key),
                    f"'{key[:60]}' is a block that stands for several, but it does not say for which; write"
                    f" '{EACH}: [A, B]' in it",
                )
            else:
                name = renamed(key)
                made = self.whole(child, (*path, key), renamed)
                there = copied.items.get(name)
                copied.items[name] = (line, column, made if there is None else _over(there[2], made))
        copied.data = {key: child.data for key, (_, _, child) in copied.items.items()}
        return copied

    def _scalar(self, node: Node, renamed: _Renamed) -> Node:
        if renamed is _same or not isinstance(node.data, str) or MARK not in node.data:
            return node
        copied = _like(node)
        copied.data = renamed(node.data)
        copied.end_line, copied.end_column, copied.style = node.end_line, node.end_column, node.style
        return copied

    def _blocks(
        self, into: Node, key: str, place: tuple[int, int], block: Node, path: _Path, renamed: _Renamed
    ) -> None:
        """Write a block out under each of its names."""
        each = block.items[EACH][2]
        names = list(each.items) if each.kind == "mapping" else [str(child.data) for child in each.elements]
        here = (*path, key)
        if renamed is not _same:
            self._refuse(
                place, here, f"a block with '{EACH}' stands inside another one; write one of them out"
            )
        elif MARK not in key:
            message = (
                f"all of these would be called '{key[:60]}'; put '{MARK}' where the name comes, as"
                f" '{key[:60]}{MARK}'"
            )
            self._refuse(place, here, message)
        elif not 1 <= len(set(names)) == len(names) <= MOST or "" in map(str.strip, names):
            message = (
                f"'{EACH}' wants a list of 1 to {MOST} names, each once, as '{EACH}: [A, B, C]', or a table"
                " of them"
            )
            self._refuse((each.line, each.column), (*here, EACH), message)
        else:
            for name in names:
                self._block(into, key, place, block, name, here)

    def _block(
        self, into: Node, key: str, place: tuple[int, int], block: Node, name: str, path: _Path
    ) -> None:
        def renamed(text: str) -> str:
            return text.replace(MARK, name)

        plain = _like(block)
        plain.items = {inner: entry for inner, entry in block.items.items() if inner != EACH}
        made = self.whole(plain, path, renamed)
        each = block.items[EACH][2]
        if each.kind == "mapping" and each.items[name][2].kind == "mapping":
            made = _over(made, self.whole(each.items[name][2], (*path, EACH, name), renamed))
        there = into.items.get(renamed(key))
        into.items[renamed(key)] = (*place, made if there is None else _over(made, there[2]))

    def _refuse(self, place: tuple[int, int], path: _Path, says: str) -> None:
        self.faults.append(self.source.fault(*place, path_text(path), says))


def _like(node: Node) -> Node:
    copied = Node(node.kind, node.line, node.column, node.data, flow=node.flow)
    copied.size, copied.shared = node.size, node.shared
    return copied


def _over(below: Node, above: Node) -> Node:
    """Two tables laid over each other; anything else: the upper one."""
    if below.kind != "mapping" or above.kind != "mapping":
        return above
    both = _like(below)
    both.items = dict(below.items)
    for key, (line, column, child) in above.items.items():
        there = both.items.get(key)
        both.items[key] = (line, column, child if there is None else _over(there[2], child))
    both.data = {key: child.data for key, (_, _, child) in both.items.items()}
    return both
