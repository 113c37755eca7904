"""Rolling-code counters out of step: the first press that a receiver swallows.

Every press moves the fob's counter on; a receiver keeps the count it last heard. A press
up to `window` ahead is taken at once, further ahead only after two in a row, further
still not at all. Windows differ from fob family to fob family: they are asked, never
assumed here.
"""

from __future__ import annotations

from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "days_for_risk",
    "longest_absence_days",
    "share_first_press_ignored",
    "share_ignored_at_random_visits",
]

_YEAR_DAYS: Final = 365.0


@cites("upper tail of the Poisson distribution, or of the negative binomial", mark=Mark.COMPUTED)
def share_first_press_ignored(*, unheard_mean: float, window: int, spread: float | None = None) -> float:
    """Chance that the next press is further ahead than a receiver accepts.

    With N presses unheard the next one is N + 1 ahead: accepted if N <= window - 1. N is
    Poisson; with `spread` r it is negative binomial of the same mean and the variance
    mean + mean^2 / r, for days that differ more than chance alone.

    Args:
        unheard_mean: mean number of presses since the receiver last heard this fob.
        window: presses ahead that are accepted.
        spread: r above; None for Poisson.

    Raises:
        OutOfRange: a negative mean, a window below 1, a spread that is not positive.

    Example:
        Six presses a day elsewhere, back after two days, window 16:

        >>> share_first_press_ignored(unheard_mean=12.0, window=16)
        0.155584
    """
    from scipy.special import betainc, gammainc

    require_range("unheard_mean", unheard_mean, "presses", low=0.0, because="a mean number is not negative")
    require_range("window", window, "presses", low=1, because="a receiver accepts at least the next press")
    if spread is None:
        return float(gammainc(window, unheard_mean))
    require_range("spread", spread, "", low=1e-6, because="the negative binomial needs a positive r")
    return float(betainc(window, spread, unheard_mean / (unheard_mean + spread)))


@cites("geometric time between visits, Poisson presses on the days between", mark=Mark.COMPUTED)
def share_ignored_at_random_visits(*, visit_share: float, presses_per_day: float, window: int) -> float:
    """Chance that the first press of a visit is ignored when visits come at random.

    P = sum over g of v (1 - v)^g P(Poisson(m g) >= W), g days between two visits.

    Args:
        visit_share: chance v that a working day is spent at this receiver.
        presses_per_day: presses m on each other working day.
        window: presses ahead that are accepted.

    Raises:
        OutOfRange: a share outside 0 (not included) to 1, a negative rate, a window below 1.

    Example:
        Fitters who are at one branch 0.4 of 4.5 days a week and press 14 times a day:

        >>> share_ignored_at_random_visits(visit_share=0.4 / 4.5, presses_per_day=14.0, window=16)
        0.8565
    """
    import numpy as np
    from scipy.special import gammainc

    require_range(
        "visit_share",
        visit_share,
        "",
        low=1e-6,
        high=1.0,
        because="a chance of at least one visit in a million days",
    )
    require_range("presses_per_day", presses_per_day, "1/d", low=0.0, because="a rate is not negative")
    require_range("window", window, "presses", low=1, because="a receiver accepts at least the next press")
    if visit_share >= 1.0 or presses_per_day == 0.0:
        return 0.0
    # beyond the last day kept, the chance of so long a gap is below 1e-12
    days = int(np.ceil(-27.7 / np.log1p(-visit_share))) + 1
    if days > 1_000_000:
        days = 1_000_000
    gap = np.arange(days, dtype=np.float64)
    weight = visit_share * np.exp(gap * np.log1p(-visit_share))
    rest = float(np.exp(days * np.log1p(-visit_share)))
    beyond = gammainc(window, presses_per_day * gap)
    return float(np.sum(weight * beyond)) + rest * float(gammainc(window, presses_per_day * days))


@cites("quantile of the chi-squared distribution", mark=Mark.COMPUTED)
def days_for_risk(*, risk_share: float, presses_per_day: float, window: int) -> float:
    """Longest time away until the first press is ignored with a given chance [d].

    t = chi2(risk; 2 W) / (2 lambda), the inverse of the Poisson tail.

    Args:
        risk_share: chance that is still accepted, as 0.05.
        presses_per_day: presses elsewhere, lambda [1/d].
        window: presses ahead that are accepted.

    Raises:
        OutOfRange: a share not between 0 and 1, a rate that is not positive, a window below 1.

    Example:
        >>> days_for_risk(risk_share=0.05, presses_per_day=6.0, window=16)
        1.673
    """
    from scipy.special import gammaincinv

    require_range(
        "risk_share", risk_share, "", low=1e-12, high=1 - 1e-12, because="a risk between none and certainty"
    )
    require_range(
        "presses_per_day", presses_per_day, "1/d", low=1e-9, because="without presses no fob gets out of step"
    )
    require_range("window", window, "presses", low=1, because="a receiver accepts at least the next press")
    return float(gammaincinv(window, risk_share)) / presses_per_day


@cites("largest of n exponential times: 1 + 1/2 + ... + 1/n means", mark=Mark.MEMORY)
def longest_absence_days(*, gap_days: float) -> float:
    """The longest time between two visits of a year, on average, where visits come at random [d].

    Args:
        gap_days: between two visits, on average [d].

    Raises:
        OutOfRange: less than a day.

    Example:
        Once a week, 52 times a year:

        >>> longest_absence_days(gap_days=7.0)
        31.766
    """
    require_range("gap_days", gap_days, "d", low=1.0, because="nobody comes more often than each day")
    visits = max(round(_YEAR_DAYS / gap_days), 1)
    return gap_days * sum(1.0 / count for count in range(1, visits + 1))
