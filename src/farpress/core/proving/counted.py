"""What presses that were counted say of the chance that one is heard: share, doubt, interval."""

from __future__ import annotations

import math
from typing import NamedTuple

from farpress.core.proving.failure_share import failure_share_interval
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["CountedShare", "counted_share"]


class CountedShare(NamedTuple):
    """A counted share.

    Attributes:
        share: heard of tried.
        within: chance that one of several presses is heard, were they independent.
        doubt: standard deviation of the share of one press after the count, from a prior that knows nothing.
        low, high: two-sided interval of 95 % of the share of one press.
    """

    share: float
    within: float
    doubt: float
    low: float
    high: float


@cites("Jeffreys' prior for a share", place="Beta(heard + 1/2, missed + 1/2)", mark=Mark.MEMORY)
def counted_share(*, heard: int, tried: int, presses: int) -> CountedShare:
    """Share of presses heard, with its doubt.

    Args:
        heard, tried: counts.
        presses: how many may be made for one success.

    Raises:
        InputError: no presses, or more heard than tried.

    Example:
        Clopper and Pearson, 20 of 20: 83 % to 100 %:

        >>> counted = counted_share(heard=20, tried=20, presses=1)
        >>> round(counted.low, 3), counted.high
        (0.832, 1.0)
    """
    if not 0 <= heard <= tried or min(tried, presses) < 1:
        raise InputError(f"{heard} presses heard of {tried}, {presses} allowed: these counts cannot be.")
    share = heard / tried
    up, down = heard + 0.5, tried - heard + 0.5
    doubt = math.sqrt(up * down / ((up + down) ** 2 * (up + down + 1.0)))
    missed = failure_share_interval(failures=tried - heard, trials=tried, confidence=0.95)
    return CountedShare(share, 1.0 - (1.0 - share) ** presses, doubt, 1.0 - missed.high, 1.0 - missed.low)
