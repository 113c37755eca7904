"""How many are inside a place where people come and go at random."""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["mean_inside", "share_somebody_inside"]

_DAY_S = 86400.0


@cites("Little's law", mark=Mark.COMPUTED)
def mean_inside(*, arrivals_per_day: float, stay_s: float) -> float:
    """Mean number inside: those who come in in the time that one stays.

    Args:
        arrivals_per_day: at a steady rate [1/d].
        stay_s: of one, on average [s].

    Raises:
        OutOfRange: a negative rate or time.

    Example:
        14 an hour who stay 25 min:

        >>> mean_inside(arrivals_per_day=14 * 24.0, stay_s=25 * 60.0)
        5.8333
    """
    require_range("arrivals_per_day", arrivals_per_day, "1/d", low=0.0, because="a rate is not negative")
    require_range("stay_s", stay_s, "s", low=0.0, because="a time is not negative")
    return arrivals_per_day * stay_s / _DAY_S


@cites("Poisson arrivals who stay independently of each other", mark=Mark.COMPUTED)
def share_somebody_inside(*, arrivals_per_day: float, stay_s: float) -> float:
    """Chance that somebody else is inside when one of them leaves: 1 - exp(-mean).

    The number inside follows Poisson's law whatever the stays are like, and somebody who leaves finds
    the others as anybody else would.

    Args:
        arrivals_per_day: at a steady rate [1/d].
        stay_s: of one, on average [s].

    Raises:
        OutOfRange: a negative rate or time.

    Example:
        >>> share_somebody_inside(arrivals_per_day=0.4 * 24.0, stay_s=25 * 60.0)
        0.1535
    """
    return -math.expm1(-mean_inside(arrivals_per_day=arrivals_per_day, stay_s=stay_s))
