"""When a receiver's memory of learned fobs is full.

Records are whatever the receiver counts, fobs or buttons; the caller multiplies. Nothing
here deletes a record: with leavers deleted, give a churn of 0.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from farpress.core.keys.gamma_times import gamma_quantile, gamma_share
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["FullBetween", "full_between_years", "share_full_before", "years_until_full"]


class FullBetween(NamedTuple):
    """Times between which a memory becomes full with a given chance [years]."""

    early_years: float
    late_years: float


@cites("records kept of leavers, growth compounded continuously", mark=Mark.COMPUTED)
def years_until_full(
    *, capacity: float, used: float, holders: float, churn_share: float, growth_share: float
) -> float:
    """Years until a memory is full when records of leavers stay in it.

    used(t) = used + H (c + g)/g (e^(g t) - 1); with g = 0 it grows by c H each year.

    Args:
        capacity: records that fit.
        used: records in it now, spares included.
        holders: records in use by people now, H.
        churn_share: of the holders that leave each year and are replaced, c [1/year].
        growth_share: more holders each year, g [1/year]; may not be negative here.

    Returns:
        Years; 0 if it is full already, infinity if it never fills.

    Raises:
        OutOfRange: a negative number.

    Example:
        600 holders and 30 spares in a memory for 1 000, one in five leaving each year:

        >>> years_until_full(capacity=1000, used=630, holders=600, churn_share=0.2, growth_share=0.0)
        3.0833
    """
    for name, value in (
        ("capacity", capacity),
        ("used", used),
        ("holders", holders),
        ("churn_share", churn_share),
        ("growth_share", growth_share),
    ):
        require_range(name, value, "", low=0.0, because="not negative")
    free = capacity - used
    if free <= 0:
        return 0.0
    yearly = holders * (churn_share + growth_share)
    if yearly == 0:
        return math.inf
    if growth_share == 0:
        return free / yearly
    return math.log1p(free * growth_share / yearly) / growth_share


@cites("upper tail of the Poisson distribution", mark=Mark.COMPUTED)
def share_full_before(*, years: float, free: int, leavers_per_year: float) -> float:
    """Chance that the last free record has gone before some time, leavers coming at random.

    Args:
        years: time looked at [years].
        free: records free now, at least 1.
        leavers_per_year: mean number replaced without being deleted [1/year].

    Raises:
        OutOfRange: nothing free, a negative time or rate.

    Example:
        >>> share_full_before(years=3.0, free=370, leavers_per_year=120.0)
        0.30598
    """
    require_range("years", years, "years", low=0.0, because="a time is not negative")
    require_range("free", free, "records", low=1, because="a full memory is full now")
    require_range("leavers_per_year", leavers_per_year, "1/year", low=0.0, because="a rate is not negative")
    return gamma_share(times=free, time=years * leavers_per_year)


@cites("quantiles of the gamma distribution", mark=Mark.COMPUTED)
def full_between_years(
    *, free: int, leavers_per_year: float, chance: float, growth_share: float = 0.0
) -> FullBetween:
    """Times between which the last free record goes, with a given chance in between.

    New records come at random at a rate r e^(g t); after a time t their mean number is
    r (e^(g t) - 1)/g, and their number follows Poisson's law.

    Args:
        free: records free now, at least 1.
        leavers_per_year: mean number of new records now, r: replaced without being deleted, or added
            [1/year].
        chance: that it happens between the two, as 0.9.
        growth_share: by how much r grows in a year, g [1/year].

    Raises:
        OutOfRange: nothing free, no new records, a negative growth, or a chance not between 0 and 1.

    Example:
        >>> band = full_between_years(free=370, leavers_per_year=120.0, chance=0.9)
        >>> round(band.early_years, 2), round(band.late_years, 2)
        (2.82, 3.35)
    """
    require_range("free", free, "records", low=1, because="a full memory is full now")
    require_range(
        "leavers_per_year", leavers_per_year, "1/year", low=1e-9, because="without leavers it never fills"
    )
    require_range(
        "chance", chance, "", low=1e-9, high=1 - 1e-9, because="a chance between none and certainty"
    )
    require_range("growth_share", growth_share, "1/year", low=0.0, because="not negative")
    tail = (1.0 - chance) / 2.0
    early, late = (gamma_quantile(times=free, share=share) / leavers_per_year for share in (tail, 1.0 - tail))
    if growth_share > 0:
        early, late = (math.log1p(years * growth_share) / growth_share for years in (early, late))
    return FullBetween(early, late)
