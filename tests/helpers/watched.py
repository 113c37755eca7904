"""Pages of a browser that are watched: no error in the console, no request that would leave the machine."""

from __future__ import annotations

import os
import time
from typing import Any
from weakref import WeakSet

from playwright.sync_api import Browser, BrowserContext, FloatRect, Locator, Page, Request

from helpers.waiting import NEVER_S, PAGE_MS

SERVER_GONE = ("ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_CONNECTION_REFUSED", "ERR_CONNECTION_RESET")
"""A page that is still open when its test stops the server says so; that is no fault of the page."""

SLOW = float(os.environ.get("FARPRESS_SLOW") or 1)
"""To look for races by hand: `FARPRESS_SLOW=5` lets the scripts of a page run five times slower, and every
answer of the desk come late by chance."""

HERE = ("http://127.0.0.1:", "https://127.0.0.1:", "data:", "blob:")
"""Where a page may ask; the browser itself finds nothing else (`NO_OTHER_HOST`)."""

NO_OTHER_HOST = "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"
"""Chromium's own way to leave the machine nowhere: were every request held up and let go by the test, each
page would cost a third more."""

PHONE = {"width": 390, "height": 844}

KEEPS_WHAT_IS_SAID = """addEventListener("DOMContentLoaded", () => {
  const box = document.getElementById("says");
  window.everSaid = [];
  if (box) new MutationObserver((changes) => {
    for (const change of changes) for (const part of change.addedNodes) {
      const line = (part.nodeType === Node.TEXT_NODE ? part.parentElement : part).closest("#says > *");
      if (line) everSaid.push(line.textContent);
    }
  }).observe(box, { childList: true, subtree: true });
});"""
"""A message goes after some seconds or when the next one comes; on a busy machine that may be before a test
has looked."""

TAKES_WHAT_WAS_SAID = """(words) => {
  const found = everSaid.findIndex((text) => text.includes(words));
  if (found >= 0) everSaid.splice(0, found + 1);
  return found >= 0;
}"""

OPEN: WeakSet[Watched] = WeakSet()
"""Whoever watches pages now."""


def close_pages_of(address: str) -> None:
    """Close every page of a desk that is about to stop: what it asks for now would be answered by nobody."""
    for watched in tuple(OPEN):
        watched.close_pages(address)


def large_text(page: Page) -> None:
    """Text twice as large, as set in the browser: what is measured in it grows too."""
    _text_of(page, {"standard": 32, "fixed": 26})


def usual_text(page: Page) -> None:
    """Text as browsers have it."""
    _text_of(page, {"standard": 16, "fixed": 13})


def _text_of(page: Page, sizes: dict[str, int]) -> None:
    talk = page.context.new_cdp_session(page)
    talk.send("Page.setFontSizes", {"fontSizes": sizes})
    talk.detach()


class Watched:
    """Pages of one test; at its end nothing may have gone wrong in any of them."""

    def __init__(self, browser: Browser) -> None:
        """Begin without a page."""
        self._browser = browser
        self._contexts: list[BrowserContext] = []
        self.errors: list[str] = []
        self.outside: list[str] = []
        self.expected: tuple[str, ...] = ()
        OPEN.add(self)

    def page(self, *, phone: bool = False, **options: Any) -> Page:
        """A page of a browser of its own, with its own session."""
        context = self._browser.new_context(
            viewport=PHONE if phone else {"width": 1440, "height": 900}, has_touch=phone, **options
        )
        self._contexts.append(context)
        context.add_init_script(KEEPS_WHAT_IS_SAID)
        context.on("request", self._look_where)
        page = context.new_page()
        page.set_default_timeout(PAGE_MS * SLOW)
        if SLOW > 1:
            context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOW})
        page.on(
            "console", lambda message: self.errors.append(message.text) if message.type == "error" else None
        )
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def _look_where(self, request: Request) -> None:
        if not request.url.startswith(HERE):
            self.outside.append(request.url)

    @property
    def pages(self) -> list[Page]:
        """Those that are open."""
        return [page for context in self._contexts for page in context.pages]

    def close_pages(self, address: str) -> None:
        """Close the pages of one desk."""
        for page in self.pages:
            if page.url.startswith(address):
                page.close()

    def close(self) -> None:
        """Close every page and look at what happened in them."""
        for context in self._contexts:
            context.close()
        self.look()

    def look(self) -> None:
        """Nothing that is not expected has gone wrong in any page so far."""
        unexpected = [
            text for text in self.errors if not any(word in text for word in (*self.expected, *SERVER_GONE))
        ]
        assert self.outside == [], "a request would have left the machine"
        assert unexpected == [], f"errors in the console: {unexpected[:3]}"


def wait_until_said(page: Page, words: str) -> None:
    """Wait until the page has told the person these words, after what was last waited for; what has been
    replaced by another message since counts too.

    Raises:
        AssertionError: it never said so.
    """
    given_up = time.monotonic() + NEVER_S
    while not page.evaluate(TAKES_WHAT_WAS_SAID, words):
        assert time.monotonic() < given_up, f"never said: {words!r}; said: {page.evaluate('everSaid')}"
        page.wait_for_timeout(50)


def box_of(part: Locator) -> FloatRect:
    """Where something stands on the screen; what is drawn anew at every moment is asked for until it is
    there.
    """
    given_up = time.monotonic() + NEVER_S
    while (box := part.bounding_box()) is None:
        assert time.monotonic() < given_up, f"{part} is not shown"
        part.page.wait_for_timeout(50)
    return box


def points_of(*parts: Locator) -> list[tuple[float, float]]:
    """The middle of each part, where a hand would take it."""
    found = []
    for part in parts:
        box = part.bounding_box()
        assert box is not None
        found.append((box["x"] + box["width"] / 2, box["y"] + box["height"] / 2))
    return found
