"""The first step of reading: YAML text to a tree of nodes that know their line and column.

Built from the parser's events, not from its own composer: duplicate keys, anchors,
depth and number of nodes are checked before anything is expanded, and nothing recurses.
The text is parsed by libyaml where it is built in, else by the same parser in Python.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import yaml

from farpress.errors import Fault
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.scalars import scalar_value, text_fault
from farpress.jobfile.source import Source
from farpress.jobfile.syntax import explain

__all__ = ["DEEPEST", "MOST_NODES", "text_to_tree"]

DEEPEST: Final = 40
"""Deepest nesting; our choice: a job needs 9 levels."""
MOST_NODES: Final = 200_000
"""Most values, every alias counted as often as it is used; our choice: the largest example has some
thousands."""

_PREFIX = "tag:yaml.org,2002:"
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Frame:
    """A collection that is being read, and the key that waits for its value."""

    __slots__ = ("anchor", "is_key", "key", "node", "waits")

    def __init__(self, node: Node, anchor: str | None, is_key: bool) -> None:
        self.node, self.anchor, self.is_key = node, anchor, is_key
        self.key: tuple[str | None, int, int] = (None, 0, 0)
        self.waits = False  # a mapping: the key is known, its value comes next


class _StopError(Exception):
    """Reading further makes no sense."""


def text_to_tree(source: Source) -> tuple[Node | None, list[Fault]]:
    """The tree of a job file, and every fault of its form.

    Returns:
        The top node, None where the text is no YAML or empty, and the faults.
    """
    builder = _Builder(source)
    try:
        for event in _events(source.text):
            builder.take(event)
    except _StopError:
        return None, builder.faults
    except yaml.YAMLError as error:
        line, column, says = explain(error, source)
        builder.faults.append(source.fault(line, column, "", says))
        return None, builder.faults
    return builder.top, builder.faults


def _events(text: str) -> Iterator[Any]:
    events: Iterator[Any] = yaml.parse(text, Loader=_LOADER)
    return events


class _Builder:
    """Takes events, grows the tree on an explicit stack."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.faults: list[Fault] = []
        self.top: Node | None = None
        self.stack: list[_Frame] = []
        self.anchors: dict[str, Node | None] = {}
        self.count = 0
        self.documents = 0

    def take(self, event: Any) -> None:
        """One event of the parser."""
        kind = type(event)
        if kind is yaml.ScalarEvent:
            self._scalar(event)
        elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
            self._open(event, "mapping" if kind is yaml.MappingStartEvent else "sequence")
        elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
            frame = self.stack.pop()
            if frame.anchor:
                self.anchors[frame.anchor] = frame.node
            if frame.is_key:
                self.stack[-1].key, self.stack[-1].waits = (None, 0, 0), True
            else:
                self._attach(frame.node)
        elif kind is yaml.AliasEvent:
            self._alias(event)
        elif kind is yaml.DocumentStartEvent:
            self.documents += 1
            if self.documents > 1:
                self._fault(
                    event,
                    "a job file holds one document; a second one begins here ('---'). Delete that line or"
                    " split the file",
                )
                raise _StopError

    def _fault(self, event: Any, says: str) -> None:
        self.faults.append(
            self.source.fault(event.start_mark.line + 1, event.start_mark.column + 1, self._path(), says)
        )

    def _path(self) -> str:
        keys: list[str | int] = []
        for frame in self.stack:
            if frame.node.kind == "sequence":
                keys.append(len(frame.node.elements))
            elif frame.waits and frame.key[0] is not None:
                keys.append(frame.key[0])
        return path_text(keys)

    def _wants_key(self) -> bool:
        return bool(self.stack) and self.stack[-1].node.kind == "mapping" and not self.stack[-1].waits

    def _count(self, event: Any, nodes: int) -> None:
        self.count += nodes
        if self.count > MOST_NODES:
            says = (
                f"the file holds more than {MOST_NODES} values, anchors ('&') counted each time they are"
                " used; that is no job. Write the values out"
            )
            self._fault(event, says)
            raise _StopError
        if len(self.faults) >= 200:
            raise _StopError

    def _tag(self, event: Any) -> None:
        tag = event.tag
        if tag is not None and tag != "!":
            short = tag.removeprefix(_PREFIX)
            sign = f"!!{short}" if short != tag else tag
            self._fault(
                event,
                f"a job file has no tags; '{sign[:40]}' is one. Delete it, and put the value in quotes if it"
                " is text",
            )

    def _scalar(self, event: Any) -> None:
        self._count(event, 1)
        self._tag(event)
        plain = event.style in (None, "")
        text = event.value
        start, end = event.start_mark, event.end_mark
        if self._wants_key():
            self._key(event, text)
            return
        key = self.stack[-1].key[0] if self.stack and self.stack[-1].waits else ""
        says = text_fault(text, key or "")
        if says:
            self._fault(event, says)
        node = Node("scalar", start.line + 1, start.column + 1, scalar_value(text, plain=plain))
        node.end_line, node.end_column, node.style = end.line + 1, end.column + 1, event.style or ""
        if event.anchor:
            node.shared = True
            self.anchors[event.anchor] = node
        self._attach(node)

    def _key(self, event: Any, text: str) -> None:
        frame = self.stack[-1]
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        says = text_fault(text, None)
        key: str | None = text
        if not says and not text.strip():
            says = "a key has no name here; write 'name: value'"
        if not says and text == "<<":
            says = "values are not merged with '<<' in a job file; write them out"
        if says:
            self._fault(event, says)
            key = None
        elif text in frame.node.items:
            first_line, first_column, _ = frame.node.items[text]
            frame.key, frame.waits = (text, line, column), True
            self._fault(
                event,
                f"'{text}' stands here a second time; the first is at line {first_line}, column"
                f" {first_column}. Keep one of the two",
            )
            key = None
        frame.key, frame.waits = (key, line, column), True
        if event.anchor:
            self.anchors[event.anchor] = Node("scalar", line, column, text)

    def _open(self, event: Any, kind: str) -> None:
        self._count(event, 1)
        self._tag(event)
        is_key = self._wants_key()
        if is_key:
            self._fault(
                event,
                "brackets or braces where a name is wanted. A key is a word; text with '{' or '[' goes in"
                " quotes",
            )
        if len(self.stack) >= DEEPEST:
            self._fault(
                event,
                f"nested more than {DEEPEST} levels deep; a job needs about ten. Is a bracket or brace left"
                " open?",
            )
            raise _StopError
        start = event.start_mark
        node = Node(
            kind,
            start.line + 1,
            start.column + 1,
            {} if kind == "mapping" else [],
            flow=bool(event.flow_style),
        )
        if event.anchor:
            node.shared = True
            self.anchors[event.anchor] = None  # known, but not complete
        self.stack.append(_Frame(node, event.anchor, is_key))

    def _alias(self, event: Any) -> None:
        name = event.anchor
        target = self.anchors.get(name)
        if target is None:
            says = (
                f"'*{name}' stands inside the value it names ('&{name}'); that would never end. Write the"
                " value out"
                if name in self.anchors
                else (
                    f"'*{name}' refers to a value marked '&{name}', but there is none above. Text with a star"
                    " goes in quotes"
                )
            )
            self._fault(event, says)
            target = Node("scalar", event.start_mark.line + 1, event.start_mark.column + 1, None)
        self._count(event, target.size)
        if self._wants_key():
            if target.kind == "scalar":
                self._key(event, str(target.data))
            else:
                self._fault(event, "a key is a word; this refers to a list or table")
                self.stack[-1].key, self.stack[-1].waits = (None, 0, 0), True
            return
        self._attach(target)

    def _attach(self, node: Node) -> None:
        if not self.stack:
            self.top = node
            return
        frame = self.stack[-1]
        frame.node.size += node.size
        if frame.node.kind == "sequence":
            frame.node.elements.append(node)
            frame.node.data.append(node.data)
            return
        key, line, column = frame.key
        if key is not None:
            frame.node.items[key] = (line, column, node)
            frame.node.data[key] = node.data
        frame.key, frame.waits = (None, 0, 0), False
