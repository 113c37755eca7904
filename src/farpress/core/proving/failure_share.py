"""What presses without (or with few) failures show about the share of failures.

Exact binomial limits after Clopper and Pearson, for a number of trials fixed beforehand.
They are not valid for trials that were stopped as soon as they looked good enough.
"""

from __future__ import annotations

from typing import NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["Interval", "failure_share_interval", "failure_share_upper", "trials_needed"]


class Interval(NamedTuple):
    """Lower and upper limit of a share."""

    low: float
    high: float


@cites("NIST/SEMATECH e-Handbook of Statistical Methods", place="7.2.4.1, exact intervals", mark=Mark.COPY)
def failure_share_interval(*, failures: int, trials: int, confidence: float) -> Interval:
    """Two-sided limits of the share of failures, half of the risk on either side.

    low: P(at least so many failures) = (1 - confidence)/2; high: P(at most so many) = the same.

    Args:
        failures: failures seen.
        trials: trials made, fixed beforehand.
        confidence: as 0.95; at least that, whatever the true share.

    Raises:
        OutOfRange: no trial, more failures than trials, a confidence not between 0 and 1.

    Example:
        >>> low, high = failure_share_interval(failures=4, trials=20, confidence=0.9)
        >>> low, high
        (0.071354, 0.401028)
    """
    from scipy.special import betaincinv

    _check(failures, trials, confidence)
    risk = (1.0 - confidence) / 2.0
    low = 0.0 if failures == 0 else float(betaincinv(failures, trials - failures + 1, risk))
    high = 1.0 if failures == trials else float(betaincinv(failures + 1, trials - failures, 1.0 - risk))
    return Interval(low, high)


@cites("Clopper, Pearson, Biometrika 26", edition="1934", place="404-413", mark=Mark.MEMORY)
def failure_share_upper(*, failures: int, trials: int, confidence: float) -> float:
    """One-sided upper limit of the share of failures: the whole risk on the bad side.

    Args:
        failures: failures seen.
        trials: trials made, fixed beforehand.
        confidence: as 0.95.

    Raises:
        OutOfRange: as `failure_share_interval`.

    Example:
        Ten presses that all worked show very little:

        >>> failure_share_upper(failures=0, trials=10, confidence=0.95)
        0.258866
    """
    from scipy.special import betaincinv

    _check(failures, trials, confidence)
    return 1.0 if failures == trials else float(betaincinv(failures + 1, trials - failures, confidence))


@cites("Clopper, Pearson, Biometrika 26", edition="1934", place="404-413", mark=Mark.MEMORY)
def trials_needed(*, failure_share: float, confidence: float, failures_allowed: int = 0) -> int:
    """Fewest trials that show a share of failures below a limit, one-sided.

    Args:
        failure_share: limit that the upper limit must reach, as 0.05.
        confidence: as 0.95.
        failures_allowed: failures that may be seen and the plan still passes.

    Raises:
        OutOfRange: shares not between 0 and 1, a negative number of failures, or a
            limit so small that more than ten million trials would be needed.

    Example:
        >>> trials_needed(failure_share=0.05, confidence=0.95)
        59
        >>> trials_needed(failure_share=0.01, confidence=0.95)
        299
    """
    require_range(
        "failure_share",
        failure_share,
        "",
        low=1e-6,
        high=1 - 1e-6,
        because="our choice: ten million trials are no plan",
    )
    require_range(
        "confidence",
        confidence,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a confidence between none and certainty",
    )
    require_range(
        "failures_allowed",
        failures_allowed,
        "",
        low=0,
        high=100_000,
        because="our choice of the largest plan",
    )
    # the wanted n is the least with betainc(c + 1, n - c, share) >= confidence; the tail grows with n
    from scipy.special import betainc

    low, high = failures_allowed, failures_allowed + 1
    while betainc(failures_allowed + 1, high - failures_allowed, failure_share) < confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if betainc(failures_allowed + 1, middle - failures_allowed, failure_share) < confidence:
            low = middle
        else:
            high = middle
    return high


def _check(failures: int, trials: int, confidence: float) -> None:
    require_range("trials", trials, "", low=1, because="without a trial nothing is shown")
    require_range("failures", failures, "", low=0, high=trials, because="no more failures than trials")
    require_range(
        "confidence",
        confidence,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a confidence between none and certainty",
        hint="Write it as a share: 0.95, not 95.",
    )
