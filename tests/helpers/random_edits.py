"""Edits of a job as people make them, drawn at random: a length, a current, a place, a part left out."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.errors import FarpressError
from farpress.jobfile.node import Node

__all__ = ["random_changes", "random_edits"]

Path_ = tuple[str | int, ...]

_NUMBER = re.compile(r"^(-?\d+(?:\.\d+)?)( ?[A-Za-z%µΩ]+[A-Za-z0-9/]*)?$")


def random_edits(case: Case, seed: int) -> Iterator[tuple[str, Case]]:
    """Each edit in words and the job after it, without end; edits that the reader refuses are passed over."""
    assert case.document is not None
    chance = random.Random(seed)
    places = [
        place
        for top in ("premises", "parts", "groups", "promises", "rules", "readings")
        if (node := case.document.tree.child(top)) is not None
        for place in _places(node, (top,))
    ]
    while True:
        path, node = chance.choice(places)
        value = None if chance.random() < 0.25 else _other(node.data, chance)
        if value == node.data:
            continue
        try:
            yield f"{'.'.join(map(str, path))} = {value}", farpress.change(case, {path: value})
        except FarpressError:
            continue


def random_changes(case: Case, seed: int) -> Iterator[tuple[Change, ...]]:
    """One or two changes of any kind, without end; many of them no reader takes: a value, an entry taken out,
    one given a second time under another name or place, a whole table, a word where a number belongs.
    """
    assert case.document is not None
    chance, tree = random.Random(seed), case.document.tree
    places = [place for key, (_, _, top) in tree.items.items() for place in _all_places(top, (key,))]
    while True:
        yield tuple(_any_change(*chance.choice(places), chance) for _ in range(chance.choice((1, 1, 1, 2))))


def _all_places(node: Node, path: Path_) -> Iterator[tuple[Path_, Node]]:
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    for key, child in [*children, *enumerate(node.elements)]:
        yield (*path, key), child
        yield from _all_places(child, (*path, key))


def _any_change(path: Path_, node: Node, chance: random.Random) -> Change:
    kind = chance.choice(("other", "other", "out", "again", "whole", "odd"))
    if kind == "out":
        return Change(path, None)
    if kind == "again":
        last = f"{path[-1]}2" if isinstance(path[-1], str) else path[-1] + 1
        return Change((*path[:-1], last), _simple(node.data))
    if kind == "odd":
        return Change(
            path, chance.choice(("twelve", "12 m", True, 3, 0.25, "0123", ["a"], {"says": "new"}, "no"))
        )
    value = _other(node.data, chance) if node.kind == "scalar" and node.data is not None else node.data
    return Change(path, _simple(value))


def _simple(value: object) -> object:
    """The value as a program has it, without how it was written."""
    if isinstance(value, dict):
        return {key: _simple(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_simple(entry) for entry in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return int(value) if isinstance(value, int) else float(value)
    return value


def _places(node: Node, path: Path_) -> Iterator[tuple[Path_, Node]]:
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    children += list(enumerate(node.elements))
    for key, child in children:
        if len(path) >= 2 and child.kind == "scalar":
            yield (*path, key), child
        yield from _places(child, (*path, key))


def _other(value: object, chance: random.Random) -> object:
    """Another value of the same kind: a number up to a third more or less, a word as it is."""
    factor = chance.uniform(0.67, 1.33)
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return max(round(value * factor), 1)
    if isinstance(value, float):
        return round(value * factor, 3)
    found = _NUMBER.match(str(value))
    return f"{float(found[1]) * factor:.4g}{found[2] or ''}" if found else value
