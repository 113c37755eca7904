"""When things wear out: the Weibull distribution in the words of a maintenance plan.

Shape and mean are asked or estimated elsewhere; nothing here invents them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "BestReplacement",
    "best_replacement",
    "failed_share",
    "life_at_share_years",
    "scale_from_mean_years",
    "share_any_failed",
]


class BestReplacement(NamedTuple):
    """Best age to replace, and what a year costs then, in units of the caller's costs."""

    age_years: float
    cost_per_year: float


@cites("Weibull distribution", place="mean = scale x Gamma(1 + 1/shape)", mark=Mark.MEMORY)
def scale_from_mean_years(*, mean_years: float, shape: float) -> float:
    """Characteristic life (63.2 % failed) from the mean life [years].

    Args:
        mean_years: mean life [years].
        shape: above 1 for wear-out.

    Raises:
        OutOfRange: an argument that is not positive.

    Example:
        >>> scale_from_mean_years(mean_years=3.0, shape=3.0)
        3.3595
    """
    _check(mean_years, shape)
    return mean_years / math.gamma(1.0 + 1.0 / shape)


@cites("Weibull distribution", place="distribution function", mark=Mark.MEMORY)
def failed_share(*, age_years: float, mean_years: float, shape: float) -> float:
    """Share that has failed at an age.

    Args:
        age_years: age [years].
        mean_years: mean life [years].
        shape: above 1 for wear-out.

    Raises:
        OutOfRange: a negative age, a mean or shape that is not positive.

    Example:
        >>> failed_share(age_years=2.0, mean_years=3.0, shape=3.0)
        0.190
    """
    require_range("age_years", age_years, "years", low=0.0, because="an age is not negative")
    scale = scale_from_mean_years(mean_years=mean_years, shape=shape)
    return -math.expm1(-((age_years / scale) ** shape))


@cites("Weibull distribution", place="quantile", mark=Mark.MEMORY)
def life_at_share_years(*, share: float, mean_years: float, shape: float) -> float:
    """Age at which a share has failed; 0.1 gives what is called B10 life [years].

    Args:
        share: that has failed, between 0 and 1.
        mean_years: mean life [years].
        shape: above 1 for wear-out.

    Raises:
        OutOfRange: a share not between 0 and 1, a mean or shape that is not positive.

    Example:
        >>> life_at_share_years(share=0.1, mean_years=3.0, shape=3.0)
        1.587
    """
    require_range("share", share, "", low=1e-12, high=1 - 1e-12, because="a share between none and all")
    scale = scale_from_mean_years(mean_years=mean_years, shape=shape)
    return float(scale * (-math.log1p(-share)) ** (1.0 / shape))


@cites("independent failures", mark=Mark.COMPUTED)
def share_any_failed(*, failed: float, pieces: int) -> float:
    """Chance that at least one of several equal things has failed.

    Args:
        failed: chance of one.
        pieces: number of things.

    Raises:
        OutOfRange: a share outside 0 to 1 or a negative number.

    Example:
        >>> share_any_failed(failed=0.0478, pieces=20)
        0.624
    """
    require_range("failed", failed, "", low=0.0, high=1.0, because="a share")
    require_range("pieces", pieces, "", low=0, because="a number of things")
    return float(1.0 - (1.0 - failed) ** pieces)


@cites("age replacement, cost of a cycle over its mean length", mark=Mark.MEMORY)
def best_replacement(
    *, mean_years: float, shape: float, planned_cost: float, failure_cost: float
) -> BestReplacement | None:
    """Age at which to replace before it fails, for the least cost per year.

    Minimises [c_p R(T) + c_f F(T)] / integral of R from 0 to T.

    Args:
        mean_years: mean life [years].
        shape: of the wear-out; with 1 or less replacing early never pays.
        planned_cost: of a replacement on a visit that is made anyway.
        failure_cost: of a failure, call-out included, in the same unit.

    Returns:
        Age and cost per year, or None if replacing early never pays.

    Raises:
        OutOfRange: an argument that is not positive.

    Example:
        >>> best = best_replacement(mean_years=3.0, shape=3.0, planned_cost=1.0, failure_cost=10.0)
        >>> round(best.age_years, 3), round(best.cost_per_year, 4)
        (1.285, 1.1756)
    """
    from scipy.optimize import minimize_scalar
    from scipy.special import gamma, gammainc

    _check(mean_years, shape)
    require_range("planned_cost", planned_cost, "", low=1e-12, because="a visit costs something")
    require_range("failure_cost", failure_cost, "", low=1e-12, because="a failure costs something")
    if shape <= 1.0 or failure_cost <= planned_cost:
        return None
    scale = scale_from_mean_years(mean_years=mean_years, shape=shape)

    def cost(age: float) -> float:
        z = (age / scale) ** shape
        alive = math.exp(-z)
        # integral of exp(-(t/scale)^b) from 0 to age, in closed form
        length = scale / shape * float(gamma(1.0 / shape)) * float(gammainc(1.0 / shape, z))
        return (planned_cost * alive + failure_cost * (1.0 - alive)) / length

    # the cost has one minimum and then flattens out, so a coarse look comes before the search
    ages = [scale * 10.0 ** (i / 20.0) for i in range(-80, 21)]
    least = min(range(1, len(ages) - 1), key=lambda i: cost(ages[i]))
    found = minimize_scalar(
        cost, bounds=(ages[least - 1], ages[least + 1]), method="bounded", options={"xatol": 1e-9 * scale}
    )
    age = float(found.x)
    return BestReplacement(age, cost(age)) if cost(age) < failure_cost / mean_years * (1 - 1e-9) else None


def _check(mean_years: float, shape: float) -> None:
    require_range("mean_years", mean_years, "years", low=1e-9, because="a life is positive")
    require_range(
        "shape", shape, "", low=0.05, high=1000.0, because="our choice of what is still a Weibull shape"
    )
