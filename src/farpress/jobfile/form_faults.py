"""What does not fit the tables of a job, said for the person who wrote the file.

Pydantic judges; here one of its judgements becomes a fault: where, what was given, what is
allowed, what was probably meant.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final, TypeAlias

from farpress.domain.kinds import kind_called
from farpress.errors import Fault
from farpress.jobfile.allowed import (
    Allowed,
    Location,
    child_of,
    example_of,
    fields_of,
    find_location,
    models_of,
    wanted,
)
from farpress.jobfile.names import closest, did_you_mean, listed
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.scalars import REMARKS
from farpress.jobfile.source import Source

__all__ = ["form_fault", "meant_word"]

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

_Error: TypeAlias = Any
"""One entry of `ValidationError.errors()`: its path "loc", "type", "msg" and context "ctx"."""


def form_fault(error: _Error, tree: Node, source: Source) -> Fault | None:
    """The fault that the checker's error is; None where another error of the same place tells more.

    Args:
        error: one entry of `ValidationError.errors()`.
        tree, source: the file that was checked.
    """
    place = find_location(error["loc"], tree)
    node, path, kind = place.node, path_text(place.path), error["type"]
    if not place.fits:
        return None  # another member of the choice tells more
    if kind == "literal_error" and error["loc"][-1:] == ("[key]",):
        return source.fault(*place.position, path, _wrong_name(error))
    if kind == "extra_forbidden":
        return source.fault(
            *place.position, path, _unknown_key(place, find_location(error["loc"][:-1], tree))
        )
    if kind == "missing":
        begins_here = node.line <= place.position[0] and bool(place.path)
        position = (node.line, node.column) if begins_here else place.position
        return source.fault(*position, path, _missing_key(place))
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return _wrong_kind_of_part(place, source)
    position = (node.line, node.column) if node.kind == "scalar" and node.line else place.position
    no_member_fits = place.choice is not None and kind.endswith("_type")
    return source.fault(
        *position, path, _wrong_value(error, node, place.choice if no_member_fits else place.allowed)
    )


def _wrong_name(error: _Error) -> str:
    """What is said of a key of a table that takes only a few names."""
    name, allowed = str(error["loc"][-2]), str(error["ctx"]["expected"])
    names = re.findall(r"'([^']*)'", allowed)
    near = closest(name, names) or closest(name.replace("_", " "), names)
    meant = f" Did you mean '{near}'?" if near else ""
    return f"The name '{name[:60]}' is not known here.{meant} Allowed: {allowed}."


def _unknown_key(place: Location, table: Location) -> str:
    """What is said of a key that `table`, where it stands, does not know."""
    name, path = str(place.path[-1]) if place.path else "", place.path[:-1]
    node = table.node
    keys = [key for model in models_of(table.allowed, node.data) for key in fields_of(model)]
    comma = _comma_in_value(name, node)
    if comma:
        return comma
    free = [key for key in dict.fromkeys(keys) if key not in node.items]
    synonym = _SYNONYMS.get(name.lower().replace(" ", "_"))
    near = synonym if synonym in free else closest(name, free) or closest(name.replace(" ", "_"), free)
    meant = f" Did you mean '{near}'?" if near else ""
    if not near and closest(name, node.items.keys() - {name}) in keys:
        meant = f" '{closest(name, node.items.keys() - {name})}' stands here already."
    if not meant:
        meant = _text_cut_short(name, node)
    where = f" in {_last_keys(path)}" if path else " at the top of a job"
    return (
        f"the key '{name[:60]}' is not known{where}.{meant} Allowed here:"
        f" {listed(free, most=10, near=near or name) or 'nothing more'}"
    )


def _comma_in_value(name: str, node: Node) -> str:
    """`{length: 3,1 m}` reads as length 3 and a key "1 m": said so; empty for anything else."""
    keys = list(node.items)
    position = keys.index(name) if name in keys else 0
    if not node.flow or position == 0 or node.items[name][2].data is not None:
        return ""
    key, before = keys[position - 1], node.items[keys[position - 1]][2]
    if before.kind != "scalar":
        return ""
    if name[:1].isdigit() and str(before.data).lstrip("+-").isdigit():
        return (
            f"a comma ends the value of '{key}' here. Use a point, not a comma: '{key}: {before.data}.{name}'"
        )
    if key in REMARKS and isinstance(before.data, str):
        return (
            f"between braces a comma ends the text of '{key}'. Put the text in quotes:"
            f" '{key}: \"{before.data[:60]}, {name[:60]}\"'"
        )
    return ""


def _missing_key(place: Location) -> str:
    key = place.missing
    if isinstance(key, int):
        return f"an entry is missing here: {key + 1} are wanted"
    wanted_there = child_of(place.allowed, key, place.node.data) if key is not None else None
    about = f" ({wanted_there.description})" if wanted_there is not None and wanted_there.description else ""
    example = example_of(wanted_there)
    form = f"write '{key}: {example}'" if example else f"it wants {wanted(wanted_there)}"
    return f"'{key}' is missing here; {form}{about}"


def _wrong_kind_of_part(place: Location, source: Source) -> Fault:
    kinds = [
        word
        for model in models_of(place.allowed)
        for word in getattr(model.model_fields["kind"].annotation, "__args__", ())
    ]
    given = place.node.items.get("kind")
    if given is None:
        return source.fault(
            *place.position,
            path_text(place.path),
            f"'kind' is missing here: say what kind of part this is, one of {', '.join(kinds)}",
        )
    line, column, word = given[2].line, given[2].column, str(given[2].data)
    message = f"'{word[:60]}' is no kind of part.{did_you_mean(word, kinds)} Allowed: {', '.join(kinds)}"
    return source.fault(line, column, path_text([*place.path, "kind"]), message)


def _wrong_value(error: _Error, node: Node, place: Allowed | None) -> str:
    context = error.get("ctx", {})
    match error["type"]:
        case "quantity" | "point" as kind:
            no_scalar = node.kind != "scalar" and kind == "quantity"
            return f"{error['msg']}{' (a list or table stands here)' if no_scalar else ''}"
        case "literal_error":
            return _wrong_word(node, place, str(context.get("expected", "")))
        case "value_error":
            return str(context.get("error", error["msg"]))
        case "too_short" | "too_long" as kind:
            bound = "at least {min_length}" if kind == "too_short" else "at most {max_length}"
            return (
                f"this list has {context.get('actual_length', len(node.elements))} entries, but"
                f" {bound.format(**context)} are wanted"
            )
        case "string_type" if isinstance(node.data, bool):
            word = "true" if node.data else "false"
            return (
                f"'{word}' means yes or no, but text is wanted; put it in quotes if it is a name: \"{word}\""
            )
    if node.kind == "scalar" and node.data is None:
        return f"nothing stands here; wanted is {wanted(place)}, or leave the key out"
    return f"{_given(node)} stands here, but wanted is {wanted(place)}"


def _text_cut_short(name: str, node: Node) -> str:
    """A hint where an unknown key between braces may belong to the text before it, which a comma ended."""
    keys = list(node.items)
    position = keys.index(name) if name in keys else 0
    if not node.flow or position == 0 or keys[position - 1] not in REMARKS:
        return ""
    before, value = node.items[keys[position - 1]][2], node.items[name][2]
    rest = f": {value.data}" if value.kind == "scalar" and value.data is not None else ""
    return (
        f" Does it belong to the text of '{keys[position - 1]}'? Then put that in quotes:"
        f" '{keys[position - 1]}: \"{str(before.data)[:60]}, {name[:60]}{rest[:60]}\"'."
    )


_YES_OR_NO: Final = {False: ("off", "none"), True: ("on",)}
"""What somebody means who writes false or true where one of several words is wanted."""


def meant_word(given: bool, words: Sequence[str]) -> str | None:
    """The word that somebody means who writes false or true, where only one of those allowed can be meant."""
    meant = [word for word in _YES_OR_NO[given] if word in words]
    return meant[0] if len(meant) == 1 else None


def _wrong_word(node: Node, place: Allowed | None, expected: str) -> str:
    words = [str(word) for word in getattr(place.core, "__args__", ())] if place is not None else []
    allowed_words = ", ".join(words) or expected
    if isinstance(node.data, bool):
        meant = next((word for word in _YES_OR_NO[node.data] if word in words), None)
        near = f" Did you mean '{meant}'?" if meant else ""
        given = str(node.data).lower()
        return f"'{given}' means yes or no, but a word is wanted.{near} Allowed: {allowed_words}"
    near = did_you_mean(str(node.data), words) if node.kind == "scalar" else ""
    called = kind_called(str(node.data)) if node.kind == "scalar" else None
    if called is not None and called.name in words:
        near = f" Did you mean '{called.name}'?"
    return f"{_given(node)} is not allowed here.{near} Allowed: {allowed_words}"


def _given(node: Node) -> str:
    if node.kind == "scalar":
        return "nothing" if node.data is None else f"'{str(node.data)[:60]}'"
    return "a table" if node.kind == "mapping" else "a list"


def _last_keys(path: Sequence[str | int]) -> str:
    return path_text([key for key in path if isinstance(key, str)][-2:])
