"""Every entry of a job has a form with the keys of its table, also where one key or another must be given."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.desk.field_words import words_for
from farpress.desk.form_schema import schema_at
from farpress.desk.task_pages import ALWAYS
from farpress.domain.job import Group
from farpress.domain.premises import Device, Panel, Receiver, ReceiverSignal, Solar, Supply
from farpress.domain.quantity import Model
from farpress.domain.zones import Zone

HOUSE: dict[str, Any] = {
    "receivers": {"R1": {"at": [0, 0], "signals": {"low cell": {"works": "alarm.weak"}}}},
    "supplies": {"main": {"solar": {"power": "20 W"}}},
    "devices": {"gate": {"device": "sliding gate"}},
    "panels": {"alarm": {"zones": {"3": {"contacts": 2}}}},
}
VALUES: dict[str, Any] = {"premises": {"house": HOUSE}, "groups": {"all": {"fob": "fob-4"}}}


@pytest.mark.parametrize(
    ("path", "model"),
    [
        (("groups", "all"), Group),
        (("premises", "house", "receivers", "R1"), Receiver),
        (("premises", "house", "receivers", "R1", "signals", "low cell"), ReceiverSignal),
        (("premises", "house", "supplies", "main"), Supply),
        (("premises", "house", "supplies", "main", "solar"), Solar),
        (("premises", "house", "devices", "gate"), Device),
        (("premises", "house", "panels", "alarm"), Panel),
        (("premises", "house", "panels", "alarm", "zones", "3"), Zone),
    ],
)
def test_an_entry_has_a_form_with_every_key_of_its_table(path: tuple[str, ...], model: type[Model]) -> None:
    """Named as in the file."""
    schema = schema_at(path, VALUES)
    keys = {info.alias or name for name, info in model.model_fields.items()}

    assert schema is not None
    assert keys <= set(schema["properties"])


def test_a_key_that_must_be_given_is_needed_in_the_form() -> None:
    """A place of a receiver, where it does not stand for several."""
    schema = schema_at(("premises", "house", "receivers", "R1"), VALUES)

    assert schema is not None
    assert "at" in schema["required"]


@pytest.mark.parametrize("table", ALWAYS)
def test_every_field_that_is_always_shown_says_why_it_is_asked(table: str) -> None:
    """Beside its name in the words of the trade."""
    bare = []
    for field in ALWAYS[table].split():
        *inner, key = field.split("/")
        words = words_for(key, (*table.split("."), *inner))
        if not words.why or words.why == words.label:
            bare.append(field)

    assert bare == []
