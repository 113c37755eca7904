"""A hidden fault at the desk: begun, read, named, helped, given up; the job stays as it is."""

from __future__ import annotations

from typing import Any

import pytest

from helpers.desk import Served

HUNT = "/j/larkfen-house/hunt"


def test_a_fault_is_hidden_and_found_with_help(house: Served) -> None:
    """What is told after giving up is what was hidden; readings, wrong names and help are counted."""
    before = (house.folder / "job.yaml").read_bytes()
    assert "Hide a fault" in house.ask(HUNT, headers={"Accept": "text/html"}).text
    assert house.ask(f"{HUNT}/touch", {"values": {}}).status == 422
    assert house.ask(f"{HUNT}/begin", {"values": {"premises": "elsewhere"}}).status == 422
    assert house.ask(f"{HUNT}/begin", {"values": {}}).status == 200
    page = house.ask(HUNT, headers={"Accept": "text/html"}).text
    assert "do what" in page
    assert "It was:" not in page

    def act(name: str, **values: Any) -> Any:
        return house.ask(f"{HUNT}/{name}", {"values": values})

    assert act("touch", a="main.+", b="main.0", moment="at rest").status == 200
    assert act("touch", a="nowhere.+", b="main.0", moment="at rest").status == 422
    assert act("name", kind="melted", core="x").status == 422
    assert act("name", kind="broken", core="no such core").json["says"].startswith("That is not it")
    assert act("help").status == 200
    assert act("end").json["says"].startswith("It was: ")
    page = house.ask(HUNT, headers={"Accept": "text/html"}).text
    assert "20.5 minutes" in page  # one reading with its way, and one core mended without need
    assert "1 named without need, helped 1 times" in page
    assert "the best order takes" in page

    assert act("end").status == 422
    assert (house.folder / "job.yaml").read_bytes() == before


@pytest.mark.parametrize("body", [[], {"values": []}, {"values": {"a": []}}])
def test_nonsense_is_refused(house: Served, body: Any) -> None:
    """In words."""
    for act in ("begin", "touch", "name", "help", "end", "x"):
        assert house.ask(f"{HUNT}/{act}", body).status in (200, 422)
