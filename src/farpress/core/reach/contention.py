"""Presses that fall on each other: the limits of a shared radio channel.

Closed forms for light load. Above about 0.3 presses per press length they are too kind or too
strict, and a simulation has to decide; each function says which side it errs on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "breaks_in_press",
    "clear_press_share",
    "overlap_free_share",
    "simulated_clear_share",
    "telegram_clear_share",
    "telegram_hit_share",
]


_AT_ONCE: Final = 1_000_000.0
_DRAWN_AT_MOST: Final = 2_000_000.0
_PLAYED_AT_LEAST: Final = 400
"""Presses of others drawn at once and in all, and own presses played at least: our choice, 0.1 GB and a
second."""

_NEVER: Final = 1e-9


@cites("Pure ALOHA, textbook", place="success e^(-2G)", mark=Mark.MEMORY)
def overlap_free_share(*, presses_per_s: float, press_s: float) -> float:
    """Chance that a press overlaps no other at all; the lower limit for a fob that repeats.

    Args:
        presses_per_s: presses of all fobs on the channel [1/s].
        press_s: length of one press, all its repeats [s].

    Example:
        >>> overlap_free_share(presses_per_s=0.2, press_s=0.6)
        0.787
    """
    require_range("presses_per_s", presses_per_s, "1/s", low=0.0, because="a rate")
    require_range("press_s", press_s, "s", low=0.0, because="a length")
    return float(np.exp(-2.0 * presses_per_s * press_s))


@cites(
    "Pure ALOHA with repeats", place="a later press leaves the earlier telegrams clear", mark=Mark.COMPUTED
)
def clear_press_share(*, presses_per_s: float, telegram_s: float, telegrams_needed: int) -> float:
    """Chance that enough telegrams of a press stay clear; the upper limit at light load.

    Args:
        presses_per_s: presses of all fobs on the channel [1/s].
        telegram_s: length of one telegram [s].
        telegrams_needed: telegrams in a row that the receiver wants.

    Example:
        >>> clear_press_share(presses_per_s=0.2222, telegram_s=0.060, telegrams_needed=1)
        0.9737
    """
    require_range("telegrams_needed", telegrams_needed, "", low=1, high=20, because="our choice")
    return overlap_free_share(presses_per_s=presses_per_s, press_s=telegram_s * telegrams_needed)


@cites("Alternating renewal of bursts and gaps, textbook", mark=Mark.MEMORY)
def telegram_clear_share(*, taken_share: float, mean_gap_s: float, telegram_s: float) -> float:
    """Chance that one telegram meets no burst, from the share of time taken and the mean gap between bursts.

    Args:
        taken_share: share of time that others are on the channel.
        mean_gap_s: mean pause between two bursts [s].
        telegram_s: length of one telegram [s].

    Example:
        >>> telegram_clear_share(taken_share=0.02, mean_gap_s=5.0, telegram_s=0.06)
        0.968
    """
    require_range("taken_share", taken_share, "", low=0.0, high=1.0, because="a share")
    require_range("mean_gap_s", mean_gap_s, "s", low=1e-3, because="our choice")
    return float((1.0 - taken_share) * np.exp(-telegram_s / mean_gap_s))


@cites("Unslotted ALOHA: no telegram of others begins within the sum of both lengths", mark=Mark.MEMORY)
def telegram_hit_share(*, others: Sequence[tuple[float, float, int]], telegram_s: float) -> float:
    """Chance that one telegram is met by one of others that send at moments of their own.

    Args:
        others: of each kind the length of its telegram [s], from one to the next [s], and how many send.
        telegram_s: length of the one telegram [s].

    Example:
        Twelve probes of 40 ms each 5 s, against 70 ms: 1 - exp(-2.4 x 0.11)

        >>> telegram_hit_share(others=[(0.04, 5.0, 12)], telegram_s=0.07)
        0.2321
    """
    require_range("telegram_s", telegram_s, "s", low=1e-4, high=10.0, because="our choice")
    meets = 0.0
    for length_s, every_s, senders in others:
        require_range("every_s", every_s, "s", low=1e-3, because="our choice")
        require_range("length_s", length_s, "s", low=0.0, because="a length is not negative")
        meets += senders * (length_s + telegram_s) / every_s
    return float(1.0 - np.exp(-meets))


@cites("Runs of lost telegrams in a press, each lost by itself", mark=Mark.COMPUTED)
def breaks_in_press(*, press_s: float, repeat_s: float, dropout_s: float, lost_share: float) -> float:
    """How often a held press counts as ended on average, though the button is still held.

    A receiver lets go where the time from one telegram heard to the next is longer than its drop-out: k lost
    in a row, k the whole periods in it, and the first of each run counts.

    Args:
        press_s: how long the button is held [s].
        repeat_s: from one telegram to the next [s].
        dropout_s: of the receiver [s].
        lost_share: chance that one telegram is lost.

    Example:
        A hold of 30 s, a telegram each 120 ms, 0.23 lost, drop-out 0.30 s:

        >>> breaks_in_press(press_s=30.0, repeat_s=0.12, dropout_s=0.30, lost_share=0.232)
        10.33
    """
    require_range("lost_share", lost_share, "", low=0.0, high=1.0, because="a share")
    require_range("repeat_s", repeat_s, "s", low=1e-3, because="our choice")
    run = int(dropout_s / repeat_s + 1e-9)
    sent = press_s / repeat_s
    if run == 0:
        return float(max(sent, 0.0))
    return float(max(sent, 0.0) * (1.0 - lost_share) * lost_share**run)


@cites(
    "Simulation of presses that repeat, with capture",
    place="Poisson presses; the stronger wins by the capture ratio",
    mark=Mark.COMPUTED,
)
def simulated_clear_share(
    *,
    presses_per_s: float,
    telegram_s: float,
    period_s: float,
    sent: int,
    needed: int,
    capture_db: float,
    gap_db: float = 0.0,
    gap_sd_db: float = 0.0,
    trials: int = 20_000,
    seed: int = 1,
) -> float:
    """Chance that a press brings enough telegrams in a row past everybody else's presses.

    Each press sends its telegrams evenly spaced; another that overlaps a telegram takes it, unless
    ours is stronger by the capture ratio. The far fob loses: give its own gap, not the mean.

    Args:
        presses_per_s: presses of all others on the channel [1/s].
        telegram_s: length of one telegram [s].
        period_s: from the beginning of one to that of the next [s].
        sent: telegrams in a press.
        needed: telegrams in a row that the receiver wants.
        capture_db: by how much ours must be stronger to come through anyway [dB]; inf for never.
        gap_db, gap_sd_db: how much stronger ours is than another's, and its spread [dB].
        trials: presses played.
        seed: of the random numbers; the same seed gives the same share.

    Memory is bounded: presses are played in turns, and fewer of them, 400 at least, where each meets tens of
    thousands of others, as with telegrams of minutes.

    Example:
        Light load, one telegram enough: near the limit of `clear_press_share`:

        >>> round(
        ...     simulated_clear_share(
        ...         presses_per_s=0.02,
        ...         telegram_s=0.06,
        ...         period_s=0.1,
        ...         sent=5,
        ...         needed=1,
        ...         capture_db=float("inf"),
        ...     ),
        ...     2,
        ... )
        1.0
    """
    require_range(
        "presses_per_s",
        presses_per_s,
        "1/s",
        low=0.0,
        high=100.0,
        because="our choice, a channel so full carries nothing",
    )
    require_range("period_s", period_s, "s", low=telegram_s, because="telegrams of one fob do not overlap")
    require_range("sent", sent, "", low=needed, high=200, because="fewer than needed can never be heard")
    length = (sent - 1) * period_s + telegram_s
    if _surely_taken(presses_per_s, telegram_s, sent, capture_db - gap_db, gap_sd_db):
        return 0.0
    draw = np.random.default_rng(seed)
    others = presses_per_s * 2.0 * length
    played = int(min(trials, max(_DRAWN_AT_MOST / max(others, 1e-9), _PLAYED_AT_LEAST)))
    at_once = int(min(played, max(_AT_ONCE / max(others, 1e-9), 1)))
    kept = 0
    for begun in range(0, played, at_once):
        count = min(at_once, played - begun)
        counts = draw.poisson(others, count)
        trial = np.repeat(np.arange(count), counts)
        begins = draw.uniform(-length, length, trial.size)
        taken = draw.normal(gap_db, gap_sd_db, trial.size) < capture_db
        kept += _kept(trial[taken], begins[taken], count, sent, needed, telegram_s, period_s)
    return kept / played


def _surely_taken(
    presses_per_s: float, telegram_s: float, sent: int, over_db: float, gap_sd_db: float
) -> bool:
    """Whether so many others press that not one telegram in a billion presses meets none of them."""
    wins = 0.5 * (1.0 + math.erf(over_db / max(gap_sd_db, 1e-9) / math.sqrt(2.0)))
    return sent * math.exp(-min(presses_per_s * wins * 2.0 * telegram_s, 700.0)) < _NEVER


def _kept(
    trial: NDArray[np.int64],
    begins: NDArray[np.float64],
    trials: int,
    sent: int,
    needed: int,
    telegram_s: float,
    period_s: float,
) -> int:
    """How many presses keep telegrams enough in a row past others that begin at some moments of some
    trials.
    """
    clear = np.ones((trials, sent), dtype=np.bool_)
    for own in range(sent):
        lag = begins - own * period_s  # another's first telegram against ours
        turn = np.clip(np.round(-lag / period_s), 0, sent - 1)
        hit = np.zeros(trial.size, dtype=np.bool_)
        for near in (-1, 0, 1):  # only the telegrams next to ours can overlap it
            hit |= np.abs(lag + np.clip(turn + near, 0, sent - 1) * period_s) < telegram_s
        clear[trial[hit], own] = False
    run = np.ones((trials, sent - needed + 1), dtype=np.bool_)
    for step in range(needed):
        run &= clear[:, step : step + sent - needed + 1]
    return int(run.any(axis=1).sum())
