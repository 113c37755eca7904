"""How the code is written: names that say what a thing is, conditions that can be read, one class a name."""

from __future__ import annotations

import ast
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

from helpers.source_trees import SOURCE, source_files, tree_of

EMPTY_NAMES = frozenset({"at", "one"})
"""Local names that say nothing: an output, a place or a moment all fit."""

ROOMS_WITH_EMPTY_NAMES: frozenset[str] = frozenset()
"""Rooms in which such names are still found; the list only gets shorter."""

ROOMS_WITH_NESTED_CONDITIONS: frozenset[str] = frozenset()
"""Rooms in which a conditional expression still stands inside another; the list only gets shorter."""

CLASS_NAMES_USED_TWICE: frozenset[str] = frozenset()
"""Names that still stand for two classes; the list only gets shorter."""


@cache
def trees() -> dict[Path, ast.Module]:
    """Every source file, parsed."""
    return {path.relative_to(SOURCE): tree_of(path) for path in source_files()}


def room_of(path: Path) -> str:
    """The room a file lies in: "core/keys", "papers/builders", "judging", or the file itself."""
    depth = 2 if path.parts[0] in ("core", "papers") else 1
    return "/".join(path.parts[:depth])


def empty_names(tree: ast.Module) -> list[int]:
    """Lines in which a local name, a parameter or a loop is called `one` or `at`."""
    nodes = list(ast.walk(tree))
    fields = {
        id(node.target)
        for owner in nodes
        if isinstance(owner, ast.ClassDef)
        for node in owner.body
        if isinstance(node, ast.AnnAssign)
    }
    lines = [node.lineno for node in nodes if isinstance(node, ast.arg) and node.arg in EMPTY_NAMES]
    return lines + [
        node.lineno
        for node in nodes
        if isinstance(node, ast.Name)
        and node.id in EMPTY_NAMES
        and isinstance(node.ctx, ast.Store)
        and id(node) not in fields
    ]


def nested_conditions(tree: ast.Module) -> list[int]:
    """Lines in which a conditional expression is a branch of another."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.IfExp)
        and (isinstance(node.body, ast.IfExp) or isinstance(node.orelse, ast.IfExp))
    ]


def test_the_checks_see_what_they_look_for() -> None:
    """A loop, a parameter, a lambda, a nested condition are seen; a field and a simple condition are not."""
    bad = ast.parse("def f(at):\n    return [one for one in at], lambda one: 1 if one else 2 if at else 3")
    good = ast.parse("class Seen:\n    one: float\n\n\nx = 1 if y else 2")

    assert sorted(empty_names(bad)) == [1, 2, 2]
    assert nested_conditions(bad) == [2]
    assert empty_names(good) == nested_conditions(good) == []


@pytest.mark.long
def test_local_names_say_what_they_are() -> None:
    """Nothing is called `one` or `at`; a finished room stays finished, and leaves the list of open ones."""
    found = [(path, line) for path, tree in trees().items() for line in empty_names(tree)]
    rooms = {room_of(path) for path, _ in found}
    places = [f"{path}:{line}" for path, line in found if room_of(path) not in ROOMS_WITH_EMPTY_NAMES]

    assert places == []
    assert sorted(ROOMS_WITH_EMPTY_NAMES - rooms) == [], "finished: take them off the list"


@pytest.mark.long
def test_no_condition_stands_inside_another() -> None:
    """`a if b else c if d else e` is written as a match, an if, a table or a small function."""
    found = [(path, line) for path, tree in trees().items() for line in nested_conditions(tree)]
    rooms = {room_of(path) for path, _ in found}
    places = [f"{path}:{line}" for path, line in found if room_of(path) not in ROOMS_WITH_NESTED_CONDITIONS]

    assert places == []
    assert sorted(ROOMS_WITH_NESTED_CONDITIONS - rooms) == [], "finished: take them off the list"


@pytest.mark.long
def test_a_class_name_stands_for_one_thing() -> None:
    """No two modules define a class of the same name."""
    homes = defaultdict(list)
    for path, tree in trees().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                homes[node.name].append(f"{path}:{node.lineno}")
    twice = {name: places for name, places in homes.items() if len(places) > 1}

    assert {name: places for name, places in twice.items() if name not in CLASS_NAMES_USED_TWICE} == {}
    assert sorted(CLASS_NAMES_USED_TWICE - set(twice)) == [], "told apart by now: take them off the list"
