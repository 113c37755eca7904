"""A hidden fault at the desk: begun, read, named, helped, given up; the job stays as it is."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from farpress.case.door import open_job
from farpress.wiring.staged_faults import staged_faults
from helpers.desk import Served
from helpers.watched import Watched

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
    assert act("test", test="new cell").status == 200
    assert act("test", test="crystal ball").status == 422
    assert act("name", kind="melted", of="x").status == 422
    assert act("name", kind="broken", of="no such core").status == 422
    assert act("help").status == 200
    assert "8.5 minutes" in house.ask(HUNT, headers={"Accept": "text/html"}).text  # a reading and a cell
    assert act("end").json["says"].startswith("It was: ")
    page = house.ask(HUNT, headers={"Accept": "text/html"}).text
    assert "helped 1 time;" in page
    assert "what tells most a minute, one after the other, takes" in page

    assert act("end").status == 422
    assert (house.folder / "job.yaml").read_bytes() == before


def test_what_was_named_is_mended_in_vain_or_found(house: Served) -> None:
    """Naming every broken core costs its mending each time; the hidden one is found where it is named."""
    house.ask(f"{HUNT}/begin", {"values": {}})
    told = []
    for fault in staged_faults(open_job(house.folder), "larkfen"):
        values = {"kind": fault.kind, "of": fault.of, "other": fault.other}
        told.append(house.ask(f"{HUNT}/name", {"values": values}).json["says"])
        if told[-1] == "Found.":
            break
    page = house.ask(HUNT, headers={"Accept": "text/html"}).text

    assert told[-1] == "Found."
    assert set(told[:-1]) <= {"That is not it: the complaint is still there."}
    assert "Found: " in page


def test_a_learner_hunts_by_keyboard_on_a_phone(house: Served, watched: Watched) -> None:
    """Every choice has its label; what was asked stays on the page; nothing is wider than the screen."""
    page = watched.page(phone=True, color_scheme="dark")
    page.goto(f"{house.address}{HUNT}")
    page.get_by_role("button", name="Hide a fault").press("Enter")
    expect(page.get_by_text("The customer says:")).to_be_visible()
    page.get_by_label("Ask, look or try").select_option("another fob")
    page.get_by_role("button", name="Do it").press("Enter")
    expect(page.locator("dl.told")).to_contain_text("Press a fob that worked today")
    page.get_by_role("button", name="Read").press("Enter")
    expect(page.get_by_role("region", name="Readings")).to_be_visible()
    assert page.get_by_label("Ask, look or try").input_value() == "another fob"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("button", name="Give up").press("Enter")
    expect(page.get_by_role("heading", name="What tells most a minute")).to_be_visible()


@pytest.mark.parametrize("body", [[], {"values": []}, {"values": {"a": []}}])
def test_nonsense_is_refused(house: Served, body: Any) -> None:
    """In words."""
    for act in ("begin", "touch", "test", "name", "help", "end", "x"):
        assert house.ask(f"{HUNT}/{act}", body).status in (200, 422)
