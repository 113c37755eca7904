"""What a design is weighed by: the firm's own minutes, else the invented pattern's; ways of cables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from farpress.quoting.norms import Norms, pattern_norms

__all__ = ["DesignWeights", "cable_m", "norms_with", "weights_of"]

_BOX_MIN: Final = 60
"""A receiver more is worth an hour beside its mounting, as long as no price is weighed: our choice."""

_OUTSIDE_MIN: Final = 30
"""More where it hangs in the weather: our choice."""

_DETOUR: Final = 1.3
_ENDS_M: Final = 2.0
"""Way of a cable over the straight line, and what goes into its ends: our choice."""


@dataclass(frozen=True)
class DesignWeights:
    """Minutes that places are weighed by, in whole minutes.

    Attributes:
        box: a receiver more, mounted with its aerial.
        outside: more where it hangs in the weather.
        metre: of cable.
    """

    box: int
    outside: int
    metre: int


def norms_with(norms: Norms | None) -> Norms:
    """The firm's norms, where it has none of a task those of the pattern."""
    return Norms(dict(pattern_norms().by_task) | dict(norms.by_task if norms is not None else {}))


def weights_of(norms: Norms) -> DesignWeights:
    """Weights by a list of norms that has every task."""
    task = norms.by_task
    box = _BOX_MIN + round(task["mount receiver"].minutes + task["mount aerial"].minutes)
    return DesignWeights(box, _OUTSIDE_MIN, max(round(task["lay cable"].minutes), 1))


def cable_m(start: Sequence[float], end: Sequence[float]) -> int:
    """Way of a cable between two points of the plan, bends and ends in it, in whole metres.

    Where both have a height the way up or down counts too.

    Example:
        >>> cable_m((0, 0, 0.5), (10, 0, 2.5))
        17
    """
    up = abs(start[2] - end[2]) if len(start) == len(end) == 3 else 0.0
    return math.ceil(_DETOUR * math.dist(start[:2], end[:2]) + up + _ENDS_M)
