"""Presses that fall on each other: the limits of a shared radio channel.

Closed forms for light load. Above about 0.3 presses per press length they are too kind or too
strict, and a simulation has to decide; each function says which side it errs on.
"""

from __future__ import annotations

import numpy as np

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["clear_press_share", "overlap_free_share", "telegram_clear_share"]


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


@cites("Pure ALOHA with repeats", place="a later press leaves the earlier telegrams clear", mark=Mark.COMPUTED)
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
