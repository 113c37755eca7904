"""Whatever a legal file says of a fob's telegram: little memory, few seconds, and a share that is right."""

from __future__ import annotations

import math
import tracemalloc

import pytest

from farpress.core.reach import contention
from farpress.core.reach.contention import simulated_clear_share


def share(telegram_s: float, period_s: float, *, rate: float = 0.05, capture_db: float = 8.0) -> float:
    """Five telegrams, one needed."""
    return simulated_clear_share(
        presses_per_s=rate,
        telegram_s=telegram_s,
        period_s=period_s,
        sent=5,
        needed=1,
        capture_db=capture_db,
        gap_sd_db=6.0,
    )


@pytest.mark.parametrize(("telegram_s", "period_s"), [(3600.0, 3600.0), (600.0, 600.0), (0.01, 3600.0)])
def test_memory_is_bounded_however_long_a_telegram_is(telegram_s: float, period_s: float) -> None:
    """An hour took gigabytes; a fifth of one is the limit here."""
    tracemalloc.start()
    try:
        found = share(telegram_s, period_s)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert 0.0 <= found <= 1.0
    assert peak < 250e6


def test_a_channel_that_is_surely_full_leaves_nothing() -> None:
    """Telegrams of an hour among three presses a minute; and none needed by others leaves all."""
    assert share(3600.0, 3600.0) == 0.0
    assert share(0.06, 0.1, rate=0.0) == 1.0


def test_played_in_turns_is_the_same_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    """In turns of a few presses against all at once: within the noise of 20 000 presses, by the closed
    form too.
    """
    whole = share(0.06, 0.1, rate=2.0, capture_db=math.inf)
    monkeypatch.setattr(contention, "_AT_ONCE", 400.0)
    turns = share(0.06, 0.1, rate=2.0, capture_db=math.inf)

    assert turns != whole
    assert turns == pytest.approx(whole, abs=4.0 * math.sqrt(whole * (1.0 - whole) / 20_000.0) + 1e-3)
