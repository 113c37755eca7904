"""Two people on one plan: what one holds in the hand stays what it was, whatever the other takes away
meanwhile.
"""

from __future__ import annotations

import re
from typing import Any

import yaml
from playwright.sync_api import Page, Route, expect

from helpers.desk import Served
from helpers.watched import Watched, box_of, wait_until_said

PLAN = "/j/larkfen-house/plan"


def _walls(desk: Served) -> list[Any]:
    return yaml.load((desk.folder / "job.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)["premises"][
        "larkfen"
    ]["walls"]  # type: ignore[no-any-return]


def _opened(watched: Watched, desk: Served) -> Page:
    page = watched.page()
    page.goto(f"{desk.address}{PLAN}")
    expect(page.locator("#board")).to_have_attribute("data-maps", re.compile("[1-9]"))
    page.get_by_text("Everything on the plan").click()
    return page


def _take_away(desk: Served, index: int) -> None:
    """The other person removes a wall, by way of the version that stands in the file now."""
    base = desk.ask("/j/larkfen-house/news").json["fingerprint"]
    answer = desk.ask(
        "/j/larkfen-house/edit",
        {
            "base": base,
            "changes": [{"path": ["premises", "larkfen", "walls", index], "value": None}],
            "says": "a wall taken away",
        },
        headers={"X-Client": "other", "Origin": desk.address},
    )
    assert answer.status == 200, answer.text


def test_a_wall_held_while_an_earlier_one_goes_is_the_one_that_moves(house: Served, watched: Watched) -> None:
    """Walls are known by their number; the number another's change shifts must not move a stranger's wall."""
    page = _opened(watched, house)
    before = _walls(house)
    held = len(before) - 1
    page.get_by_role("button", name=re.compile(f"^wall {held + 1},")).click()
    grip = box_of(page.locator('#plan [data-handle="0"]'))
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y - 20, steps=4)
    _take_away(house, 0)
    wait_until_said(page, "a wall taken away")
    page.wait_for_timeout(2_500)  # the news has led to whatever it leads to
    page.mouse.move(x + 40, y - 20, steps=2)
    page.mouse.up()
    wait_until_said(page, "wall changed")

    after = _walls(house)
    assert [wall["along"] for wall in after[:-1]] == [wall["along"] for wall in before[1:-1]], (
        "nobody else's wall has moved"
    )
    was, now = before[-1]["along"], after[-1]["along"]
    assert was[0] == was[-1]
    assert now[0] == now[-1] != was[0], "the corner where the wall closes is one corner"
    assert now[1:-1] == was[1:-1]
    expect(page.locator("#chosen")).to_contain_text(f"Wall {held}")


def test_a_chosen_wall_that_another_takes_away_leaves_the_panel_while_pictures_are_slow(
    house: Served, watched: Watched
) -> None:
    """The plan and what is chosen on it change together, however late a part of the answer comes."""
    page = _opened(watched, house)
    last = len(_walls(house)) - 1
    page.get_by_role("button", name=re.compile(f"^wall {last + 1},")).click()
    expect(page.locator('#plan [data-handle="0"]')).to_have_count(1)

    def late(route: Route) -> None:
        page.wait_for_timeout(600)
        route.continue_()

    page.route("**/plan/pictures*", late)
    _take_away(house, last)
    for _ in range(20):  # every frame draws anew
        page.mouse.wheel(0, 10)
        page.wait_for_timeout(150)
    expect(page.locator("#plan [data-handle]")).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile(f"^wall {last + 1},"))).to_have_count(0)
