"""How long until something that happens at random has happened so many times: the gamma distribution.

The same functions of scipy take longer to load than a whole job takes to judge; the tests compare.
"""

from __future__ import annotations

import math
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["gamma_quantile", "gamma_share"]

_SMALLEST: Final = 1e-17
"""Share of a sum below which another term changes nothing."""

_STEPS: Final = 200
_FEW: Final = 16
"""Below it Stirling's series, which ends after four terms here, is not exact to the last digits."""


@cites("Gamma distribution, textbook", place="series of the incomplete gamma function", mark=Mark.MEMORY)
def gamma_share(*, times: int, time: float) -> float:
    """Chance that something has happened so many times by then.

    Args:
        times: how often, at least once.
        time: in units of the mean time from one to the next.

    Raises:
        OutOfRange: less than once, a negative time.

    Example:
        >>> round(gamma_share(times=370, time=360.0), 5)
        0.30598
    """
    require_range("times", times, "", low=1, because="what never has to happen takes no time")
    require_range("time", time, "", low=0.0, high=1e6, because="a time is not negative; our choice")
    return _shares(times, time)[0]


@cites("Gamma distribution, textbook", place="quantile, by Newton's method within bounds", mark=Mark.MEMORY)
def gamma_quantile(*, times: int, share: float) -> float:
    """Time by which something has happened so many times with a given chance, in units of the mean time from
    one to the next.

    Raises:
        OutOfRange: less than once, or no chance, or certainty.

    Example:
        >>> round(gamma_quantile(times=370, share=0.05) / 120.0, 2)
        2.82
    """
    require_range("times", times, "", low=1, high=1e5, because="what never has to happen takes no time")
    require_range("share", share, "", low=1e-12, high=1 - 1e-12, because="between none and certainty")
    low, high = 0.0, times + 10.0 * math.sqrt(times) + 40.0
    guess = float(times)
    for _ in range(_STEPS):
        has, has_not = _shares(times, guess)
        off = has - share if share <= 0.5 else (1.0 - share) - has_not
        low, high = (low, guess) if off > 0.0 else (guess, high)
        density = _exactly(times, guess) * times / guess
        better = guess - off / density if density > 0.0 else low
        if not low < better < high:
            better = 0.5 * (low + high)
        if abs(better - guess) <= 4e-16 * guess:
            return better
        guess = better
    return guess


def _shares(times: int, time: float) -> tuple[float, float]:
    """Chance that it has happened so many times, and that it has not; the smaller of them to its last
    digits.
    """
    if time == 0.0:
        return 0.0, 1.0
    term, total, number = 1.0, 1.0, times
    if time <= times:
        while term > _SMALLEST * total:
            number += 1
            term *= time / number
            total += term
        has = _exactly(times, time) * total
        return has, 1.0 - has
    while term > _SMALLEST * total and number > 1:
        number -= 1
        term *= number / time
        total += term
    has_not = _exactly(times, time) * times / time * total
    return 1.0 - has_not, has_not


def _exactly(times: int, time: float) -> float:
    """Chance that it has happened exactly so many times (Poisson), by Stirling's series: with factorials the
    last digits would go.
    """
    if times < _FEW:
        return math.exp(times * math.log(time) - time - math.lgamma(times + 1.0))
    beside = (time - times) / times
    square = 1.0 / (times * times)
    left = (1 / 12 - square * (1 / 360 - square * (1 / 1260 - square / 1680))) / times
    return math.exp(times * (math.log1p(beside) - beside) - left) / math.sqrt(2.0 * math.pi * times)
