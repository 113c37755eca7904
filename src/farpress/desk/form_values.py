"""Values of a job as texts of fields, and texts of fields as values."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from farpress.desk.field_words import words_for
from farpress.errors import InputError

__all__ = ["entry_line", "pairs_text", "pressed_text", "pressed_value", "value_text", "written_value"]


def entry_line(value: Any, around: Sequence[str | int] = ()) -> str:
    """An entry in a line; `around` are the keys that lead to it."""
    if not isinstance(value, Mapping):
        return value_text(value)
    tables = [key for key in around if isinstance(key, str)]
    parts = []
    for key, member in value.items():
        if isinstance(member, Mapping | list) and key not in ("at", "of", "by", "from", "buttons", "people"):
            continue
        shown = (
            ", ".join(f"{inner} {value_text(text)}" for inner, text in member.items())
            if isinstance(member, Mapping)
            else value_text(member)
        )
        parts.append(
            shown
            if key in ("says", "part", "kind", "to", "function", "never", "build")
            else f"{words_for(str(key), tables).label} {shown}"
        )
    return " · ".join(parts)[:160]


def pairs_text(value: Any) -> str:
    """A small table as lines, "name: value"."""
    if not isinstance(value, Mapping):
        return ""
    lines = []
    for key, member in value.items():
        if isinstance(member, Mapping):
            member = ", ".join(f"{inner} = {value_text(text)}" for inner, text in member.items())
        elif isinstance(member, list):
            member = " + ".join(map(str, member))
        lines.append(f"{key}: {member}")
    return "\n".join(lines)


def value_text(value: Any) -> str:
    """A value of the file as it stands in a field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        is_point = all(isinstance(number, int | float) for number in value)
        return (", " if is_point else "; ").join(value_text(part) for part in value)
    if isinstance(value, float):
        return f"{value:g}" if abs(value) < 1e6 else str(value)
    return str(value)


def pressed_text(value: Any) -> str:
    """What a button does, in a field.

    >>> pressed_text({"short": ["unset", "door"], "long": "close gate"})
    'unset + door, long: close gate'
    """
    if isinstance(value, Mapping):
        short, long = value.get("short"), value.get("long")
        parts = [pressed_text(short)] if short else []
        parts += [f"long: {pressed_text(long)}"] if long else []
        return ", ".join(parts)
    return " + ".join(map(str, value)) if isinstance(value, list) else value_text(value)


def pressed_value(text: str) -> Any:
    """What a button does, for the file; None for nothing.

    >>> pressed_value("[unset; door], long: close gate")
    {'short': ['unset', 'door'], 'long': 'close gate'}
    >>> pressed_value("open gate")
    'open gate'
    """
    short, _, long = re.sub(r"[\[\]]", "", text).partition("long:")
    found = {"short": _several(short), "long": _several(long)}
    if not long.strip():
        return found["short"]
    return {key: value for key, value in found.items() if value is not None}


def _several(text: str) -> Any:
    names = [" ".join(name.split()) for name in re.split(r"[+;,\n]", text)]
    names = list(dict.fromkeys(name for name in names if name))
    return (names[0] if len(names) == 1 else names) or None


def written_value(kind: str, text: str, choices: Iterable[str] = (), *, is_number: bool = False) -> Any:
    """What a field's text becomes in the file; None for an empty field.

    Args:
        kind: of the field, see `FormField`.
        text: as it was typed.
        choices: of a choice.
        is_number: a whole number is wanted.

    Raises:
        InputError: a name stands on two lines of a small table.

    >>> written_value("point", "14, -25.5")
    [14, -25.5]
    """
    text = " ".join(text.split()) if kind not in ("pairs", "pressed") else text.strip()
    if not text:
        return None
    if kind == "point":
        pieces = [piece for piece in text.replace(";", ",").replace(" ", ",").split(",") if piece]
        try:
            return [_plain_number(piece.removesuffix("m")) for piece in pieces]
        except ValueError:
            return text
    if kind == "list":
        return [piece.strip() for piece in text.split(";") if piece.strip()]
    if kind == "pressed":
        return pressed_value(text)
    if kind == "pairs":
        return _pairs(text)
    if kind == "choice" and set(choices) == {"true", "false"}:
        return text == "true"
    if is_number and text.lstrip("+-").isdigit():
        return int(text)
    return text


def _pairs(text: str) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for line in text.splitlines():
        if not line.strip():
            continue
        key, value = _pair(line)
        if key in made:
            raise InputError(f"'{key[:40]}' stands on two lines; write it on one")
        made[key] = value
    return made


def _pair(line: str) -> tuple[str, Any]:
    key, _, value = line.partition(":")
    value = value.strip()
    if " = " in value:
        return key.strip(), {
            inner.strip(): text.strip()
            for inner, _, text in (piece.partition("=") for piece in value.split(","))
        }
    if " + " in value:
        return key.strip(), [piece.strip() for piece in value.split(" + ")]
    return key.strip(), int(value) if value.isdigit() else value


def _plain_number(text: str) -> int | float:
    number = float(text)
    return int(number) if number.is_integer() else number
