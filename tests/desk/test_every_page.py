"""Every page of the desk: no serious finding of axe-core, no sideways scrolling on a phone, names for screen
readers.

axe-core by Deque Systems, rules for WCAG 2.0 to 2.2 A and AA, as shipped in the package axe-core-python.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from farpress.domain.acts import FobReceived
from farpress.record.store import open_record
from helpers.desk import Served, copy_of, served
from helpers.pages_of_the_desk import PAGES, serious
from helpers.watched import Watched


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house with a few fobs in its record, served once for all pages."""
    folder = copy_of("larkfen-house", tmp_path_factory.mktemp("pages"))
    with open_record(folder) as record:
        for number in range(1, 9):
            record.append(FobReceived(fob=f"L-{number:03}", type="F4"), job="Larkfen House", by="installer")
    with served(folder) as desk:
        yield desk


@pytest.fixture(scope="module")
def phone(browser: Browser) -> Iterator[Watched]:
    """One phone for all pages, which looks at one after the other."""
    made = Watched(browser)
    made.page(phone=True, bypass_csp=True, color_scheme="light")
    yield made
    made.close()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_has_no_serious_finding_and_fits_a_phone(path: str, house: Served, phone: Watched) -> None:
    """In the light look on a phone."""
    page = phone.pages[0]
    page.goto(f"{house.address}/j/larkfen-house/{path}")
    expect(page.locator("h1")).to_be_visible()

    assert serious(page) == []
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert page.evaluate("document.documentElement.lang") == "en-GB"
    assert page.locator("main").count() == 1
    phone.look()


def test_a_concern_of_the_first_page_explains_itself(house: Served, watched: Watched) -> None:
    """Number 1 is what must stop; its 'why' opens every finding behind it."""
    page = watched.page(bypass_csp=True)
    page.goto(f"{house.address}/j/larkfen-house/promises")
    stop = page.locator(".firstpage li.stop").first
    expect(stop).to_contain_text("Barred.")
    stop.get_by_role("link", name="why").click()

    expect(page.get_by_role("dialog")).to_contain_text("is mains, and contact 2 of R2 is not rated for mains")
    assert serious(page) == []


@pytest.mark.parametrize("look", ["dark", "sun"])
def test_the_other_looks_have_enough_contrast(look: str, house: Served, watched: Watched) -> None:
    """Promises and a chain with all its verdicts."""
    page = watched.page(bypass_csp=True)
    page.goto(f"{house.address}/j/larkfen-house/promises")
    page.locator("#look").select_option(look)
    assert page.evaluate("document.documentElement.dataset.theme") == look
    page.locator(".chain button").first.click()
    expect(page.get_by_role("dialog")).to_be_visible()

    assert serious(page) == []


def test_the_survey_and_the_forms_have_no_serious_finding(house: Served, watched: Watched) -> None:
    """Outside a job, and in a dialogue."""
    page = watched.page(bypass_csp=True)
    page.goto(f"{house.address}/new")
    expect(page.locator("h1")).to_be_visible()
    assert serious(page) == []
    page.goto(f"{house.address}/j/larkfen-house/job")
    page.get_by_role("button", name="Change Customer and papers").click()
    expect(page.get_by_role("dialog")).to_be_visible()

    assert serious(page) == []


def test_everything_can_be_reached_by_the_tab_key(house: Served, watched: Watched) -> None:
    """The first stop leads past the pages; a link of a chain opens with Enter and closes with Escape."""
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/promises")
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.locator(".chain button").first.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_be_visible()
    page.keyboard.press("Escape")

    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(page.locator(".chain button").first).to_be_focused()
