"""Stories kept as lessons at the desk: as they were played, held against how they shall end, taken out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from farpress.desk.pages.lessons import plan_of_things
from farpress.jobfile.text_to_values import values_of
from farpress.rehearsal.play import play
from helpers.desk import Served, copy_of, served
from helpers.logic_case import a_case
from helpers.watched import Watched

HOUSE = "/j/larkfen-house"
STORY = "0 s: parents press 1; 30 s: power off; 40 s: parents press 1"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house, served once."""
    with served(copy_of("larkfen-house", tmp_path_factory.mktemp("lessons"))) as desk:
        desk.ask(f"{HOUSE}/rehearsal")
        yield desk


def _stories(desk: Served) -> Any:
    return values_of((desk.folder / "job.yaml").read_text(encoding="utf-8")).get("stories")


def _keep(desk: Served, **values: Any) -> Any:
    return desk.ask(f"{HOUSE}/rehearsal/keep", {"values": values})


def test_a_story_is_kept_held_and_taken_out(house: Served) -> None:
    """It ends as it ended; once the end that is written is another one, it fails and says how it ends."""
    assert _keep(house, name="bins out", story=STORY, says="open for the bins", ends="as now").status == 200
    assert _stories(house) == {
        "bins out": {"steps": STORY, "ends": {"larkfen/gate": "open"}, "says": "open for the bins"}
    }
    held = house.ask(f"{HOUSE}/rehearsal/hold", {"name": "bins out"}).json
    assert held["verdict"] == "holds"
    change = {"path": ["stories", "bins out", "ends", "larkfen/gate"], "value": "closed"}
    assert house.ask(f"{HOUSE}/edit", {"changes": [change], "says": "another end"}).status == 200
    held = house.ask(f"{HOUSE}/rehearsal/hold", {"name": "bins out"}).json
    assert held["verdict"] == "fails"
    assert "larkfen/gate is open, not closed" in held["says"]
    house.ask(f"{HOUSE}/entry/remove", {"path": ["stories", "bins out"], "along": True})

    assert not _stories(house)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({}, "Give the story a name"),
        ({"name": "a/b", "story": STORY}, "without a slash"),
        ({"name": "x"}, "There is no story yet"),
        ({"name": "x", "story": "0 s: nobody press 1"}, "no group or person 'nobody'"),
        ({"name": "x", "story": "0 s: wait; " * 900}, "There is no story yet"),
    ],
)
def test_what_is_no_story_is_not_kept(house: Served, values: dict[str, str], says: str) -> None:
    """In words, and nothing is written."""
    told = _keep(house, **values)

    assert told.status == 422
    assert says in told.json["says"]
    assert not _stories(house)


def test_the_plan_moves_and_a_dead_press_is_told(house: Served, watched: Watched) -> None:
    """The gate stands open at the end, on the plan and in words; the press without mains moves nothing."""
    page = watched.page(reduced_motion="reduce")
    page.goto(f"{house.address}{HOUSE}/rehearsal?story={STORY.replace(' ', '%20')}")
    expect(page.locator(".marks .nothing")).to_have_text(
        "40 s: parents: open gate pressed, not heard — nothing moves"
    )
    expect(page.locator("#onplan .thing", has_text="gate")).to_contain_text("open")
    expect(page.locator("#timeline p[role=status]")).to_contain_text("larkfen/gate open")
    page.get_by_text("Keep this story as a lesson").click()
    page.get_by_label("Name", exact=True).fill("bins out")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#lessons")).to_contain_text("bins out")

    assert _stories(house)["bins out"]["ends"] == {"larkfen/gate": "open"}


def test_areas_of_the_alarm_stand_on_the_plan_as_on_the_time_line() -> None:
    """Where each has a state of its own they take the place of their panel; else the panel stands there."""
    inputs = {"1": {"reads": "set pulse"}, "2": {"reads": "unset pulse"}, "3": {"reads": "set pulse"}}
    apart = {"shop": {"inputs": ("1", "2")}, "flat": {"inputs": ("3",)}}
    together: dict[str, Any] = {"shop": {}, "flat": {}}
    shown = {}
    for words, areas in (("apart", apart), ("together", together)):
        case = a_case(
            {"1": {"kind": "pulse", "for_s": 1.0, "works": "panel.1"}},
            panel={"exit_s": 0.0, "keypad": False, "inputs": inputs},
            mounted_panel={"areas": areas, "at": (3.0, 4.0)},
        )
        things = plan_of_things(case)["house"]["things"]
        shown[words] = {thing["path"] for thing in things if thing["at"] == [3.0, 4.0]}
        told = play(case, "0 s: pair press f1; 5 s: wait")
        assert {path for path in told.states if path.startswith("house/panel")} <= shown[words]

    assert shown == {"apart": {"house/panel.shop", "house/panel.flat"}, "together": {"house/panel"}}
