"""One browser for all journeys; every page is watched for errors and for requests that would leave the
machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from helpers.desk import Served, copy_of, served
from helpers.kinds import need
from helpers.waiting import PAGE_MS
from helpers.watched import NO_OTHER_HOST, Watched

CHROMIUM = next(
    (
        path
        for path in ("/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome")
        if Path(path).exists()
    ),
    None,
)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Real Chromium without a window."""
    need("browser")
    expect.set_options(timeout=PAGE_MS)  # a machine at full load is slow, not wrong
    with sync_playwright() as play:
        made = play.chromium.launch(
            executable_path=CHROMIUM,
            args=[
                "--no-sandbox",
                "--disable-background-networking",
                "--disable-component-update",
                "--no-first-run",
                NO_OTHER_HOST,
            ],
        )
        yield made
        made.close()


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
