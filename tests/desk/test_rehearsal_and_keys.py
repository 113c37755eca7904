"""The rehearsal played in the browser, and a fob that is lost."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from farpress.case.door import open_job
from farpress.desk.pages.rehearsal import playable
from farpress.domain.acts import FobIssued, FobLearned, FobReceived
from farpress.domain.finding import Verdict
from farpress.record.store import open_record
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import rehearse
from helpers.desk import Served, copy_of, served
from helpers.project import EXAMPLES
from helpers.watched import Watched, wait_until_said


def test_a_button_is_pressed_the_power_is_cut_and_the_time_line_shows_it(
    house: Served, watched: Watched
) -> None:
    """By key, as without a mouse; the clock runs when it is told to."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/rehearsal")
    page.get_by_role("button", name=re.compile("Button 1: open gate")).press("Enter")
    expect(page.locator("#timeline svg")).to_have_attribute("aria-label", re.compile("larkfen/gate opening"))
    page.get_by_role("button", name="10 s", exact=True).click()
    page.get_by_role("button", name="Power: on").click()
    expect(page.locator("#timeline svg")).to_have_attribute("aria-label", re.compile("the power fails"))
    expect(page.get_by_role("button", name="Power: off")).to_be_visible()
    expect(page.locator("#clock")).to_have_text("10.5 s")

    page.get_by_role("button", name="Take back").click()
    expect(page.get_by_role("button", name="Power: on")).to_be_visible()


@pytest.mark.long
@pytest.mark.parametrize("name", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_every_story_offered_to_play_breaks_its_rule_when_played(name: str) -> None:
    """The words of the page are read by the player and end in what the search found, unless it rests on
    something not known.
    """
    case = open_job(EXAMPLES / name)
    offered = [
        (one, playable(one))
        for one in rehearse(case)
        if one.story is not None and one.verdict is not Verdict.UNKNOWN
    ]

    for result, words in offered:
        assert not words or result.forbids in {one.says for one in play(case, words).broken}, words
    assert any(words for _, words in offered) is (name != "larkfen-house")  # the house breaks nothing


def test_a_story_that_breaks_a_rule_is_found_and_played(house: Served, watched: Watched) -> None:
    """The story of the search becomes events on the time line."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/rehearsal")
    row = page.locator('[data-rule="3"]')
    row.get_by_role("button", name=re.compile("Find a story")).click()
    expect(row.locator(".result").first).to_be_visible()
    row.get_by_role("button", name="Play this story").first.click()

    expect(page.locator("#timeline svg")).to_have_attribute("aria-label", re.compile("the power returns"))


def test_a_lost_fob_becomes_a_plan(tmp_path_factory: object, watched: Watched, tmp_path: object) -> None:
    """Received, learned at two branches, reported lost: the visits stand there in their order, with what is
    open meanwhile.
    """
    folder = copy_of("brindlemark", tmp_path)  # type: ignore[arg-type]
    with open_record(folder) as record:
        job = "Brindlemark Timber & Fittings"
        record.append(FobReceived(fob="BM-047"), job=job, by="installer")
        record.append(FobIssued(fob="BM-047", pool="fitters", group="fitters"), job=job, by="installer")
        for receiver, output, button in (
            ("vessing/V1", "1", "1"),
            ("vessing/V1", "4", "4"),
            ("lowdrift/L1", "1", "1"),
        ):
            record.append(
                FobLearned(fob="BM-047", receiver=receiver, output=output, button=button, slot="12"),
                job=job,
                by="installer",
            )
    with served(folder) as desk:
        page = watched.page()
        page.goto(f"{desk.address}/j/brindlemark/keys")
        page.get_by_role("link", name="BM-047").click()
        page.get_by_role("dialog").get_by_role("button", name="Report it lost").click()
        expect(page.get_by_role("heading", level=1)).to_contain_text("Lost: BM-047")

        expect(page.locator("main")).to_contain_text("vessing")
        expect(page.locator("main")).to_contain_text("lowdrift")
        expect(page.locator("main")).to_contain_text("on the road")
    with open_record(folder) as record:
        assert [event.particulars["fob"] for event in record.events(kinds=["fob lost"])] == ["BM-047"]


def test_many_fobs_are_changed_at_once_and_a_list_is_looked_at_first(house: Served, watched: Watched) -> None:
    """Twelve labels made, found, blocked together; a list with a fault is told row by row and nothing is
    written.
    """
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/keys")
    page.get_by_role("button", name="New fobs").click()
    page.get_by_label("How many").fill("12")
    page.get_by_role("button", name="Enter them").click()
    expect(page.locator("#fobs tbody tr")).to_have_count(12)
    page.get_by_role("searchbox", name="Find").fill("-00")
    page.get_by_label("Choose all that are shown").check()
    page.on("dialog", lambda dialog: dialog.accept())
    page.locator("#bulkgo").click()
    wait_until_said(page, "fobs done")
    page.get_by_role("button", name="Take over a list").click()
    page.locator("#listfile").set_input_files(
        {
            "name": "list.csv",
            "mimeType": "text/csv",
            "buffer": b"label,holder,receiver\nL-1,Mirela,nowhere/R9\n",
        }
    )
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#listresult")).to_contain_text("nothing was written")
