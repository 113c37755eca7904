"""Whole journeys in a real browser: the survey, the plan, a remedy, two people, a walk without a
connection.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from playwright.sync_api import Page, expect

from helpers.desk import Served, copy_of, served
from helpers.waiting import until
from helpers.watched import Watched, box_of, wait_until_said


def _job(folder: Path) -> dict[str, Any]:
    return yaml.load((folder / "job.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)  # type: ignore[no-any-return]


def test_from_nothing_to_a_first_assessment_by_the_survey(tmp_path: Path, watched: Watched) -> None:
    """Seven steps, no file seen; the job lies in its folder and its promises are judged."""
    with served(tmp_path / "jobs") as desk:
        page = watched.page()
        page.goto(desk.address)
        page.get_by_label("Name of the job").fill("Thornwick Rise")
        page.get_by_label("Customer").first.fill("Alder family")
        page.get_by_role("button", name="Next").click()
        page.get_by_label("Width along the street, m").fill("10,5")
        page.get_by_role("button", name="Next").click()
        page.get_by_role("textbox", name="Away from the building, m").fill("9")
        page.get_by_role("button", name="One more thing").click()
        page.get_by_role("button", name="Next").click()
        expect(page.get_by_role("checkbox", name="open gate")).not_to_be_checked()
        for rows in ("groups", "places"):
            page.locator(f"[data-rows={rows}]").get_by_role("button", name="Tick what is usual").click()
            page.get_by_role("button", name="Next").click()
        expect(page.get_by_role("checkbox", name="Up and down")).not_to_be_checked()
        page.get_by_role("button", name="Next").click()
        expect(page.locator("#trouble")).to_be_hidden()
        page.get_by_role("button", name="Make the job and judge it").click()
        expect(page.get_by_role("heading", level=1, name="First page")).to_be_visible()

        expect(page.locator(".promise")).to_have_count(2)
        assert set(_job(tmp_path / "jobs" / "thornwick-rise")["functions"]) == {"open gate", "door"}
        assert _job(tmp_path / "jobs" / "thornwick-rise")["premises"]["house"]["walls"][0]["along"][1] == [
            "20.5",
            "12",
        ]


def test_the_survey_promises_a_held_movement_only_where_it_is_seen(tmp_path: Path, watched: Watched) -> None:
    """A shutter behind the house is not ticked from the street in front of it, but from a place behind."""
    with served(tmp_path / "jobs") as desk:
        page = watched.page()
        page.goto(desk.address)
        page.get_by_label("Name of the job").fill("Wexcombe Mews")
        page.locator("[data-step='2']").click()
        page.get_by_role("button", name="One more thing").click()
        thing = page.locator("[data-rows=things] fieldset.rowset").nth(1)
        thing.get_by_label("What is it").select_option("shutter")
        thing.get_by_label("Where", exact=True).select_option("back")
        page.locator("[data-step='4']").click()
        place = page.locator("[data-rows=places] fieldset.rowset").first
        place.get_by_role("button", name="Tick what is usual").click()
        expect(place.get_by_role("checkbox", name="open gate")).to_be_checked()
        expect(place.get_by_role("checkbox", name="shutter up")).not_to_be_checked()
        place.get_by_label("Where", exact=True).select_option("back")
        place.get_by_role("button", name="Tick what is usual").click()
        expect(place.get_by_role("checkbox", name="shutter up")).to_be_checked()


def test_a_link_leads_to_its_number_and_a_remedy_is_applied_and_taken_back(
    house: Served, watched: Watched
) -> None:
    """Click a broken link, apply a remedy, see the file change; undo, and it is as before."""
    before = (house.folder / "job.yaml").read_bytes()
    page = watched.page()
    page.goto(house.address)
    chain = page.locator(".promise", has=page.get_by_role("heading", name="parents: open gate from kitchen"))
    chain.get_by_role("button", name=re.compile("contact")).click()
    expect(page.get_by_role("dialog")).to_contain_text("mA")
    expect(page.get_by_role("dialog")).to_contain_text("Source:")
    page.get_by_role("dialog").get_by_role("button", name="Apply").first.click()
    wait_until_said(page, "Saved")
    assert (house.folder / "job.yaml").read_bytes() != before
    expect(page.locator("main [data-stale=before]")).to_have_count(0)  # judged anew and caught up

    page.locator("#undo").click()
    wait_until_said(page, "taken back")

    assert (house.folder / "job.yaml").read_bytes() == before


def _plan(page: Page, desk: Served) -> Any:
    page.goto(f"{desk.address}/j/{desk.folder.name}/plan")
    expect(page.locator("#board")).to_have_attribute("data-maps", re.compile("[1-9]"))
    box = page.locator("#plan").bounding_box()
    assert box is not None
    return box


def test_a_wall_is_drawn_with_the_mouse(house: Served, watched: Watched) -> None:
    """Three corners and Enter; the wall is in the file, snapped, and undo takes it away."""
    count = len(_job(house.folder)["premises"]["larkfen"]["walls"])
    page = watched.page()
    box = _plan(page, house)
    page.get_by_role("button", name="Wall", exact=True).click()
    for x, y in ((0.6, 0.75), (0.8, 0.75), (0.8, 0.9)):
        page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * y)
    page.keyboard.press("Enter")
    wait_until_said(page, "a wall drawn")

    walls = _job(house.folder)["premises"]["larkfen"]["walls"]
    assert len(walls) == count + 1
    along = [[float(one) for one in point] for point in walls[-1]["along"]]
    assert along[0][1] == along[1][1], "a wall nearly along the grid is drawn along it"
    assert all(abs(value * 10 - round(value * 10)) < 1e-6 for point in along for value in point), (
        "points lie on the 10 cm grid"
    )
    page.locator("#undo").click()
    wait_until_said(page, "taken back")
    assert len(_job(house.folder)["premises"]["larkfen"]["walls"]) == count


def test_an_aerial_is_dragged_and_the_map_follows(house: Served, watched: Watched) -> None:
    """While it is dragged coarse maps come, when it rests a fine one; the new place is saved."""
    page = watched.page()
    _plan(page, house)
    page.get_by_text("Everything on the plan").click()
    page.get_by_role("button", name="aerial R1 aerial").click()
    part = page.locator('[data-point="receivers/R1/antenna/at"]')
    before = box_of(part)
    page.get_by_role("button", name="Closer").click(click_count=1)
    until(lambda: box_of(part) != before, "the plan is drawn again, nearer")
    grip = box_of(part)
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    maps = int(page.locator("#board").get_attribute("data-maps") or 0)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(x - 8 * step, y + 5 * step)
        page.wait_for_timeout(60)
    expect(page.locator("#board")).not_to_have_attribute("data-maps", str(maps))
    expect(page.locator("#board")).to_have_attribute("data-map", re.compile("^coarse"))
    expect(page.locator("#board")).to_have_attribute("data-map", re.compile("^fine"))
    page.mouse.up()
    wait_until_said(page, "moved")
    expect(page.locator("#chosen")).to_contain_text("which coax leads there?")
    page.get_by_role("button", name="Set the coax").click()
    wait_until_said(page, "coax of R1")

    at = [float(one) for one in _job(house.folder)["premises"]["larkfen"]["receivers"]["R1"]["antenna"]["at"]]
    assert at[:2] != [17.5, 23.0]
    assert _job(house.folder)["premises"]["larkfen"]["receivers"]["R1"]["antenna"]["coax"]["length"].endswith(
        " m"
    )
    expect(page.locator("#mapstate")).to_contain_text("fob of parents")


def test_the_plan_is_worked_by_keys_alone(house: Served, watched: Watched) -> None:
    """Choose a place in the list, move it with the arrow keys, take it back with Ctrl+Z."""
    page = watched.page()
    _plan(page, house)
    page.get_by_text("Everything on the plan").click()
    page.get_by_role("button", name="place kitchen").click()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    wait_until_said(page, "kitchen moved")

    assert _job(house.folder)["premises"]["larkfen"]["places"]["kitchen"]["at"][0] == "10.2"
    page.keyboard.press("Control+z")
    wait_until_said(page, "taken back")
    assert _job(house.folder)["premises"]["larkfen"]["places"]["kitchen"]["at"][0] == "10"


def test_two_browsers_change_the_same_place_and_both_versions_are_shown(
    house: Served, watched: Watched
) -> None:
    """The second is refused, sees both, and chooses; the first page gets the news by itself."""
    watched.expected = ("409",)
    first, second = watched.page(), watched.page()
    for page in (first, second):
        page.goto(f"{house.address}/j/larkfen-house/job")
        page.get_by_role("button", name="Change Customer and papers").click()
    first.get_by_role("dialog").get_by_label("telephone").fill("01632 960 111")
    first.get_by_role("dialog").get_by_role("button", name="Save").click()
    wait_until_said(first, "Saved")
    second.get_by_role("dialog").get_by_label("telephone").fill("01632 960 222")
    second.get_by_role("dialog").get_by_role("button", name="Save").click()
    expect(second.get_by_role("dialog")).to_contain_text("Two people changed the same place")
    expect(second.get_by_role("dialog")).to_contain_text("01632 960 111")
    expect(second.get_by_role("dialog")).to_contain_text("01632 960 222")
    assert _job(house.folder)["details"]["telephone"] == "01632 960 111"

    second.get_by_role("button", name="Write mine over it").click()
    wait_until_said(first, "over another")
    assert _job(house.folder)["details"]["telephone"] == "01632 960 222"


def test_what_a_page_learns_behind_a_drawer_changes_nothing_in_it(house: Served, watched: Watched) -> None:
    """A drawer is saved against the job it was opened with, although its page has been made anew since with
    what somebody else saved in the same place.
    """
    watched.expected = ("409",)
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    page.get_by_role("button", name="Change Customer and papers").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("telephone").fill("01632 960 222")
    change = {"path": ["details", "telephone"], "value": "01632 960 111"}
    assert house.ask("/j/larkfen-house/edit", {"changes": [change], "says": "telephone"}).status == 200
    page.evaluate("import('/static/desk.js').then((desk) => desk.refresh())")
    dialog.get_by_role("button", name="Save").click()

    expect(dialog).to_contain_text("Two people changed the same place")
    assert _job(house.folder)["details"]["telephone"] == "01632 960 111"


def test_what_a_change_did_is_told_beside_what_takes_it_back(house: Served, watched: Watched) -> None:
    """The news of the promises does not push the button away; a message of another matter does."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    told = page.evaluate(
        "import('/static/desk.js').then(({ say }) => [['Saved.', { action: { says: 'Undo', does() {} } }],"
        " ['2 promises better.', { after: true }], ['Copied.', {}], ['1 promise worse.', { after: true }]]"
        ".map(([text, how]) => { say(text, how); return document.getElementById('says').textContent; }))"
    )

    assert told == ["Saved.Undo×", "Saved. 2 promises better.Undo×", "Copied.×", "Copied. 1 promise worse.×"]


def test_two_browsers_change_different_places_and_both_stay(house: Served, watched: Watched) -> None:
    """Nobody is asked."""
    first, second = watched.page(), watched.page()
    for page in (first, second):
        page.goto(f"{house.address}/j/larkfen-house/job")
        page.get_by_role("button", name="Change Customer and papers").click()
    first.get_by_role("dialog").get_by_label("telephone").fill("01632 960 111")
    first.get_by_role("dialog").get_by_role("button", name="Save").click()
    wait_until_said(first, "Saved")
    second.get_by_role("dialog").get_by_label("issue").fill("2")
    second.get_by_role("dialog").get_by_role("button", name="Save").click()
    wait_until_said(second, "Saved")

    assert (_job(house.folder)["details"]["telephone"], _job(house.folder)["details"]["issue"]) == (
        "01632 960 111",
        "2",
    )


def test_a_wrong_value_is_told_beside_its_field_and_nothing_is_written(
    house: Served, watched: Watched
) -> None:
    """With the words of the job file: what is allowed, and what to do."""
    watched.expected = ("422",)
    before = (house.folder / "job.yaml").read_bytes()
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    page.get_by_role("button", name="Add Readings on site").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("receiver").fill("larkfen/R1")
    dialog.get_by_label("place").fill("street")
    dialog.get_by_label("level").fill("-90")
    dialog.get_by_role("button", name="Add", exact=True).click()

    expect(dialog.locator("#f-level-fault")).to_contain_text("dBm")
    assert (house.folder / "job.yaml").read_bytes() == before


@pytest.mark.parametrize("example", ["tallowmere-court"])
def test_the_first_page_of_the_court_is_there_soon(example: str, tmp_path: Path, watched: Watched) -> None:
    """Every promise of the court is drawn; how soon is measured by the benchmark, not here."""
    with served(copy_of(example, tmp_path)) as desk:
        page = watched.page()
        page.goto(desk.address)

        expect(page.locator(".promise")).to_have_count(18)


def test_a_file_changed_by_hand_is_noticed_by_an_open_page(house: Served, watched: Watched) -> None:
    """Nobody reloads; the page says who and shows the new state."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job")
    expect(page.locator("main")).to_contain_text("Mirela and Dorian Ostrovane")
    text = (house.folder / "job.yaml").read_text(encoding="utf-8")
    (house.folder / "job.yaml").write_text(
        text.replace("prepared_by: Hesper Marrow", "prepared_by: Fennick"), encoding="utf-8"
    )

    wait_until_said(page, "changed outside the desk")
    expect(page.locator("#block")).not_to_contain_text("Hesper Marrow")


def test_a_drawer_saves_only_what_was_changed_and_keeps_what_was_typed(
    house: Served, watched: Watched
) -> None:
    """A value that the page saved meanwhile stays; closed without saving, what was typed comes back."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/job/receivers")
    all_fields = page.get_by_role("button", name="fields of Receiver R1")
    all_fields.click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("old fobs nobody can name").fill("2")
    page.keyboard.press("Escape")
    wait_until_said(page, "What you typed is kept")
    all_fields.click()
    expect(dialog.get_by_label("old fobs nobody can name")).to_have_value("2")
    path = ["premises", "larkfen", "receivers", "R1"]
    page.evaluate(  # a field behind the drawer that was still being saved when it opened
        "async (path) => { const desk = await import('/static/desk.js');"
        " await desk.edit([{ path: [...path, 'noise_floor'], value: '-105 dBm' }], 'meanwhile'); }",
        path,
    )
    dialog.get_by_role("button", name="Save").click()
    expect(dialog).to_be_hidden()

    box = _job(house.folder)["premises"]["larkfen"]["receivers"]["R1"]
    assert (box["learned_unknown"], box["noise_floor"]) == ("2", "-105 dBm")
