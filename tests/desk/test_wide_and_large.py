"""Every page on a wide screen, and with text twice as large: nothing runs out of the screen or lies on
another.

WCAG 2.2, 1.4.4: text can be twice as large without loss. axe-core as in `test_every_page`, in the dark look.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from helpers.desk import Served, copy_of, served
from helpers.pages_of_the_desk import PAGES, serious
from helpers.watched import Watched, large_text

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


def test_no_page_loses_anything_when_it_is_wide_or_large(
    browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """One page of a browser for all of them."""
    with served(copy_of("larkfen-house", tmp_path_factory.mktemp("wide"))) as desk:
        watched = Watched(browser)
        page = watched.page(bypass_csp=True, color_scheme="dark")
        page.set_viewport_size(WIDE)  # type: ignore[arg-type]
        faults = {path: _faults(page, desk, path) for path in PAGES}
        watched.close()

    assert {path: found for path, found in faults.items() if found} == {}


def _faults(page: Page, desk: Served, path: str) -> list[str]:
    page.context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
    page.goto(f"{desk.address}/j/larkfen-house/{path}")
    expect(page.locator("h1")).to_be_visible()
    found = [f"dark: {fault}" for fault in serious(page)]
    for size in ("wide", "large"):
        if size == "large":
            large_text(page)
        if page.evaluate(OUT) > 0:
            found.append(f"{size}: {page.evaluate(OUT)} px run out")
        found += [f"{size}: {fault}" for fault in page.evaluate(MEETING)]
    return found
