"""Values outside what is believable are taken out before anything is computed with them, and asked about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from farpress.domain.believable import BANDS, Believable
from farpress.domain.equipment import Equipment
from farpress.domain.parts import Part
from farpress.domain.quantity import Model, key_in_file
from farpress.sources import Citation

__all__ = ["Doubted", "without_unbelievable"]

_T = TypeVar("_T", bound=Model)


@dataclass(frozen=True)
class Doubted:
    """One value that is not believed.

    Attributes:
        table: of which kind of thing, as in `Equipment`: "devices", "cables".
        name: of the thing: "premises/name", the group or the part.
        key: of the value as the job file writes it, with the input before it: "start.current".
        value: as given, in the unit of the band's kind.
        band: what is believed.
        sources: where the value stands.
    """

    table: str
    name: str
    key: str
    value: float
    band: Believable
    sources: tuple[Citation, ...]


def without_unbelievable(equipment: Equipment) -> tuple[Equipment, tuple[Doubted, ...]]:
    """The equipment with every unbelievable value taken out, and those values, in the order of tables."""
    doubted: list[Doubted] = []
    changed: dict[str, Any] = {}
    for table in BANDS:
        parts: Mapping[str, Part[Any]] | None = getattr(equipment, table, None)
        if parts is None:
            continue
        kept = {name: _checked(table, name, part, doubted) for name, part in parts.items()}
        if any(kept[name] is not parts[name] for name in parts):
            changed[table] = kept
    return (replace(equipment, **changed) if changed else equipment), tuple(doubted)


def _checked(table: str, name: str, part: Part[Any], doubted: list[Doubted]) -> Part[Any]:
    begun = len(doubted)
    sheet = _cleaned(part.sheet, table, "", table, name, part, doubted)
    loop = getattr(sheet, "zone_loop", None)
    if loop is not None:
        kept = _cleaned(loop, "loops", "zone_loop.", table, name, part, doubted)
        sheet = sheet if kept is loop else sheet.model_copy(update={"zone_loop": kept})
    for group in ("inputs", "outputs"):
        inner = getattr(sheet, group, None)
        if not inner:
            continue
        cleaned = {
            key: _input(entry, f"{group}.{key}.", table, name, part, doubted) for key, entry in inner.items()
        }
        if cleaned != inner:
            sheet = sheet.model_copy(update={group: cleaned})
    return part if len(doubted) == begun else replace(part, sheet=sheet)


def _input(entry: _T, within: str, table: str, name: str, part: Part[Any], doubted: list[Doubted]) -> _T:
    cleaned = _cleaned(entry, "inputs", within, table, name, part, doubted)
    loop = getattr(cleaned, "loop", None)
    if loop is None:
        return cleaned
    wanted = _cleaned(loop, "loops", f"{within}loop.", table, name, part, doubted)
    return cleaned if wanted is loop else cleaned.model_copy(update={"loop": wanted})


def _cleaned(
    model: _T, bands: str, within: str, table: str, name: str, part: Part[Any], doubted: list[Doubted]
) -> _T:
    update: dict[str, None] = {}
    for field, band in BANDS[bands].items():
        value = getattr(model, field, None)
        if value is None or band.holds(value):
            continue
        if not band.stays:
            update[field] = None
        key = f"{within}{_key(model, field)}".removeprefix("inputs.")
        doubted.append(Doubted(table, name, key, value, band, part.cite(f"{within}{field}")))
    return model.model_copy(update=update) if update else model


def _key(model: Model, field: str) -> str:
    return type(model).model_fields[field].alias or key_in_file(field)
