"""Faults of the survey in the words of its page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

__all__ = ["told"]

_WORDS: Final = {
    "name": "the name",
    "wide_m": "the width of the building",
    "deep_m": "the depth of the building",
    "to_street_m": "the way from the street to the building",
    "storeys": "the number of storeys",
    "away_m": "the distance from the building",
    "count": "the number of people",
    "presses": "the number of presses",
    "sure": "how sure it has to be",
    "kind": "what it is",
    "things": "what is to be worked",
    "groups": "who holds a fob",
    "places": "from where it has to work",
}
"""What the answers are called on the page."""

_UNITS: Final = {"wide_m": " m", "deep_m": " m", "to_street_m": " m", "away_m": " m", "sure": " %"}


def told(fault: Mapping[str, Any], given: object) -> str:
    """One fault of an answer: which one, what is allowed, what was given.

    Args:
        fault: as the model of the answers lists it.
        given: the answers as they came.
    """
    keys: tuple[str | int, ...] = fault["loc"]
    field = str(keys[-1]) if keys else ""
    what, unit = _WORDS.get(field, field.replace("_", " ")), _UNITS.get(field, "")
    if len(keys) == 3:  # as ("things", 0, "away_m")
        what += f" of {str(keys[0]).removesuffix('s')} {int(keys[1]) + 1}"
        rows = given.get(str(keys[0])) if isinstance(given, dict) else None
        owner = rows[int(keys[1])] if isinstance(rows, list | tuple) and int(keys[1]) < len(rows) else None
        if isinstance(owner, dict) and owner.get("name") and field != "name":
            what += f" ('{str(owner['name'])[:40]}')"
    elif field == "name":
        what = "the name of the job"
    limits = fault.get("ctx", {})
    kind = fault["type"]
    if kind in ("missing", "string_too_short", "string_type", "model_type") or fault.get("input") in (
        None,
        "",
    ):
        return f"{what} is not given yet"
    if kind == "too_short":
        return f"nothing is said yet about {what}"
    if kind in ("greater_than_equal", "less_than_equal"):
        bound = f"at least {limits['ge']:g}" if kind == "greater_than_equal" else f"at most {limits['le']:g}"
        return f"{what} is {bound}{unit}, not {fault['input']:g}{unit}"
    if kind.startswith(("int_", "float_")):
        return (
            f"{what} is a {'whole ' if kind.startswith('int_') else ''}number, not"
            f" '{str(fault['input'])[:40]}'"
        )
    if kind == "string_too_long":
        return f"{what} has at most {limits['max_length']} characters"
    if kind == "too_long":
        return f"there are more than {limits['max_length']} answers about {what}; make several jobs"
    text = str(fault["msg"]).removeprefix("Value error, ")
    return f"{what}: {text[:1].lower()}{text[1:]}"
