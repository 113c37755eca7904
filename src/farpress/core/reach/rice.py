"""Fading with one strongest way among many: the Rice distribution of the power."""

from __future__ import annotations

import functools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["rice_factor", "rice_share"]


@cites(
    "Rice distribution, textbook",
    place="power over its mean: non-central chi-square of two degrees, as a Poisson mixture",
    mark=Mark.MEMORY,
)
def rice_share(*, margin_db: ArrayLike, factor: float) -> NDArray[np.float64]:
    """Chance that fading leaves the power above the needed one.

    With y the needed power over that of the echoes, and two Poisson numbers I of mean y and J of mean K,
    it is the chance that J is not less than I. All terms are positive, so nothing cancels.

    Args:
        margin_db: mean power over the needed one [dB].
        factor: Rice factor K as a ratio; 0 is Rayleigh: exp(-10^(-M/10)).

    Example:
        >>> float(rice_share(margin_db=9.77, factor=0.0))
        0.900
    """
    require_range("factor", factor, "", low=0.0, high=1e4, because="our choice; above, nothing fades")
    needed = (1.0 + factor) * 10.0 ** (-np.asarray(margin_db, dtype=np.float64) / 10.0)
    if factor == 0.0:
        return np.asarray(np.exp(-needed))
    count, log_factorial, not_less = _mixture(factor)
    with np.errstate(under="ignore"):
        terms = np.exp(count * np.log(needed)[..., None] - needed[..., None] - log_factorial)
        return np.asarray(terms @ not_less)


@functools.lru_cache(maxsize=256)
def _mixture(factor: float) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Counts up to where a Poisson number of this mean does not come, logarithm of their factorials, and the
    chance of at least so many.
    """
    count = np.arange(int(factor + 12.0 * math.sqrt(factor) + 40.0), dtype=np.float64)
    log_factorial = np.array([math.lgamma(number + 1.0) for number in count])
    with np.errstate(under="ignore"):
        chance = np.exp(count * math.log(factor) - factor - log_factorial)
    return count, log_factorial, np.cumsum(chance[::-1])[::-1]


@cites("Rice distribution, textbook", place="K = strongest way over all others", mark=Mark.MEMORY)
def rice_factor(*, strongest_share: float) -> float:
    """Rice factor K as a ratio; 0 is Rayleigh, 100 at most."""
    require_range("strongest_share", strongest_share, "", low=0.0, high=1.0, because="a share")
    return float(min(strongest_share / max(1.0 - strongest_share, 1e-9), 100.0))
