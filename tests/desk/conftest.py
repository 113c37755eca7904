"""One browser for all journeys; every page is watched for errors and for requests that would leave the machine."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, sync_playwright

from helpers.desk import Served, copy_of, served

PHONE = {"width": 390, "height": 844}
CHROMIUM = next((path for path in ("/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome") if Path(path).exists()), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Real Chromium without a window."""
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--no-first-run"])
        yield made
        made.close()


class Watched:
    """Pages of one test; at its end nothing may have gone wrong in any of them."""

    def __init__(self, browser: Browser) -> None:
        """Begin without a page."""
        self._browser = browser
        self._contexts: list[BrowserContext] = []
        self.errors: list[str] = []
        self.outside: list[str] = []
        self.expected: tuple[str, ...] = ()

    def page(self, *, phone: bool = False, **options: Any) -> Page:
        """A page of a browser of its own, with its own session."""
        context = self._browser.new_context(viewport=PHONE if phone else {"width": 1440, "height": 900}, has_touch=phone, **options)
        self._contexts.append(context)
        context.route("**/*", self._route)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("console", lambda message: self.errors.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def _route(self, route: Any, request: Request) -> None:
        if request.url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            route.continue_()
        else:
            self.outside.append(request.url)
            route.abort()

    def close(self) -> None:
        """Close every page and look at what happened in them."""
        for context in self._contexts:
            context.close()
        unexpected = [text for text in self.errors if not any(word in text for word in self.expected)]
        assert self.outside == [], "a request would have left the machine"
        assert unexpected == [], "an error stood in the console"


@pytest.fixture
def watched(browser: Browser) -> Iterator[Watched]:
    """Pages that are watched."""
    made = Watched(browser)
    yield made
    made.close()


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Served]:
    """The family house, served."""
    with served(copy_of("larkfen-house", tmp_path)) as desk:
        yield desk
