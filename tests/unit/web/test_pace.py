"""The one limiter: what is counted, for whom, and how it is forgotten."""

from __future__ import annotations

from farpress.web.pace import REMEMBERED, Pace


def test_so_many_within_a_time_that_moves_along() -> None:
    """Three in ten seconds; the wait lasts until the oldest of them is older than that."""
    now = [100.0]
    pace = Pace(3, 10.0, clock=lambda: now[0])
    for moment in (100.0, 104.0, 108.0):
        now[0] = moment
        assert pace.admits("a")

    assert not pace.admits("a")
    assert pace.wait_s("a") == 2.0
    assert pace.wait_s("b") == 0.0, "each address by itself"
    now[0] = 110.5
    assert pace.admits("a"), "the first one is older than ten seconds"
    assert pace.wait_s("a") == 3.5


def test_what_is_refused_is_not_counted() -> None:
    """Who keeps asking does not have to wait for ever."""
    now = [0.0]
    pace = Pace(1, 10.0, clock=lambda: now[0])
    assert pace.admits("a")
    for moment in range(1, 10):
        now[0] = float(moment)
        assert not pace.admits("a")
    now[0] = 10.5

    assert pace.admits("a")


def test_addresses_that_did_nothing_of_late_are_forgotten() -> None:
    """Whoever comes under ever new addresses does not fill the memory."""
    now = [0.0]
    pace = Pace(5, 10.0, clock=lambda: now[0])
    for number in range(REMEMBERED):
        pace.count(f"address {number}")
    now[0] = 11.0
    pace.count("one more")

    assert len(pace._counted) == 1
    assert pace.wait_s("one more") == 0.0
