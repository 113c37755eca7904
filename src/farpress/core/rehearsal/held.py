"""A press held for a whole movement, against the fob that gives up by itself.

Says how long a thumb has to stay on the button; what happens at the end of the travel is
the drive's own matter.
"""

from __future__ import annotations

from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["BUTTON_LAG_S", "TRAVEL_FACTOR", "hold_needed_s"]

TRAVEL_FACTOR: Final = 1.15
"""Frost, stiff grease, a tired drive; common practice, no source."""

BUTTON_LAG_S: Final = 1.0
"""From the thumb to the moving leaf, and the thumb at its end; common practice, no source."""


@cites("travel time x 1.15 + 1 s", mark=Mark.PRACTICE)
def hold_needed_s(*, travel_s: float, travel_worst_s: float | None = None) -> float:
    """Time a button has to be held for the whole travel [s].

    Args:
        travel_s: whole travel on an ordinary day [s].
        travel_worst_s: the same at its worst, where known; it replaces the factor 1.15 [s].

    Raises:
        OutOfRange: a negative travel time.

    Example:
        >>> hold_needed_s(travel_s=28.0)
        33.2
        >>> hold_needed_s(travel_s=28.0, travel_worst_s=29.5)
        30.5
    """
    require_range("travel_s", travel_s, "s", low=0.0, because="a time is not negative")
    if travel_worst_s is None:
        return TRAVEL_FACTOR * travel_s + BUTTON_LAG_S
    require_range("travel_worst_s", travel_worst_s, "s", low=0.0, because="a time is not negative")
    return max(travel_worst_s, travel_s) + BUTTON_LAG_S
