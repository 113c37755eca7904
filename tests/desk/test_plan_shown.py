"""What the plan shows: labels apart, every receiver in one map, places for mounting, an origin that moves."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from farpress.jobfile.text_to_values import values_of
from helpers.desk import Served
from helpers.watched import Watched, large_text

LAID = """() => [...document.querySelectorAll('#plan text')].map((text) => {
  const { left, right, top, bottom } = text.getBoundingClientRect();
  return { says: text.textContent, left, right, top, bottom };
}).filter((one) => one.right > one.left)"""
HIGH = 0.25
"""So much of the box of a line of text is empty at its top and at its bottom."""


def _on_each_other(page: Page) -> list[str]:
    """Pairs of labels whose boxes meet."""
    boxes = page.evaluate(LAID)
    assert len(boxes) > 5
    for box in boxes:
        empty = HIGH * (box["bottom"] - box["top"])
        box["top"], box["bottom"] = box["top"] + empty, box["bottom"] - empty
    return [
        f"{here['says']} on {there['says']}"
        for number, here in enumerate(boxes)
        for there in boxes[number + 1 :]
        if here["left"] < there["right"]
        and there["left"] < here["right"]
        and here["top"] < there["bottom"]
        and there["top"] < here["bottom"]
    ]


def test_a_plan_shows_every_receiver_and_its_labels_stay_apart(house: Served, watched: Watched) -> None:
    """By share of promises, by level, by grip; at three scales, with a thing chosen, with large text."""
    house.ask(
        "/j/larkfen-house/edit",
        {
            "changes": [{"path": ["premises", "larkfen", "mounts"], "value": {"post": {"at": [3, 4]}}}],
            "says": "a place for mounting",
        },
    )
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/plan")
    board, state = page.locator("#board"), page.locator("#mapstate")
    expect(board).to_have_attribute("data-maps", re.compile("[1-9]"))
    expect(page.locator('#plan [aria-label="mount post"]')).to_have_count(1)
    page.locator("#receiver").select_option("every receiver")
    page.locator("#group").select_option("parents")
    page.locator("#shows").select_option("share of promises kept")
    expect(state).to_have_text(re.compile(r"^fob of parents at R1, R2.*: \d+ of its promises"))
    expect(page.locator("#legend")).to_contain_text("all kept")
    assert _on_each_other(page) == []

    page.locator("#shows").select_option("level over what is needed")
    page.locator("#held").select_option("in pocket")
    expect(page.locator("#legend")).to_contain_text("20 dB too little")
    expect(page.locator("#plan .label", has_text="just what is needed")).to_have_count(1)
    for _ in range(2):
        page.get_by_role("button", name="Closer").click()
        assert _on_each_other(page) == []
    page.get_by_role("button", name="Whole").click()
    page.get_by_text("Everything on the plan").click()
    page.get_by_role("button", name="place entrance").click()
    assert _on_each_other(page) == []
    large_text(page)
    page.get_by_role("button", name="Whole").click()
    assert _on_each_other(page) == []


def test_the_origin_is_moved_and_nothing_else(house: Served, watched: Watched) -> None:
    """By a click and typed metres; Undo takes it back."""

    def at() -> list[float]:
        values = values_of((house.folder / "job.yaml").read_text(encoding="utf-8"))
        return values["premises"]["larkfen"]["places"]["street"]["at"]  # type: ignore[no-any-return]

    before = at()
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/plan")
    page.get_by_role("button", name="Origin").click()
    page.locator("#plan").click(position={"x": 300, "y": 300})
    page.get_by_label("East of the present origin").fill("2.5")
    page.get_by_label("North of the present origin").fill("-1")
    page.get_by_role("button", name="Move the origin here").click()
    expect(page.locator("#says")).to_contain_text("origin of the plan of larkfen moved")
    assert at() == [before[0] - 2.5, before[1] + 1, *before[2:]]
    page.locator("#says").get_by_role("button", name="Undo").click()
    expect(page.locator("#says")).to_contain_text("taken back")

    assert at() == before
    assert (
        house.ask("/j/larkfen-house/plan/origin", {"premises": "larkfen", "x": "far", "y": 0}).status == 422
    )
    assert house.ask("/j/larkfen-house/plan/origin", {}).status == 422
