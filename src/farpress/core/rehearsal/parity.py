"""Where a toggle stands after many presses, and how surely a toggled state is known.

One press flips, two restore: what counts is whether the number is odd. Nothing here looks
at lost telegrams inside one press: that is `runs`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "share_odd",
    "share_odd_at_rate",
    "share_out_of_step",
    "share_pair_out_of_step",
    "share_step_drive_not_opening",
]


@cites("generating function of a sum of independent presses at -1", mark=Mark.COMPUTED)
def share_odd(*, shares: Sequence[float]) -> float:
    """Chance that an odd number of people press, each once or not: a toggle has flipped.

    P(odd) = (1 - prod(1 - 2 p_i)) / 2.

    Args:
        shares: chance of a press, one for each person; empty gives 0.

    Raises:
        OutOfRange: a share outside 0 to 1.

    Example:
        Two people of whom each switches the light off nine times in ten:

        >>> share_odd(shares=[0.9, 0.9])
        0.18
    """
    if len(shares):
        require_range("shares", list(shares), "", low=0.0, high=1.0, because="a share")
    return (1.0 - math.prod(1.0 - 2.0 * share for share in shares)) / 2.0


@cites("generating function of the Poisson distribution at -1", mark=Mark.COMPUTED)
def share_odd_at_rate(*, presses_mean: float) -> float:
    """Chance of an odd number of presses when they come at random, `presses_mean` on average.

    P(odd) = (1 - exp(-2 mean)) / 2; it is all but one half from a mean of 2 on.

    Args:
        presses_mean: mean number of presses in the time looked at.

    Raises:
        OutOfRange: a negative mean.

    Example:
        >>> share_odd_at_rate(presses_mean=0.5)
        0.316
    """
    require_range("presses_mean", presses_mean, "", low=0.0, because="a mean number is not negative")
    return -math.expm1(-2.0 * presses_mean) / 2.0


@cites("generating function of the binomial distribution at -1", mark=Mark.COMPUTED)
def share_out_of_step(*, presses: int, heard_share: float) -> float:
    """Chance that belief and a toggled panel differ after some presses, each heard or not.

    Each lost press puts them out of step, the next lost one puts them back:
    (1 - (2p - 1)^n) / 2.

    Args:
        presses: presses since both were known to agree.
        heard_share: chance that a press is heard.

    Raises:
        OutOfRange: a negative number or a share outside 0 to 1.

    Example:
        >>> share_out_of_step(presses=20, heard_share=0.95)
        0.439212
    """
    require_range("presses", presses, "", low=0, because="a number of presses")
    require_range("heard_share", heard_share, "", low=0.0, high=1.0, because="a share")
    return float((1.0 - (2.0 * heard_share - 1.0) ** presses) / 2.0)


@cites("independent presses", mark=Mark.COMPUTED)
def share_pair_out_of_step(*, presses: int, heard_share: float) -> float:
    """The same with separate inputs for set and unset, the same button pressed n times.

    Repeating is harmless there, so only all presses lost leaves it wrong: (1 - p)^n.

    Args:
        presses: presses of the same button.
        heard_share: chance that a press is heard.

    Raises:
        OutOfRange: a negative number or a share outside 0 to 1.

    Example:
        >>> share_pair_out_of_step(presses=2, heard_share=0.9)
        0.01
    """
    require_range("presses", presses, "", low=0, because="a number of presses")
    require_range("heard_share", heard_share, "", low=0.0, high=1.0, because="a share")
    return float((1.0 - heard_share) ** presses)


@cites("binomial distribution over the ring open, stop, close, stop", mark=Mark.COMPUTED)
def share_step_drive_not_opening(*, presses: int, heard_share: float) -> float:
    """Chance that a closed step-by-step drive is not opening after quick presses.

    Each heard press moves one on in the ring open, stop, close, stop, so it opens only
    if the number heard is 1, 5, 9 and so on.

    Args:
        presses: quick presses, none of them after the travel has ended.
        heard_share: chance that a press is heard.

    Raises:
        OutOfRange: a negative or very large number (above 1 000), a share outside 0 to 1.

    Example:
        Three anxious presses are worse than one:

        >>> [round(share_step_drive_not_opening(presses=n, heard_share=0.9), 3) for n in (1, 2, 3)]
        [0.1, 0.82, 0.973]
    """
    require_range("presses", presses, "", low=0, high=1000, because="our choice of the most quick presses")
    require_range("heard_share", heard_share, "", low=0.0, high=1.0, because="a share")
    chances = [1.0, 0.0, 0.0, 0.0]
    for _ in range(presses):
        chances = [(1.0 - heard_share) * chances[i] + heard_share * chances[i - 1] for i in range(4)]
    return 1.0 - chances[1]
