"""How one press ends, where a toggle stands, how busy a barrier may be."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.rehearsal.barrier import queue_growth, share_another_press
from farpress.core.rehearsal.held import hold_needed_s
from farpress.core.rehearsal.parity import (
    share_odd,
    share_odd_at_rate,
    share_out_of_step,
    share_step_drive_not_opening,
)
from farpress.core.rehearsal.press import losses_that_split, overtravel_m, presses_seen


@pytest.mark.parametrize(
    ("repeat_ms", "dropout_ms", "bad", "good"),
    [(100, 400, 3, 4), (70, 250, 3, 3), (60, 300, 4, 5), (100, 50, 0, 0)],
)
def test_losses_that_split_a_press(repeat_ms: int, dropout_ms: int, bad: int, good: int) -> None:
    """Counted on a time line in whole milliseconds: the next good telegram comes too late."""
    late = next(k for k in range(99) if (k + 1) * repeat_ms >= dropout_ms)
    too_late = next(k for k in range(99) if (k + 1) * repeat_ms > dropout_ms)

    assert (late, too_late) == (bad, good)
    assert losses_that_split(dropout_s=dropout_ms / 1000, repeat_s=repeat_ms / 1000) == bad
    assert (
        losses_that_split(dropout_s=dropout_ms / 1000, repeat_s=repeat_ms / 1000, telegram_wins_tie=True)
        == good
    )


@given(k=st.integers(1, 200), repeat_ms=st.integers(10, 500))
def test_a_tie_in_decimal_seconds_is_still_a_tie(k: int, repeat_ms: int) -> None:
    """Rounding of 0.1 and 0.3 does not move the count."""
    dropout_s, repeat_s = k * repeat_ms / 1000, repeat_ms / 1000

    assert losses_that_split(dropout_s=dropout_s, repeat_s=repeat_s) == k - 1
    assert losses_that_split(dropout_s=dropout_s, repeat_s=repeat_s, telegram_wins_tie=True) == k


def test_quick_presses_merge() -> None:
    """Pauses shorter than the drop-out are not noticed; one as long as it is."""
    assert presses_seen(pauses_s=[], dropout_s=0.4) == 1
    assert presses_seen(pauses_s=[0.39, 0.1], dropout_s=0.4) == 1
    assert presses_seen(pauses_s=[0.4, 0.1, 2.0], dropout_s=0.4) == 3


@given(shares=st.lists(st.floats(0.0, 1.0), max_size=7))
def test_parity_equals_going_through_all_who_press(shares: list[float]) -> None:
    """All subsets of people who press, each with its chance."""
    odd = 0.0
    for pressed in product((True, False), repeat=len(shares)):
        chance = 1.0
        for share, one in zip(shares, pressed, strict=True):
            chance *= share if one else 1 - share
        odd += chance * (sum(pressed) % 2)

    assert share_odd(shares=shares) == pytest.approx(odd, abs=1e-12)


def test_parity_at_a_rate_is_the_sum_of_odd_poisson_terms() -> None:
    """Terms 1, 3, 5 ... of the Poisson distribution."""
    from scipy.stats import poisson

    assert share_odd_at_rate(presses_mean=0.8) == pytest.approx(
        sum(poisson.pmf(i, 0.8) for i in range(1, 60, 2)), rel=1e-12
    )


@pytest.mark.parametrize("n", [0, 1, 5, 20])
def test_out_of_step_is_an_odd_number_of_lost_presses(n: int) -> None:
    """In exact fractions, p = 19/20."""
    lost = Fraction(1, 20)
    odd = sum((comb(n, i) * lost**i * (1 - lost) ** (n - i) for i in range(1, n + 1, 2)), Fraction(0))

    assert share_out_of_step(presses=n, heard_share=0.95) == pytest.approx(float(odd), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("p", [0.7, 0.9, 1.0])
@pytest.mark.parametrize("n", [0, 1, 2, 3, 5, 9])
def test_a_step_drive_opens_after_one_five_nine_heard_presses(n: int, p: float) -> None:
    """Binomial terms 1, 5, 9."""
    opening = sum(comb(n, i) * p**i * (1 - p) ** (n - i) for i in range(1, n + 1, 4))

    assert share_step_drive_not_opening(presses=n, heard_share=p) == pytest.approx(1 - opening, abs=1e-12)


@given(rate=st.floats(0.0, 5.0), first=st.floats(0.0, 20.0), second=st.floats(0.0, 20.0))
def test_quiet_stretches_multiply(rate: float, first: float, second: float) -> None:
    """No press in both stretches is no press in either."""
    quiet = [
        1 - share_another_press(rate_per_s=rate, within_s=time) for time in (first, second, first + second)
    ]

    assert quiet[0] * quiet[1] == pytest.approx(quiet[2], abs=1e-12)


def test_a_queue_stands_still_at_capacity() -> None:
    """As many come as go."""
    assert queue_growth(arrivals=110, stretch_s=900, capacity_per_s=110 / 900) == pytest.approx(0)


def test_held_presses_and_overtravel() -> None:
    """A known worst travel replaces the factor; half a second at 0.2 m/s is a hand's width."""
    assert hold_needed_s(travel_s=28.0) == pytest.approx(28 * 1.15 + 1)
    assert hold_needed_s(travel_s=28.0, travel_worst_s=29.5) == 30.5
    assert overtravel_m(speed_m_per_s=0.2, run_on_time_s=0.5) == pytest.approx(0.1)
