"""What trials show about the share of failures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.proving.failure_share import failure_share_interval, failure_share_upper, trials_needed
from farpress.errors import OutOfRange


@pytest.mark.parametrize(
    ("trials", "upper"), [(5, 1 - 0.05 ** (1 / 5)), (10, 1 - 0.05 ** (1 / 10)), (59, 1 - 0.05 ** (1 / 59))]
)
def test_without_failures_the_limit_is_a_root(trials: int, upper: float) -> None:
    """(1 - share)^n = 5 %."""
    assert failure_share_upper(failures=0, trials=trials, confidence=0.95) == pytest.approx(upper, rel=1e-10)


def test_a_count_of_298_is_one_short() -> None:
    """299 presses without a failure show less than 1 %; 298 do not."""
    assert failure_share_upper(failures=0, trials=298, confidence=0.95) > 0.01
    assert failure_share_upper(failures=0, trials=299, confidence=0.95) < 0.01


@given(failures=st.integers(0, 40), more=st.integers(0, 200), confidence=st.floats(0.5, 0.999))
def test_limits_lie_around_what_was_seen(failures: int, more: int, confidence: float) -> None:
    """And mirror each other when failures and successes change places."""
    trials = failures + more + 1
    low, high = failure_share_interval(failures=failures, trials=trials, confidence=confidence)
    mirrored = failure_share_interval(failures=trials - failures, trials=trials, confidence=confidence)

    assert low <= failures / trials <= high
    assert (1 - mirrored.high, 1 - mirrored.low) == pytest.approx((low, high), abs=1e-9)


def test_a_plan_and_its_limit_agree() -> None:
    """The number of trials in the plan is the first whose limit is low enough."""
    for allowed in range(4):
        needed = trials_needed(failure_share=0.05, confidence=0.95, failures_allowed=allowed)
        assert failure_share_upper(failures=allowed, trials=needed, confidence=0.95) <= 0.05
        assert failure_share_upper(failures=allowed, trials=needed - 1, confidence=0.95) > 0.05


def test_per_cent_given_as_a_share_is_refused() -> None:
    """The hint shows how to write it."""
    with pytest.raises(OutOfRange, match="Write it as a share"):
        failure_share_upper(failures=0, trials=10, confidence=95)
