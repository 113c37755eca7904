"""A job without its faulty entries, so that the names in all the others can still be checked.

Nothing is ever calculated from such a job; it serves to tell all faults at once.
"""

from __future__ import annotations

from typing import Any, Final

from pydantic import ValidationError

from farpress.domain.job import Job
from farpress.jobfile.spot import find_spot
from farpress.jobfile.tree import Node

__all__ = ["pruned_job"]

ROUNDS: Final = 8
"""How often is tried; our choice: an entry's parents are left out one by one."""


def pruned_job(
    tree: Node, error: ValidationError
) -> tuple[Job | None, dict[tuple[str | int, ...], list[int]]]:
    """The job without what is wrong in it, and the lists it has become shorter in.

    Args:
        tree: the file.
        error: what is wrong with it as a whole.

    Returns:
        None where too much is wrong, and path of a list → original positions of the rest.
    """
    drop: set[tuple[str | int, ...]] = set()
    moved: dict[tuple[str | int, ...], list[int]] = {}
    wrong = error.errors(include_url=False, include_input=False)
    for _ in range(ROUNDS):
        for one in wrong:
            path = find_spot(one["loc"], tree, moved).path
            while path in drop:  # it was left out before and is missed now: the entry cannot do without it
                path = path[:-1]
            if path:
                drop.add(path)
        moved = {}
        data = _without(tree, (), drop, moved)
        data.setdefault("job", "?")
        data["farpress"] = 1
        try:
            return Job.model_validate(data, by_alias=True, by_name=False), moved
        except ValidationError as again:
            wrong = again.errors(include_url=False, include_input=False)
    return None, {}


def _without(
    node: Node,
    path: tuple[str | int, ...],
    drop: set[tuple[str | int, ...]],
    moved: dict[tuple[str | int, ...], list[int]],
) -> Any:
    if node.kind == "mapping":
        return {
            key: _without(child, (*path, key), drop, moved)
            for key, (_, _, child) in node.items.items()
            if (*path, key) not in drop
        }
    if node.kind == "sequence":
        kept = [index for index in range(len(node.elements)) if (*path, index) not in drop]
        if len(kept) < len(node.elements):
            moved[path] = kept
        return [_without(node.elements[index], (*path, index), drop, moved) for index in kept]
    return node.data
