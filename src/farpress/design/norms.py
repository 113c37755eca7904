"""What a design is weighed by: the firm's own minutes and prices, else the invented pattern's minutes alone;
ways of cables.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from farpress.quoting.norms import Norms, pattern_norms
from farpress.quoting.prices import WORK, PriceList

__all__ = ["DesignWeights", "cable_m", "norms_with", "price_each", "weights_of"]

_BOX_MIN: Final = 60
"""A receiver without a price is worth an hour beside its mounting: our choice."""

_OUTSIDE_MIN: Final = 30
"""More where it hangs in the weather: our choice."""

_DETOUR: Final = 1.3
_ENDS_M: Final = 2.0
"""Way of a cable over the straight line, and what goes into its ends: our choice."""


@dataclass(frozen=True)
class DesignWeights:
    """Minutes that places are weighed by, in whole minutes; money as the minutes that are paid as much.

    Attributes:
        mount: a receiver mounted with its aerial.
        outside: more where it hangs in the weather.
        metre: of cable.
        parts: receiver → what it costs; those without a price are not here.
        unpriced: what one without a price counts: as much as the dearest that has one, so that leaving a
            price out makes nothing cheaper.
    """

    mount: int
    outside: int
    metre: int
    parts: Mapping[str, int] = field(default_factory=dict)
    unpriced: int = _BOX_MIN

    def box(self, part: str) -> int:
        """A receiver of a part more."""
        return self.mount + self.parts.get(part, self.unpriced)


def norms_with(norms: Norms | None) -> Norms:
    """The firm's norms, where it has none of a task those of the pattern."""
    return Norms(dict(pattern_norms().by_task) | dict(norms.by_task if norms is not None else {}))


def weights_of(norms: Norms, prices: PriceList, *, receivers: Iterable[str], cable: str) -> DesignWeights:
    """Weights by a list of norms that has every task, and by prices where the list has one for an hour.

    Args:
        norms, prices: of the firm.
        receivers: parts that may be bought.
        cable: part that most metres are of.
    """
    task = norms.by_task
    mount = round(task["mount receiver"].minutes + task["mount aerial"].minutes)
    metre = Fraction(task["lay cable"].minutes)
    hour = price_each(prices, WORK, "h")
    if not hour:
        return DesignWeights(mount, _OUTSIDE_MIN, max(round(metre), 1))
    known = {name: price_each(prices, name, "piece") for name in receivers}
    parts = {name: round(60 * price / hour) for name, price in known.items() if price is not None}
    metre += 60 * (price_each(prices, cable, "m") or 0) / hour
    return DesignWeights(mount, _OUTSIDE_MIN, max(round(metre), 1), parts, max([_BOX_MIN, *parts.values()]))


def price_each(prices: PriceList, article: str, counts: str) -> Fraction | None:
    """The price of one piece, metre or hour; None where the list has none in this unit."""
    found = prices.of(article)
    if found is None or found.unit.counts != counts:
        return None
    return Fraction(found.price) / Fraction(found.unit.size)


def cable_m(start: Sequence[float], end: Sequence[float]) -> int:
    """Way of a cable between two points of the plan, bends and ends in it, in whole metres.

    Where both have a height the way up or down counts too.

    Example:
        >>> cable_m((0, 0, 0.5), (10, 0, 2.5))
        17
    """
    up = abs(start[2] - end[2]) if len(start) == len(end) == 3 else 0.0
    return math.ceil(_DETOUR * math.dist(start[:2], end[:2]) + up + _ENDS_M)
