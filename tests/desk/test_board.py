"""The wiring drawn: every edit is saved in the one way and taken back by Undo; pulled, and by keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from farpress.jobfile.text_to_values import values_of
from helpers.desk import Served, copy_of, served
from helpers.watched import Watched

BOARD = "/j/larkfen-house/wiring/drawn"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house, served once."""
    with served(copy_of("larkfen-house", tmp_path_factory.mktemp("board"))) as desk:
        desk.ask(BOARD)
        yield desk


def _values(desk: Served) -> Any:
    return values_of((desk.folder / "job.yaml").read_text(encoding="utf-8"))


def _core(desk: Served, name: str) -> list[str]:
    found: list[str] = _values(desk)["premises"]["larkfen"]["cables"]["W5"]["cores"][name]
    return found


@pytest.mark.parametrize(
    ("act", "given"),
    [
        ("lead", {"label": "W5", "core": "1", "end": "R1.1.make", "to": "R1.2.make"}),
        ("share", {"label": "W2", "core": "2", "to": "help-sounder.0"}),
        ("free", {"label": "W5", "core": "1"}),
        ("lay", {"label": "W5", "a": "R1.2.common", "b": "gate.stop"}),
        ("lay", {"new": "W90", "part": "cable-2x0.75", "length": "3 m", "a": "main.+", "b": "gate.stop"}),
        ("join", {"a": "R1.1.common", "b": "R1.2.common"}),
        ("cut", {"label": "W5", "junction": "J1", "near": "4 m", "further": "W5b"}),
        ("resistor", {"terminal": "panel.set-unset", "place": "panel"}),
    ],
)
def test_an_edit_is_saved_and_taken_back(house: Served, act: str, given: dict[str, str]) -> None:
    """To the value that stood there before."""
    before = _values(house)
    told = house.ask(f"{BOARD}/{act}", {"values": given})
    assert told.status == 200, told.text
    assert _values(house) != before
    assert house.ask("/j/larkfen-house/undo", {}).status == 200

    assert _values(house) == before


def test_a_core_is_not_led_to_mains_and_the_reason_is_told(house: Served) -> None:
    """Mains is marked on the drawing, stands in no list to choose from, and its panel offers no wire."""
    before = _values(house)
    told = house.ask(f"{BOARD}/lead", {"label": "W5", "core": "1", "end": "R1.1.make", "to": "path-lights.L"})
    core = house.ask(f"{BOARD}/core?premises=larkfen&label=W5&core=1").text
    panel = house.ask(f"{BOARD}/terminal?premises=larkfen&terminal=path-lights.L").text

    assert told.status == 422
    assert told.json["says"].startswith("path-lights.L stands at mains.")
    assert _values(house) == before
    assert 'aria-label="path-lights.L, mains' in house.ask(BOARD, headers={"Accept": "text/html"}).text
    assert "<option>gate.stop" in core
    assert "<option>path-lights.L" not in core
    assert "stands at mains" in panel
    assert "Lay a core from here" not in panel
    assert "Lay a core from here" in house.ask(f"{BOARD}/terminal?premises=larkfen&terminal=gate.stop").text


@pytest.mark.parametrize("act", ["lead", "share", "free", "lay", "join", "cut", "resistor", "melt"])
@pytest.mark.parametrize("given", [{}, {"label": 5, "core": [], "to": {}}, {"premises": "elsewhere"}])
def test_an_edit_without_sense_is_refused_in_words(house: Served, act: str, given: dict[str, Any]) -> None:
    """And nothing is written."""
    before = _values(house)
    told = house.ask(f"{BOARD}/{act}", {"values": given})

    assert told.status == 422
    assert told.json["says"]
    assert _values(house) == before


def _judged(page: Page) -> None:
    """Wait until a change is judged and its remedies tried: the page is made anew by then."""
    expect(page.locator("main [data-stale]")).to_have_count(0)


def test_a_core_is_pulled_and_led_by_keys_and_by_a_form(house: Served, watched: Watched) -> None:
    """Each of the three ways ends in the job file; Escape leaves the core where it was."""
    page = watched.page()
    page.goto(f"{house.address}{BOARD}")
    _judged(page)  # nothing moves under the pointer any more
    end = page.get_by_role("button", name="Core 1 of W5 at R1.1.make")
    end.scroll_into_view_if_needed()
    end.locator("circle").hover(force=True)
    page.mouse.down()
    page.locator('[data-terminal="R1.2.make"] circle').hover(force=True)
    page.mouse.up()
    expect(page.locator("#boardsays")).to_have_text("Core 1 of W5 ends at R1.2.make now.")
    _judged(page)
    assert _core(house, "1") == ["R1.2.make", "gate.open"]

    page.evaluate("import('/static/desk.js').then((desk) => desk.refresh())")  # made anew once more
    expect(page.locator("#boardsays")).to_have_text("Core 1 of W5 ends at R1.2.make now.")
    page.keyboard.press("Space")  # the end that was led has the focus, and keeps it in the page made anew
    expect(page.locator("#boardsays")).to_contain_text("taken up")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Escape")
    assert _core(house, "1") == ["R1.2.make", "gate.open"]
    page.keyboard.press("Space")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator("#boardsays")).to_have_text("Core 1 of W5 ends at R1.2.break now.")
    _judged(page)
    assert _core(house, "1") == ["R1.2.break", "gate.open"]

    page.keyboard.press("Enter")
    page.get_by_label("Lead its end at R1.2.break to").select_option("R1.1.make")
    page.get_by_role("button", name="Lead it there").first.click()
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(page.get_by_role("button", name="Core 1 of W5 at R1.1.make")).to_be_visible()

    assert _core(house, "1") == ["R1.1.make", "gate.open"]
