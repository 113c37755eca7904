"""Requests that no page of ours sends: refused in words, whatever stands where a table is wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.routing import Route

from helpers.desk import Served, copy_of, served

pytestmark = pytest.mark.long

BODIES: tuple[object, ...] = (
    [],
    {},
    {"values": [1], "fobs": ["x"], "do": "lost"},
    {"values": {"@path": 5}, "entries": {}, "changes": [[]], "steps": [5], "at": [[]]},
    {"values": "x", "builds": [1], "id": [], "list": {}, "test": {}, "fobs": 5, "path": 7, "changes": {}},
    {"values": {"@path": "[["}, "changes": [{"path": [[]], "value": {}}], "entries": [5], "fobs": [[]]},
)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house on this machine alone."""
    folder: Path = tmp_path_factory.mktemp("malformed")
    with served(copy_of("larkfen-house", folder)) as desk:
        yield desk


@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_no_address_breaks_over_a_malformed_table(house: Served, body: object) -> None:
    """Every address that takes a request answers it with something other than a fault of ours."""
    house.ask("/j/larkfen-house/job")
    posts = [
        route.path
        for route in house.app.routes
        if isinstance(route, Route) and route.methods and "POST" in route.methods
    ]
    assert len(posts) > 20
    broken = {}
    for path in posts:
        if path.endswith("/stop") or "quit" in path:
            continue
        address = re.sub(r"\{[^}]*\}", "x", path.replace("{job}", "larkfen-house"))
        answer = house.ask(address, body)
        if answer.status >= 500:
            broken[path] = answer.status

    assert broken == {}


def test_only_a_task_of_the_list_is_ticked_off(house: Served) -> None:
    """Nothing of another name, and none without a name, gets into the record for good."""
    for given in ({}, {"id": ""}, {"id": "gate check: elsewhere/nothing"}):
        answer = house.ask("/j/larkfen-house/upkeep/done", given)

        assert answer.status == 422
        assert "not on the list" in answer.text


def test_a_list_is_no_label(house: Served) -> None:
    """No fob comes in under a label that was made up from something else."""
    for label in (["x"], {"a": 1}):
        answer = house.ask("/j/larkfen-house/keys/receive", {"values": {"label": label}})

        assert answer.status == 422
        assert "not understood" in answer.text
