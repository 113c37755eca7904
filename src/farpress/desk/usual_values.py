"""What counts where a field is left empty: the value of its part's data sheet, said as such."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from farpress.case.case import Case
from farpress.desk.form_schema import Path, schema_at
from farpress.desk.form_values import value_text
from farpress.domain.quantity import key_in_file
from farpress.units import write_quantity

__all__ = ["buttons_of", "usual_values"]

_ROOMS: Final = ("receivers", "devices", "panels", "supplies")


def usual_values(case: Case, path: Path, values: Any) -> Mapping[str, str]:
    """Name of a field → the value that its part says, with these words.

    Args:
        case: the job with its equipment filled in.
        path: of an entry; only what is mounted at premises has a part that says anything.
        values: of the whole file.
    """
    if len(path) != 4 or path[0] != "premises" or path[2] not in _ROOMS:
        return {}
    part = getattr(case.equipment, str(path[2])).get(f"{path[1]}/{path[3]}")
    schema = schema_at(path, values)
    if part is None or schema is None:
        return {}
    kinds = schema.get("properties", {})
    made: dict[str, str] = {}
    for name in type(part.sheet).model_fields:
        value, key = getattr(part.sheet, name), key_in_file(name)
        text = _text(value, _kind(kinds.get(key, {})))
        if text and key in kinds:
            made[key] = f"{text}, as its part says"
    return made


def _kind(place: Mapping[str, Any]) -> str | None:
    found = [place, *place.get("anyOf", ())]
    return next((member["x-kind"] for member in found if "x-kind" in member), None)


def _text(value: Any, kind: str | None) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind is not None and isinstance(value, int | float):
        return write_quantity(float(value), kind)
    return value_text(value) if isinstance(value, str | int) else ""


def buttons_of(case: Case, path: Path) -> int | None:
    """How many buttons the fob of a group has; None where nobody says so, or for something else."""
    if len(path) != 2 or path[0] != "groups":
        return None
    part = case.equipment.fobs.get(str(path[1]))
    return getattr(part.sheet, "buttons", None) if part is not None else None
