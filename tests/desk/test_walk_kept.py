"""The walk on a phone that is loaded again, left or closed while there is no connection: no answer and, where
possible, no page is lost.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from playwright.sync_api import Dialog, Page, expect

from farpress.record.store import open_record
from helpers.desk import Served
from helpers.waiting import until
from helpers.watched import Watched

WALK = "/j/larkfen-house/proving/walk"
OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "Failed to load resource", "Failed to fetch")

KEPT = """async () => {
  const kept = await (await caches.open("walk")).match(location.href);
  return kept ? JSON.parse(new DOMParser().parseFromString(await kept.text(), "text/html").querySelector("#walk").dataset.tests)[0].tries : -1;
}"""  # noqa: E501
"""Presses of the first test, by the page that is kept."""


def _heard(folder: Path) -> int:
    with open_record(folder) as record:
        return sum(int(str(event.particulars["heard"])) for event in record.events(kinds=["trial done"]))


def _press(page: Page, times: int) -> None:
    for _ in range(times):
        page.get_by_role("button", name="Heard", exact=True).click()


def test_answers_of_a_page_that_was_lost_are_sent_from_any_page(house: Served, watched: Watched) -> None:
    """Without what keeps pages: leaving asks first; the next page of the desk says what waits, sends it, and
    leads back.
    """
    watched.expected = OFFLINE
    page = watched.page(phone=True, service_workers="block")
    asked: list[str] = []

    def leave(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    page.on("dialog", leave)
    page.goto(f"{house.address}{WALK}")
    page.context.set_offline(True)
    _press(page, 3)
    expect(page.locator("#queue")).to_have_text("3 kept on this phone, not sent yet")
    page.evaluate(
        "() => { location.href = 'about:blank'; }"
    )  # as the phone loads it again, and has no connection
    page.wait_for_url("about:blank")
    assert asked == ["beforeunload"]
    assert _heard(house.folder) == 0
    page.context.set_offline(False)
    page.context.route("**/proving/enter", lambda route: route.abort())
    page.goto(f"{house.address}/j/larkfen-house/wiring")
    expect(page.locator("#waiting")).to_contain_text(
        "3 answers of the walk are kept on this phone, not sent yet."
    )
    page.context.unroute("**/proving/enter")

    expect(page.locator("#waiting")).to_contain_text("the desk has them now")
    assert _heard(house.folder) == 3
    page.get_by_role("link", name="Back to the walk").click()
    expect(page.locator(".tally")).to_contain_text("3 of")
    expect(page.locator("#queue")).to_have_text("everything sent")


def test_two_tabs_of_the_walk_keep_each_others_answers(house: Served, watched: Watched) -> None:
    """Both without a connection: what one keeps is not written over by the other."""
    watched.expected = OFFLINE
    first = watched.page(phone=True, service_workers="block")
    second = first.context.new_page()
    for page in (first, second):
        page.goto(f"{house.address}{WALK}")
    first.context.set_offline(True)
    _press(first, 1)
    _press(second, 2)
    _press(first, 1)
    expect(second.locator("#queue")).to_have_text("4 kept on this phone, not sent yet")
    first.context.set_offline(False)

    expect(first.locator("#queue")).to_have_text("everything sent")
    assert _heard(house.folder) == 4


def test_the_page_of_the_walk_comes_again_without_a_connection(house: Served, watched: Watched) -> None:
    """Where the browser allows it: loaded again offline the walk goes on, with what was answered before; back
    online everything arrives.
    """
    watched.expected = OFFLINE
    page = watched.page(phone=True)
    page.goto(f"{house.address}{WALK}")
    page.wait_for_function("() => navigator.serviceWorker.controller")
    _press(page, 2)
    expect(page.locator("#queue")).to_have_text("everything sent")
    until(lambda: page.evaluate(KEPT) == 2, "page and its parts are kept")
    page.context.set_offline(True)
    _press(page, 1)
    page.reload()
    expect(page.locator(".tally")).to_contain_text("3 of")
    _press(page, 1)
    expect(page.locator("#queue")).to_have_text("2 kept on this phone, not sent yet")
    # one sent as the line went may have been heard without an answer coming back; the phone keeps it
    assert _heard(house.folder) in (2, 3)
    page.context.set_offline(False)

    expect(page.locator("#queue")).to_have_text("everything sent")
    assert _heard(house.folder) == 4
    other = page.context.new_page()
    other.goto(f"{house.address}/j/larkfen-house/proving")
    assert other.evaluate("() => navigator.serviceWorker.controller") is None, "it minds the walk alone"


def test_an_answer_that_arrives_twice_at_the_same_time_counts_once(house: Served) -> None:
    """A phone that waited too long sends again while the first is still being written."""
    house.ask("/j/larkfen-house/proving")
    entries = [{"id": f"phone-{number}", "test": "P01", "presses": 1, "heard": 1} for number in range(5)]
    with ThreadPoolExecutor(6) as pool:
        answers = list(
            pool.map(lambda _: house.ask("/j/larkfen-house/proving/enter", {"entries": entries}), range(6))
        )

    assert [answer.status for answer in answers] == [200] * 6
    assert _heard(house.folder) == 5
