"""One long press seen as several when telegrams are lost in bursts, as another transmitter makes them.

The channel is good, and every telegram is heard, or bad, and every telegram is lost; it changes
by chance from telegram to telegram. Bursts of 1/p telegrams on average are independent losses.
"""

from __future__ import annotations

from farpress.core.rehearsal.runs import LONGEST_PRESS, SeenAs
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["press_seen_in_bursts"]


@cites(
    "Gilbert, Capacity of a burst-noise channel",
    edition="Bell System Technical Journal 39, 1960",
    place="two states; here all is lost in the bad one",
    mark=Mark.MEMORY,
)
def press_seen_in_bursts(
    *, telegrams: int, heard_share: float, burst_telegrams: float, losses_to_split: int
) -> SeenAs:
    r"""Chances that one press of n telegrams is seen as none, one or several, losses coming in bursts.

    With p heard and bursts of b telegrams, the bad state ends with r = 1/b and begins with
    a = r (1 - p)/p. A heard telegram is followed by g losses and a heard one with w_0 = 1 - a,
    w_g = a (1 - r)^(g-1) r; the rest is the recursion of `runs.press_seen_as`.

    Args:
        telegrams: sent in the press.
        heard_share: share of all telegrams that is heard.
        burst_telegrams: mean length of a burst of losses, at least 1 and at least (1 - p)/p.
        losses_to_split: losses in a row that end a press, see `press.losses_that_split`.

    Raises:
        OutOfRange: no telegram, a share outside 0 to 1, a burst too short for so many losses.

    Example:
        Two seconds with one telegram in ten lost, never alone but five in a row on average:

        >>> round(
        ...     press_seen_in_bursts(
        ...         telegrams=20, heard_share=0.9, burst_telegrams=5.0, losses_to_split=3
        ...     ).several,
        ...     3,
        ... )
        0.151
    """
    require_range(
        "telegrams",
        telegrams,
        "",
        low=1,
        high=LONGEST_PRESS,
        because="our choice of the longest press",
        hint="Give the number of telegrams, not the time.",
    )
    require_range("heard_share", heard_share, "", low=0.0, high=1.0, because="a share")
    require_range("losses_to_split", losses_to_split, "", low=0, because="a number of lost telegrams")
    n, p, k = telegrams, heard_share, losses_to_split
    if p == 0.0:
        return SeenAs(1.0, 0.0, 0.0, 1.0)
    shortest = max(1.0, (1.0 - p) / p)
    require_range(
        "burst_telegrams",
        burst_telegrams,
        "",
        low=shortest - 1e-9,
        because="a burst has at least one telegram, and bursts as short as that leave more heard",
    )
    r = 1.0 / burst_telegrams
    a = min(r * (1.0 - p) / p, 1.0)
    gaps = [1.0 - a, *(a * (1.0 - r) ** (g - 1) * r for g in range(1, max(k, 2) + 1))]
    lost = [1.0, *(a * (1.0 - r) ** (m - 1) for m in range(1, n))]  # all of m further telegrams
    first = [p, *((1.0 - p) * (1.0 - r) ** (i - 2) * r for i in range(2, n + 1))]
    none = (1.0 - p) * (1.0 - r) ** (n - 1)
    once, sign = (_weights(n, k, r, gaps, lost, sign=factor) for factor in (0.0, -1.0))
    seen_once = sum(first[i] * once[n - 1 - i] for i in range(n))
    odd_less_even = sum(first[i] * sign[n - 1 - i] for i in range(n))
    return SeenAs(none, seen_once, max(0.0, 1.0 - none - seen_once), (1.0 + none - odd_less_even) / 2.0)


def _weights(n: int, k: int, r: float, gaps: list[float], lost: list[float], *, sign: float) -> list[float]:
    # as in `runs`: a gap of k or more multiplies by `sign`: 0 keeps unsplit presses only, -1 tracks the
    # parity
    values = [1.0]
    begins = max(k, 1)
    long_ = 0.0  # sum over gaps of `begins` and more
    for m in range(1, n):
        long_ = long_ * (1.0 - r) + (gaps[begins] * values[m - 1 - begins] if m - 1 - begins >= 0 else 0.0)
        short = sum(gaps[g] * values[m - 1 - g] for g in range(min(k, m)))
        at_once = gaps[0] * values[m - 1] if k == 0 else 0.0
        values.append(lost[m] + short + sign * (long_ + at_once))
    return values
