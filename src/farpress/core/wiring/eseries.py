"""Preferred values of resistors and capacitors: what can be bought next to a computed value."""

from __future__ import annotations

import math
from typing import Final, Literal

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["SERIES", "Series", "nearest_value", "value_at_least", "value_at_most"]

Series = Literal["E12", "E24"]

SERIES: Final[dict[str, tuple[int, ...]]] = {
    "E12": (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82),
    "E24": (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
}
"""Values of one decade, times ten: IEC 60063, read in a copy; E12 for 10 %, E24 for 5 % parts."""


@cites("IEC 60063", place="E12 and E24 series", mark=Mark.COPY)
def nearest_value(value: float, *, series: Series = "E24") -> float:
    """The preferred value whose distance is least, in the unit of `value`.

    Args:
        value: any positive number.
        series: E12 or E24.

    >>> nearest_value(319.0)
    330.0
    """
    return min(_around(value, series), key=lambda candidate: (abs(candidate - value), candidate))


@cites("IEC 60063", place="E12 and E24 series", mark=Mark.COPY)
def value_at_most(value: float, *, series: Series = "E24") -> float:
    """The largest preferred value not above `value`, in its unit.

    Args:
        value: any positive number.
        series: E12 or E24.

    >>> value_at_most(319.0)
    300.0
    """
    return max(candidate for candidate in _around(value, series) if candidate <= value * (1 + 1e-9))


@cites("IEC 60063", place="E12 and E24 series", mark=Mark.COPY)
def value_at_least(value: float, *, series: Series = "E24") -> float:
    """The smallest preferred value not below `value`, in its unit.

    Args:
        value: any positive number.
        series: E12 or E24.

    >>> value_at_least(301.0)
    330.0
    """
    return min(candidate for candidate in _around(value, series) if candidate >= value * (1 - 1e-9))


def _around(value: float, series: Series) -> list[float]:
    require_range("value", value, "", low=1e-15, high=1e15, because="a part's value is positive")
    decade = math.floor(math.log10(value))
    return [
        float(f"{step}e{power - 1}") for power in (decade - 1, decade, decade + 1) for step in SERIES[series]
    ]
