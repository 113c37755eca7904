"""How many cells are empty when, for a crowd of fobs that are pressed unequally.

The life of one cell is the planned life divided by how busy its holder is; how busy
holders are spreads like a lognormal, and that spread outweighs the cells' own. A cell
never outlives its shelf life.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["BatchDate", "batch_age", "empty_share", "expected_empty", "number_band"]


class BatchDate(NamedTuple):
    """Age at which to change all cells at once, what a year then costs, and the share that fails before.

    Attributes:
        age_years: age of the cells at the change [years].
        cost_per_year: of one fob, in the caller's unit.
        waiting_cost_per_year: of changing each cell only when it is empty.
        empty_before_share: of the cells, empty before the change.
    """

    age_years: float
    cost_per_year: float
    waiting_cost_per_year: float
    empty_before_share: float


@cites("lognormal spread of use, life inverse to use", mark=Mark.COMPUTED)
def empty_share(
    *, age_years: ArrayLike, life_years: float, use_spread: float, shelf_years: float
) -> NDArray[np.float64]:
    """Share of cells that are empty at an age.

    Args:
        age_years: one age or an array of any shape [years].
        life_years: life of the holder in the middle by charge, the shelf not counted [years].
        use_spread: deviation of the logarithm of presses per day from holder to holder.
        shelf_years: after which any cell counts as empty [years].

    Returns:
        Shares with the shape of `age_years`.

    Raises:
        OutOfRange: negative ages, lives or spreads that are not positive.

    Example:
        >>> empty_share(age_years=[2.0, 4.0, 10.0], life_years=4.0, use_spread=0.5, shelf_years=10.0).round(
        ...     3
        ... ).tolist()
        [0.083, 0.5, 1.0]
    """
    from scipy.special import ndtr

    age = np.asarray(age_years, dtype=np.float64)
    require_range("age_years", age, "years", low=0.0, because="an age is not negative")
    require_range("life_years", life_years, "years", low=1e-6, because="a life is positive")
    require_range("use_spread", use_spread, "", low=1e-6, because="holders differ")
    require_range("shelf_years", shelf_years, "years", low=1e-6, because="a shelf life is positive")
    with np.errstate(divide="ignore"):
        share = ndtr(np.log(age / life_years) / use_spread)
    return np.asarray(np.where(age >= shelf_years, 1.0, share))


_MOST_CHANGES: Final = 2000
"""Changes of one cell that are counted; a heavy user's beyond that do not change a sum."""


@cites("cells empty in a stretch of time, given that they still work", mark=Mark.COMPUTED)
def expected_empty(
    *, ages_years: Sequence[float], months: int, life_years: float, use_spread: float, shelf_years: float
) -> NDArray[np.float64]:
    """Expected number of cells that become empty in each of the coming months.

    A cell that is empty is changed at once, and its holder presses on as before: the next one lasts
    as long as the last. So a cell of age a and life L is empty at L - a, 2 L - a and so on.

    Args:
        ages_years: age of each cell that works today [years].
        months: how many months ahead.
        life_years: as of `empty_share` [years].
        use_spread: as of `empty_share`.
        shelf_years: as of `empty_share` [years].

    Returns:
        Numbers, shape (months,).

    Raises:
        OutOfRange: as `empty_share`, or a number of months that is not 1 to 600.

    Example:
        >>> expected_empty(
        ...     ages_years=[2.0] * 20, months=3, life_years=3.0, use_spread=0.5, shelf_years=10.0
        ... ).round(2).tolist()
        [0.61, 0.62, 0.63]
    """
    require_range("months", months, "", low=1, high=600, because="our choice, fifty years")
    ages = np.asarray(list(ages_years), dtype=np.float64)
    if ages.size == 0:
        return np.zeros(months)
    edges = ages[:, None] + np.arange(months + 1)[None, :] / 12.0

    def gone(age: NDArray[np.float64]) -> NDArray[np.float64]:
        return empty_share(
            age_years=age, life_years=life_years, use_spread=use_spread, shelf_years=shelf_years
        )

    first = gone(edges[:, :1])
    alive = 1.0 - first
    working = alive[:, 0] > 1e-12
    # the k-th change has come by an age if a whole life fits k times into it, and the first is not over yet
    changes = np.zeros_like(edges)
    for k in range(1, _MOST_CHANGES + 1):
        more = np.maximum(gone(edges / k) - first, 0.0)
        changes += more
        if k > 1 and float(more[working].max(initial=0.0)) < 1e-9:
            break
    by_then = changes / np.maximum(alive, 1e-12)
    # a cell past its shelf life today has nothing left to lose: it is due at once, and a fresh one follows
    if not working.all():
        fresh = expected_empty(
            ages_years=[0.0],
            months=months,
            life_years=life_years,
            use_spread=use_spread,
            shelf_years=shelf_years,
        )
        by_then[~working] = np.concatenate(([0.0], 1.0 + np.cumsum(fresh)))
    return np.asarray(np.diff(by_then, axis=1).sum(axis=0))


@cites("age replacement, cost of a cycle over its mean length", mark=Mark.MEMORY)
def batch_age(
    *, life_years: float, use_spread: float, shelf_years: float, planned_cost: float, failure_cost: float
) -> BatchDate:
    """Age at which changing all cells at once costs least per year.

    Minimises [c_p R(T) + c_f F(T)] / integral of R from 0 to T, T at most the shelf life.

    Args:
        life_years: as of `empty_share` [years].
        use_spread: as of `empty_share`.
        shelf_years: as of `empty_share` [years].
        planned_cost: of one cell changed on the batch date.
        failure_cost: of one cell that is empty before: call, visit, somebody locked out; same unit.

    Raises:
        OutOfRange: as `empty_share`, or costs that are not positive.

    Example:
        >>> batch = batch_age(
        ...     life_years=4.0, use_spread=0.5, shelf_years=10.0, planned_cost=1.0, failure_cost=10.0
        ... )
        >>> round(batch.age_years, 2), round(batch.empty_before_share, 3)
        (1.57, 0.03)
    """
    require_range("planned_cost", planned_cost, "", low=1e-12, because="a change costs something")
    require_range("failure_cost", failure_cost, "", low=1e-12, because="a failure costs something")
    ages = np.linspace(0.0, shelf_years, 4001)[1:]
    gone = empty_share(
        age_years=ages * (1 - 1e-12), life_years=life_years, use_spread=use_spread, shelf_years=shelf_years
    )
    step = ages[1] - ages[0]
    alive = np.concatenate(([1.0], 1.0 - gone))
    length = np.cumsum((alive[1:] + alive[:-1]) / 2.0) * step
    cost = (planned_cost * (1.0 - gone) + failure_cost * gone) / length
    best = int(np.argmin(cost))
    # waiting until a cell is empty: each one fails, or is changed as planned at the end of its shelf life
    return BatchDate(float(ages[best]), float(cost[best]), float(cost[-1]), float(gone[best]))


@cites("Poisson band of a number of independent failures", mark=Mark.COMPUTED)
def number_band(*, expected: float, confidence: float) -> tuple[int, int]:
    """Fewest and most of something that come in a stretch of time, with a confidence between them.

    Args:
        expected: mean number.
        confidence: as 0.9: half of the rest lies below, half above.

    Raises:
        OutOfRange: a negative number, a confidence not between 0 and 1.

    Example:
        >>> number_band(expected=9.0, confidence=0.9)
        (4, 14)
    """
    from scipy.special import pdtr, pdtrik  # not scipy.stats: half a second of import for one quantile

    require_range("expected", expected, "", low=0.0, because="a number")
    require_range(
        "confidence",
        confidence,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a confidence between none and certainty",
    )
    if expected == 0.0:
        return 0, 0
    rest = (1.0 - confidence) / 2.0

    def _quantile(share: float) -> int:
        number = max(math.ceil(float(pdtrik(share, expected))), 0) if share > math.exp(-expected) else 0
        return number - 1 if number > 0 and float(pdtr(number - 1, expected)) >= share else number

    return _quantile(rest), _quantile(1.0 - rest)
