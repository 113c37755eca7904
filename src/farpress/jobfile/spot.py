"""From the checker's path of an error to the node of the file it speaks of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_origin

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
        choice: the choice of types allowed for the node itself; None if there is no choice.
        fits: the member of it that the checker speaks of can be what is written there.
    """

    node: Node
    allowed: Allowed | None
    path: tuple[str | int, ...]
    here: tuple[int, int]
    missing: str | int | None = None
    choice: Allowed | None = None
    fits: bool = True


def find_spot(location: Sequence[str | int], tree: Node, moved: Moved | None = None) -> Spot:
    """The place of an error."""
    node, here = tree, (tree.line, tree.column)
    place: Allowed | None = allowed(Job)
    path: tuple[str | int, ...] = ()
    choice: Allowed | None = None
    fits = True
    for key in location:
        if place is not None and is_union(place) and isinstance(key, str):
            choice, place = place, _member(place, key)
            fits = (
                place is None
                or _form(place) == node.kind
                or not any(_form(allowed(one)) == node.kind for one in choice.core)
            )
            continue
        if isinstance(key, int) and moved and path in moved:
            if key >= len(moved[path]):  # an entry is wanted that was left out: the list itself is too short
                return Spot(node, place, path, here, key, choice, fits)
            key = moved[path][key]
        child = node.child(key)
        if child is None:
            return Spot(node, place, path, here, key, choice, fits)
        here = node.items[str(key)][:2] if node.kind == "mapping" else (child.line, child.column)
        place = child_of(place, key, node.data)
        node, path, choice = child, (*path, key), None
    return Spot(node, place, path, here, None, choice, fits)


def original_path(path: Sequence[str | int], moved: Moved) -> tuple[str | int, ...]:
    """A path of the file, from one in a job from which entries were left out."""
    whole: tuple[str | int, ...] = ()
    for key in path:
        kept = moved.get(whole, ())
        whole = (*whole, kept[key] if isinstance(key, int) and key < len(kept) else key)
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
    for core in place.core if place is not None else ():
        if (
            label.startswith("tuple") == (get_origin(core) is tuple)
            and (core is str) == (label == "str")
            and not models_of(allowed(core))
        ):
            return allowed(core)
    return place


def _form(place: Allowed) -> str:
    """Kind of node that a type is written as."""
    if models_of(place) or get_origin(place.core) is dict:
        return "mapping"
    return "sequence" if get_origin(place.core) is tuple else "scalar"
