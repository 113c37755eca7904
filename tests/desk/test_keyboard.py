"""Each page without a mouse: the way to the page itself, visible focus at every stop, nothing that holds the
keys, names for what is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile

import pytest
from playwright.sync_api import Page, expect

from helpers.desk import Served, copy_of, served
from helpers.watched import Watched

PAGES = [
    "promises",
    "plan",
    "wiring",
    "rehearsal",
    "keys",
    "proving",
    "proving/walk",
    "papers",
    "quote",
    "upkeep",
    "faults",
    "job",
    "versions",
]
MOST_STOPS = 45
"""So many steps are enough to be past the head and the list of pages, and well within each page."""

KEEPS_STOPS = """() => { window.stops = []; addEventListener("keyup", () => {
  const at = document.activeElement, box = at.getBoundingClientRect(), look = getComputedStyle(at);
  const isIn = at !== document.body && box.width > 0 && box.right > 0 && box.bottom > 0 && box.left < innerWidth && box.top < innerHeight;
  const named = at.getAttribute("aria-label") || at.getAttribute("aria-labelledby") || at.labels?.length || at.textContent.trim() || at.title || at.placeholder || at.value;
  at.dataset.stops = Number(at.dataset.stops || 0) + 1;
  stops.push({ what: at.outerHTML.slice(0, 90), body: at === document.body, isIn, outline: look.outlineStyle !== "none" && parseFloat(look.outlineWidth) > 0, named: Boolean(named), again: Number(at.dataset.stops) > 1, tab: at.tabIndex });
}, true); }"""  # noqa: E501
"""Notes each stop when the key is let go, so that nobody has to ask for them one by one."""

UNNAMED = """() => [...document.querySelectorAll("main svg, main canvas, main img")].filter((one) => {
  if (one.closest("[aria-hidden=true], [hidden], svg svg") || !one.getClientRects().length) return false;
  const isDecor = one.getAttribute("aria-hidden") === "true" || one.getAttribute("alt") === "" || one.closest("button, a")?.textContent.trim() || one.closest("[aria-label]");
  return !isDecor && !one.getAttribute("aria-label") && !one.getAttribute("aria-labelledby") && !one.querySelector?.(":scope > title") && !one.alt;
}).map((one) => one.outerHTML.slice(0, 120))"""  # noqa: E501


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Served once for all pages; nothing is changed."""
    with served(copy_of("larkfen-house", tmp_path_factory.mktemp("keys"))) as desk:
        yield desk


def _stops(page: Page) -> list[dict[str, object]]:
    page.evaluate(KEEPS_STOPS)
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
    noted: list[dict[str, object]] = page.evaluate("stops")
    assert noted
    return list(takewhile(lambda stop: not (stop["body"] or stop["again"]), noted))


def test_every_page_is_walked_by_keys(house: Served, watched: Watched) -> None:
    """The first stop leads to the page; every stop is seen, on the sheet and named; no drawing without a
    name; motion is still where asked.
    """
    page = watched.page(reduced_motion="reduce")
    faults = []
    for path in PAGES:
        page.goto(f"{house.address}/j/larkfen-house/{path}")
        expect(page.locator("h1")).to_be_visible()
        stops = _stops(page)
        if "To the page" not in str(stops[0]["what"]):
            faults.append(f"{path}: the first stop is {stops[0]['what']}")
        if len(stops) < 16:
            faults.append(f"{path}: only {len(stops)} stops")
        faults += [
            f"{path}: {word}: {stop['what']}"
            for stop in stops
            for word, is_wrong in (
                ("not on the sheet", not stop["isIn"]),
                ("not seen", not stop["outline"]),
                ("no name", not stop["named"]),
                ("out of order", int(str(stop["tab"])) > 0),
            )
            if is_wrong
        ]
        faults += [f"{path}: drawn without a name: {what}" for what in page.evaluate(UNNAMED)]
        moving = page.evaluate(
            "() => document.getAnimations().filter((one) => one.playState === 'running').length"
        )
        if moving:
            faults.append(f"{path}: {moving} things move though stillness is asked for")

    assert faults == []


def test_escape_closes_and_the_keys_are_where_they_were(house: Served, watched: Watched) -> None:
    """A dialogue opened by keys takes them, keeps them, and gives them back; the first stop of a page skips
    its head.
    """
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/keys")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_be_visible()
    for _ in range(12):
        page.keyboard.press("Tab")
        assert page.evaluate(
            "document.activeElement === document.body || document.activeElement.closest('dialog') !== null"
        )
    page.keyboard.press("Escape")

    expect(page.get_by_role("dialog")).not_to_be_visible()
    assert page.evaluate("document.activeElement.textContent") == "New fobs"
