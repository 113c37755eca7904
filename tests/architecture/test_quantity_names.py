"""A quantity's name says its unit: `length_m`, never `length`."""

from __future__ import annotations

import inspect
import types
import typing
from typing import Any

import pytest
from pydantic import WithJsonSchema

from farpress.domain.quantity import Model
from farpress.quantity_kinds import KINDS
from farpress.units import canonical_unit
from survey import modules

SUFFIXES = {
    "": "_share",
    "1/d": "_per_day",
    "A": "_a",
    "Ah": "_ah",
    "F": "_f",
    "H": "_h",
    "Hz": "_hz",
    "N": "_n",
    "V": "_v",
    "VA": "_va",
    "W": "_w",
    "m3": "_m3",
    "m3/h": "_m3_per_h",
    "dB": "_db",
    "dB/100m": "_db_per_100m",
    "dBi": "_dbi",
    "dBm": "_dbm",
    "deg": "_deg",
    "degC": "_degc",
    "m": "_m",
    "m/s": "_m_per_s",
    "mm2": "_mm2",
    "ohm": "_ohm",
    "ohm/km": "_ohm_per_km",
    "presses": "_presses",
    "s": "_s",
}
"""Canonical unit → how a field's name ends."""


def _models() -> list[type[Model]]:
    found = {
        thing
        for module in modules("farpress.domain")
        for thing in vars(module).values()
        if inspect.isclass(thing) and issubclass(thing, Model)
    }
    return sorted(found, key=lambda one: f"{one.__module__}.{one.__qualname__}")


def _kind(annotation: Any, metadata: typing.Iterable[Any] = ()) -> str | None:
    for one in metadata:
        if isinstance(one, WithJsonSchema):
            return (one.json_schema or {}).get("x-kind")
    if typing.get_origin(annotation) is typing.Annotated:
        inner, *more = typing.get_args(annotation)
        return _kind(inner, more)
    if typing.get_origin(annotation) not in (typing.Union, types.UnionType):
        return None  # a table or a list of quantities is named for what it holds
    kinds = [_kind(one) for one in typing.get_args(annotation)]
    return next((kind for kind in kinds if kind), None)


def test_every_unit_has_its_ending() -> None:
    """The table here knows every canonical unit."""
    assert {canonical_unit(name) for name in KINDS} <= set(SUFFIXES)


@pytest.mark.parametrize("model", _models(), ids=lambda model: model.__qualname__)
def test_a_field_is_named_with_its_unit(model: type[Model]) -> None:
    """Each field that holds a quantity ends in the unit it is kept in."""
    wrong = [
        f"{name} ({kind})"
        for name, field in model.model_fields.items()
        if (kind := _kind(field.annotation, field.metadata))
        and not name.endswith(SUFFIXES[canonical_unit(kind)])
    ]

    assert wrong == []


def test_fields_with_quantities_are_found_at_all() -> None:
    """The test above looks at real fields."""
    found = [
        field
        for model in _models()
        for field in model.model_fields.values()
        if _kind(field.annotation, field.metadata)
    ]

    assert len(found) > 50
