"""From the checker's path of an error to the node of the file it speaks of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farpress.domain.job import Job
from farpress.jobfile.shape import Allowed, allowed, child_of, is_union, models_of
from farpress.jobfile.tree import Node

__all__ = ["Moved", "Spot", "find_spot", "original_path", "place_of"]

Moved = Mapping[tuple[str | int, ...], Sequence[int]]
"""Path of a list from which entries were left out → where the others stand in the file."""


@dataclass(frozen=True)
class Spot:
    """One place of the file, found from an error's path.

    Attributes:
        node: the deepest value that is there.
        allowed: what is allowed there.
        path: keys that lead there.
        here: line and column of its key, or of itself in a list.
        missing: the key below it that is not there; None if the node itself is meant.
        member: of a choice of types, the one the checker speaks of; empty if there is none.
    """

    node: Node
    allowed: Allowed | None
    path: tuple[str | int, ...]
    here: tuple[int, int]
    missing: str | int | None = None
    member: str = ""


def find_spot(location: Sequence[str | int], tree: Node, moved: Moved | None = None) -> Spot:
    """The place of an error."""
    node, here = tree, (tree.line, tree.column)
    place: Allowed | None = allowed(Job)
    path: tuple[str | int, ...] = ()
    member = ""
    for key in location:
        if is_union(place) and isinstance(key, str):
            member = key
            place = _member(place, key)
            continue
        if isinstance(key, int) and moved and path in moved:
            key = moved[path][key]
        child = node.child(key)
        if child is None:
            return Spot(node, place, path, here, key, member)
        here = node.items[str(key)][:2] if node.kind == "mapping" else (child.line, child.column)
        place = child_of(place, key, node.data)
        node, path = child, (*path, key)
    return Spot(node, place, path, here, None, member)


def original_path(path: Sequence[str | int], moved: Moved) -> tuple[str | int, ...]:
    """A path of the file, from one in a job from which entries were left out."""
    whole: tuple[str | int, ...] = ()
    for key in path:
        whole = (*whole, moved[whole][key] if isinstance(key, int) and whole in moved else key)
    return whole


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


def _member(place: Allowed | None, label: str) -> Allowed | None:
    """The member of a choice that the checker speaks of."""
    for model in models_of(place):
        kinds: object = model.model_fields["kind"].annotation if "kind" in model.model_fields else None
        if label == model.__name__ or label in getattr(kinds, "__args__", ()):
            return Allowed(model)
    return Allowed(str) if label == "str" else place
