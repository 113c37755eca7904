"""Who watches the pages notices a request that would leave the machine, and the browser lets none go."""

from __future__ import annotations

import pytest

from helpers.watched import Watched

ASKED = "(where) => fetch(where, { mode: 'no-cors' }).then(() => 'it came', () => 'it did not go')"


@pytest.mark.parametrize("host", ["192.0.2.1", "face.example", "localhost:9"])
def test_a_request_that_would_leave_the_machine_is_noticed(host: str, watched: Watched) -> None:
    """By name and by number (RFC 5737, addresses for documents; RFC 2606, names for examples)."""
    where = f"http://{host}/"
    page = watched.page()
    page.goto("about:blank")

    assert page.evaluate(ASKED, where) == "it did not go"
    assert watched.outside == [where]
    with pytest.raises(AssertionError, match="left the machine"):
        watched.look()
    watched.outside.clear()
    watched.errors.clear()
