"""The form of a job: the tree held against the tables, every fault with its place.

Pydantic judges; here its judgement is turned into sentences for the person who wrote
the file: where, what was given, what is allowed, what was probably meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from pydantic import ValidationError

from farpress.domain.job import Job
from farpress.errors import Fault
from farpress.jobfile.names import closest, listed
from farpress.jobfile.shape import Allowed, child_of, example_of, fields_of, models_of, wanted
from farpress.jobfile.source import Source
from farpress.jobfile.spot import Spot, find_spot
from farpress.jobfile.tree import Node, path_text

__all__ = ["MOST_FAULTS", "check_form"]

MOST_FAULTS: Final = 100
"""Faults listed at most; our choice: nobody mends more in one go."""

_SYNONYMS: Final = {
    "section": "area",
    "cross_section": "area",
    "gauge": "area",
    "thickness": "diameter",
    "duration": "for",
    "time": "for",
    "pulse": "for",
    "mode": "kind",
    "type": "kind",
    "model": "part",
    "product": "part",
    "position": "at",
    "location": "at",
    "where": "at",
    "xy": "at",
    "floor": "level",
    "storey": "level",
    "name": "says",
    "note": "says",
    "comment": "says",
    "remark": "says",
    "description": "says",
    "aerial": "antenna",
    "drives": "works",
    "controls": "works",
    "device": "works",
    "switches": "works",
    "supply": "fed",
    "power": "fed",
    "psu": "fed",
    "material": "build",
    "construction": "build",
    "points": "along",
    "line": "along",
    "members": "people",
    "holders": "people",
    "user": "to",
    "who": "to",
    "presses": "within",
    "reliability": "at_least",
    "probability": "at_least",
    "site": "premises",
    "sites": "premises",
    "users": "people",
    "fobs": "groups",
    "channels": "outputs",
    "relay": "via",
    "contactor": "via",
}
"""Words of the trade or of common speech for a key that has another name here."""


def check_form(tree: Node, source: Source) -> tuple[Job | None, list[Fault], ValidationError | None]:
    """The job; or None, the faults of its form, and the checker's own error."""
    try:
        return Job.model_validate(tree.data, by_alias=True, by_name=False), [], None
    except ValidationError as wrong:
        error = wrong
    faults: list[Fault] = []
    seen: set[tuple[int, int, str]] = set()
    for one in error.errors(include_url=False):
        fault = _fault(one, tree, source)
        if fault is None or (fault.line, fault.column, fault.path) in seen:
            continue
        if len(faults) >= MOST_FAULTS:
            says = f"and more: {error.error_count()} places in all do not fit. Mend those above first"
            faults.append(source.fault(len(source.lines), 1, "", says))
            break
        if fault.column != 0 and one["type"] != "missing":
            seen.add((fault.line, fault.column, fault.path))
        faults.append(fault)
    return None, faults, error


def _fault(one: Any, tree: Node, source: Source) -> Fault | None:
    spot = find_spot(one["loc"], tree)
    node, kind = spot.node, one["type"]
    if not spot.fits:
        return None  # another member of the choice tells more
    if kind == "extra_forbidden":
        return source.fault(*spot.here, path_text(spot.path), _unknown_key(spot, tree))
    if kind == "missing":
        where = spot.here if node.line > spot.here[0] or not spot.path else (node.line, node.column)
        below = child_of(spot.allowed, spot.missing, node.data) if spot.missing is not None else None
        return source.fault(*where, path_text(spot.path), _missing(spot.missing, below))
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return _kind_fault(spot, source)
    where = (node.line, node.column) if node.kind == "scalar" and node.line else spot.here
    no_member = spot.choice is not None and kind.endswith("_type")
    return source.fault(
        *where, path_text(spot.path), _value_fault(one, node, spot.choice if no_member else spot.allowed)
    )


def _unknown_key(spot: Spot, tree: Node) -> str:
    name, path = str(spot.path[-1]) if spot.path else "", spot.path[:-1]
    parent = find_spot(path, tree)
    node, place = parent.node, parent.allowed
    comma = _comma_in_number(name, node)
    if comma:
        return comma
    keys = [key for model in models_of(place, node.data) for key in fields_of(model)]
    free = [key for key in dict.fromkeys(keys) if key not in node.items]
    synonym = _SYNONYMS.get(name.lower().replace(" ", "_"))
    near = synonym if synonym in free else closest(name, free) or closest(name.replace(" ", "_"), free)
    meant = f" Did you mean '{near}'?" if near else ""
    if not near and closest(name, node.items.keys() - {name}) in keys:
        meant = f" '{closest(name, node.items.keys() - {name})}' stands here already."
    where = f" in {_shown(path)}" if path else " at the top of a job"
    return (
        f"the key '{name[:60]}' is not known{where}.{meant} Allowed here:"
        f" {listed(free, most=10, near=near or name) or 'nothing more'}"
    )


def _comma_in_number(name: str, node: Node) -> str:
    """`{length: 3,1 m}` reads as length 3 and a key "1 m": said so; empty for anything else."""
    keys = list(node.items)
    at = keys.index(name) if name in keys else 0
    if not node.flow or not name[:1].isdigit() or at == 0 or node.items[name][2].data is not None:
        return ""
    before = node.items[keys[at - 1]][2]
    if before.kind != "scalar" or not str(before.data).lstrip("+-").isdigit():
        return ""
    return (
        f"a comma ends the value of '{keys[at - 1]}' here. Use a point, not a comma: '{keys[at - 1]}:"
        f" {before.data}.{name}'"
    )


def _missing(key: str | int | None, place: Allowed | None) -> str:
    if isinstance(key, int):
        return f"an entry is missing here: {key + 1} are wanted"
    says = f" ({place.description})" if place is not None and place.description else ""
    example = example_of(place)
    form = f"write '{key}: {example}'" if example else f"it wants {wanted(place)}"
    return f"'{key}' is missing here{says}; {form}"


def _kind_fault(spot: Spot, source: Source) -> Fault:
    kinds = [
        word
        for model in models_of(spot.allowed)
        for word in getattr(model.model_fields["kind"].annotation, "__args__", ())
    ]
    given = spot.node.items.get("kind")
    if given is None:
        return source.fault(
            *spot.here,
            path_text(spot.path),
            f"'kind' is missing here: say what kind of part this is, one of {', '.join(kinds)}",
        )
    word = str(given[2].data)
    near = closest(word, kinds)
    meant = f" Did you mean '{near}'?" if near else ""
    says = f"'{word[:60]}' is no kind of part.{meant} Allowed: {', '.join(kinds)}"
    return source.fault(given[2].line, given[2].column, path_text([*spot.path, "kind"]), says)


def _value_fault(one: Any, node: Node, place: Allowed | None) -> str:
    kind, context = one["type"], one.get("ctx", {})
    given = _given(node)
    if kind in ("quantity", "point"):
        return str(one["msg"]) + (
            " (a list or table stands here)" if node.kind != "scalar" and kind == "quantity" else ""
        )
    if kind == "literal_error":
        words = [str(word) for word in getattr(place.core, "__args__", ())] if place is not None else []
        near = closest(str(node.data), words) if node.kind == "scalar" else None
        meant = f" Did you mean '{near}'?" if near else ""
        return (
            f"{given} is not allowed here.{meant} Allowed: {', '.join(words) or context.get('expected', '')}"
        )
    if kind == "value_error":
        return str(context.get("error", one["msg"]))
    if kind in ("too_short", "too_long"):
        bound = (
            f"at least {context.get('min_length')}"
            if kind == "too_short"
            else f"at most {context.get('max_length')}"
        )
        return (
            f"this list has {context.get('actual_length', len(node.elements))} entries, but {bound} are"
            " wanted"
        )
    if node.kind == "scalar" and node.data is None:
        return f"nothing stands here; wanted is {wanted(place)}, or leave the key out"
    if kind == "string_type" and isinstance(node.data, bool):
        word = "true" if node.data else "false"
        return f"'{word}' means yes or no, but text is wanted; put it in quotes if it is a name: \"{word}\""
    return f"{given} stands here, but wanted is {wanted(place)}"


def _given(node: Node) -> str:
    if node.kind == "scalar":
        return "nothing" if node.data is None else f"'{str(node.data)[:60]}'"
    return "a table" if node.kind == "mapping" else "a list"


def _shown(path: Sequence[str | int]) -> str:
    return path_text([key for key in path if isinstance(key, str)][-2:])
