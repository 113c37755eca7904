"""Renaming: an entry gets another name, and everything that points to it follows.

What points to it is found by reading the job with the new name: whatever does not find it any more meant it.
So a name that means something else stays, and remarks and order of the file too.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path as Folder
from typing import Final

from farpress.case.evidence import record_stamp
from farpress.editing.hanging import places_in
from farpress.editing.unmissed_names import unmissed_uses
from farpress.errors import Fault, InputError, JobFileError
from farpress.jobfile.names_there import Known, Path
from farpress.jobfile.node import Node
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.written import written_scalar

__all__ = ["recorded_under", "renamed_text"]

MOST_ROUNDS: Final = 12
"""How often it is looked again at what still has the old name; our choice."""

_WORD: Final = re.compile(r"[^/.]+")
"""Names within a text that points at something, as in "larkfen/R1/2" or "gate.open"."""


def renamed_text(text: str, path: Path, name: str, *, known: Known) -> str:
    """The text of a job file with another name for an entry, and all uses of it following.

    Args:
        text: of a job file without faults.
        path: of the entry, its present name last.
        name: the new one.
        known: names of the catalogue.

    Raises:
        InputError: there is no such entry, the name is taken or cannot be one, or a use of it could not be
            found out.
    """
    old, name = str(path[-1]), " ".join(name.split())
    if not name:
        raise InputError("Give it a name.")
    if name == old:
        return text
    tree = _tree(text)
    table = _node(tree, path[:-1])
    if table is None or table.child(old) is None:
        raise InputError(f"There is no '{old}' (any more). Load the page again.")
    if table.child(name) is not None:
        raise InputError(f"There is a '{name}' already; give it another name.")
    line, column, _ = table.items[old]
    edits = [(line, column, _key_end(text, line, column, old), _key(name, table))]
    edits += [
        (node.line, node.column, node.end_column, _written(tree, where, node, told))
        for where, node, told in unmissed_uses(tree, path, name)
    ]
    edits += [*_legs(text, tree, path, name), *_translated(text, tree, path, name)]
    text = _with_edits(text, edits)
    for _ in range(MOST_ROUNDS):
        try:
            read_job_text(text, known=known)
        except JobFileError as error:
            edits = list(dict.fromkeys(_followed(text, error.faults, old, name)))
            if not edits:
                raise InputError(f"It cannot be called '{name}': {error.faults[0].says}") from error
            text = _with_edits(text, edits)
        else:
            return text
    raise InputError(f"'{old}' is used in too many ways to be renamed here; rename it in the file.")


_Edit = tuple[int, int, int, str]
"""Line, column, column after it, new text."""


def _legs(text: str, tree: Node, path: Path, name: str) -> Iterator[_Edit]:
    """Legs of tamper loops that are called after a receiver or panel; they may have any name, so that nobody
    misses the old one.
    """
    if len(path) != 4 or path[2] not in ("receivers", "panels"):
        return
    loops = _node(tree, (*path[:2], "tamper_loops"))
    for _, _, loop in loops.items.values() if loops is not None else ():
        for room in ("legs", "later"):
            legs = loop.child(room)
            if legs is not None and str(path[3]) in legs.items:
                line, column, _ = legs.items[str(path[3])]
                yield line, column, _key_end(text, line, column, str(path[3])), _key(name, legs)


def _translated(text: str, tree: Node, path: Path, name: str) -> Iterator[_Edit]:
    """The name where its translation is given, unless another entry is called so too."""
    old, tables = str(path[-1]), [_node(tree, (room,)) for room in ("functions", "groups", "premises")]
    for premises in tables[2].items.values() if tables[2] is not None else ():
        tables += [premises[2].child(room) for room in ("places", "devices", "panels", "receivers")]
    if sum(table is not None and old in table.items for table in tables) != 1:
        return
    languages = _node(tree, ("translations",))
    for _, _, words in languages.items.values() if languages is not None else ():
        if old in words.items:
            line, column, _ = words.items[old]
            yield line, column, _key_end(text, line, column, old), _key(name, words)


def _followed(text: str, faults: tuple[Fault, ...] | list[Fault], old: str, name: str) -> Iterator[_Edit]:
    """Edits of what points to the old name."""
    tree = _tree(text)
    there = {(fault.line, fault.column) for fault in faults}
    for where, path, node in places_in(tree):
        if where not in there:
            continue
        if node.kind == "scalar" and isinstance(node.data, str | int | float) and path:
            swapped = _swapped(str(node.data), old, name)
            if swapped is not None and node.line == node.end_line:
                yield node.line, node.column, node.end_column, _written(tree, path, node, swapped)
                continue
        swapped = _swapped(str(path[-1]), old, name) if path and isinstance(path[-1], str) else None
        if swapped is not None:
            table = _node(tree, path[:-1])
            assert table is not None
            line, column, _ = table.items[str(path[-1])]
            yield line, column, _key_end(text, line, column, str(path[-1])), _key(swapped, table)


def _swapped(text: str, old: str, name: str) -> str | None:
    """A text with the new name in the place of the old one, where that is a word of it."""
    if text == old:
        return name
    pieces = re.split(r"([/.])", text)
    # a name may hold dots of its own: the longest run of pieces that is the name
    for start in range(0, len(pieces), 2):
        for stop in range(len(pieces), start, -2):
            if "".join(pieces[start:stop]) == old:
                return "".join([*pieces[:start], name, *pieces[stop:]])
    return None


def _written(tree: Node, path: Path, node: Node, text: str) -> str:
    return written_scalar(text, quote=node.style, flow=_is_in_flow(tree, path))


def _is_in_flow(tree: Node, path: Path) -> bool:
    return any((node := _node(tree, path[:depth])) is not None and node.flow for depth in range(len(path)))


def _key(name: str, table: Node) -> str:
    return written_scalar(name, quote="", flow=table.flow)


def _key_end(text: str, line: int, column: int, key: str) -> int:
    """The column after a key, quotes included."""
    rest = text.splitlines()[line - 1][column - 1 :]
    if rest[:1] in ("'", '"'):
        close = rest.find(rest[0], 1)
        return column + close + 1
    return column + len(key)


def _with_edits(text: str, edits: list[_Edit]) -> str:
    lines = text.splitlines(keepends=True)
    for line, column, end, new in sorted(edits, reverse=True):
        whole = lines[line - 1]
        lines[line - 1] = whole[: column - 1] + new + whole[end - 1 :]
    return "".join(lines)


def _tree(text: str) -> Node:
    tree, faults = text_to_tree(decode(text.encode("utf-8"), None))
    if tree is None or faults:
        raise InputError("The job file cannot be read; mend it first.")
    return tree


def _node(tree: Node, path: Path) -> Node | None:
    node: Node | None = tree
    for key in path:
        node = node.child(key) if node is not None else None
    return node


def recorded_under(folder: Folder, job: str, path: Path) -> int:
    """How many acts of the record beside a job speak of an entry by its name: what happened keeps the name it
    happened under.
    """
    from farpress.record.store import open_record

    pattern = _spoken_of(path)
    if pattern is None or record_stamp(folder)[0] == (0, 0):
        return 0
    with open_record(folder) as record:
        events = record.events(job=job)
    return sum(any(pattern.search(text) for text in _texts(json.loads(event.text))) for event in events)


def _spoken_of(path: Path) -> re.Pattern[str] | None:
    """How the record speaks of an entry; None for what it never speaks of."""
    table, name = str(path[-2]) if len(path) > 1 else "", re.escape(str(path[-1]))
    if table == "groups":
        return re.compile(rf"\A{name}(\Z|: )")
    if table == "functions":
        return re.compile(rf"\A{name}\Z|: {name} from ")
    if table in ("people", "premises"):
        return re.compile(rf"\A{name}(\Z|/)")
    if len(path) == 4 and path[0] == "premises":
        premises = re.escape(str(path[1]))
        return re.compile(rf"(\A|[ :]){premises}/{name}(\Z|/)|from {name}\Z|\A{name}\Z")
    return None


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, member in value.items():
            yield from _texts(key)
            yield from _texts(member)
    elif isinstance(value, list | tuple | set | frozenset):
        for member in value:
            yield from _texts(member)
