"""Many tabs on one desk: one that nobody looks at holds no connection, and is up to date as soon as it is
seen again.
"""

from __future__ import annotations

import time

from playwright.sync_api import Page, expect

from helpers.desk import Served
from helpers.waiting import NEVER_S
from helpers.watched import Watched, wait_until_said


def _seen(page: Page, is_seen: bool) -> None:
    """As the browser tells a page that its tab was left or taken up."""
    page.evaluate(
        "(hidden) => { Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });"
        " document.dispatchEvent(new Event('visibilitychange')); }",
        not is_seen,
    )


def _listening(page: Page, desk: Served, count: int) -> None:
    """Wait until so many pages hear news; meanwhile the browser's own go on."""
    hub, given_up = desk.app.state.desk.hub, time.monotonic() + NEVER_S
    while sum(map(len, hub._listeners.values())) != count:
        assert time.monotonic() < given_up, f"{hub._listeners} where {count} were wanted"
        page.wait_for_timeout(50)


def _changed_by_another(desk: Served, name: str) -> None:
    change = {"path": ["details", "responsible_person"], "value": name}
    assert (
        desk.ask(
            "/j/larkfen-house/edit",
            {"changes": [change], "says": "another name"},
            headers={"X-Client": "other", "Origin": desk.address},
        ).status
        == 200
    )


def test_a_tab_that_is_left_gives_its_connection_back_and_catches_up(house: Served, watched: Watched) -> None:
    """What another changed meanwhile stands on the page when the tab is taken up; news come again after
    that.
    """
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    _listening(page, house, 1)
    _seen(page, False)
    _changed_by_another(house, "Ysolde Brack")
    _listening(page, house, 0)
    expect(page.locator("main")).not_to_contain_text("Ysolde Brack")

    _seen(page, True)

    expect(page.locator("main")).to_contain_text("Ysolde Brack")
    _listening(page, house, 1)
    _changed_by_another(house, "Corin Vale")
    expect(page.locator("main")).to_contain_text("Corin Vale")


def test_catching_up_leaves_what_is_being_typed(house: Served, watched: Watched) -> None:
    """A half-written field stays, and what was saved meanwhile is merged with it."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    page.get_by_role("button", name="Change Customer and papers").click()
    page.get_by_role("dialog").get_by_label("issue").fill("9")
    _seen(page, False)
    _changed_by_another(house, "Ysolde Brack")
    with page.expect_response(page.url) as caught_up:
        _seen(page, True)
    caught_up.value.finished()
    expect(page.get_by_role("dialog").get_by_label("issue")).to_have_value("9")
    page.get_by_role("dialog").get_by_role("button", name="Save").click()
    wait_until_said(page, "Saved")

    expect(page.locator("main")).to_contain_text("Ysolde Brack")
    text = (house.folder / "job.yaml").read_text(encoding="utf-8")
    assert 'issue: "9"' in text
    assert "Ysolde Brack" in text
