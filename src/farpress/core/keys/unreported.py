"""How many fobs are out that were lost, that nobody reported, and that still work."""

from __future__ import annotations

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["mean_at_large"]


@cites("Little's law", mark=Mark.COMPUTED)
def mean_at_large(*, a_year: float, found_after_years: float) -> float:
    """Mean number that is out at any moment: each stays out until the next count, half the time between two.

    Args:
        a_year: lost and reported by nobody, at a steady rate [1/a].
        found_after_years: from one count of all fobs to the next [a].

    Raises:
        OutOfRange: a negative rate or time.

    Example:
        Twelve a year, counted every quarter:

        >>> mean_at_large(a_year=12.0, found_after_years=0.25)
        1.5
    """
    require_range("a_year", a_year, "1/a", low=0.0, because="a rate is not negative")
    require_range("found_after_years", found_after_years, "a", low=0.0, because="a time is not negative")
    return a_year * found_after_years / 2.0
