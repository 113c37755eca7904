"""Every page of the desk: no serious finding of axe-core, no sideways scrolling on a phone, names for screen
readers; on a wide screen, and with text twice as large, nothing runs out of the screen or lies on another.

axe-core by Deque Systems, rules for WCAG 2.0 to 2.2 A and AA, as shipped in the package axe-core-python.
WCAG 2.2, 1.4.4: text can be twice as large without loss.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from farpress.domain.acts import FobReceived
from farpress.record.store import open_record
from helpers.desk import Served, copy_of, served
from helpers.pages_of_the_desk import PAGES, serious
from helpers.watched import PHONE, Watched, large_text, usual_text

WIDE = {"width": 1920, "height": 1080}
OUT = "document.documentElement.scrollWidth - innerWidth"
MEETING = """() => {
  const shown = (one) => { const box = one.getBoundingClientRect(); return box.width > 1 && box.height > 1 && one.checkVisibility(); };
  const far = (one) => { for (let up = one.parentElement; up; up = up.parentElement) { const { overflowX, overflowY } = getComputedStyle(up); if (/auto|scroll/.test(overflowX + overflowY)) return up; } return null; };
  const list = [...document.querySelectorAll("main :is(a, button, input, select, textarea, summary, h1, h2, h3)")].filter((one) => shown(one) && !one.closest("svg, .board, .hidden-text, .chain") && !one.matches(".hidden-text, [type=checkbox], [type=radio]"));
  const lines = list.map((one) => [...one.getClientRects()]), found = [];
  for (let i = 0; i < list.length; i++) for (let j = i + 1; j < list.length; j++) {
    if (list[i].contains(list[j]) || list[j].contains(list[i]) || far(list[i]) !== far(list[j])) continue;
    if (lines[i].some((a) => lines[j].some((b) => a.left < b.right - 2 && b.left < a.right - 2 && a.top < b.bottom - 2 && b.top < a.bottom - 2)))
      found.push(`${list[i].outerHTML.slice(0, 80)} on ${list[j].outerHTML.slice(0, 80)}`);
  }
  return found;
}"""  # noqa: E501 - one function of the page
"""What a person reads or presses, two of them in one place; what scrolls apart, lies in a drawing or is only
spoken is left out, and so are the links of a chain, which are drawn one through the other.
"""


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
    """One page of a browser for all of them, which looks at one after the other."""
    made = Watched(browser)
    made.page(phone=True, bypass_csp=True, color_scheme="light")
    yield made
    made.close()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_sound_on_a_phone_wide_dark_and_large(path: str, house: Served, phone: Watched) -> None:
    """In the light look on a phone, then in the dark one on a wide screen, then with large text: loaded once,
    and not again for each.
    """
    page = phone.pages[0]
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    usual_text(page)
    page.goto(f"{house.address}/j/larkfen-house/{path}")
    expect(page.locator("h1")).to_be_visible()

    assert page.evaluate("document.documentElement.dataset.theme") == "light"
    assert serious(page) == []
    assert page.evaluate(OUT) <= 0
    assert page.evaluate("document.documentElement.lang") == "en-GB"
    assert page.locator("main").count() == 1

    page.set_viewport_size(WIDE)  # type: ignore[arg-type]
    page.evaluate("document.documentElement.dataset.theme = 'dark'")
    assert serious(page) == []
    assert _lost(page) == []
    large_text(page)
    assert _lost(page) == []
    phone.look()


def _lost(page: Page) -> list[str]:
    """What runs out of the screen or lies on another."""
    out = page.evaluate(OUT)
    return [*([f"{out} px run out"] if out > 0 else []), *page.evaluate(MEETING)]


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
    """Promises and a chain with all its verdicts; a machine that asks for the dark look gets it first."""
    page = watched.page(bypass_csp=True, color_scheme="dark")
    page.goto(f"{house.address}/j/larkfen-house/promises")
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
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
