"""One long press seen as several: exact chances when telegrams are lost independently.

A gap of at least `losses_to_split` lost telegrams between two heard ones splits the
press. Losses in bursts are another model: independence may be too kind or too harsh,
depending on how long the bursts are.
"""

from __future__ import annotations

from typing import NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["SeenAs", "press_seen_as", "presses_seen_mean", "share_without_run"]

LONGEST_PRESS = 100_000
"""Telegrams in one press, at most; our choice, it catches milliseconds given as a count."""


class SeenAs(NamedTuple):
    """What a receiver makes of one long press; chances add up as the names say.

    Attributes:
        not_at_all: no telegram was heard.
        one: seen as one press.
        several: seen as two or more.
        even: seen as an even number, none included: a toggle stands wrong.
    """

    not_at_all: float
    one: float
    several: float
    even: float


@cites("recursion over the last heard telegram, see the docstring", mark=Mark.COMPUTED)
def press_seen_as(*, telegrams: int, heard_share: float, losses_to_split: int) -> SeenAs:
    r"""Chances that one press of n telegrams is seen as none, one or several.

    With p heard, q = 1 - p, and k losses needed, u_m is the chance of no split in m
    further telegrams after a heard one::

        u_0 = 1,  u_m = q^m + sum_{g=0}^{min(k,m)-1} p q^g u_{m-1-g}
        P(one) = sum_{i=1}^{n} q^{i-1} p u_{n-i},  P(none) = q^n

    The parity follows with v_m = E[(-1)^splits], in which a gap of k or more changes sign.

    Args:
        telegrams: sent in the press.
        heard_share: chance that one telegram is heard, independent of the others.
        losses_to_split: losses in a row that end a press, see `press.losses_that_split`.

    Raises:
        OutOfRange: no telegram, a share outside 0 to 1, or a negative number of losses.

    Example:
        Two seconds at the edge of reach, 100 ms pace, drop-out 0.4 s:

        >>> seen = press_seen_as(telegrams=20, heard_share=0.9, losses_to_split=3)
        >>> seen.even
        0.01418
    """
    _check(telegrams, heard_share, losses_to_split)
    n, p, k = telegrams, heard_share, losses_to_split
    q = 1.0 - p
    powers = _powers(q, n)
    plain = _weights(n, p, k, powers, sign=0.0)
    sign = _weights(n, p, k, powers, sign=-1.0)
    none = powers[n]
    seen_once = sum(powers[i - 1] * p * plain[n - i] for i in range(1, n + 1))
    # E[(-1)^(S-1); S > 0] = sum of q^(i-1) p v; S = 0 counts as even
    odd_less_even = sum(powers[i - 1] * p * sign[n - i] for i in range(1, n + 1))
    return SeenAs(none, seen_once, max(0.0, 1.0 - none - seen_once), (1.0 + none - odd_less_even) / 2.0)


def _weights(n: int, p: float, k: int, powers: list[float], *, sign: float) -> list[float]:
    # a gap of k or more multiplies by `sign`: 0 keeps unsplit presses only, -1 tracks the parity
    values = [1.0]
    short = 0.0  # sum over gaps g < k of p q^g value[m-1-g]
    long_ = 0.0  # the same over g >= k
    q = 1.0 - p
    for m in range(1, n):
        gone = p * powers[k - 1] * values[m - 1 - k] * q if m - 1 - k >= 0 and k > 0 else 0.0
        if k == 0:
            long_ = long_ * q + p * values[m - 1]
        else:
            short = short * q + p * values[m - 1] - gone
            long_ = long_ * q + gone
        values.append(powers[m] + short + sign * long_)
    return values


@cites("closed form derived from the linearity of expectation", mark=Mark.COMPUTED)
def presses_seen_mean(*, telegrams: int, heard_share: float, losses_to_split: int) -> float:
    """Mean number of presses that a receiver sees in one long press.

    E[S] = 1 - q^(k+1) + (n - k - 1) p q^k for n > k, and 1 - q^n otherwise: every split
    needs a heard telegram with k lost ones right before it, and one heard before those.

    Args:
        telegrams: sent in the press.
        heard_share: chance that one telegram is heard, independent of the others.
        losses_to_split: losses in a row that end a press.

    Raises:
        OutOfRange: as `press_seen_as`.

    Example:
        >>> presses_seen_mean(telegrams=50, heard_share=0.8, losses_to_split=2)
        2.496
    """
    _check(telegrams, heard_share, losses_to_split)
    n, p, k = telegrams, heard_share, losses_to_split
    q = 1.0 - p
    return float(1.0 - q ** (k + 1) + (n - k - 1) * p * q**k) if n > k else float(1.0 - q**n)


@cites(
    "Feller, An Introduction to Probability Theory and Its Applications, vol. I",
    place="XIII.7, as cited by others",
    mark=Mark.MEMORY,
)
def share_without_run(*, trials: int, event_share: float, run: int) -> float:
    """Chance that no `run` equal events come in a row among `trials`.

    S_m = S_(m-1) - q^k (1 - q) S_(m-k-1), with S_0 to S_(k-1) = 1 and S_k = 1 - q^k. It is
    only a bound for a split press, because runs before the first and after the last heard
    telegram do no harm: P(several) <= 1 - S_n.

    Args:
        trials: number of independent trials.
        event_share: chance of the event that is repeated in the run.
        run: length of the run, at least 1.

    Raises:
        OutOfRange: a negative number of trials, a run below 1, a share outside 0 to 1.

    Example:
        Ten tosses of a coin without two heads in a row: 144 of 1 024 sequences.

        >>> share_without_run(trials=10, event_share=0.5, run=2) * 1024
        144.0
    """
    require_range("trials", trials, "", low=0, high=LONGEST_PRESS, because="our choice of the longest series")
    require_range("event_share", event_share, "", low=0.0, high=1.0, because="a share")
    require_range("run", run, "", low=1, because="a run has at least one event")
    q, k = event_share, run
    values = [1.0] * k + [1.0 - q**k]
    for m in range(k + 1, trials + 1):
        values.append(values[m - 1] - q**k * (1.0 - q) * values[m - k - 1])
    return values[trials]


def _powers(q: float, n: int) -> list[float]:
    powers = [1.0]
    for _ in range(n):
        powers.append(powers[-1] * q)
    return powers


def _check(telegrams: int, heard_share: float, losses_to_split: int) -> None:
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
