"""The proving walk at phone size, with the network cut in the middle."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from farpress.record.store import open_record
from helpers.desk import Served
from helpers.watched import Watched


def _trials(folder: Path) -> list[tuple[int, int]]:
    with open_record(folder) as record:
        return [
            (int(str(event.particulars["presses"])), int(str(event.particulars["heard"])))
            for event in record.events(kinds=["trial done"])
        ]


def test_answers_given_without_a_connection_arrive_later_and_once(house: Served, watched: Watched) -> None:
    """Two presses online, three offline kept on the phone, then all five in the record, each once."""
    watched.expected = ("ERR_INTERNET_DISCONNECTED", "Failed to load resource")
    page = watched.page(phone=True)
    page.goto(f"{house.address}/j/larkfen-house/proving/walk")
    heard, missed = (
        page.get_by_role("button", name="Heard", exact=True),
        page.get_by_role("button", name="Not heard", exact=True),
    )
    heard.click()
    heard.click()
    expect(page.locator("#queue")).to_have_text("everything sent")
    page.context.set_offline(True)
    heard.click()
    missed.click()
    heard.click()
    expect(page.locator("#queue")).to_have_text("3 kept on this phone, not sent yet")
    expect(page.locator(".tally")).to_contain_text("5 of")
    assert len(_trials(house.folder)) == 2
    page.context.set_offline(False)
    expect(page.locator("#queue")).to_have_text("everything sent")

    assert sorted(_trials(house.folder)) == [(1, 0), (1, 1), (1, 1), (1, 1), (1, 1)]
    box = heard.bounding_box()
    assert box is not None
    assert box["width"] >= 150, "a gloved thumb finds it"
    assert box["height"] >= 100, "a gloved thumb finds it"
    page.reload()
    expect(page.locator(".tally")).to_contain_text("5 of")


def test_the_same_answer_sent_twice_counts_once(house: Served) -> None:
    """A phone that did not hear the answer sends again."""
    house.ask("/j/larkfen-house/proving")
    entry = {"id": "phone-1", "test": "P01", "presses": 1, "heard": 1}

    first = house.ask("/j/larkfen-house/proving/enter", {"entries": [entry]})
    second = house.ask("/j/larkfen-house/proving/enter", {"entries": [entry]})

    assert (first.json["taken"], second.json["taken"]) == (["phone-1"], ["phone-1"])
    assert _trials(house.folder) == [(1, 1)]


def test_an_answer_to_no_test_is_refused_and_the_others_are_taken(house: Served) -> None:
    """One bad entry does not block a queue for ever."""
    house.ask("/j/larkfen-house/proving")
    answer = house.ask(
        "/j/larkfen-house/proving/enter",
        {
            "entries": [
                {"id": "a", "test": "nothing", "presses": 1, "heard": 1},
                {"id": "b", "test": "P01", "presses": 1, "heard": 0},
            ]
        },
    )

    assert answer.json["taken"] == ["b"]
    assert "there is no test" in answer.json["refused"]["a"]
