"""The form of one entry: its path as sent, its fields, an empty one to be added."""

from __future__ import annotations

import json
from typing import Any, Final

from farpress.desk.form_schema import Path, value_at
from farpress.desk.forms import BUTTONS, FormField, fields_of
from farpress.desk.frame import JobRequest
from farpress.desk.task_pages import TOP_FIELDS, singular
from farpress.desk.usual_values import buttons_of, usual_values
from farpress.errors import InputError

__all__ = ["KINDS_OF_PARTS", "entry_path", "entry_title", "form_of", "with_empty"]

KINDS_OF_PARTS: Final = (
    "receiver",
    "fob",
    "cell",
    "supply",
    "battery",
    "cable",
    "coax",
    "aerial",
    "relay",
    "device",
    "panel",
)


def form_of(sheet: JobRequest, path: Path, values: Any) -> list[FormField]:
    """The fields of an entry, with what counts where they are left empty; of the top of the file only what is
    a value itself.
    """
    case = sheet.state.case
    found = fields_of(
        path,
        values,
        case.job,
        sheet.bench.known,
        usual=usual_values(case, path, values),
        buttons=buttons_of(case, path) or BUTTONS,
    )
    return found if path else [field for field in found if field.name in TOP_FIELDS]


def entry_path(text: object) -> Path:
    """A path out of its JSON, or already as a list.

    Raises:
        InputError: it is none.
    """
    path = text
    if isinstance(text, str):
        try:
            path = json.loads(text)
        except (ValueError, RecursionError) as error:
            raise InputError("This address is not complete; load the page again.") from error
    if (
        not isinstance(path, list)
        or len(path) > 20
        or not all(isinstance(key, str | int) and not isinstance(key, bool) for key in path)
    ):
        raise InputError("This address is not complete; load the page again.")
    return tuple(path)


def with_empty(values: Any, path: Path, kind: str | None) -> Any:
    """The values with an empty entry at a path, so that its form can be drawn."""
    made = json.loads(json.dumps(values))
    place = made
    for key in path[:-1]:
        if isinstance(place, dict):
            place = place.setdefault(str(key), {})
        elif isinstance(place, list) and isinstance(key, int) and key < len(place):
            place = place[key]
    empty: dict[str, Any] = {"kind": kind} if kind else {}
    if isinstance(path[-1], int):
        if isinstance(place, list):
            place.append(empty)
    elif isinstance(place, dict):
        place[path[-1]] = empty
    return made


def entry_title(path: Path, is_new: bool, values: Any = None) -> str:
    """An entry in words: its kind and its name."""
    if not path:
        return "The job"
    words = [str(key + 1) if isinstance(key, int) else key for key in path]
    kind = singular(str(path[-2] if len(path) > 1 else path[-1]))
    if is_new:
        return f"New {kind}"
    name = words[-1] if len(path) > 1 else ""
    if values is not None and isinstance(path[-1], int):
        name = f"{name} ({_short(value_at(values, path))})"
    return f"{kind[:1].upper()}{kind[1:]} {name}".strip()


def _short(value: Any) -> str:
    """What an entry of a list is about."""
    if not isinstance(value, dict):
        return str(value)[:40]
    keys = ("to", "function", "from", "never", "of", "receiver", "place", "between")
    parts = [value[key] for key in keys if value.get(key)]
    return " ".join(", ".join(map(str, part)) if isinstance(part, list) else str(part) for part in parts)[:80]
