"""What hangs on an entry of a job: if it goes, what points to it must go too, and is said first."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from farpress.domain.finding import Change
from farpress.errors import Fault, InputError, JobFileError
from farpress.jobfile.names_there import Known, Path
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree

__all__ = ["Removal", "places_in", "removal_of"]

MOST_STEPS: Final = 60
"""How often it is looked again at what hangs on what was taken out; our choice."""


@dataclass(frozen=True)
class Removal:
    """An entry taken out with all that hangs on it.

    Attributes:
        changes: in this order, of the job file as it is.
        along: path and value of what goes besides, as it stood when it was taken out; a whole entry once.
    """

    changes: tuple[Change, ...]
    along: tuple[tuple[Path, Any], ...]


def removal_of(values: Any, path: Path, *, known: Known) -> Removal:
    """Take an entry out of a job, and then as long as something points to nothing that too.

    Args:
        values: of a job file without faults, as plain values.
        path: of the entry.
        known: names of the catalogue.

    Raises:
        InputError: there is no such entry, or a job cannot be without it.
    """
    left = copy.deepcopy(values)
    changes = [_taken_out(left, path)]
    along: list[tuple[Path, Any]] = []
    for _ in range(MOST_STEPS):
        faults, tree = _faults_of(left, known)
        if not faults:
            return Removal(tuple(changes), tuple(along))
        wrong = _wrong_places(tree, faults)
        if not wrong:
            break
        for place in wrong:
            value = copy.deepcopy(_value(left, place))
            changes.append(_taken_out(left, place))
            along = [row for row in along if row[0][: len(place)] != place]
            along.append((place, value))
    raise InputError(
        f"A job cannot be without {path_text(path)}: {faults[0].says if faults else 'too much hangs on it'}"
    )


def places_in(tree: Node) -> Iterator[tuple[tuple[int, int], Path, Node]]:
    """Every value of a file: where faults may say it is, its path, and the value; inner ones first."""
    stack: list[tuple[Path, Node, tuple[int, int]]] = [((), tree, (tree.line, tree.column))]
    found: list[tuple[tuple[int, int], Path, Node]] = []
    while stack:
        path, node, where = stack.pop()
        found += [(place, path, node) for place in {where, (node.line, node.column)}]
        for key, (line, column, child) in node.items.items():
            place = (child.line, child.column) if child.kind == "scalar" else (line, column)
            stack.append(((*path, key), child, place))
        for index, child in enumerate(node.elements):
            stack.append(((*path, index), child, (child.line, child.column)))
    yield from sorted(found, key=lambda row: -len(row[1]))


def _faults_of(values: Any, known: Known) -> tuple[list[Fault], Node | None]:
    text = json.dumps(values, ensure_ascii=False, indent=1)
    try:
        read_job_text(text, known=known)
    except JobFileError as error:
        tree, _ = text_to_tree(decode(text.encode("utf-8"), None))
        return list(error.faults), tree
    return [], None


def _wrong_places(tree: Node | None, faults: list[Fault]) -> list[Path]:
    """The paths that faults are at, of each list the last first; none where a fault is at the whole file."""
    if tree is None:
        return []
    there = {(fault.line, fault.column) for fault in faults}
    found = {path for where, path, _ in places_in(tree) if where in there}
    if () in found:
        return []
    outer = {path for path in found if not any(path[:depth] in found for depth in range(1, len(path)))}
    return sorted(outer, key=lambda path: [(isinstance(key, str), key) for key in path], reverse=True)


def _value(values: Any, path: Path) -> Any:
    for key in path:
        values = values[str(key)] if isinstance(values, Mapping) else values[key]
    return values


def _taken_out(values: Any, path: Path) -> Change:
    """Take a value out; a table or list that is empty then stays as an empty one."""
    try:
        place = _value(values, path[:-1])
        key = str(path[-1]) if isinstance(place, dict) else path[-1]
        del place[key]
    except (LookupError, TypeError):
        raise InputError(
            f"There is no {path_text(path)} in the job (any more). Load the page again."
        ) from None
    return Change(path, None) if place or len(path) == 1 else Change(path[:-1], copy.copy(place))
