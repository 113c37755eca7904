"""The normal distribution where a handful of numbers is wanted: from the standard library.

The same functions of scipy take longer to load than a whole premises takes to judge; the tests
hold these against them.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["log_normal_share", "normal_deviate", "normal_share"]

_FAR: Final = -25.0
"""Below it the tail is summed as a series; four terms are exact to the last digit there."""


@cites("Normal distribution, textbook", place="share below a deviate, by erfc", mark=Mark.MEMORY)
def normal_share(*, deviate: ArrayLike) -> NDArray[np.float64]:
    """Share of a normal distribution below a deviate; the same shape.

    Args:
        deviate: standard deviations from the mean; any shape.

    Example:
        >>> round(float(normal_share(deviate=-1.0)), 6)
        0.158655
    """
    deviates = np.asarray(deviate, dtype=np.float64)
    shares = [0.5 * math.erfc(-value / math.sqrt(2.0)) for value in deviates.ravel()]
    return np.array(shares, dtype=np.float64).reshape(deviates.shape)


@cites("Normal distribution, textbook", place="deviate of a share (statistics.NormalDist)", mark=Mark.MEMORY)
def normal_deviate(*, share: float) -> float:
    """The deviate below which a share of a normal distribution lies.

    Args:
        share: above 0 and below 1.

    Raises:
        OutOfRange: a share that no deviate has.

    Example:
        >>> round(normal_deviate(share=0.975), 6)
        1.959964
    """
    from statistics import NormalDist

    require_range("share", share, "", low=1e-300, high=1.0 - 1e-16, because="certainty has no deviate")
    return NormalDist().inv_cdf(share)


@cites(
    "Normal distribution, textbook",
    place="logarithm of the share; far out by Laplace's series",
    mark=Mark.MEMORY,
)
def log_normal_share(*, deviate: float) -> float:
    """Natural logarithm of the share below a deviate, exact where the share itself is too small for a float.

    Args:
        deviate: standard deviations from the mean.

    Example:
        >>> round(log_normal_share(deviate=-40.0), 4)
        -804.6084
    """
    if deviate > -1.0:
        return math.log1p(-0.5 * math.erfc(deviate / math.sqrt(2.0)))
    if deviate > _FAR:
        return math.log(0.5 * math.erfc(-deviate / math.sqrt(2.0)))
    inverse = 1.0 / (deviate * deviate)
    series = -inverse * (1.0 - inverse * (3.0 - inverse * (15.0 - 105.0 * inverse)))
    return -0.5 * deviate * deviate - math.log(-deviate) - 0.5 * math.log(2.0 * math.pi) + math.log1p(series)
