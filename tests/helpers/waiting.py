"""Waiting for what another process, thread or page will do. No test may hang on how fast a machine is: the
limit here is for what never comes.
"""

from __future__ import annotations

import time
from collections.abc import Callable

__all__ = ["NEVER_S", "PAGE_MS", "until"]

NEVER_S = 300.0
"""Whatever has not come by then, on the busiest machine, will not come."""

PAGE_MS = 1000 * NEVER_S
"""The same for what a page shows or where it goes [ms]."""


def until(holds: Callable[[], object], what: str) -> None:
    """Return as soon as `holds()` is true.

    Raises:
        AssertionError: it never came to that; the text says to what.
    """
    given_up = time.monotonic() + NEVER_S
    while not holds():
        assert time.monotonic() < given_up, f"it never came to this: {what}"
        time.sleep(0.02)
